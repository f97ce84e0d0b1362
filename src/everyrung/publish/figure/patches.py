"""Where the parts of the body that give out lie on the drawn figure: patches on its limbs and trunk.

The names are those of effort/words.py, in a participant's own words. The studio's script draws them
(static/figure/patches.js), in every pose of a repetition; scripts/write_javascript.py hands it this table.
"""

from typing import Any, Literal

from everyrung.terms.frozen import dataclass

Limb = Literal["leg", "arm", "trunk"]
Toward = Literal["front", "back", "outer", "inner", "middle"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Patch:
    """A patch on `limb`, between two shares of the way from one of its places to another, `off_m` from that line
    towards `toward`, `radius_m` thick.

    `goes_by`: whose front and back are meant, those of the limb itself (of the shin, in a squat) or of the trunk;
    `twice`: on the other side of the body as well. All chosen by eye, on figures that stand, sit, lie and lunge.
    """

    limb: Limb
    start: str
    end: str
    shares: tuple[float, float]
    toward: Toward
    off_m: float
    radius_m: float
    goes_by: Limb
    twice: bool = True


def _patch(
    place: tuple[Limb, str, str],
    shares: tuple[float, float],
    toward: Toward,
    off_m: float,
    radius_m: float,
    **more: Any,
) -> Patch:
    limb, start, end = place
    values = {"goes_by": limb, **more}
    return Patch(
        limb=limb, start=start, end=end, shares=shares, toward=toward, off_m=off_m, radius_m=radius_m, **values
    )


_THIGH: tuple[Limb, str, str] = ("leg", "hip", "knee")
_SHIN: tuple[Limb, str, str] = ("leg", "knee", "ankle")
_ARM: tuple[Limb, str, str] = ("arm", "shoulder", "elbow")
_FOREARM: tuple[Limb, str, str] = ("arm", "elbow", "wrist")
_TRUNK: tuple[Limb, str, str] = ("trunk", "chest", "seat")
_RIBS: tuple[Limb, str, str] = ("trunk", "chest", "shoulder")
_WAIST: tuple[Limb, str, str] = ("trunk", "waist", "seat")
_BUTTOCKS = _patch(_THIGH, (-0.08, 0.1), "back", 0.06, 0.042, goes_by="trunk")
_HAMSTRINGS = _patch(_THIGH, (0.3, 0.8), "back", 0.035, 0.03)
PATCHES: dict[str, tuple[Patch, ...]] = {
    "front of the thigh": (_patch(_THIGH, (0.3, 0.8), "front", 0.035, 0.032),),
    "back of the thigh": (_HAMSTRINGS,),
    "buttocks and back of the thigh": (_BUTTOCKS, _HAMSTRINGS),
    "inner thigh": (_patch(_THIGH, (0.15, 0.55), "inner", 0.045, 0.028),),
    "front of the hip": (_patch(_THIGH, (-0.02, 0.12), "front", 0.05, 0.03),),
    "side of the hip": (_patch(_THIGH, (-0.12, 0.08), "outer", 0.05, 0.032),),
    "calf": (_patch(_SHIN, (0.12, 0.45), "back", 0.022, 0.03),),
    "front of the trunk": (_patch(_TRUNK, (0.3, 0.85), "front", 0.055, 0.034, twice=False),),
    "waist": (_patch(_WAIST, (-0.2, 0.5), "outer", 0.085, 0.032),),
    "back": (_patch(_TRUNK, (-0.1, 0.75), "back", 0.06, 0.034, twice=False),),
    "chest": (_patch(_RIBS, (0.3, 0.7), "front", 0.05, 0.036),),
    "front of the shoulder": (_patch(_ARM, (-0.05, 0.14), "front", 0.026, 0.027, goes_by="trunk"),),
    "side of the shoulder": (_patch(_ARM, (-0.05, 0.14), "outer", 0.026, 0.027, goes_by="trunk"),),
    "back of the shoulder": (_patch(_ARM, (-0.05, 0.14), "back", 0.026, 0.027, goes_by="trunk"),),
    "front of the upper arm": (_patch(_ARM, (0.35, 0.8), "front", 0.016, 0.024),),
    "back of the upper arm": (_patch(_ARM, (0.35, 0.8), "back", 0.016, 0.024),),
    "grip": (_patch(_FOREARM, (0.2, 0.75), "middle", 0.0, 0.026),),
}
