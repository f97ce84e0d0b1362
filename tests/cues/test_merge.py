"""Cues of a pause, placed by sums over how far each sequence has got, against OR-Tools' constraint solver."""

import random
from itertools import combinations, groupby, pairwise, product

import pytest
from ortools.sat.python import cp_model

from everyrung.cues.merge import STATES_MOST, TENTHS_A_POINT, Row, can_merge, merge


def _rows(seed: int) -> list[Row]:
    """Two or three sequences and a cue of none, in windows too narrow for all of them."""
    chance = random.Random(seed)
    until = chance.randint(20, 60)
    rows = []
    for sequence in range(chance.randint(2, 3)):
        low = chance.randint(0, 8)
        for place in range(chance.randint(1, 4)):
            size = chance.randint(2, 14)
            high = max(low, until - size - chance.randint(0, 5))
            rows.append(
                Row(
                    low, high, size, chance.randint(low, high), chance.choice((30, 90, 400)), 5, False, -1, sequence,
                    place, chance.random() < 0.4,
                )
            )  # fmt: skip
    rows.append(Row(5, until, 4, 9, 60, 3, False, -1, -1, 0, False))
    chance.shuffle(rows)
    return rows


def _best_by_constraints(rows: list[Row]) -> float:
    """The same question put to the reference library."""
    model = cp_model.CpModel()
    starts = [model.new_int_var(row.low, row.high, "") for row in rows]
    said = [model.new_bool_var("") for _ in rows]
    off = [model.new_int_var(0, 1000, "") for _ in rows]
    sizes = [row.size for row in rows]
    model.add_no_overlap(
        [model.new_optional_fixed_size_interval_var(*each, "") for each in zip(starts, sizes, said, strict=True)]
    )
    for i, one in enumerate(rows):
        model.add_abs_equality(off[i], starts[i] - one.best)
        for j, other in enumerate(rows):
            if one.sequence >= 0 and one.sequence == other.sequence and one.place < other.place:
                model.add(starts[i] + one.size <= starts[j]).only_enforce_if(said[i], said[j])
                if other.completes and other.place == one.place + 1:
                    model.add_implication(said[j], said[i])
    for first, second in combinations(sorted({row.sequence for row in rows if row.sequence >= 0}), 2):
        turn = model.new_bool_var("")  # one is told to its end before the other begins
        for i, j in product(range(len(rows)), repeat=2):
            if (rows[i].sequence, rows[j].sequence) == (first, second):
                model.add(starts[i] + rows[i].size <= starts[j]).only_enforce_if(said[i], said[j], turn)
                model.add(starts[j] + rows[j].size <= starts[i]).only_enforce_if(said[i], said[j], turn.negated())
    model.maximize(sum(TENTHS_A_POINT * row.worth * each - far for row, each, far in zip(rows, said, off, strict=True)))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    return solver.objective_value


def _faults(rows: list[Row], starts: tuple[int | None, ...]) -> list[str]:
    """What a placing breaks."""
    spoken = sorted((start, number) for number, start in enumerate(starts) if start is not None)
    there = {number for _, number in spoken}
    told = [row.sequence for row in (rows[number] for _, number in spoken) if row.sequence >= 0]
    by_place = {(row.sequence, row.place): number for number, row in enumerate(rows) if row.sequence >= 0}
    faults = [f"{i} in {j}" for (a, i), (b, j) in pairwise(spoken) if a + rows[i].size > b]
    faults += [f"{n} outside" for start, n in spoken if not rows[n].low <= start <= rows[n].high]
    faults += ["a sequence in two pieces"] * (len(list(groupby(told))) - len(set(told)))
    for k, (_, number) in enumerate(spoken):
        row = rows[number]
        late = [n for _, n in spoken[k:] if rows[n].sequence == row.sequence >= 0 and rows[n].place < row.place]
        faults += [f"{n} after {number}" for n in late]
        before = by_place.get((row.sequence, row.place - 1))
        if row.completes and before is not None and before not in there:
            faults.append(f"{number} without {before}")
    return faults


@pytest.mark.parametrize("seed", range(60))
def test_what_is_said_in_a_pause_is_worth_as_much_as_the_constraint_solver_finds(seed: int) -> None:
    rows = _rows(seed)
    starts, value = merge(rows)
    assert not _faults(rows, starts)
    spoken = [(row, start) for row, start in zip(rows, starts, strict=True) if start is not None]
    assert value == sum(TENTHS_A_POINT * row.worth - abs(start - row.best) for row, start in spoken)
    assert value == _best_by_constraints(rows)


def test_a_bout_with_its_budget_of_words_and_many_loose_cues_are_left_to_the_constraint_solver() -> None:
    loose = Row(0, 50, 4, 9, 60, 3, False, -1, -1, 0, False)
    assert can_merge([loose] * 3)
    assert not can_merge([loose, loose._replace(bout=0)])
    assert not can_merge([loose] * STATES_MOST.bit_length())
