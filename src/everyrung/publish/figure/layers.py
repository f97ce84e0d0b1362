"""What is drawn over what: one figure as layers of outlines from far to near."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from everyrung.publish.figure.anatomy import Limb, eyes, face, hair, head_of, limbs, nose, nose_is_hidden, trunk
from everyrung.publish.figure.geometry import Flat, View, outline
from everyrung.publish.figure.props import behind_step, shapes
from everyrung.terms.figure import Prop, PropKind, Skeleton

FAR_SLIMMER = 0.82  # chosen, because a fifth is seen at 2 cm and still leaves a limb
LIMB_NEARER_M = 0.03  # chosen, because a limb beside the trunk is drawn over it
HEAD_NEARER_M = 0.15  # chosen, because the head lies over the neck unless the body lies feet first
HELD_NEARER_M = 0.06  # chosen, because what is held is drawn over the hand that holds it
BALL_FARTHER_M = 0.02  # chosen, because who leans or sits on a ball is drawn over it
BEHIND_M = 50.0  # chosen, because large things stand behind the body, whatever their middle's depth


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline:
    """One closed outline, m, and how it is inked: 'ink' and 'far' are filled, 'paper' is an ink line round paper."""

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
    found = []
    for limb in limbs(body, view):
        hidden = behind_step(body, limb.name, props, view)
        found.append(_limb(limb, view, 2 * BEHIND_M if hidden else -LIMB_NEARER_M))
    return [*found, Layer(name="trunk", depth_m=depth, outlines=middle), _head(body, view)]


def prop_layers(props: Iterable[Prop], view: View) -> list[Layer]:
    """A layer for each piece of each thing, for the pieces do not flow together."""
    found = []
    for prop in props:
        held, ball = prop.to is not None, prop.kind is PropKind.BALL
        depth = view.depth(prop.at) if not held else (view.depth(prop.at) + view.depth(prop.to or prop.at)) / 2
        for shape in shapes(prop):
            made = Outline(name=prop.kind, flats=outline(shape.blobs, view), ink="ink" if shape.solid else "paper")
            where = depth - HELD_NEARER_M if held else depth + (BALL_FARTHER_M if ball else BEHIND_M)
            where += 2 * BEHIND_M if prop.kind in (PropKind.WALL, PropKind.MAT) else 0.0
            found.append(Layer(name=prop.kind, depth_m=where, outlines=[made]))
    return found


def ordered(layers: Iterable[Layer]) -> list[Layer]:
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
    shown = None if nose_is_hidden(head, view) else nose(head, view)
    return Layer(
        name="head",
        depth_m=view.depth(head.at) - HEAD_NEARER_M,
        outlines=[skull, cap],
        line=shown,
        dots=tuple(eyes(head, view)),
    )
