"""Whether a ladder rises as its rungs are written, and which grade a rung has: both as the reference bodies have it.

A pair of neighbours rises when one measure is at least a twentieth harder on every body, and no body's hardest joint
has to do more than half as much again. Measures: the hardest joint, all joints together, the hardest muscle group, the
time under load, the room left to sway, the work lifted, what is held or stretched; a hand-hold that is let go; and the
pace of a move that is too quick for poses. A rung that is loaded is held against the one below with as good as no load:
how heavy is for the plan to say. Warm-ups and stretches are about range, and no ladder of load.
"""

import math
from collections.abc import Sequence
from itertools import pairwise
from statistics import median

from everyrung.body.inverse_dynamics import GRAVITY
from everyrung.body.mechanics import Failure, Job, demands
from everyrung.body.reference_grid import reference_grid
from everyrung.body.rung_load import BAND_N, band_grade, has_band, held_kg, node_loads
from everyrung.moves.library import Library
from everyrung.store.cache import Cache
from everyrung.terms.demand import RungDemand
from everyrung.terms.enums import Caution, Hold, MoveKind, Support
from everyrung.terms.frozen import dataclass
from everyrung.terms.move import Form, Rung
from everyrung.terms.units import Load

LEAST_RISE = 1.05  # as the errors of the measures in difficulty.py, which are common to two rungs of one body
MOST_RISE = 1.5  # chosen, as `round-jumps` has it
EASY = 0.25  # of a strength; chosen, because below that nobody feels how far a joint is from its limit
LEAST_SWAY_M = 0.005  # chosen, because a landmark on the skin is known no better
# Of the hardest joint's strength in the middle of the bodies, from where grades 2, 3, 4 and 5 begin; chosen, because a
# set of 8 to 12 is led at about half (ratamess2009), and above five sixths few untrained people finish one.
GRADES = (0.25, 0.40, 0.60, 0.83)


@dataclass(frozen=True, slots=True, kw_only=True)
class PairRise:
    """Two neighbours: the measure that rises most surely with its least rise, and the most that a joint has to do more
    (times, over the bodies).
    """

    below: Rung
    above: Rung
    measure: str
    least: float
    most_joint: float

    @property
    def why(self) -> str:
        """What keeps the pair from being a rung up; '' where it is one."""
        if self.least < LEAST_RISE:
            return f"nothing is harder on every body ({self.measure} most, {self.least:.2f} times)"
        return f"the hardest joint has to do {self.most_joint:.1f} times as much" if self.most_joint > MOST_RISE else ""


def pair_rises(library: Library, moves: Sequence[str], cache: Cache | None = None) -> tuple[PairRise, ...]:
    """Every pair of neighbours on these moves' ladders, of strength moves alone. Raises Invalid for a move that the
    library has not.
    """
    ladders = [library.move(move).ladder for move in moves if library.move(move).kind is MoveKind.STRENGTH]
    pairs = [pair for ladder in ladders for pair in pairwise(ladder)]
    usual = rung_demands(library, [rung for ladder in ladders for rung in ladder], cache)
    light = rung_demands(library, [above for below, above in pairs if _is_heavier(below, above)], cache, lightest=True)
    return tuple(
        _pair(below, above, usual, light, quick=library.pose(above.form).energy is not None) for below, above in pairs
    )


def _is_heavier(below: Rung, above: Rung) -> bool:
    """By the pieces that are held."""
    return above.form.load.pieces > below.form.load.pieces


def rung_demands(
    library: Library, rungs: Sequence[Rung], cache: Cache | None = None, *, lightest: bool = False
) -> dict[str, tuple[RungDemand, ...]]:
    """By a rung's address its demands on the reference bodies, with the usual load or as good as none; nothing for a
    rung that some body can't be put into. Raises Invalid for a rung without a pose.
    """
    sizes = reference_grid()
    jobs = [
        Job(form=rung.form, layer=library.pose(rung.form), size=size, load=_load(rung.form, lightest=lightest))
        for rung in rungs
        for size in sizes
    ]
    answers = dict(demands(jobs, cache))
    result: dict[str, tuple[RungDemand, ...]] = {}
    for at, rung in enumerate(rungs):
        row = [answers[at * len(sizes) + place] for place in range(len(sizes))]
        result[rung.address] = tuple(each for each in row if not isinstance(each, Failure))
    return {address: row for address, row in result.items() if len(row) == len(sizes)}


def _load(form: Form, *, lightest: bool) -> Load | None:
    return node_loads(form, None)[0 if lightest or not form.load.pieces else 1]


def _pair(
    below: Rung,
    above: Rung,
    usual: dict[str, tuple[RungDemand, ...]],
    light: dict[str, tuple[RungDemand, ...]],
    *,
    quick: bool,
) -> PairRise:
    one, other = usual.get(below.address, ()), usual.get(above.address, ())
    first, second = one, light.get(above.address, ()) if _is_heavier(below, above) else other
    if not one or not other:
        return PairRise(below=below, above=above, measure="no pose", least=0.0, most_joint=0.0)
    rises = {name: min(_times(a, b, name) for a, b in zip(one, other, strict=True)) for name in MEASURES}
    rises["load"] = _load_n(above) / _load_n(below) if _load_n(below) else math.inf if _load_n(above) else 1.0
    if below.form.hold is not Hold.NONE and above.form.hold is Hold.NONE:
        rises["a hand-hold let go"] = math.inf
    if quick:
        rises["pace"] = below.form.rep_ms / above.form.rep_ms if above.form.rep_ms else 1.0
    best = max(rises, key=lambda name: rises[name])
    most = max(_joint_times(a, b) for a, b in zip(first, second, strict=True))
    return PairRise(below=below, above=above, measure=best, least=rises[best], most_joint=most)


MEASURES = ("hardest joint", "all joints", "hardest muscle group", "time under load", "room to sway", "work lifted")


def _load_n(rung: Rung) -> float:
    """What is held with the usual load, or the full pull of a band, N."""
    band_n = BAND_N[band_grade(rung.form, None)] if has_band(rung.form) else 0.0
    return held_kg(rung.form, None) * GRAVITY + band_n


def _times(one: RungDemand, other: RungDemand, name: str) -> float:
    before, after = _measure(one, name), _measure(other, name)
    return after / before if before > 0 else math.inf if after > 0 else 1.0


def _measure(demand: RungDemand, name: str) -> float:
    hardest = demand.hardest
    match name:
        case "hardest joint":
            return hardest.fraction if hardest else 0.0
        case "all joints":
            return math.sqrt(sum(each.fraction**2 for each in demand.motions))
        case "hardest muscle group":
            return max((each.peak for each in demand.groups), default=0.0)
        case "time under load":
            return hardest.mean_fraction * demand.rep_ms if hardest else 0.0
        case "work lifted":
            return demand.work_j
    margins = [each for each in (demand.balance_m, demand.sideways_m) if each is not None]
    return 1.0 / max(min(margins), LEAST_SWAY_M) if margins else 0.0


def _joint_times(one: RungDemand, other: RungDemand) -> float:
    before, after = _measure(one, "hardest joint"), _measure(other, "hardest joint")
    return 1.0 if after < EASY else after / max(before, EASY / 2)


def grade_of(rung: Rung, by_body: Sequence[RungDemand]) -> int:
    """The grade of a rung, 1 to 5, from its demands on the reference bodies with the usual load.

    What more than half of them can't do is 5, what any can't do at least 4; one foot without a hand-hold is at least 2,
    and a landing at least 4.
    """
    short = sum(not each.feasible for each in by_body)
    if not by_body or short > len(by_body) / 2:
        return 5
    middle = median(_measure(each, "hardest joint") for each in by_body)
    grade = 1 + sum(middle >= limit for limit in GRADES)
    on_one = rung.form.hold is Hold.NONE and rung.form.support in (Support.ONE_FOOT, Support.REAR_RAISED)
    least = (4 if short or Caution.IMPACT in rung.cautions else 1, 2 if on_one else 1)
    return max(grade, *least)
