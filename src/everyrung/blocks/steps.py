"""The steps of a block: one lever a week, for just enough moves that the week asks a measured little more.

A flow through each move's ladder, week after week; the weeks' levers and demands tie the flows together.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from everyrung.blocks.evenings import twin_of
from everyrung.blocks.ladder import LEVERS, Ladder
from everyrung.blocks.programme import Programme, require_solution
from everyrung.proposals.columns import Column
from everyrung.terms.block_brief import Evening, EveningKind

LEAST_UP, AIM_UP, MOST_UP = 1.02, 1.06, 1.10  # of a week's demand on the last: CN16 (ratamess2009), and its middle
OFF_AIM, OFF_BOUNDS = 0.5, 400.0  # what each part of demand costs that is off the middle, or off the bounds; chosen
LEAST_STEP, MOST_STEP = 1.0, 1.3  # of a move's own demand by one step; chosen: two repetitions on eight are a quarter
# Worth of a step by its kind, and of a lever that the week before did not have; chosen: what people come for first.
STEP = {"reps": 0.0, "load": 0.1, "rung": 0.1}
ANOTHER_LEVER = 0.3
MOST_WORK, GAP = 60_000, 0.03  # chosen, as a block of eight weeks is to take a minute of the processor

Slot = tuple[int, int, str]  # evening of the week, part, move


@dataclass(frozen=True, slots=True, kw_only=True)
class Steps:
    """Where each move stands on its ladder by (evening of the week, week, move); each week's lever and by what factor
    it asks more than each of its evenings did last (0 where nothing is compared); what is given up.
    """

    places: Mapping[tuple[int, int, str], int]
    levers: Mapping[int, str]
    growth: Mapping[int, float]
    gives_up: tuple[str, ...]
    worth: float
    bound: float


@dataclass(slots=True, kw_only=True)
class _Flow:
    """The programme while it grows: by evening and move a variable for each place on the ladder (`at`)."""

    evenings: Sequence[Evening]
    parts: Mapping[int, int]
    ladders: Mapping[Slot, Ladder]
    demand: Mapping[tuple[object, ...], float]
    seconds: Mapping[tuple[object, ...], float]
    room_s: Mapping[tuple[int, int], float]
    bad: frozenset[tuple[object, ...]]
    stays: Mapping[tuple[int, int], Mapping[str, int]]
    programme: Programme = field(default_factory=Programme)
    at: dict[tuple[int, int, str], list[int]] = field(default_factory=dict)
    levers: dict[int, dict[str, int]] = field(default_factory=dict)
    off: dict[int, tuple[int, str]] = field(default_factory=dict)

    def small_steps(self, ladder: Ladder) -> list[tuple[int, int, str]]:
        """The steps of a ladder that ask neither less nor much more."""
        demand = [self.demand[column.key] for column in ladder.columns]
        return [
            (start, end, lever)
            for start, end, lever in ladder.steps
            if LEAST_STEP * demand[start] < demand[end] <= MOST_STEP * demand[start]
        ]


def steps(
    evenings: Sequence[Evening],
    parts: Mapping[int, int],
    ladders: Mapping[Slot, Ladder],
    demand: Mapping[tuple[object, ...], float],
    seconds: Mapping[tuple[object, ...], float],
    room_s: Mapping[tuple[int, int], float],
    bad: frozenset[tuple[object, ...]] = frozenset(),
    stays: Mapping[tuple[int, int], Mapping[str, int]] | None = None,
) -> Steps:
    """The steps worth most. `demand` and `seconds` are of each column by its key, `room_s` is the time that work may
    take by evening of the week and part; `bad` columns are not to be led; `stays` are evenings that stay, by (week,
    evening of the week): the place of each move. Raises Invalid where there are none.
    """
    flow = _Flow(
        evenings=evenings, parts=parts, ladders=ladders, demand=demand, seconds=seconds, room_s=room_s, bad=bad,
        stays=stays or {},
    )  # fmt: skip
    for week in sorted({each.week for each in _building(evenings)}):
        flow.levers[week] = {lever: flow.programme.choice() for lever in LEVERS}
        flow.programme.at_most(dict.fromkeys(flow.levers[week].values(), 1.0), 1.0)
    for slot, ladder in ladders.items():
        _moves_on(flow, slot, ladder)
    for each in _building(evenings):
        _in_time(flow, each)
    _rise(flow)
    _other_levers(flow)
    solution = require_solution(flow.programme.solve(MOST_WORK, GAP), "a measured step each week")
    return Steps(
        places={
            key: next(place for place, at in enumerate(group) if solution.takes(at)) for key, group in flow.at.items()
        },
        levers={
            week: next((name for name, at in group.items() if solution.takes(at)), "")
            for week, group in flow.levers.items()
        },
        growth=_growth(flow, solution.values),
        gives_up=tuple(words for at, words in flow.off.values() if solution.values[at] > 1e-4),
        worth=solution.worth,
        bound=solution.bound,
    )


def _building(evenings: Sequence[Evening]) -> list[Evening]:
    return [each for each in evenings if each.kind is EveningKind.BUILD]


def _moves_on(flow: _Flow, slot: Slot, ladder: Ladder) -> None:
    """One move of one evening in one part: on every evening at one place, from one to the next by at most one step of
    that week's lever. A block begins at the foot of the ladder, if that can be led.
    """
    weekly, part, move = slot
    weeks = [each.week for each in _building(flow.evenings) if (each.weekly, flow.parts[each.week]) == (weekly, part)]
    programme = flow.programme
    before: list[int] = []
    for week in weeks:
        here = [programme.choice() for _ in ladder.columns]
        flow.at[weekly, week, move] = here
        programme.between(dict.fromkeys(here, 1.0), 1.0, 1.0)
        stays = flow.stays.get((week, weekly), {}).get(move)
        for place, column in enumerate(ladder.columns):
            if (column.key in flow.bad and stays is None) or (stays is not None and place != stays):
                programme.most[here[place]] = 0.0
            if place and not before and not part and stays is None and ladder.columns[0].key not in flow.bad:
                programme.most[here[place]] = 0.0
        if before:
            _step(flow, ladder, before, here, flow.levers[week], stays is not None)
        before = here


def _step(
    flow: _Flow, ladder: Ladder, before: list[int], here: list[int], levers: Mapping[str, int], is_fixed: bool
) -> None:
    programme = flow.programme
    into: dict[int, dict[int, float]] = {place: {at: -1.0} for place, at in enumerate(here)}
    out: dict[int, dict[int, float]] = {place: {at: -1.0} for place, at in enumerate(before)}
    arcs = [(place, place, "") for place in range(len(here))]
    arcs += [(place, other, "stays") for place in range(len(here)) for other in range(len(here))] if is_fixed else []
    for start, end, lever in (*arcs, *flow.small_steps(ladder)):
        arc = programme.amount(STEP.get(lever, 0.0), 1.0)
        out[start][arc] = into[end][arc] = 1.0
        if lever in levers and not is_fixed:
            programme.at_most({arc: 1.0, levers[lever]: -1.0}, 0.0)
    for row in (*into.values(), *out.values()):
        programme.between(row, 0.0, 0.0)


def _in_time(flow: _Flow, evening: Evening) -> None:
    if (evening.week, evening.weekly) in flow.stays:
        return
    work = _sum(flow, evening, flow.seconds)
    flow.programme.at_most(work, flow.room_s[evening.weekly, flow.parts[evening.week]])


def _sum(flow: _Flow, evening: Evening, values: Mapping[tuple[object, ...], float]) -> dict[int, float]:
    """The sum over the moves of an evening of what each place on their ladders is worth in `values`."""
    part = flow.parts[evening.week]
    return {
        at: values[column.key]
        for (weekly, of_part, move), ladder in flow.ladders.items()
        if (weekly, of_part) == (evening.weekly, part)
        for at, column in zip(flow.at[weekly, evening.week, move], ladder.columns, strict=True)
    }


def _pairs(flow: _Flow) -> dict[int, list[tuple[Evening, Evening]]]:
    """By week its evenings, each with the last of its weekday that built up; a week with none is not compared."""
    latest: dict[int, Evening] = {}
    result: dict[int, list[tuple[Evening, Evening]]] = {}
    for each in _building(flow.evenings):
        if each.weekly in latest:
            result.setdefault(each.week, []).append((latest[each.weekly], each))
        latest[each.weekly] = each
    return result


def _rise(flow: _Flow) -> None:
    """Each week asks 2 to 10 % more than its evenings did the last time, near the middle of that."""
    programme = flow.programme
    for week, pairs in _pairs(flow).items():
        if all((week, each.weekly) in flow.stays for _, each in pairs):
            continue
        before = _together([_sum(flow, each, flow.demand) for each, _ in pairs])
        now = _together([_sum(flow, each, flow.demand) for _, each in pairs])
        off = programme.amount(-OFF_BOUNDS)
        flow.off[week] = off, f"week {week} does not ask 2 to 10 % more than its evenings did before"
        for factor, sign in ((LEAST_UP, 1.0), (MOST_UP, -1.0)):
            row = {at: sign * value for at, value in now.items()}
            programme.at_least({**row, **{at: -sign * factor * value for at, value in before.items()}, off: 1.0}, 0.0)
        near = programme.amount(-OFF_AIM)
        for sign in (1.0, -1.0):
            row = {at: sign * value for at, value in now.items()}
            programme.at_least({**row, **{at: -sign * AIM_UP * value for at, value in before.items()}, near: 1.0}, 0.0)


def _together(sums: Sequence[Mapping[int, float]]) -> dict[int, float]:
    return {at: value for each in sums for at, value in each.items()}


def _growth(flow: _Flow, values: Sequence[float]) -> dict[int, float]:
    """By week, the factor by which it asks more than its evenings did before."""
    result = {}
    for week, pairs in _pairs(flow).items():
        before, now = (
            sum(values[at] * value for one in side for at, value in _sum(flow, one, flow.demand).items())
            for side in zip(*pairs, strict=True)
        )
        result[week] = now / before if before else 0.0
    return result


def _other_levers(flow: _Flow) -> None:
    """Levers take turns from week to week."""
    weeks = sorted(flow.levers)
    for before, week in pairwise(weeks):
        for lever in LEVERS:
            other = flow.programme.amount(ANOTHER_LEVER, 1.0)
            flow.programme.at_most({other: 1.0, flow.levers[week][lever]: -1.0}, 0.0)
            flow.programme.at_most({other: 1.0, flow.levers[before][lever]: 1.0}, 1.0)


def column_at(
    evening: Evening,
    evenings: Sequence[Evening],
    parts: Mapping[int, int],
    ladders: Mapping[Slot, Ladder],
    result: Steps,
) -> tuple[tuple[Column, ...], Evening]:
    """The columns of an evening, and the evening whose they are: a test's are its twin's, an easier one's those of the
    last evening of its weekday that built up.
    """
    source = evening
    if evening.kind is EveningKind.TEST:
        source = twin_of(evening, evenings)
    elif evening.kind is EveningKind.EASIER:
        earlier = [each for each in _building(evenings) if each.weekly == evening.weekly and each.on < evening.on]
        source = earlier[-1]
    part = parts[source.week]
    columns = tuple(
        ladder.columns[result.places[source.weekly, source.week, move]]
        for (weekly, of_part, move), ladder in ladders.items()
        if (weekly, of_part) == (source.weekly, part)
    )
    return columns, source
