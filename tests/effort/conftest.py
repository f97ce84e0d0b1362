"""Sessions whose demands are made up, so that answers are known by hand and no body has to be solved."""

from collections.abc import Callable
from typing import Any

import pytest

from everyrung.body.demand_table import demand_arrays
from everyrung.body.reference_grid import reference_grid
from everyrung.effort.choices import BodyDemands, SessionOffers, cell_offers, strength_cells
from everyrung.moves.library import standard_library
from everyrung.plan.read import plan_from_text
from everyrung.plan.resolve import resolve
from everyrung.terms.demand import MotionDemand, RungDemand
from everyrung.terms.session import Session

Peaks = dict[str, float]


def demand(peaks: Peaks, size: Any, phases_ms: tuple[float, ...] = (2000.0, 0.0, 2000.0, 0.0)) -> RungDemand:
    """A repetition down and up, hardest at the bottom, mean part 0.64 of the peak; of a hold one phase at the peak."""
    hold = sum(ms > 0 for ms in phases_ms) == 1
    share = 1.0 if hold else 0.64
    motions = tuple(
        MotionDemand(
            motion=name, moment_nm=50.0, fraction=peak, mean_fraction=share * peak, depth=1.0,
            phases=tuple(share * peak if ms else 0.0 for ms in phases_ms), at_ms=phases_ms[0] + phases_ms[1],
        )
        for name, peak in peaks.items()
    )  # fmt: skip
    return RungDemand(
        size=size, load_kg=0.0, rep_ms=int(sum(phases_ms)), motions=motions, groups=(), bearings=(), joints=(),
        trunk_nm=0.0, balance_m=None, sideways_m=None, work_j=0.0, above_rest_w=100.0, self_checks=(), misfits=(),
        farthest_mm=0.0, farthest_deg=0.0, shortfalls=(), has_converged=True, from_memory=(), phases_ms=phases_ms,
    )  # fmt: skip


@pytest.fixture
def made_demand() -> Callable[..., RungDemand]:
    return demand


@pytest.fixture
def made() -> Callable[..., tuple[Session, SessionOffers]]:
    """A plan's session, and its offers with `asked(move in the cell, rung key of its form, load in kg)` as peaks."""

    def build(plan: str, asked: Callable[[str, Any, float], Peaks]) -> tuple[Session, SessionOffers]:
        session = resolve(plan_from_text(plan, "plan.toml"), standard_library())
        cells = {cell.ref: cell_offers(cell) for cell in strength_cells(session)}
        bodies = {}
        for ref, found in cells.items():
            for offer in found:
                loads = (2.0 * offer.pieces, 10.0 * offer.pieces) if offer.pieces else (0.0,)
                phases = (0.0, 1000.0, 0.0, 0.0) if not offer.bouts[0].reps else (2000.0, 0.0, 2000.0, 0.0)
                rows = tuple(
                    tuple(demand(asked(ref.cell, offer, kg), body, phases) for body in reference_grid()) for kg in loads
                )
                bodies[offer.form] = BodyDemands(loads_kg=loads, arrays=demand_arrays(rows))
        return session, SessionOffers(cells=cells, aside={}, bodies=bodies, failures={})

    return build


@pytest.fixture
def by_grade() -> Callable[[str, Any, float], Peaks]:
    """Made-up demands: what a grade asks of the legs, and a kilogram of them and of the shoulders."""

    def asked(_cell: str, offer: Any, kg: float) -> Peaks:
        legs, arms = 0.12 * offer.grade + 0.012 * kg, 0.05 * offer.grade + 0.02 * kg
        return {"knee_extension_left": legs, "knee_extension_right": legs, "shoulder_flexion_left": arms}

    return asked
