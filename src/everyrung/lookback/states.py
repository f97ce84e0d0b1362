"""The ways a leader may go through a plan, as states and the prices of going from one to another, in nats.

There are five rows of states, each as long as the plan. `AS_PLANNED`: a set in its place. `EARLY` and `LATE`: the two
halves of a swap, the second cell before the first. `TWICE`: the set once more, right after itself. `STRAY`: a move that
the plan does not hold, after this set.
Prices are chosen, not fitted: a fault has to be worth as much as one or two names clearly heard.
"""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from everyrung.lookback.plan_sets import PlanSet

Floats = NDArray[np.float64]
AS_PLANNED, EARLY, LATE, TWICE, STRAY = range(5)
ROWS = 5
SKIP, SKIP_MORE, SKIP_MOST = -4.0, -1.5, -10.0
ONE_SIDE = -6.0  # a second side left out: it is more often not announced than not done
AGAIN, BACK = -4.0, -8.0  # the same set or cell once more, and any further back
SWAP, TO_STRAY = -6.0, -5.0
LATE_START, EARLY_END, CUT_MOST = -2.0, -2.0, -8.0  # a recording without its first or last sets, and each of them more
CUT_MORE = -0.7
NEVER = -1e9


def transitions(sets: Sequence[PlanSet]) -> Floats:
    """From state x to state: nats, NEVER where there is no way."""
    count = len(sets)
    jump = np.array([[_jump(sets, here, there) for there in range(count)] for here in range(count)])
    prices = np.full((ROWS * count, ROWS * count), NEVER)
    same = np.eye(count) > 0
    plain, twice, stray = (slice(row * count, (row + 1) * count) for row in (AS_PLANNED, TWICE, STRAY))
    onward = np.where(same, NEVER, jump)
    prices[plain, plain] = prices[twice, plain] = prices[stray, plain] = onward
    prices[plain, twice] = np.where(same, AGAIN, NEVER)
    for row in (plain, twice, stray):
        prices[row, stray] = np.where(same, TO_STRAY, NEVER)
    for first, second in pairwise(_cells(sets)):
        if sets[first[0]].cell.ref.block == sets[second[0]].cell.ref.block:
            _allow_swap(prices, jump, first, second)
    return prices


def _jump(sets: Sequence[PlanSet], here: int, there: int) -> float:
    """From a set to another of the plan's own row."""
    if there > here:
        over = there - here - 1
        if over == 1 and sets[there - 1].part:
            return ONE_SIDE
        return 0.0 if over == 0 else max(SKIP_MOST, SKIP + SKIP_MORE * (over - 1))
    return AGAIN if sets[there].cell_place == sets[here].cell_place else BACK


def _cells(sets: Sequence[PlanSet]) -> list[list[int]]:
    cells: dict[int, list[int]] = {}
    for place, each in enumerate(sets):
        cells.setdefault(each.cell_place, []).append(place)
    return list(cells.values())


def _allow_swap(prices: Floats, jump: Floats, first: list[int], second: list[int]) -> None:
    """The second cell before the first: in by its first side, through both, out to what follows them."""
    count = len(jump)
    early, late = [EARLY * count + place for place in second], [LATE * count + place for place in first]
    chain = [*early, *late]
    for here, there in pairwise(chain):
        prices[here, there] = 0.0
    before = first[0] - 1
    if before >= 0:
        prices[before, chain[0]] = SWAP
        prices[STRAY * count + before, chain[0]] = SWAP
    prices[chain[-1], :count] = np.where(np.arange(count) > second[-1], jump[second[-1]], BACK)


def first_prices(sets: Sequence[PlanSet]) -> Floats:
    """Of beginning in each state."""
    count = len(sets)
    prices = np.full(ROWS * count, NEVER)
    missing = np.arange(count)
    prices[:count] = np.where(missing == 0, 0.0, np.maximum(CUT_MOST, LATE_START + CUT_MORE * missing))
    cells = _cells(sets)
    if len(cells) > 1:
        prices[EARLY * count + cells[1][0]] = SWAP
    return prices


def last_prices(sets: Sequence[PlanSet]) -> Floats:
    """Of ending in each state: the sets that the plan has after it are not on the recording."""
    count = len(sets)
    missing = count - 1 - np.arange(count)
    left = np.where(missing == 0, 0.0, np.maximum(CUT_MOST, EARLY_END + CUT_MORE * missing))
    return np.concatenate([left, np.full(count, NEVER), left, left, left])
