"""Placing cues: no two at once, breath between them, in time, and no more words than the leader has breath for. In a
pause that is a merge of sequences; in a bout, with its budget of words, it is done by constraint programming.
"""

from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache

from ortools.sat.python import cp_model

from everyrung.cues.candidates import BREATH_MS, MUST, CueCandidate
from everyrung.cues.merge import TENTHS_A_POINT, Row, can_merge, merge
from everyrung.terms.enums import CueKind
from everyrung.terms.frozen import dataclass

ATTENDED = (CueKind.FORM, CueKind.BREATHING)  # what people attend to while they work
STEP_MS = 100  # the grid of starts; chosen, because nobody hears a tenth of a second
SECONDS_MOST = 2.0  # of the solver's own deterministic time, for a run; what is found until then stands, with its gap


@dataclass(frozen=True, slots=True, kw_only=True)
class ScheduledCue:
    """A candidate that is said, and when it starts."""

    candidate: CueCandidate
    at_ms: int

    @property
    def end_ms(self) -> int:
        """When the last of its words is said."""
        return self.at_ms + self.candidate.length_ms


@dataclass(frozen=True, slots=True, kw_only=True)
class Schedule:
    """What is said, what is left out, and how far from the best that can be at most: `gap` is a fraction of the best, 0
    when it is the best.
    """

    cues: tuple[ScheduledCue, ...]
    left: tuple[CueCandidate, ...]
    gap: float


def schedule_cues(candidates: Sequence[CueCandidate], budgets: Mapping[int, int], points: int) -> Schedule:
    """Who speaks when: the placing of candidates that is worth most in all. `budgets` has the words for each bout, by
    the start of its span in ms, which what is worth MUST or more may exceed; `points` is how many things to attend to
    may be said in one.

    Cues whose windows do not touch have nothing to do with each other, so each run of touching ones is solved alone.
    """
    fitting = [one for one in candidates if one.from_ms + one.length_ms <= one.until_ms]
    placings = [_place_run(run, budgets, points) for run in _runs(fitting)]
    cues = sorted((one for each, _, _ in placings for one in each), key=lambda one: one.at_ms)
    ids = {id(one.candidate) for one in cues}
    value, bound = sum(value for _, value, _ in placings), sum(bound for _, _, bound in placings)
    return Schedule(
        cues=tuple(cues),
        left=tuple(one for one in candidates if id(one) not in ids),
        gap=max(0.0, bound - value) / max(1.0, abs(bound)),
    )


def _runs(fitting: Sequence[CueCandidate]) -> Iterator[list[CueCandidate]]:
    run: list[CueCandidate] = []
    until_ms = 0
    for one in sorted(fitting, key=lambda each: each.from_ms):
        if run and one.from_ms >= until_ms + BREATH_MS:
            yield run
            run = []
        run.append(one)
        until_ms = max(until_ms if len(run) > 1 else 0, one.until_ms)
    if run:
        yield run


def _place_run(
    run: Sequence[CueCandidate], budgets: Mapping[int, int], points: int
) -> tuple[list[ScheduledCue], float, float]:
    """One run's placing, what it is worth, and what it could be worth at most."""
    begin = run[0].from_ms // STEP_MS
    bouts = list(dict.fromkeys(one.bout.at_ms for one in run if one.bout is not None))
    sequences = list(dict.fromkeys(one.sequence for one in run if one.sequence is not None))
    rows = tuple(_row(one, begin, bouts, sequences) for one in run)
    starts, value, bound = _solve(rows, tuple(budgets[at_ms] for at_ms in bouts), points)
    cues = [
        ScheduledCue(candidate=one, at_ms=(begin + start) * STEP_MS)
        for one, start in zip(run, starts, strict=True)
        if start is not None
    ]
    return cues, value, bound


def _row(one: CueCandidate, begin: int, bouts: list[int], sequences: list[int]) -> Row:
    low = -(-one.from_ms // STEP_MS)
    high = max(low, (one.until_ms - one.length_ms) // STEP_MS)  # a window may be narrower than the grid
    best = min(max(one.best_ms // STEP_MS, low), high)
    return Row(
        low=low - begin,
        high=high - begin,
        size=-(-(one.length_ms + BREATH_MS) // STEP_MS),
        best=best - begin,
        worth=one.worth,
        words=one.words,
        is_point=one.kind in ATTENDED,
        bout=-1 if one.bout is None else bouts.index(one.bout.at_ms),
        sequence=-1 if one.sequence is None else sequences.index(one.sequence),
        place=one.place,
        completes=one.completes,
    )


@lru_cache(maxsize=4096)  # chosen, because the runs of sixty variants of a session are fewer; most are alike in all
def _solve(rows: tuple[Row, ...], budgets: tuple[int, ...], points: int) -> tuple[tuple[int | None, ...], float, float]:
    """Each cue's start, None where it is left out, in steps; what that is worth, and what it could be at most."""
    if can_merge(rows):
        placing, value = merge(rows)
        return placing, value, value
    model = cp_model.CpModel()
    starts, there, worths, intervals = [], [], [], []
    for number, row in enumerate(rows):
        start, present = model.new_int_var(row.low, row.high, f"start {number}"), model.new_bool_var(f"there {number}")
        intervals.append(model.new_optional_fixed_size_interval_var(start, row.size, present, f"cue {number}"))
        off = model.new_int_var(0, max(row.high - row.best, row.best - row.low), f"off {number}")
        model.add_abs_equality(off, start - row.best)
        starts.append(start)
        there.append(present)
        worths.append(TENTHS_A_POINT * row.worth * present - off)
    model.add_no_overlap(intervals)
    for i, j in _order_pairs(rows):
        model.add(starts[i] + rows[i].size <= starts[j]).only_enforce_if(there[i], there[j])
        if rows[j].completes and rows[j].place == rows[i].place + 1:
            model.add_implication(there[j], there[i])
    _within_budget(model, rows, there, budgets, points)
    model.maximize(sum(worths))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1  # the same answer every time
    solver.parameters.random_seed = 1
    solver.parameters.max_deterministic_time = SECONDS_MOST
    solver.parameters.catch_sigint_signal = False  # or Ctrl+C would end all of Python from then on, without a word
    if solver.solve(model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        raise AssertionError("leaving everything out is always a placing")
    placing = tuple(
        solver.value(start) if solver.value(present) else None for start, present in zip(starts, there, strict=True)
    )
    return placing, solver.objective_value, solver.best_objective_bound


def _order_pairs(rows: Sequence[Row]) -> Iterator[tuple[int, int]]:
    """Pairs of one sequence, the earlier first."""
    for i, one in enumerate(rows):
        for j, other in enumerate(rows):
            if one.sequence >= 0 and one.sequence == other.sequence and one.place < other.place:
                yield i, j


def _within_budget(
    model: cp_model.CpModel,
    rows: Sequence[Row],
    there: Sequence[cp_model.IntVar],
    budgets: Sequence[int],
    points: int,
) -> None:
    for bout, budget in enumerate(budgets):
        numbers = [number for number, row in enumerate(rows) if row.bout == bout]
        model.add(sum(there[number] for number in numbers if rows[number].is_point) <= points)
        must = sum(rows[number].words for number in numbers if rows[number].worth >= MUST)
        model.add(sum(rows[number].words * there[number] for number in numbers) <= max(budget, must))
