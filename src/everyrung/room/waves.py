"""Shared kit in waves: who works with it when, so that nobody waits longer than must be, to the millisecond.

The cells of a round are put together in groups. A group of g waves has g turns; in each turn every wave works at
another of its cells, or rests where there are fewer cells than waves, and after g turns everybody has done all of them,
both sides of each. A turn lasts as long as its longest cell. Which cells to put together is found exactly, by dynamic
programming over sets of cells: no other grouping of whole cells into at most four waves has people wait less.
"""

from collections.abc import Iterator, Mapping
from itertools import combinations

from everyrung.checks.rules.kit import ItemNeed, counted_pieces, each_pieces, wanted_by
from everyrung.terms.brief import Brief
from everyrung.terms.enums import KitItem, SpanKind
from everyrung.terms.frozen import dataclass
from everyrung.terms.session import Cell, Clock, Session
from everyrung.terms.timeline import Timeline
from everyrung.timing.transitions import held_kit, kit_change_ms

MOST_WAVES = 4  # chosen, because nobody keeps track of more
LETTERS = "ABCD"
NO_WALLS: Mapping[str, int] = {}
Shares = Mapping[str, float]  # the part of all that is there of a thing, for one person


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class CellTime(Brief):
    """A cell as one wave does it: what is said before it to everybody, then its own time with taking its kit; the part
    of each scarce thing that one person takes, and how many can do it at once (None: all).
    """

    cell: Cell
    explain_ms: int
    work_ms: int
    shares: Shares

    @property
    def at_once(self) -> int | None:
        """How many people what is there is enough for."""
        return int(1 / max(self.shares.values()) + 1e-9) if self.shares else None


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Turn(Brief):
    """One turn of a group: what each wave does, None for rest; times from the beginning of the round."""

    at_ms: int
    end_ms: int
    cells: tuple[Cell | None, ...]


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Group(Brief):
    """Cells that are done side by side in `waves` waves; `idle_ms` is what each person waits in it."""

    cells: tuple[CellTime, ...]
    waves: int
    turns: tuple[Turn, ...]
    idle_ms: int


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class RoundWaves(Brief):
    """A round in waves: its groups in order, how long all of it takes beside one after the other for everybody, and the
    cells for which even four waves are too few.
    """

    name: str
    people: int
    groups: tuple[Group, ...]
    too_few: tuple[Cell, ...]
    total_ms: int
    together_ms: int

    @property
    def idle_ms(self) -> int:
        """What each person waits."""
        return sum(each.idle_ms for each in self.groups)

    @property
    def in_waves(self) -> bool:
        """Whether any of it is in waves."""
        return any(each.waves > 1 for each in self.groups) or bool(self.too_few)


def wave_sizes(people: int, waves: int) -> tuple[int, ...]:
    """As equal as can be, the larger ones first.

    >>> wave_sizes(15, 2)
    (8, 7)
    """
    least, more = divmod(people, waves)
    return tuple(least + (at < more) for at in range(waves))


def session_waves(
    session: Session, timeline: Timeline, people: int, wall_people: Mapping[str, int] = NO_WALLS
) -> tuple[RoundWaves, ...]:
    """Every round of the session for `people` in the room with its counted kit; `wall_people`: by a rung's address, how
    many its walls hold at once (RoomUse.wall_people), as many as come where it is not there.
    """
    rounds = []
    for block in session.blocks:
        for each in block.rounds:
            times = [cell_time(session, timeline, cell, wall_people) for cell in each.cells]
            name = block.name if each.name in ("", block.name) else f"{block.name} / {each.name}"
            rounds.append(round_waves(name, times, people))
    return tuple(rounds)


def cell_time(session: Session, timeline: Timeline, cell: Cell, wall_people: Mapping[str, int]) -> CellTime:
    """How long a cell takes by the clock, and what of the room's kit and wall one person uses in it."""
    spans = [span for span in timeline.spans if span.cell is not None and span.cell.ref == cell.ref]
    explain_ms = sum(span.duration_ms for span in spans if span.kind is SpanKind.EXPLAIN)
    own_ms = sum(span.duration_ms for span in spans if span.kind not in (SpanKind.EXPLAIN, SpanKind.KIT))
    shares = dict(_kit_shares(session, cell))
    if cell.rung.address in wall_people:
        count = wall_people[cell.rung.address]
        shares["wall"] = 1 / count if count else float("inf")
    return CellTime(cell=cell, explain_ms=explain_ms, work_ms=own_ms + _kit_ms(session.clock, cell), shares=shares)


def _kit_ms(clock: Clock, cell: Cell) -> int:
    """Taking all of it up: in waves it comes from somebody else's hands."""
    return kit_change_ms(clock, (), held_kit(cell, cell.bouts[0]))


def _kit_shares(session: Session, cell: Cell) -> Iterator[tuple[str, float]]:
    for need in wanted_by(cell):
        short = need.pieces - each_pieces(session, need)
        if short > 0 and need.item.counts_as_kit:
            pieces = counted_pieces(session, need)
            yield _thing(need), short / pieces if pieces else float("inf")


def _thing(need: ItemNeed) -> str:
    """One name for one stock: what does as well is in it already."""
    return str(need) if need.item is not KitItem.BALL else str(KitItem.BALL)


def round_waves(name: str, times: list[CellTime], people: int) -> RoundWaves:
    """The grouping of a round's cells with the least waiting; of equal ones that with the fewest waves."""
    can = [each for each in times if any(_fits((each,), waves, people) for waves in range(1, MOST_WAVES + 1))]
    groups, at_ms = [], 0
    for cells, waves in _best_groups(can, people):
        group, at_ms = _group(cells, waves, at_ms)
        groups.append(group)
    return RoundWaves(
        name=name,
        people=people,
        groups=tuple(groups),
        too_few=tuple(each.cell for each in times if each not in can),
        total_ms=at_ms,
        together_ms=sum(each.explain_ms + each.work_ms for each in can),
    )


Choice = tuple[tuple[CellTime, ...], int]  # cells side by side, and in how many waves


def _best_groups(times: list[CellTime], people: int) -> list[Choice]:
    """By sets of cells that are done already: the least waiting for the rest, its waves, and its groups in order."""
    every = (1 << len(times)) - 1
    best: dict[int, tuple[int, int, list[Choice]]] = {every: (0, 0, [])}
    ways = list(_ways(times, people))
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


def _ways(times: list[CellTime], people: int) -> Iterator[tuple[int, Choice, int]]:
    """Every group that what is there is enough for: its cells as a set, the choice, and what each person waits, ms."""
    for count in range(1, min(MOST_WAVES, len(times)) + 1):
        for places in combinations(range(len(times)), count):
            cells = tuple(times[at] for at in places)
            waves = next((each for each in range(count, MOST_WAVES + 1) if _fits(cells, each, people)), None)
            if waves:
                yield sum(1 << at for at in places), (cells, waves), _idle_ms(cells, waves)


def _fits(cells: tuple[CellTime, ...], waves: int, people: int) -> bool:
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


def _group(cells: tuple[CellTime, ...], waves: int, at_ms: int) -> tuple[Group, int]:
    """The turns of a group that begins at a time in the round, and when it ends."""
    at_ms += sum(each.explain_ms for each in cells)
    longest = max(each.work_ms for each in cells)
    order: list[Cell | None] = [*(each.cell for each in cells), *([None] * (waves - len(cells)))]
    turns = []
    for turn in range(waves):
        does = tuple(order[(wave + turn) % waves] for wave in range(waves))
        turns.append(Turn(at_ms=at_ms, end_ms=at_ms + longest, cells=does))
        at_ms += longest
    return Group(cells=cells, waves=waves, turns=tuple(turns), idle_ms=_idle_ms(cells, waves)), at_ms
