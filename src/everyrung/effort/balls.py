"""Which ball: by purpose, from stature and mass, always as a range with the test that decides; and what it must bear.

The charts that people know are for sitting and presume a ball that is squashed. A ball between the back and a wall,
under the heels or overhead is not sat on: there smaller ones are used (common practice, no source), 45 to 55 cm for
average height, 65 only for the very tall.

A rated load has a reserve of its own: a ball is tested for an hour under 3.3 times its rated load, and 20,000 times
under the load itself (2 PfG 993/06.10, seen second-hand). That reserve is not counted on here (chosen, because those
are new balls).

The lines about balls on a card: for one person by the moves that use one, for everyone by stature.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from everyrung.effort.known_people import known_person
from everyrung.effort.select_rung import room_kit
from everyrung.tables.reader import read_table
from everyrung.terms.enums import KitItem, Surface
from everyrung.terms.errors import require
from everyrung.terms.move import Form
from everyrung.terms.person import Own, Person
from everyrung.terms.sentences import lower_first
from everyrung.terms.session import Session

BOUNDARY_CM = 4.0  # either side of a chart's limit; chosen, because ten charts put the same limit up to 8 cm apart
HEAVY_KG = 90.0  # chosen, because charts send heavier people to the next size without saying from when
MARGIN = 1.5  # times body and load; chosen, because sitting down and bouncing add half of it again
SAME_CM = 2.0  # chosen, because pumps and rulers differ by so much


class Purpose(StrEnum):
    """What a ball is there for, which decides its size."""

    WALL = "wall"
    HEELS = "heels"
    OVERHEAD = "overhead"
    SITTING = "sitting"


_PURPOSES = {
    Surface.BALL_WALL: Purpose.WALL,
    Surface.BALL_HEELS: Purpose.HEELS,
    Surface.BALL_FOOT: Purpose.HEELS,
    Surface.BALL_HANDS: Purpose.HEELS,
    Surface.BALL_BELLY: Purpose.SITTING,
    Surface.BALL_BETWEEN: Purpose.OVERHEAD,
    Surface.BALL_FRONT: Purpose.OVERHEAD,
    Surface.BALL_OVERHEAD: Purpose.OVERHEAD,
    Surface.BALL_SEAT: Purpose.SITTING,
}
TESTS = {
    Purpose.SITTING: "sit test: feet flat, thighs level or sloping a little down",
    Purpose.WALL: "wall test: at the lowest point the ball still touches bottom and ribs",
    Purpose.HEELS: "right size: heels on top, knees over the hips",
    Purpose.OVERHEAD: "hold test: both palms flat on it, elbows straight, eyes see past it",
}
BORNE = (Purpose.SITTING, Purpose.WALL, Purpose.HEELS)  # where body weight comes on it


def purpose_of(surface: Surface) -> Purpose | None:
    """What a ball on this surface is for; None where there is none. One that is held between knees or hands is taken as
    overhead, for no body weight comes on it.
    """
    return _PURPOSES.get(surface)


@dataclass(frozen=True, slots=True, kw_only=True)
class BallAdvice:
    """Diameters in cm, smallest first and never just one; the test that decides; what the ball must be rated for, kg,
    where that is known. Raises Invalid for a single diameter.
    """

    purpose: Purpose
    sizes_cm: tuple[float, ...]
    test: str
    needed_kg: float | None

    def __post_init__(self) -> None:
        require(len(self.sizes_cm) >= 2, "sizes", "a range", self.sizes_cm)

    def __str__(self) -> str:
        first, last = self.sizes_cm[0], self.sizes_cm[-1]
        rating = f"; rated for {self.rated_words}" if self.purpose in BORNE else ""
        return f"Ball, {self.purpose}: {first:g} to {last:g} cm, by the {self.test}{rating}"

    @property
    def rated_words(self) -> str:
        """What the ball must be rated for, in words; rounded up, because a ball bought by a number rounded down would
        be called too weak.
        """
        if self.needed_kg is None:
            return f"{MARGIN:g} times body and dumbbells together or more"
        return f"{math.ceil(self.needed_kg)} kg or more"


def ball_advice(purpose: Purpose, stature_m: float, mass_kg: float | None, held_kg: float = 0.0) -> BallAdvice:
    """The range for someone of this stature: both neighbours near a chart's limit, else the size and its nearer one.

    Heavy people squash a ball they sit on, so there the range ends with the next size up. What it must be rated for
    counts `held_kg` and a margin, where body weight comes on it and the mass is known.

    >>> advice = ball_advice(Purpose.WALL, stature_m=1.70, mass_kg=70.0)
    >>> advice.sizes_cm, advice.rated_words
    ((45.0, 55.0), '105 kg or more')
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
    least_kg = (mass_kg + held_kg) * MARGIN if mass_kg and purpose in BORNE else None
    return BallAdvice(purpose=purpose, sizes_cm=tuple(sizes[low : high + 1]), test=TESTS[purpose], needed_kg=least_kg)


def _with_neighbour(stature_cm: float, limits: list[float], place: int) -> tuple[int, int]:
    """The size and the one whose limit is nearer."""
    below = stature_cm - limits[place - 1] if place else float("inf")
    above = limits[place] - stature_cm if place < len(limits) else float("inf")
    return (place - 1, place) if below < above else (place, place + 1)


def own_ball(advice: BallAdvice, own: Own) -> str:
    """What a ball that someone has is worth for this purpose, in a sentence. Raises Invalid for a ball without a
    diameter.
    """
    diameter = own.diameter_cm or 0.0
    require(diameter > 0, "ball", "a ball with its diameter", str(own))
    words = [_size_words(advice, diameter), _rating_words(advice, own.rated_kg)]
    return f"Your {diameter:g} cm ball {'; '.join(word for word in words if word)}"


def _size_words(advice: BallAdvice, diameter_cm: float) -> str:
    if diameter_cm < advice.sizes_cm[0] - SAME_CM:
        return "is on the small side: see if it passes the test"
    if diameter_cm > advice.sizes_cm[-1] + SAME_CM:
        return "is on the large side: see if it passes the test"
    return "is the right size"


def _rating_words(advice: BallAdvice, rated_kg: float | None) -> str:
    """Nothing where the rating is enough, or no body weight comes on the ball."""
    if advice.purpose not in BORNE:
        return ""
    if rated_kg is None:
        return "its rated load is not known: look for it on the ball, and keep your weight off it until you know"
    if advice.needed_kg is None:
        return f"it is rated for {rated_kg:g} kg, and it needs {advice.rated_words}"
    if rated_kg < advice.needed_kg:
        return f"it is rated for {rated_kg:g} kg, too little: don't put body weight on it"
    return ""


POSTER_M = (1.55, 1.65, 1.75, 1.85, 1.95)  # chosen, because everyone is within 5 cm of one of them, or beyond the ends
NEVER = "Never lie on a ball with weights in your hands. Look at it first: no cuts, no bulge."


def ball_lines(session: Session, one: Person, forms: Iterable[Form], *, in_room: bool) -> tuple[str, ...]:
    """For one person's card: the range for each purpose of the rungs that they take, what their own balls are worth,
    and the caution. Raises Invalid for a ball in the kit without a diameter.
    """
    purposes = _in_order(forms)
    if not purposes:
        return ()
    kit = room_kit(session.kit) if in_room else one.kit
    balls = [own for own in kit if own.item is KitItem.BALL]
    held_kg = max((bout.load.total_kg for cell in session.cells for bout in cell.bouts if bout.load), default=0.0)
    advice = [ball_advice(purpose, one.stature_m, known_person(one).mass_kg, held_kg) for purpose in purposes]
    return (*(f"{each}." for each in advice), *(line for own in balls for line in _own_lines(advice, own)), NEVER)


def _own_lines(advice: Sequence[BallAdvice], own: Own) -> list[str]:
    """What one ball of their own is worth: once where it is the same for all, else for what it is so."""
    purposes: dict[str, list[str]] = {}
    for each in advice:
        purposes.setdefault(own_ball(each, own), []).append(str(each.purpose))
    if len(purposes) == 1:
        return [f"{words}." for words in purposes]
    return [f"{', '.join(names).capitalize()}: {lower_first(words)}." for words, names in purposes.items()]


def chart_lines(session: Session) -> tuple[str, ...]:
    """For the poster: the range by stature for each purpose that the session has, and the caution; nothing without a
    ball.
    """
    lines = [_chart(purpose) for purpose in _purposes(session)]
    return (*lines, NEVER) if lines else ()


def ball_table(session: Session) -> tuple[str, ...]:
    """The poster's lines as a table in plain text: a row for each stature, a column for each purpose."""
    purposes = _purposes(session)
    if not purposes:
        return ()
    heads = ["tall", *(str(purpose) for purpose in purposes)]
    rows = [heads]
    for stature_m in POSTER_M:
        ranges = [ball_advice(purpose, stature_m, None).sizes_cm for purpose in purposes]
        rows.append([f"{stature_m * 100:.0f} cm", *(f"{sizes[0]:g} to {sizes[-1]:g}" for sizes in ranges)])
    wide = [max(len(row[place]) for row in rows) for place in range(len(heads))]
    lines = ["  ".join(part.ljust(size) for part, size in zip(row, wide, strict=True)).rstrip() for row in rows]
    tests = [
        f"{str(purpose).capitalize()}: the {ball_advice(purpose, POSTER_M[0], None).test}." for purpose in purposes
    ]
    return (*lines, "", *tests, NEVER)


def _chart(purpose: Purpose) -> str:
    ranges = [(stature_m, ball_advice(purpose, stature_m, None)) for stature_m in POSTER_M]
    parts = [f"{stature_m * 100:.0f} cm tall {one.sizes_cm[0]:g} to {one.sizes_cm[-1]:g}" for stature_m, one in ranges]
    return f"Ball in cm, {purpose}: {', '.join(parts)}; the {ranges[0][1].test}."


def _purposes(session: Session) -> list[Purpose]:
    """In the order of the vocabulary."""
    return _in_order(
        rung.form for cell in session.cells for rung in (cell.rung, *(option.rung for option in cell.options))
    )


def _in_order(forms: Iterable[Form]) -> list[Purpose]:
    purposes = {purpose_of(form.surface) for form in forms}
    return [purpose for purpose in Purpose if purpose in purposes]
