"""Which single change would do instead of waves, or have people wait less: each is tried before it is named."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from everyrung.checks.wave_groups import (
    NO_WALLS,
    CellTime,
    Grouping,
    block_grouping,
    block_times,
    cell_time,
    grouping,
    together,
)
from everyrung.terms.brief import Brief
from everyrung.terms.enums import OptionKind
from everyrung.terms.frozen import dataclass
from everyrung.terms.session import Block, Cell, Session
from everyrung.terms.timeline import Timeline


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Change(Brief):
    """One change in words, and how the block's columns are put together with it."""

    words: str
    after: Grouping


def changes(
    session: Session, timeline: Timeline, block: Block, people: int, wall_people: Mapping[str, int] = NO_WALLS
) -> tuple[Change, ...]:
    """The changes of one block that have people wait less, or in fewer waves, the best first; `wall_people` as in
    session_waves.
    """
    times = block_times(session, timeline, block, wall_people)
    before = _cost(block_grouping(session, timeline, block, people, wall_people))
    candidates = [
        *_other_rungs(session, timeline, block, times, people, wall_people),
        *_more_pieces(times, people, before),
    ]
    better = [each for each in candidates if _cost(each.after) < before]
    return tuple(sorted(better, key=lambda each: _cost(each.after)))


def _cost(one: Grouping) -> tuple[int, int, int]:
    """Columns that can't be done at all, waiting, and how many waves there are to keep track of."""
    return len(one.too_few), one.idle_ms, one.most_waves


def _other_rungs(
    session: Session,
    timeline: Timeline,
    block: Block,
    times: Sequence[CellTime],
    people: int,
    wall_people: Mapping[str, int],
) -> Iterator[Change]:
    """Leading a version that is offered in a column, in every round, in place of what is led."""
    for at, each in enumerate(times):
        if each.at_once is None or each.at_once >= people:
            continue
        column = [cell for cell in block.cells if cell.ref.cell == each.cell.ref.cell]
        for kind in OptionKind:
            others = [_with_option(session, timeline, cell, kind, wall_people) for cell in column]
            if (ready := [one for one in others if one]) and len(ready) == len(others):
                after = grouping([*times[:at], together(ready), *times[at + 1 :]], people)
                names = dict.fromkeys(one.cell.rung.name for one in ready)
                yield Change(words=f"lead the {kind} version in {each.cell.move.name}: {'; '.join(names)}", after=after)


def _with_option(
    session: Session, timeline: Timeline, cell: Cell, kind: OptionKind, wall_people: Mapping[str, int]
) -> CellTime | None:
    option = cell.option(kind)
    if option is None:
        return None
    other = replace(cell, rung=option.rung, bouts=option.bouts, dose=option.dose)
    time = cell_time(session, timeline, other, wall_people)
    longer_ms = sum(one.duration_ms for one in other.bouts) - sum(one.duration_ms for one in cell.bouts)
    return replace(time, work_ms=time.work_ms + longer_ms)  # the timeline has the led rung's own bouts


def _more_pieces(times: Sequence[CellTime], people: int, before: tuple[int, int, int]) -> Iterator[Change]:
    """The least more of one thing that helps at all, and as much as all need at once."""
    for thing in dict.fromkeys(thing for each in times for thing in each.shares):
        most = max(each.shares.get(thing, 0.0) for each in times)
        if most * people <= 1 or most == float("inf"):
            continue
        has = int(1 / most + 1e-9)
        for more in range(1, people - has + 1):
            after = grouping([replace(each, shares=_with(each, thing, more)) for each in times], people)
            if _cost(after) < before:
                yield Change(words=f"have {thing} for {_people(more)} more at once", after=after)
                before = _cost(after)


def _people(count: int) -> str:
    return "1 person" if count == 1 else f"{count} people"


def _with(each: CellTime, thing: str, more: int) -> dict[str, float]:
    """What one person takes where there is a thing for some more people."""
    return {name: 1 / (1 / share + more) if name == thing else share for name, share in each.shares.items()}
