"""A rung as a picture: at full depth with its start as a ghost, from the side or wherever it is clearer."""

from functools import lru_cache

from everyrung.publish.figure.clearance import settled
from everyrung.publish.figure.draw import Picture, Pose, figure_svg, sequence_svg
from everyrung.publish.figure.geometry import FRONT, SIDE, THREE_QUARTER, View
from everyrung.terms.demand import Drawing, DrawnProp, RungDrawing
from everyrung.terms.figure import Prop, PropKind, Skeleton
from everyrung.terms.move import Rung

DRAWINGS = 64  # kept, because a body and its things are asked for one after the other
VIEWS = {"side": SIDE, "front": FRONT, "three-quarter": THREE_QUARTER}


def rung_svg(rung: Rung, drawn: RungDrawing, *, height_mm: float = 40.0, view: View | None = None) -> str:
    """One picture of a rung: full depth, or the end of the extra there, the start dashed behind it; from where its
    move is clearest."""
    start = None if drawn.rest == drawn.full else skeleton(drawn.rest)
    shown = drawn.extra or drawn.full
    pose = Pose(body=skeleton(shown), props=props(shown), start=start)
    return figure_svg(pose, _picture(rung, height_mm, view or VIEWS[drawn.seen]))


def rep_svg(rung: Rung, drawn: RungDrawing, *, height_mm: float = 60.0) -> str:
    """A repetition from rest to full depth and the extra there, side by side; a hold as the one pose it is."""
    shown = [drawn.full] if drawn.rest == drawn.full else [drawn.rest, drawn.full]
    shown += [drawn.extra] if drawn.extra else []
    poses = [Pose(body=skeleton(each), props=props(each)) for each in shown]
    return sequence_svg(poses, _picture(rung, height_mm, VIEWS[drawn.seen]))


def _picture(rung: Rung, height_mm: float, view: View) -> Picture:
    return Picture(title=rung.name, view=view, height_mm=height_mm, max_width_mm=height_mm * 3.5)


def skeleton(drawing: Drawing) -> Skeleton:
    """The body as it is drawn, lying on what bears it."""
    return _settled(drawing)[0]


def props(drawing: Drawing) -> tuple[Prop, ...]:
    """The things as they are drawn, in the order of the drawing."""
    return _settled(drawing)[1]


@lru_cache(DRAWINGS)
def _settled(drawing: Drawing) -> tuple[Skeleton, tuple[Prop, ...]]:
    return settled(Skeleton(points=dict(drawing.points)), [_prop(thing) for thing in drawing.things])


def _prop(thing: DrawnProp) -> Prop:
    return Prop(kind=PropKind(thing.kind), at=thing.at, size_m=thing.size_m, to=thing.to, turn_deg=thing.turn_deg)
