"""What rungs ask of the reference bodies, made up: from the move's pattern, the rung's grade, its load and its range.

No body is solved, so that a record changes with the chain and not with a pose, and is the same on every machine.
"""

import zlib
from collections.abc import Mapping
from unittest.mock import patch

from everyrung.body.demand_table import demand_arrays
from everyrung.body.reference_grid import reference_grid
from everyrung.effort.choices import BodyDemands, Offer, SessionOffers, session_offers
from everyrung.moves.library import standard_library
from everyrung.terms.demand import GroupDemand, Mechanics, MotionDemand, RungDemand, SelfCheckResult
from everyrung.terms.enums import Pattern, Reach, Sidedness
from everyrung.terms.move import Form
from everyrung.terms.person import BodySize, Sex
from everyrung.terms.session import Session

LEG = ("knee_extension", "hip_extension", "ankle_plantarflexion")
WORKED = {
    Pattern.KNEE: LEG,
    Pattern.HIP: ("hip_extension", "trunk_extension", "knee_flexion"),
    Pattern.BRIDGE: ("hip_extension", "knee_flexion"),
    Pattern.PUSH: ("shoulder_flexion", "elbow_extension", "trunk_flexion"),
    Pattern.PULL: ("shoulder_extension", "elbow_flexion", "trunk_extension"),
    Pattern.OVERHEAD: ("shoulder_abduction", "elbow_extension"),
    Pattern.TRUNK: ("trunk_flexion", "hip_flexion"),
    Pattern.CALF: ("ankle_plantarflexion",),
}
GROUPS = ("vasti", "gluteus_maximus", "hamstrings", "soleus", "trunk_extensors", "rectus_abdominis")


def drawn(*names: object) -> float:
    """A number from 0 to 1 that hangs on these names alone, the same on every machine."""
    return zlib.crc32("/".join(map(str, names)).encode()) / 2**32


def rung_demand(name: str, grade: int, form: Form, kg: float, size: BodySize) -> RungDemand:
    """Made up: more for a higher grade, a heavier load, a smaller body, more range or reach; hardest when lowest."""
    move = standard_library().move(form.move)
    tempo = form.tempo
    phases_ms = (0.0, 1000.0, 0.0, 0.0)
    if not tempo.is_hold:
        low_ms = tempo.bottom_ms + form.rep_ms - tempo.rep_ms
        phases_ms = tuple(float(ms) for ms in (tempo.lower_ms, low_ms, tempo.rise_ms, tempo.top_ms))
    body = 1.0 + 0.3 * (1.70 - size.stature_m) + (0.15 if size.sex is Sex.FEMALE else 0.0)
    motions = []
    for number, motion in enumerate(WORKED.get(move.pattern, ("hip_flexion",))):
        peak = (0.14 + 0.09 * grade + 0.2 * drawn(form.move, motion)) * body / (1 + 0.4 * number) * form.range_share
        peak += (
            (0.010 + 0.004 * number) * kg + (0.05 if form.reach is not Reach.NONE else 0.0) + 0.1 * drawn(name, motion)
        )
        one_sided = form.sides is not Sidedness.BOTH
        for side, part in (("_left", 0.55 if one_sided else 1.0), ("_right", 1.0)):
            if motion.startswith("trunk_"):
                side, part = "", 1.0
            if side or not motions or motions[-1].motion != motion:
                motions.append(_motion(motion + side, part * peak, phases_ms))
    peaks = {name: min(1.0, 0.1 * grade + 0.4 * drawn(form.move, name) + 0.004 * kg) for name in GROUPS}
    short = tuple(f"{one.motion} needs {one.fraction:.2f} of its strength" for one in motions if one.fraction > 0.9)
    off_mm = 60.0 * drawn(name, "off") * drawn(name, size.stature_m)
    return RungDemand(
        size=size, load_kg=kg, rep_ms=int(sum(phases_ms)), motions=tuple(motions),
        groups=tuple(GroupDemand(group=f"{group}_left", peak=peak, mean=peak / 2) for group, peak in peaks.items()),
        bearings=(), joints=(), trunk_nm=(30 + 60 * drawn(form.move, "trunk") + 2 * kg) * body,
        balance_m=0.02 + 0.08 * drawn(name, "balance"), sideways_m=0.03 + 0.1 * drawn(name, form.support),
        work_j=size.mass_kg * (0.2 + drawn(form.move, "work")) + 4 * kg, above_rest_w=120.0 * grade * body + 3 * kg,
        self_checks=(
            SelfCheckResult(
                say=f"{name}: flat back?", measured=f"{30 * drawn(name, 'back'):.0f} degrees", limit="up to 25",
                met=drawn(name, "back") < 25 / 30,
            ),
        ),
        misfits=(f"a foot is off by {off_mm:.0f} mm",), farthest_mm=off_mm, farthest_deg=off_mm / 4, shortfalls=short,
        has_converged=drawn(name, "settled") > 0.02, from_memory=(), phases_ms=phases_ms,
    )  # fmt: skip


def _motion(motion: str, peak: float, phases_ms: tuple[float, ...]) -> MotionDemand:
    parts = (0.7, 0.9, 0.6, 0.2) if sum(ms > 0 for ms in phases_ms) > 1 else (0.0, 1.0, 0.0, 0.0)
    lasting = sum(phases_ms)
    mean = sum(part * ms for part, ms in zip(parts, phases_ms, strict=True)) / lasting
    return MotionDemand(
        motion=motion, moment_nm=100 * peak, fraction=peak, mean_fraction=mean * peak, depth=1.0,
        phases=tuple(part * peak if ms else 0.0 for part, ms in zip(parts, phases_ms, strict=True)),
        at_ms=phases_ms[0] + phases_ms[1] / 2,
    )  # fmt: skip


def made_mechanics(session: Session) -> Mechanics:
    """Every led rung on every reference body; one in forty rungs could not be posed."""
    bodies, found, failed = reference_grid(), {}, {}
    for cell in (cell for block in (*session.blocks, *session.reserve) for cell in block.cells):
        if drawn(cell.rung.name, "failed") < 1 / 40:
            failed[cell.ref] = "the hands do not reach the floor"
            continue
        load = cell.bouts[0].load
        kg = load.total_kg if load else 0.0
        for body in bodies:
            found[cell.ref, body] = rung_demand(cell.rung.name, cell.rung.grade, cell.rung.form, kg, body)
    return Mechanics(bodies=bodies, demands=found, failed=failed)


def made_offers(session: Session) -> SessionOffers:
    """What every cell offers, with demands at two loads where it holds one."""
    with patch("everyrung.effort.choices._demands_by_form", made_bodies):
        return session_offers(session, standard_library(), None)


def made_bodies(forms: Mapping[Form, Offer], *_: object) -> tuple[dict[Form, BodyDemands], dict[Form, str]]:
    """In place of effort.choices._demands_by_form: each of these forms on every body, or why not."""
    failed = {form: "no such pose" for form, offer in forms.items() if drawn(offer.name, "failed") < 1 / 40}
    return {form: _on_bodies(offer) for form, offer in forms.items() if form not in failed}, failed


def _on_bodies(offer: Offer) -> BodyDemands:
    loads = (2.0 * offer.pieces, 10.0 * offer.pieces) if offer.pieces else (0.0,)
    rows = tuple(
        tuple(rung_demand(offer.name, offer.grade, offer.form, kg, body) for body in reference_grid()) for kg in loads
    )
    return BodyDemands(loads_kg=loads, arrays=demand_arrays(rows))
