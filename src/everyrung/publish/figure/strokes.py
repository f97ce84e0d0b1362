"""Shapes of ink: the outline round a few circles is a tapered limb, a wedge of a foot or a trunk."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import cos, pi, sin

from everyrung.publish.figure.projection import Flat, View
from everyrung.score.marks import num
from everyrung.terms.figure import Point3

ROUND = 28  # chosen, because corners of so many sides are below a tenth of a millimetre at a hand's breadth


@dataclass(frozen=True, slots=True, kw_only=True)
class Blob:
    """A sphere of flesh: its middle and radius in m."""

    at: Point3
    radius_m: float


def blob(at: Point3, radius_m: float) -> Blob:
    return Blob(at=at, radius_m=radius_m)


def outline(blobs: Iterable[Blob], view: View, slimmer: float = 1.0) -> list[Flat]:
    """The convex outline round the blobs as seen, m; `slimmer` times their radii."""
    rim: list[Flat] = []
    for one in blobs:
        x, y = view.flat(one.at)
        radius = one.radius_m * slimmer
        rim += [(x + radius * cos(turn), y + radius * sin(turn)) for turn in _TURNS]
    return convex(rim)


_TURNS = [2 * pi * at / ROUND for at in range(ROUND)]


def convex(flats: Iterable[Flat]) -> list[Flat]:
    """The corners of the convex hull, going round (Andrew's monotone chain)."""
    ordered = sorted(set(flats))
    return _half(ordered) + _half(ordered[::-1]) if len(ordered) > 2 else ordered


def _half(ordered: Sequence[Flat]) -> list[Flat]:
    kept: list[Flat] = []
    for flat in ordered:
        while len(kept) > 1 and _turn(kept[-2], kept[-1], flat) <= 1e-12:
            kept.pop()
        kept.append(flat)
    return kept[:-1]


def _turn(one: Flat, two: Flat, three: Flat) -> float:
    return (two[0] - one[0]) * (three[1] - one[1]) - (two[1] - one[1]) * (three[0] - one[0])


def path(flats: Sequence[Flat], *, closed: bool = True) -> str:
    """SVG path data through the points, which are in mm on paper; steps too short to be seen are left out."""
    shown = [f"{num(x)} {num(y)}" for x, y in flats]
    kept = shown[:1] + [after for before, after in pairwise(shown) if after != before]
    return "M" + "L".join(kept) + ("Z" if closed else "")
