"""How far a body is from tipping: its centre of mass, at rest or moving, against the edge of its support."""

from collections.abc import Sequence

import numpy as np

from everyrung.body.configuration import Configuration
from everyrung.body.contacts import Contact, HeldLoad, centre_with
from everyrung.body.coordinates import Array
from everyrung.body.inverse_dynamics import GRAVITY
from everyrung.terms.demand import Balance

BEARING = 0.7  # chosen, because what pushes up at more than about 45 degrees bears weight


def balance(
    configuration: Configuration, contacts: Sequence[Contact], held: Sequence[HeldLoad], velocity: Array
) -> Balance | None:
    """The margins of a pose whose independent coordinates move at `velocity`; None when nothing bears from below.

    The extrapolated centre of mass is x + v / sqrt(g / l), l its height above the support: Hof, Gazendam and Sinke
    2005, J Biomech 38:1, from memory.
    """
    bearing = [configuration.point(point) for one in contacts if one.normal[2] > BEARING for point in one.points]
    if not bearing:
        return None
    centre, slope = centre_with(configuration, held)
    moves = slope @ velocity
    edge = convex_hull(np.array(bearing)[:, :2])
    height = max(centre[2] - min(point[2] for point in bearing), 0.0)
    ahead = centre[:2] + moves[:2] * np.sqrt(height / GRAVITY)
    sideways = min(signed_distance(ahead, edge), 0.0) or min(lateral_margin(ahead, edge, sign) for sign in (-1.0, 1.0))
    return Balance(
        still_m=signed_distance(centre[:2], edge), moving_m=signed_distance(ahead, edge), sideways_m=sideways
    )


def lateral_margin(point: Array, corners: Array, sign: float) -> float:
    """How far (m) from a point inside a polygon its edge is to the left (sign 1) or right (-1) of a standing body."""
    ends, found = np.roll(corners, -1, axis=0), [0.0]
    for start, end in zip(corners, ends, strict=True):
        low, high = sorted((start[1], end[1]))
        if low <= point[1] <= high and high > low:
            share = (point[1] - start[1]) / (end[1] - start[1])
            found.append(sign * (start[0] + share * (end[0] - start[0]) - point[0]))
    return float(max(found))


def convex_hull(points: Array) -> Array:
    """The corners of the smallest convex polygon around points (rows: x, y), anticlockwise."""
    ordered = sorted({(float(x), float(y)) for x, y in points})
    if len(ordered) < 3:
        return np.array(ordered)
    lower, upper = _chain(ordered), _chain(ordered[::-1])
    return np.array(lower[:-1] + upper[:-1])


def _chain(ordered: list[tuple[float, float]]) -> list[tuple[float, float]]:
    chain: list[tuple[float, float]] = []
    for point in ordered:
        while len(chain) > 1 and _turn(chain[-2], chain[-1], point) <= 0:
            chain.pop()
        chain.append(point)
    return chain


def _turn(start: tuple[float, float], corner: tuple[float, float], end: tuple[float, float]) -> float:
    """Above zero when the way from start over corner to end turns left."""
    return (corner[0] - start[0]) * (end[1] - start[1]) - (corner[1] - start[1]) * (end[0] - start[0])


def signed_distance(point: Array, corners: Array) -> float:
    """How far (m) a point lies inside a polygon's edge; below zero, how far outside. A line has no inside."""
    ends = np.roll(corners, -1, axis=0)
    along = ends - corners
    lengths = np.maximum((along**2).sum(axis=1), 1e-18)  # one lone corner: no division by zero
    way = np.clip(((point - corners) * along).sum(axis=1) / lengths, 0.0, 1.0)
    distance = float(np.linalg.norm(corners + way[:, None] * along - point, axis=1).min())
    lefts = along[:, 0] * (point - corners)[:, 1] - along[:, 1] * (point - corners)[:, 0]
    return distance if len(corners) > 2 and (lefts > 0).all() else -distance
