"""What is in the hands of a picture: bodies are solved with dumbbells; whoever takes a kettlebell is drawn with one."""

from dataclasses import replace

from everyrung.publish.figure.geometry import between, dot, length, plus, unit, way
from everyrung.terms.demand import Drawing, DrawnProp, RungDrawing, RungMotion
from everyrung.terms.enums import KitItem, Side
from everyrung.terms.figure import Point3, PropKind
from everyrung.terms.move import Rung

BELL_M, BELL_BELOW_M = 0.18, 0.16  # across, and under the grip; chosen, because bells of 8 to 12 kg are about so
STRAIGHT = 0.8  # cosine between upper arm and forearm; chosen, because a bell hangs in line with a nearly straight arm
IN_HAND_M = 0.25  # from a grip; chosen, because what two hands hold is between them, and what lies on the hips is not
DOWN: Point3 = (0.0, 0.0, -1.0)


def with_bell(rung: Rung) -> bool:
    """Whether a kettlebell is taken for the dumbbell that the form is solved with."""
    return any(need.item is KitItem.KETTLEBELL for need in rung.kit) and bool(rung.form.load.pieces)


def drawing_with_kit(rung: Rung, drawing: RungDrawing) -> RungDrawing:
    """The drawing with what the rung's kit says in hand."""
    if not with_bell(rung):
        return drawing
    extra = _with_bells(drawing.extra) if drawing.extra else None
    return replace(drawing, rest=_with_bells(drawing.rest), full=_with_bells(drawing.full), extra=extra)


def motion_with_kit(motion: RungMotion, *, bell: bool) -> RungMotion:
    """The motion with what is in hand, of a rung `with_bell` or without."""
    return replace(motion, poses=tuple(map(_with_bells, motion.poses))) if bell else motion


def _with_bells(pose: Drawing) -> Drawing:
    points = dict(pose.points)
    things = (_bell(points, each) if each.kind == PropKind.DUMBBELL else each for each in pose.things)
    return replace(pose, things=tuple(things))


def _bell(points: dict[str, Point3], bar: DrawnProp) -> DrawnProp:
    """In line with a straight arm, else straight under the hand; one that is laid down lies on its side."""
    middle = between(bar.at, bar.to or bar.at)
    grips = {side: points[f"grip_{side}"] for side in (Side.LEFT, Side.RIGHT)}
    side = min(grips, key=lambda each: length(way(grips[each], middle)))
    if length(way(grips[side], middle)) > IN_HAND_M:
        centre = plus(middle, DOWN, (bar.size_m - BELL_M) / 2)  # its lowest point where the dumbbell's was
        along = unit(way(bar.at, bar.to or bar.at))
        return DrawnProp(kind=PropKind.KETTLEBELL, at=plus(centre, along, BELL_BELOW_M), to=centre, size_m=BELL_M)
    shoulder, elbow, wrist = (points[f"{name}_{side}"] for name in ("shoulder", "elbow", "wrist"))
    upper, fore = unit(way(shoulder, elbow)), unit(way(elbow, wrist))
    hangs = fore if dot(upper, fore) > STRAIGHT else DOWN
    return DrawnProp(kind=PropKind.KETTLEBELL, at=middle, to=plus(middle, hangs, BELL_BELOW_M), size_m=BELL_M)
