"""What is seen of a set, in words: from where, the start position, what moves how far, which versions stand as text.

For people who do not see the picture. Words come from the pose as it was solved: where a part is at rest and at full
depth. What is seen and matters, in the present tense and in few plain words, and nothing of what may be meant by it
(dcmp_description, w3c_description).
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import dist, hypot

from everyrung.cues.stance_words import side_words
from everyrung.publish.video.scenes import Scene, versions
from everyrung.terms.demand import RungDrawing
from everyrung.terms.enums import CueKind, Position, Side, Sidedness, Surface
from everyrung.terms.figure import Point3
from everyrung.terms.pose import Layer
from everyrung.terms.sentences import lower_first, upper_first
from everyrung.terms.session import Cell
from everyrung.terms.timeline import SaidCue

FROM = {"side": "Seen from the side", "front": "Seen from the front", "three-quarter": "Seen half from the side"}
NEAR_M = 0.1  # what moves less is not spoken of; chosen, because it is less than a hand's breadth on a screen
STEP_CM = 5  # of what is said; chosen, because nobody pictures a centimetre
AS_FAR = 0.8  # of the farthest way; chosen: a part that goes nearly as far, and comes before it in PARTS, is named
MINOR = 0.4  # of a way's larger direction; chosen, because less of another one is not seen beside it
ALIKE_M = 0.08  # two limbs whose ways differ less move together; chosen, because that is what one sees
# By what people follow with their own bodies: the trunk before what it carries along.
PARTS = (("hips", "pelvis"), ("shoulders", "upper_back"))
IN_HANDS = (Surface.BALL_OVERHEAD, Surface.BALL_FRONT)
AS_SEEN = (
    ("stand on", "on"), ("lie on your", "on the"), ("your", "the"), ("step ", "stepping "), ("lean ", "leaning "),
    ("turn ", "turning "), ("reaches", "reaching"), ("slides", "sliding"),
)  # fmt: skip
LYING = (Position.BACK, Position.FRONT, Position.SIDE)
UPRIGHT_WORDS, LYING_WORDS = ("forward", "back"), ("towards the head", "away from the head")
APART, OUT, IN, ALONG = ("apart", "together"), ("out", "in"), ("in", "out"), ("the other way", "the same way")
LIMBS = (("foot", "feet", "ankle"), ("knee", "knees", "knee"), ("hand", "hands", "grip"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """How far a part goes from rest to full depth, m: ahead, up, and to the participant's left."""

    part: str
    goes: str
    ahead_m: float
    up_m: float
    left_m: float
    sideways: tuple[str, str]

    @property
    def far_m(self) -> float:
        return hypot(self.ahead_m, self.up_m, self.left_m)

    def from_m(self, other: "Way") -> float:
        """How differently two parts move."""
        return hypot(self.ahead_m - other.ahead_m, self.up_m - other.up_m, self.left_m - other.left_m)


def figure_words(cell: Cell, drawing: RungDrawing | None, pose: Layer | None, number: int) -> tuple[str, ...]:
    """A set's figure in its bout of a number (from 0): all of it, then shorter ways to say it, each whole."""
    place = _place(cell, pose, number)
    if drawing is None:
        return (f"No figure: {place}",)
    moves, move = motion_words(cell, drawing, number)
    texts = (
        f"{FROM[drawing.seen]}: {place} {moves}",
        f"{upper_first(place)} {moves}",
        f"{upper_first(place)} {move}",
        move,
    )
    return tuple(dict.fromkeys(texts))


def _place(cell: Cell, pose: Layer | None, number: int) -> str:
    """'standing, ball at the wall, two weights at the sides.'"""
    form, load = cell.rung.form, cell.bouts[number].load
    under = "ball in both hands" if form.surface in IN_HANDS else str(form.surface)
    under = "" if form.surface is Surface.FLOOR else under
    side = _as_seen(side_words(cell, pose, number).rstrip("."))
    count = "two weights" if load and len(load.pieces) == 2 else "a weight" if load and load.pieces else ""
    weights = f"{count} {load.carry}" if load and count and load.carry and "hand" not in f"{side}{load.carry}" else ""
    return f"{', '.join(filter(None, (str(form.position), under, side, weights)))}."


def _as_seen(side: str) -> str:
    """The leader's words about sides as what is seen: 'Stand on the left leg' is 'on the left leg'."""
    words = lower_first(side).removesuffix(" first")
    for order, sight in AS_SEEN:
        words = words.replace(order, sight)
    return words


def motion_words(cell: Cell, drawing: RungDrawing, number: int) -> tuple[str, str]:
    """What moves how far and comes back: two parts where two move unlike each other; and the first alone."""
    ways = list(_ways(cell, drawing, number))
    far_m = max(way.far_m for way in ways)
    if far_m < NEAR_M:
        return ("The figure keeps still.",) * 2
    first = next(way for way in ways if way.far_m >= AS_FAR * far_m)
    others = [way for way in ways if way.far_m >= NEAR_M and way.from_m(first) >= max(NEAR_M, far_m / 2)]
    second = max(others, key=lambda way: way.from_m(first), default=None)
    ahead = LYING_WORDS if cell.rung.form.position in LYING else UPRIGHT_WORDS
    clauses = [_clause(way, ahead) for way in (first, second) if way]
    turns = ", the sides in turn" if cell.rung.form.sides is Sidedness.ALTERNATING else ""
    return f"{upper_first('; '.join(clauses))}{turns}, and back.", f"{upper_first(clauses[0])}{turns}, and back."


def _ways(cell: Cell, drawing: RungDrawing, number: int) -> Iterator[Way]:
    """Of every part, in the order in which they are named. Poses are solved with the right limb working."""
    alternates = cell.rung.form.sides is Sidedness.ALTERNATING
    side = Side.LEFT if cell.bouts[number].side is Side.LEFT else Side.RIGHT
    shifts = _shifts(drawing, is_lying=cell.rung.form.position in LYING, is_left=side is Side.LEFT)
    for name, point in PARTS:
        yield _way(f"the {name}", "go", [shifts[point]], ALONG if alternates else None)
    for one, both, point in LIMBS:
        right, left = shifts[f"{point}_right"], shifts[f"{point}_left"]
        if dist(left, right) < ALIKE_M:
            yield _way(f"the {both}", "go", [left, right])
        elif dist(left, (right[0], right[1], -right[2])) < ALIKE_M:
            yield _way(f"the {both}", "go", [left, (right[0], right[1], -right[2])], APART)
        else:
            works, other = ("one", "the other") if alternates else (f"the {side}", f"the {side.other}")
            yield _way(f"{works} {one}", "goes", [right], IN if alternates else None)
            yield _way(f"{other} {one}", "goes", [left], OUT if alternates else None)


def _shifts(drawing: RungDrawing, *, is_lying: bool, is_left: bool) -> dict[str, Point3]:
    """How far each point goes, m: ahead, up, to the left; who lies has the head ahead, others face -y."""
    rest, full = dict(drawing.rest.points), dict(drawing.full.points)
    ahead = (0.0, -1.0)
    if is_lying:
        along = [rest["head"][axis] - rest["pelvis"][axis] for axis in (0, 1)]
        ahead = (along[0] / hypot(*along), along[1] / hypot(*along))
    result = {}
    for name, (x, y, z) in full.items():
        x, y, z = x - rest[name][0], y - rest[name][1], z - rest[name][2]
        left_m = -ahead[1] * x + ahead[0] * y
        result[name] = (ahead[0] * x + ahead[1] * y, z, -left_m if is_left else left_m)
    return result


def _way(part: str, goes: str, shifts: Sequence[Point3], sideways: tuple[str, str] | None = None) -> Way:
    """The mean of some points' ways."""
    ahead_m, up_m, left_m = (sum(axis) / len(shifts) for axis in zip(*shifts, strict=True))
    sideways = sideways or ("to the left", "to the right")
    return Way(part=part, goes=goes, ahead_m=ahead_m, up_m=up_m, left_m=left_m, sideways=sideways)


def _clause(way: Way, ahead: tuple[str, str]) -> str:
    """'the shoulders go forward 30 and down 40 centimetres'."""
    directions = ((way.ahead_m, *ahead), (way.up_m, "up", "down"), (way.left_m, *way.sideways))
    most_m = max(abs(far_m) for far_m, _, _ in directions)
    parts = [
        f"{more if far_m > 0 else less} {max(STEP_CM, STEP_CM * round(abs(far_m) * 100 / STEP_CM))}"
        for far_m, more, less in directions
        if abs(far_m) >= MINOR * most_m
    ]
    return f"{way.part} {way.goes} {' and '.join(parts)} centimetres"


def version_words(cell: Cell, cues: Sequence[SaidCue]) -> tuple[str, ...]:
    """The versions under the figure that nobody speaks of: all of them, then fewer; nothing where each is said."""
    places = {place for cue in cues if cue.ref == cell.ref and cue.kind is CueKind.VERSION for place in cue.rungs}
    in_cues = {str(each.kind).replace("-", " ") for place, each in enumerate(cell.options, 1) if place in places}
    left = [f"{kinds}, {name}" for kinds, name in versions(cell) if not in_cues & set(kinds.split(", "))]
    return tuple(f"Text under the figure: {'; '.join(left[:count])}." for count in range(len(left), 0, -1))


def opening_words(scene: Scene) -> tuple[str, ...]:
    """What stands on the screen before the first move: all of it, then the title alone."""
    title = f"On the screen, the title: {scene.title}."
    rows = "; ".join(f"{name}, {length}" for name, length in scene.agenda)
    return (f"{title} Under it: {rows}.", title) if rows else (title,)


def end_words(scene: Scene) -> tuple[str, ...]:
    """What stands on the screen after the last move."""
    return (f"On the screen: {scene.title}.",)
