"""What a rung is about is seen: a load behind the body, and the hand that holds it, are drawn through it in dashes."""

from collections.abc import Iterator, Sequence
from math import dist

from everyrung.publish.figure.anatomy import arm
from everyrung.publish.figure.layers import Layer, Outline, body_layers, ordered, prop_layers
from everyrung.publish.figure.projection import Flat, View
from everyrung.publish.figure.strokes import outline
from everyrung.publish.figure.vectors import between
from everyrung.terms.figure import Prop, PropKind, Skeleton

HIDDEN = 0.4  # of the load's rim; chosen, because of a dumbbell one head has to be seen, and its handle
IN_HAND_M = 0.12  # chosen, because a grip is no farther from the middle of what it holds
NEAREST_M = -1000.0  # over everything


def layers_of(body: Skeleton, props: Sequence[Prop], view: View) -> list[Layer]:
    """Everything from far to near, and over it what would be hidden though the rung is about it."""
    layers = ordered([*body_layers(body, view, props), *prop_layers(props, view)])
    return [*layers, *(_dashed(body, load, view) for load in loads(props) if hidden(layers, load, view))]


def loads(props: Sequence[Prop]) -> Iterator[Prop]:
    """What is held."""
    return (prop for prop in props if prop.kind is PropKind.DUMBBELL)


def hidden(layers: Sequence[Layer], load: Prop, view: View) -> bool:
    """Whether nearer layers cover too much of a load."""
    own = prop_layers([load], view)
    depth = own[0].depth_m
    rim = [flat for layer in own for one in layer.outlines for flat in one.flats]
    before = [
        one.flats
        for layer in layers
        if layer.depth_m < depth - 1e-6 and layer.name != load.kind
        for one in layer.outlines
    ]
    covered = sum(any(_inside(flat, flats) for flats in before) for flat in rim)
    return covered > HIDDEN * len(rim)


def holding(body: Skeleton, load: Prop) -> list[str]:
    """The sides whose hand is at the load."""
    middle = between(load.at, load.to or load.at)
    return [side for side in ("left", "right") if dist(body[f"grip_{side}"], middle) <= IN_HAND_M]


def _dashed(body: Skeleton, load: Prop, view: View) -> Layer:
    rims = [
        Outline(name=load.kind, flats=one.flats, ink="through")
        for layer in prop_layers([load], view)
        for one in layer.outlines
    ]
    hands = [
        Outline(name="hand", flats=outline(arm(body, side)[f"hand_{side}"], view), ink="through")
        for side in holding(body, load)
    ]
    return Layer(name="through", depth_m=NEAREST_M, outlines=[*hands, *rims])


def _inside(flat: Flat, corners: Sequence[Flat]) -> bool:
    """Whether a point is inside a convex outline, whichever way it goes round."""
    sides = [
        (x1 - x0) * (flat[1] - y0) - (y1 - y0) * (flat[0] - x0)
        for (x0, y0), (x1, y1) in zip(corners, [*corners[1:], corners[0]], strict=True)
    ]
    return len(corners) > 2 and (min(sides) >= 0 or max(sides) <= 0)
