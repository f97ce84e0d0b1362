"""What to be careful of in a rung, read off its form and its pose by rule: nobody has to remember a tag.

Angles and shares are those of the pose's own words, at the depth to which the rung goes.
"""

import math
from collections.abc import Iterator

from everyrung.terms.enums import (
    Carry,
    Caution,
    End,
    LoadNeed,
    Mode,
    MoveKind,
    Position,
    Press,
    Reach,
    Support,
    Surface,
)
from everyrung.terms.frozen import dataclass
from everyrung.terms.move import Form
from everyrung.terms.pose import SIDE_TAGS, Ground, Layer, Line, Push, Span, Touch, When

# Degrees. All chosen, because sources name the movements (Giangregorio 2014, table 5, V: the end of bending, the end of
# turning, turning on planted feet) and give no angles; each is what a coach sees from across the room.
DEEP_BOTH, DEEP_ONE, DEEP_TIPTOE, FOLDED = 80.0, 65.0, 45.0, 120.0  # of a knee that bears weight; of any knee
LOADED_LEAN, SWUNG_LEAN, FULL_FOLD, HEAD_LOW_LEAN = 45.0, 30.0, 90.0, 85.0  # of the trunk from upright
UPRIGHT_KNEE, UPRIGHT_LEAN = 45.0, 20.0  # less than that is standing: a thigh held level, a trunk that sways
LOADED_TURN, FULL_TURN, ROUNDED, ARCHED = 15.0, 35.0, 30.0, -15.0  # of the trunk
ARMS_UP = 130.0  # of the upper arm from the side of the trunk
HANDS_OVER_NECK = 0.10  # of the stature: from there hands pass the brow; chosen, as the halo goes behind the head
HEAD_LOW_SHARE = 0.10  # of the stature over the floor, on hands and knees
BREATH_GRADE, BREATH_GRADE_LOADED, BREATH_GRADE_STILL = 5, 3, 3  # a strength rung from here on
QUICK_MS = 1000  # a fall as quick as this throws a load against the back
STILL_MS, STILL_LOADED_MS = 5000, 2000  # at full depth, where the breath stops with the body
STATURE_M, LEG_SHARE = 1.70, 0.49  # of the body that a step is measured by: thigh and shank are half of that each
_ON_ARMS = (Position.FRONT_SUPPORT, Position.SIDE_SUPPORT, Position.HANDS_AND_KNEES, Position.LEANING)
_ON_KNEES = (Position.KNEELING, Position.HALF_KNEELING, *_ON_ARMS)
_BALL_IN_HAND = (Surface.BALL_FRONT, Surface.BALL_OVERHEAD)
_GROUNDS_FOR_ARMS = (Ground.FLOOR, Ground.SLIDER, Ground.CHAIR, Ground.STEP, Ground.BALL_UNDER)
_RAISED = (Ground.CHAIR, Ground.STEP, Ground.BALL_UNDER)
_HEAVY = (LoadNeed.ONE, LoadNeed.PAIR, LoadNeed.KETTLEBELL)  # a medicine ball leaves with the breath
_NECK_TO_HANDS = tuple(f"neck to {name}" for name in ("grip", "palm", "hand", "wrist"))
_FEET = ("foot", "toes", "heel", "ball", "laces")


def trunk_lean(form: Form, pose: Layer) -> float:
    """How far the trunk leans from upright at most, degrees; 0 where the pose leaves it free."""
    trunk = pose.lines.get("trunk")
    return max(abs(trunk.pitch.rest), abs(trunk.pitch.at(form.range_share))) if trunk else 0.0


def cautions_of(form: Form, pose: Layer | None, kind: MoveKind, grade: int) -> frozenset[Caution]:
    """The cautions that a rung has by its form, and by its pose where there is one.

    >>> from everyrung.moves.library import standard_library
    >>> knees = standard_library().rung("push-up", "knees")
    >>> cautions = cautions_of(knees.form, standard_library().pose(knees.form), MoveKind.STRENGTH, knees.grade)
    >>> sorted(map(str, cautions))
    ['getting down to the floor', 'kneeling', 'shoulder bearing weight', 'wrist load']
    """
    here = _Posture(form=form, pose=pose) if pose else None
    is_tall = here is not None and here.stands_tall
    return frozenset(
        {*_of_form(form), *_of_effort(form, kind, grade, is_tall=is_tall), *(_of_pose(here) if here else ())}
    )


def _of_form(form: Form) -> Iterator[Caution]:
    if form.position.on_floor:
        yield Caution.TO_FLOOR
    if form.position is Position.BACK:
        yield Caution.LYING_BACK
    if form.position is Position.FRONT:
        yield Caution.LYING_FRONT
    overhead = (Press.OVERHEAD, Reach.OVERHEAD, Carry.OVERHEAD, Surface.BALL_OVERHEAD)
    if any(each in overhead for each in (form.press, form.reach, form.carry, form.surface)):
        yield Caution.OVERHEAD


def _of_effort(form: Form, kind: MoveKind, grade: int, *, is_tall: bool) -> Iterator[Caution]:
    """People hold their breath against a heavy load and in a strong hold; to stand, on one foot too, is none."""
    heavy = form.load in _HEAVY
    still_ms = form.tempo.in_time(form.rests)[1]
    still = not is_tall and (form.mode is Mode.HOLD or still_ms >= (STILL_LOADED_MS if heavy else STILL_MS))
    on_arms = form.mode is Mode.HOLD and form.position in _ON_ARMS and form.position.on_floor
    least = BREATH_GRADE_LOADED if heavy else BREATH_GRADE
    least = min(least, BREATH_GRADE_STILL) if still else least
    if kind is MoveKind.STRENGTH and (grade >= least or on_arms):
        yield Caution.HELD_BREATH


def _of_pose(here: "_Posture") -> Iterator[Caution]:
    checks = (
        (Caution.OVERHEAD, here.arms_up),
        (Caution.DEEP_KNEE, here.deep_knee),
        (Caution.WRIST_LOAD, here.leans_on("hand")),
        (Caution.SHOULDER_LOAD, here.leans_on("hand", "forearm", "elbow")),
        (Caution.KNEELING, here.kneels),
        (Caution.BACK_LOAD, here.back_bends or here.back_turns),
        (Caution.HEAD_LOW, here.head_low),
        (Caution.IMPACT, here.leaves_the_floor),
    )
    return (caution for caution, is_so in checks if is_so)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Posture:
    """A form and what its pose asks for."""

    form: Form
    pose: Layer

    @property
    def has_load(self) -> bool:
        return self.form.load is not LoadNeed.NONE or self.form.surface in (Surface.BAND, *_BALL_IN_HAND)

    @property
    def stands_tall(self) -> bool:
        """Upright with nothing in hand: the legs that bear are long, the trunk is over them."""
        if self.form.position is not Position.STANDING or self.has_load or self._lean > UPRIGHT_LEAN:
            return False
        return all(self._knee_bend(side) < UPRIGHT_KNEE for side in SIDE_TAGS if self._bears(side))

    @property
    def deep_knee(self) -> bool:
        """A knee bent far under the body's weight, sooner on one leg, with a load or on tiptoe; or folded up."""
        bends = {side: self._knee_bend(side) for side in SIDE_TAGS}
        if any(bend >= FOLDED for bend in bends.values()):
            return True
        if self.form.position is not Position.STANDING or (self._sits and not self.has_load and not self._one_legged):
            return False
        return any(bend >= self._deep for side, bend in bends.items() if self._bears(side))

    @property
    def _deep(self) -> float:
        if self.form.support is Support.TOES:
            return DEEP_TIPTOE
        return DEEP_ONE if self._one_legged or self.has_load else DEEP_BOTH

    @property
    def _one_legged(self) -> bool:
        return self.form.support in (Support.ONE_FOOT, Support.REAR_RAISED)

    @property
    def _sits(self) -> bool:
        return any(name == "seat" and touch.on is Ground.CHAIR for name, touch in self._touches)

    def _knee_bend(self, side: str) -> float:
        """Degrees at full depth; of a leg that steps down from a step, by how far the body sinks."""
        bend = self._angle("knee_flexion", side)
        return self._sunk_bend(side) if bend is None else bend

    def _sunk_bend(self, side: str) -> float:
        step = self._touch(f"foot{side}")
        if step is None or step.on is not Ground.STEP or step.height is None:
            return 0.0
        leg = LEG_SHARE * STATURE_M
        left = leg - min(step.height.metres(self.form.range_share, STATURE_M), leg / 2)
        return 180.0 - 2 * math.degrees(math.asin(left / leg))

    def _bears(self, side: str) -> bool:
        parts = [each for each in (self._touch(f"{part}{side}") for part in _FEET) if each]
        return any(each.when is not When.REST for each in parts)

    def leans_on(self, *parts: str) -> bool:
        """Whether hands or arms carry weight on something lower than a wall."""
        if self.form.position not in _ON_ARMS:
            return False
        return any(
            _bare(name) in parts and touch.on in _GROUNDS_FOR_ARMS and touch.push is Push.UP
            for name, touch in self._touches
        )

    @property
    def kneels(self) -> bool:
        on_floor = any(_bare(name) == "knee" and touch.on is Ground.FLOOR for name, touch in self._touches)
        return on_floor and self.form.position in _ON_KNEES

    @property
    def back_bends(self) -> bool:
        """The trunk leans with a load, folds or rounds to the end, or arches."""
        lean, spine = self._lean, self._angle("trunk_flexion", "") or 0.0
        standing = self.form.position is Position.STANDING
        loaded_lean = SWUNG_LEAN if self._swings else LOADED_LEAN
        return (
            standing and (lean >= FULL_FOLD or (self.has_load and lean >= loaded_lean))
        ) or not ARCHED < spine < ROUNDED

    @property
    def _swings(self) -> bool:
        """A load on long arms that falls ahead of the body or between the legs."""
        return self.form.carry is Carry.BOTH_HANDS and 0 < self.form.tempo.lower_ms <= QUICK_MS

    @property
    def back_turns(self) -> bool:
        turn = abs(self._angle("trunk_turn", "") or 0.0)
        return turn >= (LOADED_TURN if self.has_load else FULL_TURN)

    @property
    def _lean(self) -> float:
        return trunk_lean(self.form, self.pose)

    @property
    def head_low(self) -> bool:
        """The head comes as low as the hips: folded, with raised feet, or on hands and knees with the head down."""
        if self.form.position is Position.STANDING:
            return self._lean >= HEAD_LOW_LEAN
        if self.form.position is Position.HANDS_AND_KNEES:
            head = self.pose.height.get("head")
            return head is not None and head.span.at(self.form.range_share) <= HEAD_LOW_SHARE
        feet = [touch.on for name, touch in self._touches if _bare(name) in _FEET]
        lies = self.form.position in (Position.BACK, Position.FRONT_SUPPORT)
        return lies and any(on in _RAISED for on in feet)

    @property
    def arms_up(self) -> bool:
        """An upper arm that goes far up from the side of the trunk, at either end."""
        if self.form.position is Position.LEANING:
            return False  # hands on a wall or a chair, chest high
        angles = (self._angle(name, side) for name in ("shoulder_flexion", "shoulder_abduction") for side in SIDE_TAGS)
        lines = (self._arm_raise(f"{part}{side}") for part in ("arm", "upper_arm") for side in SIDE_TAGS)
        return self._hands_up or any(each is not None and each >= ARMS_UP for each in (*angles, *lines))

    @property
    def _hands_up(self) -> bool:
        """Hands that go over the head by where they are put: the arms follow, and no word of the pose turns them."""
        offsets = [each for name, each in self.pose.apart.items() if each and name in _NECK_TO_HANDS]
        ups = [each.up.metres(self.form.range_share, STATURE_M) for each in offsets if each.up]
        return any(up > HANDS_OVER_NECK * STATURE_M for up in ups)

    def _arm_raise(self, name: str) -> float | None:
        arm = self.pose.lines.get(name) or self.pose.lines.get(_bare(name))
        trunk = self.pose.lines.get("trunk")
        if arm is None or trunk is None:
            return None
        return max(_between(arm, trunk, depth) for depth in (0.0, self.form.range_share))

    @property
    def leaves_the_floor(self) -> bool:
        """Upright, with no part on anything at one end of the repetition."""
        if self.form.position is not Position.STANDING or not self.pose.touch:
            return False
        feet = [touch for name, touch in self._touches if _bare(name) in _FEET]
        ends = {end for touch in feet for end in _ENDS[touch.when]}
        return bool(feet) and len(ends) < 2

    @property
    def _touches(self) -> Iterator[tuple[str, Touch]]:
        return ((name, touch) for name, touch in self.pose.touch.items() if touch)

    def _touch(self, name: str) -> Touch | None:
        return self.pose.touch.get(name) or self.pose.touch.get(_bare(name))

    def _angle(self, name: str, side: str) -> float | None:
        """The greater of both ends by size; a hold's only one. None where the pose leaves it free."""
        for group in (self.pose.angles, self.pose.loose):
            span = group.get(f"{name}{side}") or group.get(name)
            if span is not None:
                return _far(span, self.form.range_share)
        return None


_ENDS = {
    When.ALWAYS: (End.TOP, End.BOTTOM), When.ENDS: (End.TOP, End.BOTTOM),
    When.REST: (End.TOP,), When.FULL: (End.BOTTOM,),
}  # fmt: skip


def _bare(name: str) -> str:
    return name.removesuffix("_working").removesuffix("_other")


def _far(span: Span, depth: float) -> float:
    return max((span.rest, span.at(depth)), key=abs)


def _between(arm: Line, trunk: Line, depth: float) -> float:
    """Degrees between the upper arm and the side of the trunk."""
    one, other = _direction(arm, depth), _direction(trunk, depth)
    along = sum(a * b for a, b in zip(one, other, strict=True))
    return 180.0 - math.degrees(math.acos(max(-1.0, min(1.0, along))))


def _direction(line: Line, depth: float) -> tuple[float, float, float]:
    """Forward, up and out, of length 1."""
    pitch, out = math.radians(line.pitch.at(depth)), math.radians(line.out.at(depth))
    return math.sin(pitch) * math.cos(out), math.cos(pitch) * math.cos(out), math.sin(out)
