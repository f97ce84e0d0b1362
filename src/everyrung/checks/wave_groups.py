"""Which columns of a block to put together in waves, so that shared kit and wall are enough and nobody waits long.

Found exactly, by dynamic programming over sets of columns: no other grouping into at most four waves has people wait
less, by what each cell takes with its kit taken up anew; two moves of one pattern are never side by side.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import combinations

from everyrung.checks.cells import and_list
from everyrung.checks.kit_needs import ItemNeed, counted_pieces, each_pieces, stocks, wanted_by
from everyrung.terms.brief import Brief
from everyrung.terms.enums import KitItem, MoveKind, SpanKind
from everyrung.terms.frozen import dataclass
from everyrung.terms.plan import MOST_WAVES, WAVE_RESTS
from everyrung.terms.session import Block, Cell, Clock, Session
from everyrung.terms.timeline import Timeline
from everyrung.terms.units import clock_text
from everyrung.timing.transitions import held_kit, kit_change_ms
from everyrung.timing.turns import wave_sizes

LEAST_WAIT_MS = 1_000  # that is said; chosen, because nobody notices less
NO_WALLS: Mapping[str, int] = {}
Shares = Mapping[str, float]  # the part of all that is there of a thing, for one person


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class CellTime(Brief):
    """A cell as one wave does it, or a column over all rounds by its first cell: its time with taking its kit, and the
    part of each scarce thing that one person takes.
    """

    cell: Cell
    work_ms: int
    shares: Shares

    @property
    def at_once(self) -> int | None:
        """How many people what is there is enough for; None: for all."""
        return int(1 / max(self.shares.values()) + 1e-9) if self.shares else None


Choice = tuple[tuple[CellTime, ...], int]  # columns side by side, and in how many waves


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Grouping(Brief):
    """Columns put together; `too_few` are those for which even four waves are too few."""

    choices: tuple[Choice, ...]
    too_few: tuple[CellTime, ...]

    @property
    def idle_ms(self) -> int:
        """What each person waits, by what each cell takes."""
        return sum(_idle_ms(cells, waves) for cells, waves in self.choices)

    @property
    def most_waves(self) -> int:
        """How many waves there are to keep track of."""
        return max((waves for _, waves in self.choices), default=1)

    @property
    def waves(self) -> tuple[tuple[str, ...], ...]:
        """The groups as a plan has them under `waves`."""
        return tuple(
            (*(each.cell.ref.cell for each in cells), *[WAVE_RESTS] * (waves - len(cells)))
            for cells, waves in self.choices
            if waves > 1
        )


def group_words(one: Grouping) -> str:
    """'squat with lunge; lift in two turns; each person waits 1:14 in all'."""
    parts = [_with_words(group) for group in one.waves]
    if one.idle_ms >= LEAST_WAIT_MS:
        parts.append(f"each person waits {clock_text(round(one.idle_ms, -3))} in all")
    return "; ".join(parts)


def _with_words(group: tuple[str, ...]) -> str:
    names = [key for key in group if key != WAVE_RESTS]
    if len(names) == 1:
        return f"{names[0]} in {len(group)} turns"
    return f"{names[0]} with {and_list(names[1:])}"


def block_grouping(
    session: Session,
    timeline: Timeline,
    block: Block,
    people: int,
    wall_people: Mapping[str, int] = NO_WALLS,
    floor_ms: int = 0,
) -> Grouping:
    """The groups of a block's columns: as the plan has them, else those with the least waiting; one in which some are
    on the floor and some are not counts as if they waited `floor_ms` more.
    """
    times = block_times(session, timeline, block, wall_people)
    waves = dict.fromkeys(group for each in block.rounds for group in each.waves)
    return _of_plan(times, waves, people) if waves else grouping(times, people, floor_ms)


def block_times(
    session: Session, timeline: Timeline, block: Block, wall_people: Mapping[str, int] = NO_WALLS
) -> list[CellTime]:
    """Each column of a block over all of its rounds: the sum of its times, the largest of its shares."""
    columns: dict[str, list[CellTime]] = {}
    for cell in block.cells:
        columns.setdefault(cell.ref.cell, []).append(cell_time(session, timeline, cell, wall_people))
    return [together(times) for times in columns.values()]


def together(times: Sequence[CellTime]) -> CellTime:
    """The cells of one column as one."""
    things = dict.fromkeys(thing for each in times for thing in each.shares)
    shares = {thing: max(each.shares.get(thing, 0.0) for each in times) for thing in things}
    return CellTime(cell=times[0].cell, work_ms=sum(each.work_ms for each in times), shares=shares)


def cell_time(session: Session, timeline: Timeline, cell: Cell, wall_people: Mapping[str, int]) -> CellTime:
    """How long a cell takes by the clock, and what of the room's kit and wall one person uses in it."""
    spans = [span for span in timeline.spans if span.cell is not None and span.cell.ref == cell.ref]
    not_own = (SpanKind.EXPLAIN, SpanKind.KIT, SpanKind.WAIT)
    own_ms = sum(span.duration_ms for span in spans if span.kind not in not_own)
    shares = dict(_kit_shares(session, cell))
    if cell.rung.address in wall_people:
        count = wall_people[cell.rung.address]
        shares["wall"] = 1 / count if count else float("inf")
    return CellTime(cell=cell, work_ms=own_ms + _kit_ms(session.clock, cell), shares=shares)


def _kit_ms(clock: Clock, cell: Cell) -> int:
    """Taking all of it up: in waves it comes from somebody else's hands."""
    return kit_change_ms(clock, (), held_kit(cell, cell.bouts[0]))


def _kit_shares(session: Session, cell: Cell) -> Iterator[tuple[str, float]]:
    for need in wanted_by(cell):
        short = need.pieces - each_pieces(session, need)
        if short > 0 and (need.item.counts_as_kit or stocks(session, need)):  # a wall is there unless it is counted
            pieces = counted_pieces(session, need)
            yield _thing(need), short / pieces if pieces else float("inf")


def _thing(need: ItemNeed) -> str:
    """One name for one stock: what does as well is in it already."""
    return str(need) if need.item is not KitItem.BALL else str(KitItem.BALL)


def grouping(times: Sequence[CellTime], people: int, floor_ms: int = 0) -> Grouping:
    """The groups of columns with the least waiting; of equal ones those with the fewest waves. `floor_ms` is what it
    counts for that a group is on the floor in part.
    """
    can = [each for each in times if any(fits((each,), waves, people) for waves in range(1, MOST_WAVES + 1))]
    return Grouping(
        choices=tuple(_best_groups(can, people, floor_ms)), too_few=tuple(each for each in times if each not in can)
    )


def _of_plan(times: Sequence[CellTime], waves: Iterable[tuple[str, ...]], people: int) -> Grouping:
    """The groups that a plan has, each with as many of its waves as are led somewhere: a round that skips a column has
    fewer.
    """
    by_key = {each.cell.ref.cell: each for each in times}
    choices: list[Choice] = []
    for key in by_key:
        group = max((group for group in waves if key in group), key=len, default=(key,))
        cells = tuple(by_key[each] for each in group if each in by_key)
        if (cells, len(group)) not in choices:
            choices.append((cells, len(group)))
    return Grouping(
        choices=tuple(each for each in choices if fits(*each, people)),
        too_few=tuple(each for cells, waves_there in choices if not fits(cells, waves_there, people) for each in cells),
    )


def _best_groups(times: list[CellTime], people: int, floor_ms: int) -> list[Choice]:
    """By sets of cells that are done already: the least waiting for the rest, its waves, and its groups in order."""
    every = (1 << len(times)) - 1
    best: dict[int, tuple[int, int, list[Choice]]] = {every: (0, 0, [])}
    ways = list(_ways(times, people, floor_ms))
    for so_far in range(every - 1, -1, -1):
        first = next(at for at in range(len(times)) if not so_far >> at & 1)
        options = []
        for mask, choice, idle_ms in ways:
            if mask >> first & 1 and not mask & so_far and mask | so_far in best:
                idle_after, waves_after, after = best[mask | so_far]
                options.append((idle_ms + idle_after, choice[1] + waves_after, [choice, *after]))
        if options:
            best[so_far] = min(options, key=lambda each: each[:2])
    return best[0][2] if 0 in best else []


def _ways(times: list[CellTime], people: int, floor_ms: int) -> Iterator[tuple[int, Choice, int]]:
    """Every group that what is there is enough for: its cells as a set, the choice, and what it counts, ms."""
    for count in range(1, min(MOST_WAVES, len(times)) + 1):
        for places in combinations(range(len(times)), count):
            cells = tuple(times[at] for at in places)
            if _train_alike(cells):
                continue
            waves = next((each for each in range(count, MOST_WAVES + 1) if fits(cells, each, people)), None)
            if waves:
                in_part = len({each.cell.rung.form.position.on_floor for each in cells}) > 1
                yield sum(1 << at for at in places), (cells, waves), _idle_ms(cells, waves) + floor_ms * in_part


def _train_alike(cells: tuple[CellTime, ...]) -> bool:
    """Whether two of them train one pattern, which is to rest between them."""
    patterns = [each.cell.move.pattern for each in cells if each.cell.move.kind is MoveKind.STRENGTH]
    return len(set(patterns)) < len(patterns)


def fits(cells: tuple[CellTime, ...], waves: int, people: int) -> bool:
    """Whether what is there is enough when the largest wave works at each of these cells at once."""
    largest = wave_sizes(people, waves)[0]
    parts: dict[str, float] = {}
    for each in cells:
        for thing, share in each.shares.items():
            parts[thing] = parts.get(thing, 0.0) + share * largest
    return all(part <= 1 + 1e-9 for part in parts.values())


def _idle_ms(cells: tuple[CellTime, ...], waves: int) -> int:
    longest = max(each.work_ms for each in cells)
    return waves * longest - sum(each.work_ms for each in cells)
