"""A linear programme in whole numbers that grows by named parts, solved by HiGHS."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from scipy.optimize import Bounds, milp

from everyrung.proposals.choose import Rows
from everyrung.terms.errors import Invalid

FEWEST_NODES = 20  # chosen: in fewer a large programme has hardly begun


@dataclass(frozen=True, slots=True, kw_only=True)
class Solution:
    """The value of each variable, what it all is worth, and the most that any other choice can be."""

    values: tuple[float, ...]
    worth: float
    bound: float

    def takes(self, variable: int) -> bool:
        """Whether a variable of 0 or 1 is 1."""
        return self.values[variable] > 0.5

    @property
    def gap(self) -> float:
        """By which part of the bound it may fall short of the best."""
        return max(0.0, (self.bound - self.worth) / abs(self.bound)) if self.bound else 0.0


@dataclass(slots=True, kw_only=True)
class Programme:
    """Variables with their worth and how large they may be, and conditions on sums of them."""

    worth: list[float] = field(default_factory=list)
    most: list[float] = field(default_factory=list)
    whole: list[int] = field(default_factory=list)
    rows: Rows = field(default_factory=Rows)

    def choice(self, worth: float = 0.0) -> int:
        """A variable of 0 or 1."""
        return self._variable(worth, 1.0, 1)

    def amount(self, worth: float = 0.0, most: float = np.inf) -> int:
        """A variable of 0 or more."""
        return self._variable(worth, most, 0)

    def at_least(self, factors: Mapping[int, float], least: float) -> None:
        """A sum that may not be less."""
        self.between(factors, least, np.inf)

    def at_most(self, factors: Mapping[int, float], most: float) -> None:
        """A sum that may not be more."""
        self.between(factors, -np.inf, most)

    def between(self, factors: Mapping[int, float], least: float, most: float) -> None:
        """A sum between two bounds; of nothing, it is left out."""
        if factors:
            self.rows.add(factors, least, most)

    def solve(self, most_work: int, gap: float) -> Solution | None:
        """The first choice that is within `gap`, a part, of its bound, or the best that is found by so much work, in
        nodes of the search times variables, as a node takes the longer the more there are; None where there is none.
        No clock ends it, so that it ends alike on every machine, however busy.
        """
        result = milp(
            c=-np.array(self.worth),
            constraints=self.rows.constraint(len(self.worth)),
            integrality=np.array(self.whole),
            bounds=Bounds(0, np.array(self.most)),
            options={"mip_rel_gap": gap, "node_limit": max(FEWEST_NODES, most_work // len(self.worth))},
        )
        if result.x is None:
            return None
        return Solution(values=tuple(result.x), worth=float(-result.fun), bound=float(-result.mip_dual_bound))

    def _variable(self, worth: float, most: float, whole: int) -> int:
        self.worth.append(worth)
        self.most.append(most)
        self.whole.append(whole)
        return len(self.worth) - 1


def require_solution(solution: Solution | None, what: str) -> Solution:
    """A solution that is there. Raises Invalid, in words, for one that is not."""
    if solution is None:
        remedy = "Ask for more minutes, fewer aims, or more kit."
        raise Invalid("brief", f"a block that has {what}", "none that keeps all of it", remedy=remedy)
    return solution
