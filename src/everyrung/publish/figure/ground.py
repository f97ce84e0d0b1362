"""The floor under a figure: where it is drawn, and which leg a step hides."""

from collections.abc import Sequence

from everyrung.publish.figure.geometry import Flat, View, convex
from everyrung.publish.figure.props import shapes
from everyrung.terms.figure import Point3, Prop, PropKind, Skeleton

LOW_M = 0.25  # chosen, because what is lower casts its place on the floor
MARGIN_M = 0.10  # chosen by eye


def floor_corners(body: Skeleton, props: Sequence[Prop], view: View) -> list[Flat]:
    """The patch of floor under body and props as seen, m: two ends when seen level; nothing when no floor is given."""
    floors = [prop.at[2] for prop in props if prop.kind is PropKind.FLOOR]
    if not floors:
        return []
    height = floors[0]
    low = [place for place in _places(body, props) if place[2] < height + LOW_M] or [body["pelvis"]]
    xs, ys = [place[0] for place in low], [place[1] for place in low]
    corners = [
        view.flat((x, y, height))
        for x in (min(xs) - MARGIN_M, max(xs) + MARGIN_M)
        for y in (min(ys) - MARGIN_M, max(ys) + MARGIN_M)
    ]
    if view.above_deg == 0:
        return [min(corners), max(corners)]
    return convex(corners)


def _places(body: Skeleton, props: Sequence[Prop]) -> list[Point3]:
    things = [blob.at for prop in props if prop.to is None for shape in shapes(prop) for blob in shape.blobs]
    return [*body.points.values(), *things]


def behind_step(body: Skeleton, limb: str, props: Sequence[Prop], view: View) -> bool:
    """Whether this leg stands on the floor behind a step."""
    part, side = limb.split("_")
    if part != "leg":
        return False
    toe, ankle = body[f"toe_{side}"], body[f"ankle_{side}"]
    return any(
        prop.kind is PropKind.STEP and toe[2] < prop.at[2] + prop.size_m / 2 and view.depth(ankle) > view.depth(prop.at)
        for prop in props
    )
