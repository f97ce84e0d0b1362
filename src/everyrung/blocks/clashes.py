"""What a block clashes with: a clock that changes, another block at its place, a person in two groups."""

from collections.abc import Iterator, Sequence
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo, available_timezones

from everyrung.blocks.evenings import evenings_of
from everyrung.moves.library import Library
from everyrung.plan.bouts import lacking
from everyrung.terms.block_brief import BlockBrief, Evening
from everyrung.terms.enums import KitItem, MoveKind, Pattern
from everyrung.terms.errors import Invalid, nearest
from everyrung.terms.person import same_name
from everyrung.terms.session_brief import SessionBrief

STEP = timedelta(minutes=5)  # in which another time is looked for; chosen, because classes begin on such minutes
DAY = timedelta(days=1)


def starts_of(brief: BlockBrief, evening: Evening) -> datetime:
    """When an evening begins, at the time on the wall of the block's zone. Raises Invalid for a zone that there is not,
    and for a time that the clock leaps over or has twice on that day.
    """
    try:
        zone = ZoneInfo(brief.zone)
    except (ValueError, OSError, KeyError):
        near = nearest(brief.zone, sorted(available_timezones()))
        raise Invalid("zone", "a zone such as Europe/Helsinki", brief.zone, nearest=near) from None
    wall = datetime.combine(evening.on, brief.weekly[evening.weekly].starts, zone)
    again = wall.astimezone(UTC).astimezone(zone)
    if again.replace(tzinfo=None) != wall.replace(tzinfo=None):
        got, near = f"{wall:%Y-%m-%d %H:%M}, which the clock leaps over", f"{again:%H:%M}"
        raise Invalid("starts", "a time that the clock has on that day", got, nearest=near)
    if wall.utcoffset() != wall.replace(fold=1).utcoffset():
        got, near = f"{wall:%Y-%m-%d %H:%M}, which the clock has twice", f"{wall + timedelta(hours=1):%H:%M}"
        raise Invalid("starts", "a time that the clock has once on that day", got, nearest=near)
    return wall


def check_clock(brief: BlockBrief) -> None:
    """Raises Invalid as `starts_of`, for whichever evening it is; without a zone there is nothing to check."""
    for evening in evenings_of(brief) if brief.zone else ():
        starts_of(brief, evening)


def clashes(brief: BlockBrief, others: Sequence[BlockBrief]) -> Iterator[str]:
    """In a sentence each: two blocks at one place at one time, a person who is in both; with the nearest that works."""
    for other in others:
        for evening, beside in _at_once(brief, other):
            begins = f"{brief.title} and {other.title} are both on {evening.on} at {_time(brief, evening)}"
            if brief.place == other.place:
                free = _free(brief, evening, other, beside)
                yield f"{begins}, {brief.place or 'at one place'}. The nearest free time: {free}."
            names = {same_name(name) for name in other.people}
            both = [name for name in brief.people if same_name(name) in names]
            if both:
                yield f"{', '.join(both)} cannot be in both: {begins}. Take them out of one, or move one of them."


def _at_once(brief: BlockBrief, other: BlockBrief) -> Iterator[tuple[Evening, Evening]]:
    by_day = {each.on: each for each in evenings_of(other)}
    for evening in evenings_of(brief):
        beside = by_day.get(evening.on)
        if beside and _overlap(_span(brief, evening), _span(other, beside)):
            yield evening, beside


def _span(brief: BlockBrief, evening: Evening) -> tuple[datetime, datetime]:
    weekly = brief.weekly[evening.weekly]
    starts = datetime.combine(evening.on, weekly.starts)
    return starts, starts + timedelta(minutes=weekly.session.minutes)


def _overlap(one: tuple[datetime, datetime], other: tuple[datetime, datetime]) -> bool:
    return one[0] < other[1] and other[0] < one[1]


def _time(brief: BlockBrief, evening: Evening) -> str:
    return f"{brief.weekly[evening.weekly].starts:%H:%M}"


def _free(brief: BlockBrief, evening: Evening, other: BlockBrief, beside: Evening) -> str:
    """The start nearest to the one that is wanted, on the same day, that leaves the other block alone."""
    starts, ends = _span(brief, evening)
    beside_span = _span(other, beside)
    shifts = [sign * STEP * count for count in range(1, DAY // STEP) for sign in (1, -1)]
    for shift in shifts:
        span = starts + shift, ends + shift
        if span[0].date() == span[1].date() == starts.date() and not _overlap(span, beside_span):
            return f"{span[0]:%H:%M}"
    return "another day"


def kit_that_helps(brief: SessionBrief, library: Library, pattern: Pattern) -> str:
    """The least kit with which there would be a version of a pattern; '' where kit is not what is lacking."""
    moves = [library.move(key) for key in library.keys]
    rungs = [
        rung for move in moves if move.kind is MoveKind.STRENGTH and move.pattern is pattern for rung in move.ladder
    ]  # fmt: skip
    needs: set[tuple[KitItem, ...]] = {
        lacking(rung, brief.kit) for rung in rungs if brief.floor or not rung.form.position.on_floor
    }
    if not needs or () in needs:
        return ""
    least = min(needs, key=lambda items: (len(items), str(items)))
    return " and ".join(str(item) for item in least)
