"""The words of a pose file for the body: parts that touch something, lines, angles; each for a working side."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from typing import NoReturn

import numpy as np

from everyrung.body.coordinates import Array, coordinate_names
from everyrung.terms.enums import Side
from everyrung.terms.errors import Invalid, nearest
from everyrung.terms.pose import Line, Push

FORWARD, UP = np.array([0.0, -1.0, 0.0]), np.array([0.0, 0.0, 1.0])
OUT = {Side.LEFT: np.array([1.0, 0.0, 0.0]), Side.RIGHT: np.array([-1.0, 0.0, 0.0])}


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """The points by which a part touches, each with its share of the part's weight when it stands evenly; `pad_m` is
    the flesh between these points and the support."""

    points: tuple[tuple[str, float], ...]
    pad_m: float = 0.0


def part(*points: str, pad_m: float = 0.0) -> Part:
    """A part that bears evenly on all of its points.

    >>> part("elbow_tip", "wrist").points
    (('elbow_tip', 0.5), ('wrist', 0.5))
    """
    return Part(points=tuple((name, 1 / len(points)) for name in points), pad_m=pad_m)


SOLE = "foot"
# Sided parts; their points get the side. A foot bears half its weight on the heel: the middle of the sole.
SIDED_PARTS = {
    SOLE: Part(points=(("heel", 0.5), ("ball_inner", 0.25), ("ball_outer", 0.25))),
    "ball": part("ball_inner", "ball_outer"),
    "toes": Part(points=(("ball_inner", 0.35), ("ball_outer", 0.35), ("toe", 0.3))),
    "toe_tip": part("toe"),
    "heel": part("heel_back"),
    "instep": part("instep", "toe"),
    "laces": part("instep"),
    "knee": part("knee_front"),
    "hand": part("wrist", pad_m=0.04),  # chosen, because the heel of the hand is about so thick below the wrist
    "palm": part("palm"),
    "forearm": part("elbow_tip", "wrist"),
    "elbow": part("elbow_tip"),
    "seat": part("seat"),
    "buttock": part("buttock"),
    "shoulder": part("shoulder_back", pad_m=0.03),  # chosen, because the ribs stand back so far between the shoulders
    "hip_side": part("hip_side"),
    "shoulder_side": part("shoulder_side"),
    "foot_outside": part("ball_outer", "heel"),
    "foot_inside": part("ball_inner", "heel"),
}
MIDDLE_PARTS = {
    "head": part("head_back"),
    "upper_back": part("upper_back"),
    "lower_back": part("lumbar"),
    "sacrum": part("sacrum"),
    "belly": part("pelvis_front"),
    "chest": part("chest_front"),
}
SIDED_LINES = {
    "thigh": ("hip", "knee"),
    "shank": ("knee", "ankle"),
    "leg": ("hip", "ankle"),
    "foot": ("heel", "ball"),
    "upper_arm": ("shoulder", "elbow"),
    "forearm": ("elbow", "wrist"),
    "arm": ("shoulder", "wrist"),
}
MIDDLE_LINES = {"trunk": ("pelvis", "neck"), "back": ("lumbar", "neck"), "head": ("neck", "head_top")}
ACROSS_LINES = {"hips": "hip", "shoulders": "shoulder"}  # from the other side to the working one
TURNS = {"trunk_turn": ("trunk_turn_left", Side.LEFT), "trunk_bend": ("trunk_bend_right", Side.RIGHT)}


def sides(name: str, names: Iterable[str], working: Side) -> tuple[tuple[str, Side], ...]:
    """A written name as its bare name and the sides it means; nothing for one that is not known.

    >>> sides("foot_working", ["foot"], Side.LEFT)
    (('foot', <Side.LEFT: 'left'>),)
    >>> [bare for bare, _ in sides("foot", ["foot"], Side.LEFT)], sides("fin", ["foot"], Side.LEFT)
    (['foot', 'foot'], ())
    """
    names = set(names)
    for tag, side in (("_working", working), ("_other", working.other)):
        if name.endswith(tag) and name.removesuffix(tag) in names:
            return ((name.removesuffix(tag), side),)
    return tuple((name, side) for side in (Side.LEFT, Side.RIGHT)) if name in names else ()


@cache
def parts(name: str, working: Side) -> tuple[tuple[str, Part, Side], ...]:
    """The parts that a written name means: their names with the side, and the side (BOTH for the middle). Raises
    Invalid for a name that no part has.

    >>> [name for name, _, _ in parts("foot", Side.RIGHT)], parts("belly", Side.RIGHT)[0][1].points
    (['foot_left', 'foot_right'], (('pelvis_front', 1.0),))
    """
    if name in MIDDLE_PARTS:
        return ((name, MIDDLE_PARTS[name], Side.BOTH),)
    sided_parts = tuple(
        (f"{bare}_{side}", _sided(SIDED_PARTS[bare], side), side) for bare, side in sides(name, SIDED_PARTS, working)
    )
    return sided_parts or _refuse("part of the body", name, (*MIDDLE_PARTS, *_names(SIDED_PARTS)))


def _sided(one: Part, side: Side) -> Part:
    return Part(points=tuple((f"{name}_{side}", share) for name, share in one.points), pad_m=one.pad_m)


@cache
def lines(name: str, working: Side) -> tuple[tuple[str, str, Side], ...]:
    """The lines that a written name means: from which landmark to which, and whose side is `out`. Raises Invalid for a
    name that no line has.

    >>> lines("hips", Side.LEFT)
    (('hip_right', 'hip_left', <Side.LEFT: 'left'>),)
    """
    if name in MIDDLE_LINES:
        return ((*MIDDLE_LINES[name], working),)
    if name in ACROSS_LINES:
        point = ACROSS_LINES[name]
        return ((f"{point}_{working.other}", f"{point}_{working}", working),)
    sided_lines = tuple(
        (f"{start}_{side}", f"{end}_{side}", side)
        for bare, side in sides(name, SIDED_LINES, working)
        for start, end in [SIDED_LINES[bare]]
    )
    return sided_lines or _refuse("line of the body", name, (*MIDDLE_LINES, *ACROSS_LINES, *_names(SIDED_LINES)))


@cache
def angles(name: str, working: Side) -> tuple[tuple[str, float], ...]:
    """The coordinates that a written name means, each with its sign as a factor. Turn and bend go towards the working
    side. Raises Invalid for a name that no angle has.

    >>> angles("trunk_turn", Side.RIGHT), angles("knee_flexion_working", Side.RIGHT)
    ((('trunk_turn_left', -1.0),), (('knee_flexion_right', 1.0),))
    """
    if name in TURNS:
        coordinate, positive = TURNS[name]
        return ((coordinate, 1.0 if working is positive else -1.0),)
    names = coordinate_names()
    bare = {each.rsplit("_", 1)[0] for each in names if each.endswith("_left")} - {"trunk_turn"}
    if name in names and name.rsplit("_", 1)[0] not in bare:
        return ((name, 1.0),)
    coordinates = tuple((f"{each}_{side}", 1.0) for each, side in sides(name, bare, working))
    return coordinates or _refuse("angle", name, (*TURNS, "trunk_flexion", "neck_flexion", *_names(bare)))


@cache
def points(name: str, landmarks: frozenset[str], working: Side) -> tuple[tuple[str, Side], ...]:
    """The landmarks that a written name means: of one side, of both, or of the middle. Raises Invalid for a name that
    no point has.
    """
    if name in landmarks:
        return ((name, working),)
    bare = {each.rsplit("_", 1)[0] for each in landmarks if each.endswith("_left")}
    sided_points = tuple((f"{each}_{side}", side) for each, side in sides(name, bare, working))
    middle = [each for each in sorted(landmarks) if not each.endswith(("_left", "_right"))]
    return sided_points or _refuse("point of the body", name, (*middle, *_names(bare)))


def sole_at(one: Part, ahead: float) -> Part:
    """A sole with `ahead` of its weight taken from the heel to the ball, evenly to both of its edges.

    >>> sole_at(SIDED_PARTS["foot"], 0.2).points
    (('heel', 0.3), ('ball_inner', 0.35), ('ball_outer', 0.35))
    """
    (heel, behind), *balls = one.points
    return Part(points=((heel, behind - ahead), *((name, part + ahead / len(balls)) for name, part in balls)))


def direction(line: Line, side: Side, depth: float, pitched_deg: float = 0.0) -> Array:
    """The unit vector of a line's direction at a depth (axis: xyz, world axes), pitched forward by some degrees more.

    >>> from everyrung.terms.pose import Span
    >>> level = Line(pitch=Span(rest=90, full=90), out=Span(rest=0, full=0))
    >>> direction(level, Side.LEFT, 0.0).round(9).tolist()
    [0.0, -1.0, 0.0]
    """
    pitch, out = np.radians(line.pitch.at(depth) + pitched_deg), np.radians(line.out.at(depth))
    vector: Array = np.cos(out) * (np.sin(pitch) * FORWARD + np.cos(pitch) * UP) + np.sin(out) * OUT[side]
    return vector


def push_direction(push: Push, side: Side) -> Array:
    """The unit vector along which a support pushes a part of this side (axis: xyz, world axes).

    >>> push_direction(Push.BACK, Side.LEFT).tolist()
    [-0.0, 1.0, -0.0]
    """
    if push is Push.IN:
        return -OUT[side]
    return {Push.UP: UP, Push.FORWARD: FORWARD, Push.BACK: -FORWARD}[push]


def _names(bare_names: Iterable[str]) -> tuple[str, ...]:
    return tuple(f"{name}{tag}" for name in sorted(bare_names) for tag in ("", "_working", "_other"))


def _refuse(what: str, name: str, names: tuple[str, ...]) -> NoReturn:
    raise Invalid(what, f"a known {what}", name, nearest=nearest(name, names), remedy="See docs/pose-file.md.")
