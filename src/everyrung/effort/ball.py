"""Which ball: by purpose, from stature and mass, always as a range with the test that decides; and what it must bear.

The charts that people know are for sitting and presume a ball that is squashed. A ball between the back and a wall,
under the heels or overhead is not sat on: there smaller ones are used (common practice, no source), 45 to 55 cm for
average height, 65 only for the very tall.

A rated load has a reserve of its own: a ball is tested for an hour under 3.3 times its rated load, and 20,000 times
under the load itself (2 PfG 993/06.10, seen second-hand). That reserve is not counted on here (chosen, because those
are new balls).
"""

import math
from dataclasses import dataclass
from enum import StrEnum

from everyrung.tables.reader import read_table
from everyrung.terms.enums import Surface
from everyrung.terms.errors import require
from everyrung.terms.person import Own

BOUNDARY_CM = 4.0  # either side of a chart's limit; chosen, because ten charts put the same limit up to 8 cm apart
HEAVY_KG = 90.0  # chosen, because charts send heavier people to the next size without saying from when
MARGIN = 1.5  # times body and load; chosen, because sitting down and bouncing add half of it again
SAME_CM = 2.0  # chosen, because pumps and rulers differ by so much


class Purpose(StrEnum):
    """What the ball is there for."""

    WALL = "wall"
    HEELS = "heels"
    OVERHEAD = "overhead"
    SITTING = "sitting"


_PURPOSES = {
    Surface.BALL_WALL: Purpose.WALL,
    Surface.BALL_HEELS: Purpose.HEELS,
    Surface.BALL_FOOT: Purpose.HEELS,
    Surface.BALL_HANDS: Purpose.HEELS,
    Surface.BALL_BETWEEN: Purpose.OVERHEAD,
    Surface.BALL_FRONT: Purpose.OVERHEAD,
    Surface.BALL_OVERHEAD: Purpose.OVERHEAD,
    Surface.BALL_SEAT: Purpose.SITTING,
}
TESTS = {
    Purpose.SITTING: "sit test: feet flat, thighs level or sloping a little down",
    Purpose.WALL: "wall test: at the lowest point the ball still touches seat and ribs",
    Purpose.HEELS: "heel test: heels on top, the knees can come over the hips",
    Purpose.OVERHEAD: "hold test: both palms flat on it, elbows straight, eyes see past it",
}
BORNE = (Purpose.SITTING, Purpose.WALL, Purpose.HEELS)  # where body weight comes on it


def purpose_of(surface: Surface) -> Purpose | None:
    """What a ball on this surface is for; None where there is none. Held between knees or hands, it is as overhead."""
    return _PURPOSES.get(surface)


@dataclass(frozen=True, slots=True, kw_only=True)
class BallAdvice:
    """Diameters, smallest first and never just one; the test that decides; what the ball must be rated for, kg."""

    purpose: Purpose
    sizes_cm: tuple[float, ...]
    test: str
    needed_kg: float | None

    def __post_init__(self) -> None:
        require(len(self.sizes_cm) >= 2, "sizes", "a range", self.sizes_cm)

    def __str__(self) -> str:
        first, last = self.sizes_cm[0], self.sizes_cm[-1]
        rated = f"; rated for {self.rated_words}" if self.purpose in BORNE else ""
        return f"Ball, {self.purpose}: {first:g} to {last:g} cm, by the {self.test}{rated}"

    @property
    def rated_words(self) -> str:
        """Rounded up, because a ball bought by a number rounded down would be told it is too weak."""
        if self.needed_kg is None:
            return f"{MARGIN:g} times body and dumbbells together or more"
        return f"{math.ceil(self.needed_kg)} kg or more"


def ball_advice(purpose: Purpose, stature_m: float, mass_kg: float | None, held_kg: float = 0.0) -> BallAdvice:
    """The range for someone of this stature: both neighbours near a chart's limit, else the size and its nearer one.

    Heavy people squash a ball they sit on, so there the range ends with the next size up.
    """
    rows = [row for row in read_table("ball").rows if row["purpose"] == purpose]
    sizes = [float(row["diameter_cm"]) for row in rows]
    limits = [float(row["to_cm"]) for row in rows[:-1]]
    stature_cm = stature_m * 100
    low = sum(stature_cm - BOUNDARY_CM > limit for limit in limits)
    high = sum(stature_cm + BOUNDARY_CM > limit for limit in limits)
    if low == high:
        low, high = _with_neighbour(stature_cm, limits, low)
    if purpose is Purpose.SITTING and (mass_kg or 0.0) >= HEAVY_KG:
        high = min(high + 1, len(sizes) - 1)
    needed = (mass_kg + held_kg) * MARGIN if mass_kg and purpose in BORNE else None
    return BallAdvice(purpose=purpose, sizes_cm=tuple(sizes[low : high + 1]), test=TESTS[purpose], needed_kg=needed)


def _with_neighbour(stature_cm: float, limits: list[float], place: int) -> tuple[int, int]:
    """The size and the one whose limit is nearer."""
    below = stature_cm - limits[place - 1] if place else float("inf")
    above = limits[place] - stature_cm if place < len(limits) else float("inf")
    return (place - 1, place) if below < above else (place, place + 1)


def own_ball(advice: BallAdvice, own: Own) -> str:
    """What a ball that someone has is worth for this purpose."""
    diameter = own.diameter_cm or 0.0
    require(diameter > 0, "ball", "a ball with its diameter", str(own))
    words = [_size_words(advice, diameter), _rating_words(advice, own.rated_kg)]
    return f"Your {diameter:g} cm ball {'; '.join(word for word in words if word)}"


def _size_words(advice: BallAdvice, diameter_cm: float) -> str:
    if diameter_cm < advice.sizes_cm[0] - SAME_CM:
        return "is small for it: see whether the test is passed"
    if diameter_cm > advice.sizes_cm[-1] + SAME_CM:
        return "is large for it: see whether the test is passed"
    return "is of the right size"


def _rating_words(advice: BallAdvice, rated_kg: float | None) -> str:
    """Nothing where the rating is enough, or no body weight comes on the ball."""
    if advice.purpose not in BORNE:
        return ""
    if rated_kg is None:
        return "its rated load is not known: read it on the ball, and keep body weight off it until then"
    if advice.needed_kg is None:
        return f"it is rated for {rated_kg:g} kg, which has to be {advice.rated_words}"
    if rated_kg < advice.needed_kg:
        return f"it is rated for {rated_kg:g} kg, too little: don't put body weight on it"
    return ""
