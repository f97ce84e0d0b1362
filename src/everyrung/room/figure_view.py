"""What of a figure others look at through one repetition: head, hands, body, feet and kit, and where the face looks.

Places are measured from the figure's middle at the start, m: to its right, to its front, up.
"""

from collections.abc import Iterator

from everyrung.terms.brief import Brief
from everyrung.terms.demand import Drawing, DrawnProp, RungMotion
from everyrung.terms.enums import Sidedness
from everyrung.terms.figure import Point3 as Place
from everyrung.terms.figure import PropKind
from everyrung.terms.frozen import dataclass
from everyrung.terms.move import Rung

HEAD, HANDS, BODY, FEET, KIT = PARTS = ("head", "hands", "body", "feet", "kit")
_BY_NAME = {
    "head": HEAD, "head_top": HEAD, "head_back": HEAD,
    **{f"{each}_{side}": part for side in ("left", "right") for part, names in (
        (HANDS, ("wrist", "palm", "fingertip")), (BODY, ("shoulder", "hip_side", "knee")), (FEET, ("heel", "toe")),
    ) for each in names},
}  # fmt: skip
_MOVABLE = (PropKind.BALL, PropKind.DUMBBELL, PropKind.KETTLEBELL)  # what is shown as kit; walls, mats and chairs stay


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class FigureView(Brief):
    """Points of one rung by pose, each with its part; and in which way the face looks in each pose, from where."""

    poses: tuple[tuple[tuple[str, Place], ...], ...]
    faces: tuple[tuple[Place, Place], ...]


def figure_view(rung: Rung, motion: RungMotion) -> FigureView:
    """Of a rung from its motion; of a one-sided one, worked to both sides."""
    x, y, _ = dict(motion.poses[0].points)["pelvis"]
    poses = [tuple(_parts(pose, x, y)) for pose in motion.poses]
    faces = [_face(pose, x, y) for pose in motion.poses]
    if rung.form.sides is not Sidedness.BOTH:
        poses += [tuple((part, _mirror(at)) for part, at in pose) for pose in poses]
        faces += [(_mirror(at), _mirror(way)) for at, way in faces]
    return FigureView(poses=tuple(poses), faces=tuple(faces))


def _parts(pose: Drawing, x: float, y: float) -> Iterator[tuple[str, Place]]:
    for name, at in pose.points:
        if name in _BY_NAME:
            yield _BY_NAME[name], _from_middle(at, x, y)
    for prop in pose.things:
        if prop.kind in _MOVABLE:
            yield from ((KIT, _from_middle(at, x, y)) for at in _edges(prop))


def _edges(prop: DrawnProp) -> Iterator[Place]:
    """A ball's edges all round; both ends of what is held."""
    (x, y, z), half = prop.at, prop.size_m / 2
    if prop.kind == PropKind.BALL:
        yield from (
            (x - half, y, z),
            (x + half, y, z),
            (x, y - half, z),
            (x, y + half, z),
            (x, y, z - half),
            (x, y, z + half),
        )
    else:
        yield prop.at
        if prop.to is not None:
            yield prop.to


def _from_middle(at: Place, x: float, y: float) -> Place:
    """A figure faces down its y axis, with its right hand down the x axis."""
    return x - at[0], y - at[1], at[2]


def _mirror(at: Place) -> Place:
    return -at[0], at[1], at[2]


def _face(pose: Drawing, x: float, y: float) -> tuple[Place, Place]:
    """Where the middle of the head is, and the way it looks: from its back to its middle, at a right angle to its
    length.
    """
    points = dict(pose.points)
    head, back, top = (_from_middle(points[name], x, y) for name in ("head", "head_back", "head_top"))
    ahead, up = ([b - a for a, b in zip(one, other, strict=True)] for one, other in ((back, head), (head, top)))
    lift = sum(a * b for a, b in zip(ahead, up, strict=True)) / sum(each * each for each in up)
    right, front, rise = (a - lift * b for a, b in zip(ahead, up, strict=True))
    return head, (right, front, rise)
