"""A block as it stands in its files, with what people did in it: what its sheet shows, without planning anything."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from everyrung.blocks.block_file import BlockFile
from everyrung.blocks.middle import session_parts
from everyrung.moves.library import Library
from everyrung.plan.read import plan_from_text
from everyrung.plan.resolve import resolve
from everyrung.store.cache import Cache
from everyrung.terms.block_brief import EveningKind
from everyrung.terms.enums import BlockKind, Pattern
from everyrung.terms.errors import Invalid
from everyrung.terms.history import History, SetRecord, Source
from everyrung.terms.session import Session
from everyrung.timing.timeline import build_timeline
from everyrung.weeks.week_load import WeekLoad, evening_loads, week_load


@dataclass(frozen=True, slots=True, kw_only=True)
class EveningView:
    """One evening: its sets by pattern, its demand on the middle person, its length, how much of it is work on balance,
    and how many came (None for an evening of which nothing is written down).
    """

    on: date
    week: int
    kind: EveningKind
    change: str
    minutes: float
    sets: Mapping[Pattern, int]
    demand: float
    balance_minutes: float
    heads: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonEvening:
    """What one person did on an evening: the heaviest that they held, kg, and the fewest that they said were left."""

    on: date
    kg: float
    left: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class BlockView:
    """A block to be shown: evenings in the order of time, people with what they did, the load of each week."""

    title: str
    place: str
    weeks: int
    evenings: tuple[EveningView, ...]
    people: Mapping[str, tuple[PersonEvening, ...]]
    loads: Mapping[int, WeekLoad]

    @property
    def patterns(self) -> tuple[Pattern, ...]:
        """Those that are there, in the library's order."""
        there = {pattern for each in self.evenings for pattern in each.sets}
        return tuple(pattern for pattern in Pattern if pattern in there)


def block_view(
    block: BlockFile, plans: Mapping[date, str], history: History, library: Library, cache: Cache | None
) -> BlockView:
    """The view of a planned block; `plans` is each evening's text, by day. Raises Invalid for one that is not planned
    yet, or lacks a plan, Faults for a plan with a fault.
    """
    missing = next((each.file for each in block.evenings if each.on not in plans), "")
    if missing or not block.evenings:
        remedy = "Plan it first: everyrung weeks BLOCK."
        raise Invalid("block", "a block that is planned", missing or "none", remedy=remedy)
    sessions = {each.on: _session(plans[each.on], each.file, library) for each in block.evenings}
    minutes = {on: build_timeline(session).total_ms / 60_000 for on, session in sessions.items()}
    by_day = history.evenings()
    evenings = tuple(
        EveningView(
            on=each.on,
            week=_week(block, each.on),
            kind=each.kind,
            change=each.change,
            minutes=minutes[each.on],
            sets=_sets(sessions[each.on]),
            demand=_demand(sessions[each.on], library, cache),
            balance_minutes=balance_minutes(sessions[each.on]),
            heads=_heads(by_day[each.on]) if each.on in by_day else None,
        )
        for each in block.evenings
    )
    loads = evening_loads(history, minutes)
    first = {week: block.brief.first + timedelta(days=7 * (week - 1)) for week in range(1, block.brief.weeks + 1)}
    with_effort = {_week(block, on) for on in loads}
    return BlockView(
        title=block.brief.title,
        place=block.brief.place,
        weeks=block.brief.weeks,
        evenings=evenings,
        people=_people(by_day, {each.on for each in block.evenings}),
        loads={week: week_load(loads, first[week]) for week in sorted(with_effort)},
    )


def _session(text: str, file: str, library: Library) -> Session:
    return resolve(plan_from_text(text, file), library)


def _week(block: BlockFile, on: date) -> int:
    return (on - block.brief.first).days // 7 + 1


def _sets(session: Session) -> dict[Pattern, int]:
    sets: dict[Pattern, int] = {}
    for cell in session.cells_of(BlockKind.MAIN):
        sets[cell.move.pattern] = sets.get(cell.move.pattern, 0) + 1
    return sets


def balance_minutes(session: Session) -> float:
    """How long balance is practised, warm-up and all: the time of work, without rests."""
    cells = (cell for cell in session.cells if cell.move.pattern is Pattern.BALANCE)
    return sum(bout.duration_ms for cell in cells for bout in cell.bouts) / 60_000


def _demand(session: Session, library: Library, cache: Cache | None) -> float:
    mains = {each.name for each in session.of_kind(BlockKind.MAIN)}
    return sum(part for name, part in session_parts(session, library, cache) if name in mains)


def _heads(records: Sequence[SetRecord]) -> int | None:
    """People by name, or as many as answered together, whichever is more; the stage's log counts nobody."""
    counts = [each for each in records if each.source is not Source.STAGE]
    names = {each.person for each in counts if each.person}
    return max([len(names), *(each.heads for each in counts if not each.person)]) if counts else None


def _people(by_day: Mapping[date, Sequence[SetRecord]], days: set[date]) -> dict[str, tuple[PersonEvening, ...]]:
    people: dict[str, list[PersonEvening]] = {}
    for on in sorted(days & by_day.keys()):
        for name in dict.fromkeys(each.person for each in by_day[on] if each.person):
            own = [each for each in by_day[on] if each.person == name]
            left = [each.left for each in own if each.left is not None]
            kg = max(each.load.total_kg if each.load else 0.0 for each in own)
            people.setdefault(name, []).append(PersonEvening(on=on, kg=kg, left=min(left, default=None)))
    return {name: tuple(evenings) for name, evenings in sorted(people.items())}
