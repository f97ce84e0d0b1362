"""Placing cues by constraint programming: no two at once, breath between them, in time, and no more words than the
leader has breath for.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from ortools.sat.python import cp_model

from everyrung.cues.wanted import BREATH_MS, Wanted
from everyrung.terms.vocabulary import CueKind

ATTENDED = (CueKind.FORM, CueKind.BREATHING)  # what people attend to while they work
STEP_MS = 100  # the grid of starts; chosen, because nobody hears a tenth of a second
TENTHS_A_POINT = (
    10  # of a second away from its best moment cost one point of worth; chosen, to order equals and no more
)
SECONDS_MOST = 2.0  # of the solver's own deterministic time, for a run; what is found until then stands, with its gap


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """A wanted cue and its start."""

    wanted: Wanted
    at_ms: int

    @property
    def end_ms(self) -> int:
        return self.at_ms + self.wanted.length_ms


@dataclass(frozen=True, slots=True, kw_only=True)
class Placing:
    """What was placed, what was not, and how far from the best it can be at most (0: it is the best)."""

    placed: tuple[Placed, ...]
    left: tuple[Wanted, ...]
    gap: float


def place(wanted: Sequence[Wanted], budgets: Mapping[int, int], points: int) -> Placing:
    """The placing of greatest worth. `budgets` has the words for each bout, by the start of its span; `points` is how
    many things to attend to may be said in one.

    Cues whose windows do not touch have nothing to do with each other, so each run of touching ones is solved alone.
    """
    fitting = [one for one in wanted if one.from_ms + one.length_ms <= one.until_ms]
    found = [_placed(run, budgets, points) for run in _runs(fitting)]
    placed = sorted((one for each, _, _ in found for one in each), key=lambda one: one.at_ms)
    known = {id(one.wanted) for one in placed}
    value, bound = sum(value for _, value, _ in found), sum(bound for _, _, bound in found)
    return Placing(
        placed=tuple(placed),
        left=tuple(one for one in wanted if id(one) not in known),
        gap=max(0.0, bound - value) / max(1.0, abs(bound)),
    )


def _runs(fitting: Sequence[Wanted]) -> Iterator[list[Wanted]]:
    run: list[Wanted] = []
    until_ms = 0
    for one in sorted(fitting, key=lambda each: each.from_ms):
        if run and one.from_ms >= until_ms + BREATH_MS:
            yield run
            run = []
        run.append(one)
        until_ms = max(until_ms if len(run) > 1 else 0, one.until_ms)
    if run:
        yield run


def _placed(run: Sequence[Wanted], budgets: Mapping[int, int], points: int) -> tuple[list[Placed], float, float]:
    """One run's placing, what it is worth, and what it could be worth at most."""
    model = cp_model.CpModel()
    starts, there, worths, intervals = [], [], [], []
    sizes = [-(-(one.length_ms + BREATH_MS) // STEP_MS) for one in run]
    for number, one in enumerate(run):
        low = -(-one.from_ms // STEP_MS)
        high = max(low, (one.until_ms - one.length_ms) // STEP_MS)  # a window may be narrower than the grid
        start, present = model.new_int_var(low, high, f"start {number}"), model.new_bool_var(f"there {number}")
        intervals.append(model.new_optional_fixed_size_interval_var(start, sizes[number], present, f"cue {number}"))
        best = min(max(one.best_ms // STEP_MS, low), high)
        off = model.new_int_var(0, max(high - best, best - low), f"off {number}")
        model.add_abs_equality(off, start - best)
        starts.append(start)
        there.append(present)
        worths.append(TENTHS_A_POINT * one.worth * present - off)
    model.add_no_overlap(intervals)
    for i, j in _ordered(run):
        model.add(starts[i] + sizes[i] <= starts[j]).only_enforce_if(there[i], there[j])
    _within_budget(model, run, there, budgets, points)
    model.maximize(sum(worths))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1  # the same answer every time
    solver.parameters.random_seed = 1
    solver.parameters.max_deterministic_time = SECONDS_MOST
    solver.parameters.catch_sigint_signal = False  # or Ctrl+C would end all of Python from then on, without a word
    if solver.solve(model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        raise AssertionError("leaving everything out is always a placing")
    placed = [
        Placed(wanted=one, at_ms=solver.value(starts[number]) * STEP_MS)
        for number, one in enumerate(run)
        if solver.value(there[number])
    ]
    return placed, solver.objective_value, solver.best_objective_bound


def _ordered(run: Sequence[Wanted]) -> Iterator[tuple[int, int]]:
    """Pairs of one sequence, the earlier first."""
    for i, one in enumerate(run):
        for j, other in enumerate(run):
            if one.sequence is not None and one.sequence == other.sequence and one.place < other.place:
                yield i, j


def _within_budget(
    model: cp_model.CpModel,
    fitting: Sequence[Wanted],
    there: Sequence[cp_model.IntVar],
    budgets: Mapping[int, int],
    points: int,
) -> None:
    by_bout: dict[int, list[int]] = {}
    for number, one in enumerate(fitting):
        if one.bout is not None:
            by_bout.setdefault(one.bout.at_ms, []).append(number)
    for at_ms, numbers in by_bout.items():
        model.add(sum(there[number] for number in numbers if fitting[number].kind in ATTENDED) <= points)
        said = sum(fitting[number].words * there[number] for number in numbers)
        model.add(said <= budgets[at_ms])
