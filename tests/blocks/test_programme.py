"""A programme in whole numbers: its best choice against one found by trying all, and an end that no clock sets."""

from itertools import product

import numpy as np
import pytest

from everyrung.blocks.programme import Programme

SEED, COUNT = 7, 12
GENERATOR = np.random.default_rng(SEED)
WORTH = GENERATOR.integers(10, 60, COUNT).astype(float)
WEIGHT = GENERATOR.integers(10, 60, COUNT).astype(float)
ROOM = float(WEIGHT.sum() / 2)


def knapsack() -> Programme:
    programme = Programme()
    takes = [programme.choice(worth) for worth in WORTH]
    programme.at_most(dict(zip(takes, WEIGHT, strict=True)), ROOM)
    return programme


def test_the_best_choice_is_that_of_trying_all() -> None:
    every = (np.array(each) for each in product((0, 1), repeat=COUNT))
    best = max(float(each @ WORTH) for each in every if each @ WEIGHT <= ROOM)
    solution = knapsack().solve(100_000, 0.0)
    assert solution is not None
    assert solution.worth == pytest.approx(best)
    assert solution.bound == pytest.approx(best)


def test_the_end_is_set_by_the_gap_and_the_nodes_and_never_by_the_clock(monkeypatch: pytest.MonkeyPatch) -> None:
    """A busy machine finds the same block: what is asked of the solver has no seconds in it."""
    from everyrung.blocks import programme

    asked: list[dict[str, float]] = []
    monkeypatch.setattr(programme, "milp", lambda **all: asked.append(all["options"]) or _nothing())
    for work, nodes in ((COUNT * 50, 50), (1, programme.FEWEST_NODES)):
        assert knapsack().solve(work, 0.03) is None
        assert asked.pop() == {"mip_rel_gap": 0.03, "node_limit": nodes}


def _nothing() -> object:
    return type("Nothing", (), {"x": None})()


def test_where_nothing_fits_there_is_no_solution() -> None:
    programme = knapsack()
    programme.at_least(dict.fromkeys(range(COUNT), 1.0), COUNT + 1.0)
    assert programme.solve(100, 0.0) is None
