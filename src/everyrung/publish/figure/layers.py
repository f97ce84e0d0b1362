"""What is drawn over what: one figure as layers of outlines from far to near, and what is seen through them."""

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import dist

import numpy as np
from numpy.typing import NDArray

from everyrung.publish.figure.anatomy import Limb, arm, eyes, face, hair, head_of, limbs, nose, nose_is_hidden, trunk
from everyrung.publish.figure.geometry import Flat, Floats, View, between, outline
from everyrung.publish.figure.props import behind_step, shapes
from everyrung.terms.figure import LOADS, Prop, PropKind, Skeleton

FAR_SLIMMER = 0.82  # chosen, because a fifth is seen at 2 cm and still leaves a limb
LIMB_NEARER_M = 0.03  # chosen, because a limb beside the trunk is drawn over it
HEAD_NEARER_M = 0.15  # chosen, because the head lies over the neck unless the body lies feet first
HELD_NEARER_M = 0.06  # chosen, because what is held is drawn over the hand that holds it
BALL_FARTHER_M = 0.02  # chosen, because who leans or sits on a ball is drawn over it
BEHIND_M = 50.0  # chosen, because large things stand behind the body, whatever their middle's depth


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline:
    """One closed outline, m, and how it is inked: 'ink' and 'far' are filled, 'paper' is an ink line round paper, 'rim'
    a line with nothing in it: a ball held before the face would else leave a figure without a head.
    """

    name: str
    flats: list[Flat]
    ink: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """Outlines in one depth that flow into one another; `line` is an open stroke on top of them, `dots` are eyes."""

    name: str
    depth_m: float
    outlines: list[Outline]
    line: list[Flat] | None = None
    dots: tuple[Flat, ...] = ()


def body_layers(body: Skeleton, view: View, props: Sequence[Prop] = ()) -> list[Layer]:
    """Limbs, trunk and head, unsorted; a leg that a step stands before goes behind it."""
    middle = [Outline(name="trunk", flats=outline(piece, view), ink="paper") for piece in trunk(body)]
    depth = (view.depth(body["pelvis"]) + view.depth(body["neck"])) / 2
    layers = []
    for limb in limbs(body, view):
        hidden = behind_step(body, limb.name, props, view)
        layers.append(_limb(limb, view, 2 * BEHIND_M if hidden else -LIMB_NEARER_M))
    return [*layers, Layer(name="trunk", depth_m=depth, outlines=middle), _head(body, view)]


def prop_layers(props: Iterable[Prop], view: View) -> list[Layer]:
    """A layer for each piece of each thing, for the pieces do not flow together."""
    result = []
    for prop in props:
        in_hand, ball = prop.to is not None, prop.kind is PropKind.BALL
        depth = view.depth(prop.at) if not in_hand else (view.depth(prop.at) + view.depth(prop.to or prop.at)) / 2
        for shape in shapes(prop):
            how = "rim" if ball else "ink" if shape.solid else "paper"
            line = Outline(name=prop.kind, flats=outline(shape.blobs, view), ink=how)
            where = depth - HELD_NEARER_M if in_hand else depth + (BALL_FARTHER_M if ball else BEHIND_M)
            where += 2 * BEHIND_M if prop.kind in (PropKind.WALL, PropKind.MAT) else 0.0
            result.append(Layer(name=prop.kind, depth_m=where, outlines=[line]))
    return result


def in_drawing_order(layers: Iterable[Layer]) -> list[Layer]:
    """Far to near; layers equally far stay in the order given."""
    return sorted(layers, key=lambda layer: -round(layer.depth_m, 3))


def _limb(limb: Limb, view: View, farther_m: float) -> Layer:
    slimmer, ink = (FAR_SLIMMER, "far") if limb.far else (1.0, "ink")
    pieces = [Outline(name=name, flats=outline(blobs, view, slimmer), ink=ink) for name, blobs in limb.pieces.items()]
    return Layer(name=limb.name, depth_m=limb.depth_m + farther_m, outlines=pieces)


def _head(body: Skeleton, view: View) -> Layer:
    head = head_of(body)
    skull = Outline(name="head", flats=face(head, view), ink="paper")
    cap = Outline(name="hair", flats=hair(head, view), ink="ink")
    line = None if nose_is_hidden(head, view) else nose(head, view)
    return Layer(
        name="head",
        depth_m=view.depth(head.at) - HEAD_NEARER_M,
        outlines=[skull, cap],
        line=line,
        dots=tuple(eyes(head, view)),
    )


HIDDEN = 0.4  # of the load; chosen, because of a dumbbell one head has to be seen, and its handle
HAND_HIDDEN = 0.8  # of a hand; chosen, because a fifth of a hand is still read as one
RINGS = (0.5, 0.866)  # of an outline's size: each stands for half of its area
IN_HAND_M = 0.12  # chosen, because a grip is no farther from the middle of what it holds
NEAREST_M = -1000.0  # over everything
BodyAndProps = tuple[Skeleton, Sequence[Prop]]


def layers_of(body: Skeleton, props: Sequence[Prop], view: View, through: Collection[int] | None = None) -> list[Layer]:
    """Everything from far to near, and over it what would be hidden though the rung is about it.

    `through`: numbers of the loads that are drawn so, as a whole motion decides; without it this pose decides.
    """
    layers, weights = _layers(body, props, view), list(loads(props))
    numbers = _unseen(layers, body, weights, view) if through is None and weights else through or ()
    return [*layers, *(_outlines_through(body, weights[number], view) for number in sorted(numbers))]


def drawn_through(poses: Sequence[BodyAndProps], view: View) -> dict[int, list[str]]:
    """Numbers of the loads that are hidden in some pose of a motion, and the sides of the hands that hold them."""
    result: dict[int, list[str]] = {}
    for body, props in poses:
        weights = list(loads(props))
        if not weights:
            continue
        for number in _unseen(_layers(body, props, view), body, weights, view):
            result.setdefault(number, holding(body, weights[number]))
    return result


def loads(props: Sequence[Prop]) -> Iterator[Prop]:
    """What is held."""
    return (prop for prop in props if prop.kind in LOADS)


def hidden(layers: Sequence[Layer], load: Prop, view: View) -> bool:
    """Whether nearer layers cover too much of a load."""
    own = prop_layers([load], view)
    spots = [spot for layer in own for one in layer.outlines for spot in _spots(one.flats)]
    return _cover_share(spots, layers, own[0].depth_m) > HIDDEN


def _layers(body: Skeleton, props: Sequence[Prop], view: View) -> list[Layer]:
    return in_drawing_order([*body_layers(body, view, props), *prop_layers(props, view)])


def _unseen(layers: Sequence[Layer], body: Skeleton, weights: Sequence[Prop], view: View) -> list[int]:
    """Hidden loads; all of them where no hand that holds one is seen."""
    hands = {f"hand_{side}" for load in weights for side in holding(body, load)}
    no_hand = bool(hands) and all(
        _cover_share(_spots(one.flats), layers, layer.depth_m) > HAND_HIDDEN
        for layer in layers
        for one in layer.outlines
        if one.name in hands
    )
    return [number for number, load in enumerate(weights) if no_hand or hidden(layers, load, view)]


def _spots(flats: Sequence[Flat]) -> list[Flat]:
    """Places spread over the area of an outline."""
    middle = (sum(x for x, _ in flats) / len(flats), sum(y for _, y in flats) / len(flats))
    return [
        (middle[0] + ring * (x - middle[0]), middle[1] + ring * (y - middle[1])) for ring in RINGS for x, y in flats
    ]


def _cover_share(spots: Sequence[Flat], layers: Sequence[Layer], depth_m: float) -> float:
    """The share of these places that nearer parts of the body cover. A load never hides its own hand."""
    before = [
        one.flats
        for layer in layers
        if layer.depth_m < depth_m - 1e-6 and layer.name not in LOADS
        for one in layer.outlines
    ]
    bare = np.array(spots)
    for flats in before:
        bare = bare[~_inside(bare, flats)]
    return 1 - len(bare) / len(spots)


def holding(body: Skeleton, load: Prop) -> list[str]:
    """The sides whose hand is at the load."""
    middle = between(load.at, load.to or load.at)
    return [side for side in ("left", "right") if dist(body[f"grip_{side}"], middle) <= IN_HAND_M]


def _outlines_through(body: Skeleton, load: Prop, view: View) -> Layer:
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


def _inside(spots: Floats, corners: Sequence[Flat]) -> NDArray[np.bool_]:
    """Which points (point; right, down) are inside a convex outline, whichever way it goes round."""
    if len(corners) < 3:
        return np.zeros(len(spots), dtype=bool)
    start = np.array(corners)
    along, off = np.roll(start, -1, axis=0) - start, spots[:, np.newaxis, :] - start
    sides = along[:, 0] * off[..., 1] - along[:, 1] * off[..., 0]
    inside: NDArray[np.bool_] = (sides >= 0).all(axis=1) | (sides <= 0).all(axis=1)
    return inside
