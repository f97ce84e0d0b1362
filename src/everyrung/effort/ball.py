"""Which ball: by purpose, from stature and mass, always as a range with the test that decides; and what it must bear.

The charts that people know are for sitting and presume a ball that is squashed. A ball between the back and a wall,
under the heels or overhead is not sat on: there smaller ones are used (common practice, no source), 45 to 55 cm for
average height, 65 only for the very tall.
"""

from dataclasses import dataclass
from enum import StrEnum

from everyrung.tables.reader import read_table
from everyrung.terms.fault import require
from everyrung.terms.participant import Own
from everyrung.terms.vocabulary import Surface

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
        rated = f"; rated for {self.needed_kg:.0f} kg or more" if self.needed_kg else ""
        return f"Ball, {self.purpose}: {first:g} to {last:g} cm, by the {self.test}{rated}"


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
    words = []
    if diameter < advice.sizes_cm[0] - SAME_CM:
        words.append("is small for it: see whether the test is passed")
    elif diameter > advice.sizes_cm[-1] + SAME_CM:
        words.append("is large for it: see whether the test is passed")
    else:
        words.append("is of the right size")
    if advice.needed_kg and own.rated_kg is None:
        words.append("its rated load is not known: read it on the ball, and keep body weight off it until then")
    elif advice.needed_kg and (own.rated_kg or 0.0) < advice.needed_kg:
        words.append(f"it is rated for {own.rated_kg:g} kg, too little: don't put body weight on it")
    return f"Your {own.diameter_cm:g} cm ball {'; '.join(words)}"
