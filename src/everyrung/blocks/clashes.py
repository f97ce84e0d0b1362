"""What a block clashes with: a clock that changes, another block at its place, a person in two groups."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo, available_timezones

from everyrung.blocks.evenings import evenings_of
from everyrung.checks.rules.whole_session import HIGHEST_GRADE
from everyrung.proposals.brief_text import read_brief
from everyrung.proposals.columns import RungsWithLevers, columns
from everyrung.terms.block_brief import BlockBrief, Evening
from everyrung.terms.enums import Level, Pattern
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


def wish_that_helps(brief: SessionBrief, rungs: RungsWithLevers, pattern: Pattern) -> str:
    """The one wish less with which there would be a version of a pattern; '' where no single one helps."""
    harder = [level for level in Level if HIGHEST_GRADE[level] > HIGHEST_GRADE[brief.level]]
    easier_briefs = {
        "people getting down to the floor": replace(brief, floor=True),
        "the moves that are not wanted": replace(brief, exclude=()),
        **{f"{level} versions": replace(brief, level=level) for level in harder},
        "a pair of dumbbells": replace(brief, kit=(*brief.kit, *read_brief("two 4 kg").brief.kit)),
    }
    for words, other in easier_briefs.items():
        if other != brief and any(each.move.pattern is pattern for each in columns(other, rungs, 1)):
            return words
    return ""
