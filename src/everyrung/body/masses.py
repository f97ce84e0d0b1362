"""Segment masses, centres of mass and inertias of one body, laid over the bones of its neutral stand."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from everyrung.body.skeleton import HEAD_FORWARD, HEEL_BEHIND, SIDES, Proportions
from everyrung.body.upstream_model import Element, numbers, words
from everyrung.tables.anthropometry import SegmentShare, segment_shares
from everyrung.terms.person import BodySize

Vector = NDArray[np.float64]
VERTEBRAE = ("lumbar5", "lumbar4", "lumbar3", "lumbar2", "lumbar1")
# chosen, because these bones only carry muscle paths or bend the foot; the larger bone of the segment keeps the rest
SMALL_PARTS = {"patella": 0.01, "talus": 0.05, "toes": 0.10, "Abdomen": 0.01}
LEAST_PART = 0.02  # of the middle trunk: no vertebra is left without mass


@dataclass(frozen=True, slots=True, kw_only=True)
class Inertial:
    """One bone's mass, its centre (m, from the pelvis frame, body upright) and principal moments of inertia (axis of
    both: forward, up, right).
    """

    bone: str
    mass_kg: float
    centre: Vector
    moments_kgm2: Vector


def origins(tree: Element) -> dict[str, Vector]:
    """Each bone's frame in the neutral stand, m from the pelvis frame (axis: forward, up, right); all frames are
    parallel.
    """
    frames: dict[str, Vector] = {}

    def walk(parent: Element, at: Vector) -> None:
        for child in parent.findall("body"):
            here = at + np.array(numbers(child.get("pos", "0 0 0")))
            frames[child.get("name", "")] = here
            walk(child, here)

    for world in tree.findall("worldbody"):
        walk(world, np.zeros(3))
    return frames


def inertials(size: BodySize, body: Proportions, at: dict[str, Vector]) -> list[Inertial]:
    """Every bone's share of the body: the segments of deleva1996 on this body's lengths, at the frames `at` (m; axis:
    forward, up, right); the masses add up to size.mass_kg.
    """
    shares = segment_shares(size.sex)
    pairs = ("upper_arm", "forearm", "hand", "thigh", "shank", "foot")
    whole = sum(share.mass * (2 if name in pairs else 1) for name, share in shares.items())
    kg = {name: share.mass / whole * size.mass_kg for name, share in shares.items()}
    bones = axial(body, at, shares, kg)
    for tag in SIDES:
        bones += side(tag, body, at, shares, kg)
    return bones


def segment(bone: str, kg: float, share: SegmentShare, first: Vector, last: Vector, long_axis: int = 1) -> Inertial:
    """A segment between two ends, m; `long_axis` is the frame's axis (0 forward, 1 up, 2 right) it points along.

    >>> share = SegmentShare(mass=0.1, cm=0.5, rg_sagittal=0.3, rg_transverse=0.3, rg_longitudinal=0.1)
    >>> rod = segment("tibia_r", 4.0, share, np.array([0.0, 0.0, 0.0]), np.array([0.0, -0.4, 0.0]))
    >>> rod.centre.tolist(), rod.moments_kgm2.round(4).tolist()
    ([0.0, -0.2, 0.0], [0.0576, 0.0064, 0.0576])
    """
    length = float(np.linalg.norm(last - first))
    radii = np.array([share.rg_sagittal, share.rg_longitudinal, share.rg_transverse])
    if long_axis == 0:
        radii = radii[[1, 0, 2]]
    return Inertial(
        bone=bone, mass_kg=kg, centre=first + share.cm * (last - first), moments_kgm2=kg * (radii * length) ** 2
    )


def split(whole: Inertial, *small: tuple[str, float, Vector]) -> list[Inertial]:
    """`whole` with small parts (bone, fraction of its mass, centre in m; axis: forward, up, right) taken out; mass and
    centre of all stay the same.
    """
    parts = [
        Inertial(bone=bone, mass_kg=whole.mass_kg * part, centre=centre, moments_kgm2=whole.moments_kgm2 * part**2)
        for bone, part, centre in small
    ]
    rest_kg = whole.mass_kg - sum(part.mass_kg for part in parts)
    moment = sum((part.mass_kg * part.centre for part in parts), np.zeros(3))
    rest = Inertial(
        bone=whole.bone,
        mass_kg=rest_kg,
        centre=(whole.mass_kg * whole.centre - moment) / rest_kg,
        moments_kgm2=whole.moments_kgm2 * rest_kg / whole.mass_kg,
    )
    return [rest, *parts]


def side(
    tag: str, body: Proportions, at: dict[str, Vector], shares: dict[str, SegmentShare], kg: dict[str, float]
) -> list[Inertial]:
    """The arm and the leg of one side, `tag` "l" or "r", at the frames `at` (m; axis: forward, up, right), with masses
    of segments in kg.
    """
    hip, knee, ankle = at[f"femur_{tag}"], at[f"tibia_{tag}"], at[f"talus_{tag}"]
    shoulder, elbow, wrist = at[f"humerus_{tag}"], at[f"forearm_{tag}"], at[f"hand_{tag}"]
    heel = np.array([at[f"calcn_{tag}"][0] - HEEL_BEHIND * body.foot_m, ankle[1] - body.ankle_m / 2, ankle[2]])
    toe = heel + np.array([body.foot_m, 0.0, 0.0])
    thigh = segment(f"femur_{tag}", kg["thigh"], shares["thigh"], hip, knee)
    foot = segment(f"calcn_{tag}", kg["foot"], shares["foot"], heel, toe, long_axis=0)
    toes_centre = (at[f"toes_{tag}"] + [toe[0], at[f"toes_{tag}"][1], at[f"toes_{tag}"][2]]) / 2
    return [
        *split(thigh, (f"patella_{tag}", SMALL_PARTS["patella"], at[f"patella_{tag}"])),
        segment(f"tibia_{tag}", kg["shank"], shares["shank"], knee, ankle),
        *split(
            foot,
            (f"talus_{tag}", SMALL_PARTS["talus"], ankle),
            (f"toes_{tag}", SMALL_PARTS["toes"], toes_centre),
        ),
        segment(f"humerus_{tag}", kg["upper_arm"], shares["upper_arm"], shoulder, elbow),
        segment(f"forearm_{tag}", kg["forearm"], shares["forearm"], elbow, wrist),
        segment(f"hand_{tag}", kg["hand"], shares["hand"], wrist, wrist - [0.0, body.hand_m, 0.0]),
    ]


def axial(
    body: Proportions, at: dict[str, Vector], shares: dict[str, SegmentShare], kg: dict[str, float]
) -> list[Inertial]:
    """Head and trunk, at the frames `at` (m; axis: forward, up, right). The trunk's centres lie on the line from
    mid-hip to between the shoulders.
    """
    hip = at["femur_r"] * [1.0, 1.0, 0.0]
    neck = at["head"]
    top = at["humerus_r"] * [1.0, 1.0, 0.0]

    def on_axis(height_m: float) -> Vector:
        """The trunk's axis at a height above the floor."""
        point: Vector = hip + (top - hip) * ((height_m - body.hip_m) / (top[1] - hip[1]))
        return point

    vertex = neck + np.array([HEAD_FORWARD * body.head_m, body.head_m, 0.0])
    xiphion, omphalion = on_axis(body.xiphion_m), on_axis(body.omphalion_m)
    middle = segment("torso", kg["middle_trunk"], shares["middle_trunk"], xiphion, omphalion)
    head = segment("head", kg["head"], shares["head"], vertex, neck)
    upper = segment("torso", kg["upper_trunk"], shares["upper_trunk"], on_axis(body.cervicale_m), xiphion)
    lower = segment("pelvis", kg["lower_trunk"], shares["lower_trunk"], omphalion, hip)
    parts = slabs(middle, xiphion, omphalion, at)
    return [head, joint_inertial(upper, parts[-1]), lower, *parts[:-1]]


def slabs(middle: Inertial, top: Vector, bottom: Vector, at: dict[str, Vector]) -> list[Inertial]:
    """The middle trunk, from `top` to `bottom` (m; axis: forward, up, right), cut at the lumbar joints: five vertebrae,
    the abdomen's frame, and what belongs to the chest.
    """
    height = top[1] - bottom[1]
    joints = [float(at[bone][1]) for bone in VERTEBRAE]
    cuts = np.clip([joints[0], *joints[1:], 2 * joints[4] - joints[3], top[1]], bottom[1], top[1])
    cuts[0] = bottom[1]
    parts = np.maximum(np.diff(cuts) / height, LEAST_PART)
    parts = np.append(parts, SMALL_PARTS["Abdomen"])
    parts /= parts.sum()
    middles = np.append((cuts[1:] + cuts[:-1]) / 2, middle.centre[1])
    centres = [bottom + (top - bottom) * (y - bottom[1]) / height for y in middles]
    shift = middle.centre - sum((part * centre for part, centre in zip(parts, centres, strict=True)), np.zeros(3))
    plane = middle.moments_kgm2[[0, 2]] - middle.mass_kg * height**2 / 12  # of a thin slab, about forward and right
    bones = (*VERTEBRAE, "torso", "Abdomen")
    pieces = []
    for bone, part, centre in zip(bones, parts, centres, strict=True):
        across = part * (plane + middle.mass_kg * (part * height) ** 2 / 12)
        about_up = min(part * middle.moments_kgm2[1], across.sum())  # no body turns harder than its two others together
        moments = np.array([across[0], about_up, across[1]])
        pieces.append(Inertial(bone=bone, mass_kg=middle.mass_kg * part, centre=centre + shift, moments_kgm2=moments))
    return [*(one for one in pieces if one.bone != "torso"), *(one for one in pieces if one.bone == "torso")]


def joint_inertial(one: Inertial, other: Inertial) -> Inertial:
    """Two inertials of one bone as one; their centres lie above each other, so products of inertia are left out."""
    kg = one.mass_kg + other.mass_kg
    centre = (one.mass_kg * one.centre + other.mass_kg * other.centre) / kg
    moments = one.moments_kgm2 + other.moments_kgm2
    for part in (one, other):
        off = part.centre - centre
        moments = moments + part.mass_kg * (off @ off - off**2)
    return Inertial(bone=one.bone, mass_kg=kg, centre=centre, moments_kgm2=moments)


def add_inertials(tree: Element, masses: list[Inertial], at: dict[str, Vector]) -> None:
    """Write the masses into the tree, each from its bone's frame in `at` (m; axis: forward, up, right); bones without
    any (root, sacrum) stay massless.
    """
    by_bone = {one.bone: one for one in masses}
    for bone in tree.iter("body"):
        name = bone.get("name", "")
        if name in by_bone:
            one = by_bone[name]
            pos, moments = words(list(one.centre - at[name])), words(list(one.moments_kgm2))
            bone.insert(0, Element("inertial", mass=repr(float(one.mass_kg)), pos=pos, diaginertia=moments))
