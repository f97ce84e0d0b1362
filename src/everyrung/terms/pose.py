"""What a move's pose asks for, in a coach's words: contacts, lines of the body, angles and distances.

Every value is a pair: at rest and at full depth; a rung's range is the depth it goes to. Sides are the working one and
the other, so that one description serves left and right. Names of points, angles and parts are checked by the body.
"""

from collections.abc import Mapping
from dataclasses import field, fields, replace
from enum import StrEnum
from typing import Any

from everyrung.terms.brief import Brief
from everyrung.terms.enums import End
from everyrung.terms.errors import Invalid
from everyrung.terms.frozen import dataclass

MOST_SAID = 12  # words; chosen, because more is not kept in mind while moving
MOST_RANGE = 1.5  # of the depth, as a form allows
MOST_LENGTH_M = 3.0  # chosen, because no distance between two points of one body is greater


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """A value at rest and at full depth; in degrees, or a share, as its place says.

    `ends`: what it does not go beyond where a rung goes deeper, as an arm is no longer than it is.
    """

    rest: float
    full: float
    ends: float | None = None

    def at(self, depth: float) -> float:
        """The value at a depth: 0 at rest, 1 at the base move's full depth, more beyond it."""
        value = self.rest + depth * (self.full - self.rest)
        if self.ends is None:
            return value
        return min(value, self.ends) if self.full >= self.rest else max(value, self.ends)


@dataclass(frozen=True, slots=True, kw_only=True)
class Length:
    """A distance at rest and at full depth: a share of the stature, or metres where it is a thing's own size."""

    span: Span
    in_metres: bool = False

    def __post_init__(self) -> None:
        most = MOST_LENGTH_M if self.in_metres else MOST_LENGTH_M / 2
        if max(abs(self.span.rest), abs(self.span.full)) > most:
            raise Invalid("length", f"at most {most:g}", max(self.span.rest, self.span.full))

    def metres(self, depth: float, stature_m: float) -> float:
        return self.span.at(depth) * (1.0 if self.in_metres else stature_m)


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """Where a part of the body points, degrees: pitch from up (0) to forward (90), down (180), back (-90); `out` from
    there to its own side, for the middle of the body towards the working side."""

    pitch: Span
    out: Span


@dataclass(frozen=True, slots=True, kw_only=True)
class Offset:
    """From one point to another: forward, up, and out to the second point's own side; None is left free."""

    forward: Length | None = None
    up: Length | None = None
    out: Length | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Tether:
    """A band from a point to something fast in the room: where that lies, and how far the band is stretched."""

    line: Line
    stretch: Span


class Ground(StrEnum):
    """What a part of the body touches."""

    FLOOR = "floor"
    SLIDER = "slider"
    WALL = "wall"
    CHAIR = "chair"
    STEP = "step"
    BALL_AT_WALL = "ball at the wall"
    BALL_UNDER = "ball underneath"


class Push(StrEnum):
    """Which way the support pushes the body; `in` is from its own side to the middle."""

    UP = "up"
    FORWARD = "forward"
    BACK = "back"
    IN = "in"


class When(StrEnum):
    """Where in the repetition a part is in touch."""

    ALWAYS = "always"
    REST = "at rest"
    FULL = "at full depth"
    ENDS = "at both ends"


@dataclass(frozen=True, slots=True, kw_only=True)
class Touch:
    """A part of the body on a support. `height` is of the support's surface; `share` of the weight is declared."""

    on: Ground
    push: Push = Push.UP
    when: When = When.ALWAYS
    height: Length | None = None
    share: Span | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SelfCheck:
    """What a participant can see for herself, and how it is measured in the pose: one of four ways.

    angle: at the middle one of three points; straight: the same against 180 degrees; follows: in the floor plan, a line
    (two points) against another; stays: a part that must press on its support all through the repetition.
    """

    say: str
    angle: tuple[str, ...] = ()
    straight: tuple[str, ...] = ()
    follows: tuple[str, ...] = ()
    stays: str = ""
    degrees: float = 180.0
    within: float = 10.0

    def __post_init__(self) -> None:
        if not self.say.strip() or len(self.say.split()) > MOST_SAID:
            raise Invalid("say", f"1 to {MOST_SAID} words", self.say)
        kinds = [name for name in ("angle", "straight", "follows", "stays") if getattr(self, name)]
        if len(kinds) != 1:
            raise Invalid("self_check", "one of angle, straight, follows and stays", ", ".join(kinds) or "none")
        for name, count in (("angle", 3), ("straight", 3), ("follows", 4)):
            if getattr(self, name) and len(getattr(self, name)) != count:
                raise Invalid(name, f"{count} points", len(getattr(self, name)))
        if not 0 < self.within <= 90:
            raise Invalid("within", "more than 0 and at most 90 degrees", self.within)


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Layer(Brief):
    """Some demands on a pose; a later layer's entry replaces an earlier one of the same name, None takes it away.

    rests: the phase of least depth; energy: the activity of tables/compendium.csv, by code and edition, whose value
    stands where a move is too quick for poses; seen: from where it is drawn; angles: coordinate (degrees); loose: the
    same, given up first; lines: part of the body; begins: lines of trunk and hips where the search starts, if `lines`
    does not say; apart: 'point to point'; height: a point's height over the floor; touch: part; over: the parts that
    bear the weight and their shares; squeeze: parts pressed together, with a share of body weight; hangs: where a held
    load hangs, each with its share of it; stretched: 'point to point' that a band joins; tethered: a point that a band
    joins to something fast; steps: of an extra at full depth, each from where the one before ends.
    """

    rests: End | None = None
    seen: str | None = None
    energy: str | None = None
    self_checks: tuple[SelfCheck, ...] = ()
    angles: Mapping[str, Span | None] = field(default_factory=dict)
    loose: Mapping[str, Span | None] = field(default_factory=dict)
    lines: Mapping[str, Line | None] = field(default_factory=dict)
    begins: Mapping[str, Line | None] = field(default_factory=dict)
    apart: Mapping[str, Offset | None] = field(default_factory=dict)
    height: Mapping[str, Length | None] = field(default_factory=dict)
    touch: Mapping[str, Touch | None] = field(default_factory=dict)
    over: Mapping[str, Span | None] = field(default_factory=dict)
    squeeze: Mapping[str, Span | None] = field(default_factory=dict)
    hangs: Mapping[str, Span | None] = field(default_factory=dict)
    stretched: Mapping[str, Span | None] = field(default_factory=dict)
    tethered: Mapping[str, Tether | None] = field(default_factory=dict)
    open: Mapping[str, Span | None] = field(default_factory=dict)
    steps: tuple["Layer", ...] = ()

    def __post_init__(self) -> None:
        for name in ENTRIES:
            object.__setattr__(self, name, dict(getattr(self, name)))  # a plain one, for it goes to other processes

    def under(self, later: "Layer") -> "Layer":
        """This layer with a later one laid over it."""
        entries: dict[str, Any] = {name: _lay_over(getattr(self, name), getattr(later, name)) for name in ENTRIES}
        if entries["open"]:
            anew = {bare(name) for entry in OPENED for name in getattr(later, entry)}
            anew |= {BALANCE} if later.over else set()
            entries["open"] = {
                name: value for name, value in entries["open"].items() if name in later.open or bare(name) not in anew
            }
        return Layer(
            rests=later.rests or self.rests,
            seen=later.seen or self.seen,
            energy=later.energy or self.energy,
            self_checks=(*self.self_checks, *later.self_checks),
            steps=self.steps,
            **entries,
        )

    def without_removals(self) -> "Layer":
        """Without what was taken away."""
        entries: dict[str, Any] = {
            name: {key: value for key, value in getattr(self, name).items() if value is not None} for name in ENTRIES
        }
        return replace(self, **entries)


def _lay_over(below: Mapping[str, Any], above: Mapping[str, Any]) -> Mapping[str, Any]:
    """Entries replaced by name: 'arm_other' changes only one side of 'arm', and 'arm' both sides at once."""
    if not above:
        return below
    entries = dict(below)
    for name, value in above.items():
        both_sides = bare(name)
        sided = [f"{both_sides}{tag}" for tag in SIDE_TAGS]
        if name == both_sides:
            for each in sided:
                entries.pop(each, None)
        elif both_sides in entries:
            both = entries.pop(both_sides)
            entries |= dict.fromkeys(sided, both)
        entries[name] = value
    return entries


def bare(name: str) -> str:
    """A name without its side.

    >>> bare("knee_flexion_other"), bare("trunk")
    ('knee_flexion', 'trunk')
    """
    return name.removesuffix("_working").removesuffix("_other")


SIDE_TAGS = ("_working", "_other")
OPENED, BALANCE = ("lines", "angles", "apart"), "balance"  # entries whose values may be open, and what else may be
ENTRIES = tuple(
    each.name for each in fields(Layer) if each.name not in ("rests", "seen", "energy", "self_checks", "steps")
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A layer that holds only for forms with these words: field of the form -> words, one of which it must have."""

    words: Mapping[str, tuple[str, ...]]
    layer: Layer

    def __post_init__(self) -> None:
        object.__setattr__(self, "words", dict(self.words))

    def holds(self, form: object) -> bool:
        """Whether a form has all of these words."""
        return has_words(self.words, form)


def has_words(words: Mapping[str, tuple[str, ...]], form: object) -> bool:
    """Whether a form has one of the words asked for in each of these fields."""
    return all(getattr(form, name) in some for name, some in words.items())


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal:
    """Forms with these words that no pose is offered for, and why not, as a coach would say it."""

    words: Mapping[str, tuple[str, ...]]
    because: str

    def __post_init__(self) -> None:
        object.__setattr__(self, "words", dict(self.words))
        if not self.words:
            raise Invalid("refused", "a word of a form, such as surface", "none")


@dataclass(frozen=True, slots=True, kw_only=True)
class PoseText:
    """A move's pose as written: its own layer, what changes with the levers, the steps of extras at full depth,
    and which levers it can't take.

    deepest: the greatest share of its depth that it can go to, where a joint or the floor ends it; shared: the words
    of a form for which the rules of all moves may answer, None for all; else its own cases alone.
    """

    layer: Layer
    cases: tuple[Case, ...] = ()
    steps: tuple[Case, ...] = ()
    refusals: tuple[Refusal, ...] = ()
    deepest: float = MOST_RANGE
    shared: tuple[str, ...] | None = None

    def may_share(self, word: str) -> bool:
        """Whether the rules of all moves may answer for this word of a form."""
        return self.shared is None or word in self.shared
