"""Which single change would do instead of waves, or have people wait less: each is tried before it is named."""

from collections.abc import Iterator, Mapping
from dataclasses import replace

from everyrung.room.waves import NO_WALLS, CellTime, RoundWaves, cell_time, round_waves
from everyrung.terms.brief import Brief
from everyrung.terms.frozen import dataclass
from everyrung.terms.session import Session
from everyrung.terms.timeline import Timeline


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Change(Brief):
    """One change in words, and the round as it is with it."""

    words: str
    after: RoundWaves


def changes(
    session: Session, timeline: Timeline, now: RoundWaves, wall_people: Mapping[str, int] = NO_WALLS
) -> tuple[Change, ...]:
    """The changes of one round that have people wait less, or in fewer waves, the best first; `wall_people` as in
    session_waves.
    """
    times = [each for group in now.groups for each in group.cells]
    times += [cell_time(session, timeline, cell, wall_people) for cell in now.too_few]
    candidates = [
        Change(words=words, after=round_waves(now.name, anew, now.people))
        for words, anew in (
            *_other_rungs(session, timeline, times, now.people, wall_people),
            *_more_pieces(times, now.people),
        )
    ]
    before = _cost(now)
    better = [each for each in candidates if _cost(each.after) < before]
    return tuple(sorted(better, key=lambda each: _cost(each.after)))


def _cost(one: RoundWaves) -> tuple[int, int, int]:
    """Cells that can't be done at all, waiting, and how many waves there are to keep track of."""
    return len(one.too_few), one.idle_ms, max((each.waves for each in one.groups), default=1)


def _other_rungs(
    session: Session, timeline: Timeline, times: list[CellTime], people: int, wall_people: Mapping[str, int]
) -> Iterator[tuple[str, list[CellTime]]]:
    """Leading an option of the cell in place of what is led."""
    for at, each in enumerate(times):
        if each.at_once is None or each.at_once >= people:
            continue
        for option in each.cell.options:
            other = replace(each.cell, rung=option.rung, bouts=option.bouts, dose=option.dose)
            time = cell_time(session, timeline, other, wall_people)
            longer_ms = sum(one.duration_ms for one in other.bouts) - sum(one.duration_ms for one in each.cell.bouts)
            anew = replace(time, work_ms=time.work_ms + longer_ms)  # the timeline has the led rung's own bouts
            words = f"lead {option.rung.address}, the {option.kind} version, in {each.cell.move.name}"
            yield words, [*times[:at], anew, *times[at + 1 :]]


def _more_pieces(times: list[CellTime], people: int) -> Iterator[tuple[str, list[CellTime]]]:
    """As many more of one thing as all need at once."""
    for thing in dict.fromkeys(thing for each in times for thing in each.shares):
        most = max(each.shares.get(thing, 0.0) for each in times)
        if most * people <= 1 or most == float("inf"):
            continue
        has = int(1 / most + 1e-9)
        words = f"have {thing} for {people - has} more people at once"
        yield words, [replace(each, shares=_without(each, thing)) for each in times]


def _without(each: CellTime, thing: str) -> dict[str, float]:
    return {name: share for name, share in each.shares.items() if name != thing}
