"""What one rung asks of one body, over one repetition."""

from collections.abc import Callable, Mapping

from everyrung.body.energy import error
from everyrung.checks.focus import computed_focus
from everyrung.results.result import Result, Rows, Values
from everyrung.terms.demand import DemandAt, RungCurve, RungDemand
from everyrung.terms.errors import Invalid, nearest, or_list
from everyrung.terms.frozen import dataclass
from everyrung.terms.move import Rung

SHOWN = 3  # joints in a repr; chosen, because they are the ones that limit


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class BodyDemand(Result):
    """One repetition (of a hold, one second) of `rung` on one body: `demand` has its greatest and mean values,
    `instants` every moment of it that was computed.
    """

    rung: Rung
    curve: RungCurve

    @property
    def demand(self) -> RungDemand:
        return self.curve.demand

    @property
    def instants(self) -> tuple[DemandAt, ...]:
        return self.curve.instants

    def over_depth(self, motion: str) -> tuple[tuple[float, float, float], ...]:
        """For one direction of a joint ('knee_extension_left') its depth (0 at rest, 1 at full depth), moment (N m) and
        part of its strength at every instant, in the order of time. Raises Invalid for a direction nothing is asked of.
        """
        motions = [each.motion for each in self.demand.motions]
        if motion not in motions:
            near = nearest(motion, motions) if isinstance(motion, str) else ""
            raise Invalid("motion", or_list([repr(name) for name in motions]), motion, nearest=near)
        return self.curve.over_depth(motion)

    def to_dict(self) -> Values:
        """Moments, muscles, supports, joints and misfits. `everyrung body --json` prints the same."""
        return demand_values(self.rung, self.demand)

    def _tables(self) -> Mapping[str, Callable[[], Rows]]:
        values = self.to_dict()
        return {
            "instants": self._instant_rows,
            "moments": lambda: values["moments"],
            "groups": lambda: values["groups"],
        }

    def _instant_rows(self) -> Rows:
        return [
            {"at_ms": each.at_ms, "depth": each.depth, "motion": motion, "moment_nm": moment_nm, "fraction": fraction}
            for each in self.instants
            for motion, moment_nm, fraction in each.moments
        ]

    def _lines(self) -> list[str]:
        one = self.demand
        hardest = sorted(one.motions, key=lambda each: -each.fraction)[:SHOWN]
        load = f", holding {one.load_kg:.1f} kg" if one.load_kg else ""
        return [
            f"Demand of {self.rung.name!r} ({self.rung.address})",
            f"  {one.size}{load}; {one.rep_ms / 1000:g} s, {len(self.instants)} instants",
            *(f"  {each.motion}: {each.moment_nm:.0f} N m, {each.fraction:.0%} of strength" for each in hardest),
            f"  {'can be held as described' if one.feasible else 'CAN NOT be held as described'}",
            f"  tables: {', '.join(self._tables())}",
        ]


def demand_values(rung: Rung, one: RungDemand) -> Values:
    """One rung's demand as plain values; metabolic power only as its band."""
    less, more = error()
    return {
        "rung": rung.address,
        "sex": str(one.size.sex),
        "stature_m": one.size.stature_m,
        "mass_kg": one.size.mass_kg,
        "load_kg": one.load_kg,
        "rep_ms": one.rep_ms,
        "held": one.feasible,
        "moments": [
            {
                "motion": each.motion,
                "moment_nm": each.moment_nm,
                "fraction": each.fraction,
                "mean_fraction": each.mean_fraction,
                "depth": each.depth,
                "strength_from_memory": each.motion in one.from_memory,
            }
            for each in one.motions
        ],
        "groups": [{"group": each.group, "peak": each.peak, "mean": each.mean} for each in one.groups],
        "supports": [{"contact": each.contact, "rest_n": each.rest_n, "full_n": each.full_n} for each in one.bearings],
        "joints_deg": {each.name: [each.rest_deg, each.full_deg] for each in one.joints},
        "focus": list(computed_focus([one])),
        "trunk_nm": one.trunk_nm,
        "balance_m": one.balance_m,
        "work_j": one.work_j,
        "above_rest_w": [one.above_rest_w * (1 - less), one.above_rest_w * (1 + more)],
        "self_checks": [
            {"say": each.say, "measured": each.measured, "limit": each.limit, "met": each.met}
            for each in one.self_checks
        ],
        "misfits": list(one.misfits),
        "shortfalls": list(one.shortfalls),
    }
