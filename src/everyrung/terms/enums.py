"""The closed vocabularies: every value is the word a coach would write in a plan or a move file."""

from enum import StrEnum


class Side(StrEnum):
    """The participant's side, never the leader's mirror image."""

    LEFT = "left"
    RIGHT = "right"
    BOTH = "both"

    @property
    def other(self) -> "Side":
        return {Side.LEFT: Side.RIGHT, Side.RIGHT: Side.LEFT}.get(self, Side.BOTH)


class SideRule(StrEnum):
    """How the sides of a one-sided move are worked."""

    LEFT_FIRST = "left then right"
    RIGHT_FIRST = "right then left"
    LEFT_ONLY = "left only"
    RIGHT_ONLY = "right only"
    BY_ROUND = "one side a round"


class Sidedness(StrEnum):
    BOTH = "both"
    ONE_SIDE = "one side"
    ALTERNATING = "alternating"


class Mode(StrEnum):
    REPS = "reps"
    HOLD = "hold"


class MoveKind(StrEnum):
    STRENGTH = "strength"
    WARM_UP = "warm-up"
    COOL_DOWN = "cool-down"


class Pattern(StrEnum):
    KNEE = "knee-dominant"
    HIP = "hip-dominant"
    ABDUCTION = "hip abduction"
    BRIDGE = "bridge or curl"
    PUSH = "push"
    PULL = "pull"
    OVERHEAD = "overhead"
    TRUNK = "trunk"
    CALF = "calf"
    CARRY = "carry"
    BALANCE = "balance"
    CONDITIONING = "conditioning"
    MOBILITY = "mobility"
    STRETCH = "stretch"


class Limb(StrEnum):
    """What does the work: decides on which side a single load goes."""

    LEG = "leg"
    ARM = "arm"
    TRUNK = "trunk"


class Position(StrEnum):
    STANDING = "standing"
    SEATED = "seated"
    KNEELING = "kneeling"
    HALF_KNEELING = "half-kneeling"
    HANDS_AND_KNEES = "hands and knees"
    FRONT_SUPPORT = "front support"
    SIDE_SUPPORT = "side support"
    LEANING = "leaning"
    FLOOR_SEATED = "sitting on the floor"
    BACK = "lying on the back"
    FRONT = "lying on the front"
    SIDE = "lying on the side"

    @property
    def on_floor(self) -> bool:
        """Whether someone has to get down to the floor for it."""
        return self not in _UPRIGHT

    @property
    def hands_needed(self) -> int:
        """Hands that carry the body and so cannot carry anything else."""
        on_hands = (Position.HANDS_AND_KNEES, Position.FRONT_SUPPORT, Position.SIDE_SUPPORT, Position.LEANING)
        return int(self in on_hands)


_UPRIGHT = frozenset((Position.STANDING, Position.SEATED, Position.LEANING))


class Support(StrEnum):
    """Base of support: what touches the ground, from widest to narrowest where they compare."""

    TWO_FEET = "two feet"
    WIDE = "wide feet"
    NARROW = "feet together"
    SPLIT = "split stance"
    STAGGERED = "staggered feet"
    REAR_RAISED = "back foot raised"
    ONE_FOOT = "one foot"
    TOES = "toes"
    HEELS = "heels"
    SEAT = "seat"
    KNEES = "knees"
    KNEE_AND_FOOT = "one knee and one foot"
    HANDS_AND_KNEES = "hands and knees"
    HAND_AND_KNEE = "opposite hand and knee"
    HANDS_AND_FEET = "hands and feet"
    HANDS_RAISED = "hands raised"
    FEET_RAISED = "feet raised"
    FOREARMS_AND_KNEES = "forearms and knees"
    FOREARMS_AND_FEET = "forearms and feet"
    FOREARM_AND_KNEES = "one forearm and knees"
    FOREARM_AND_FEET = "one forearm and feet"
    BODY = "whole body"


class Hold(StrEnum):
    """A hand-hold that widens the base of support."""

    NONE = "no hand-hold"
    WALL = "hand on the wall"
    CHAIR = "hand on a chair"


class Surface(StrEnum):
    """What the body stands on, leans on or works against, other than the floor."""

    FLOOR = "floor"
    WALL = "wall"
    CHAIR = "chair"
    TABLE = "table"
    STEP = "step"
    SLIDERS = "sliders"
    BAND = "band"
    BALL_WALL = "ball at the wall"
    BALL_HEELS = "ball under the heels"
    BALL_FOOT = "ball under the foot"
    BALL_HANDS = "ball under the hands"
    BALL_BELLY = "ball under the belly"
    BALL_SEAT = "sitting on the ball"
    BALL_BETWEEN = "ball between the knees"
    BALL_FRONT = "ball held in front"
    BALL_OVERHEAD = "ball held overhead"

    @property
    def hands_needed(self) -> int:
        return {Surface.BALL_FRONT: 2, Surface.BALL_OVERHEAD: 2}.get(self, 0)


class Carry(StrEnum):
    SIDES = "at the sides"
    SHOULDERS = "at the shoulders"
    OPPOSITE_HAND = "opposite hand"
    WORKING_HAND = "working hand"
    GOBLET = "at the chest"
    BOTH_HANDS = "both hands"
    OVERHEAD = "overhead"
    HIPS = "on the hips"
    THIGH = "on the thigh"

    @property
    def one_handed(self) -> bool:
        return self in (Carry.OPPOSITE_HAND, Carry.WORKING_HAND)


class LoadNeed(StrEnum):
    """What a rung works against, how heavy is for the plan to say. A long band is held, a mini band lies round legs."""

    NONE = "none"
    ONE = "one"
    PAIR = "pair"
    KETTLEBELL = "kettlebell"
    MEDICINE_BALL = "medicine ball"
    BAND = "band"
    MINI_BAND = "mini band"

    @property
    def pieces(self) -> int:
        """Things with a mass that are held."""
        return 0 if self is LoadNeed.NONE or self.is_band else 2 if self is LoadNeed.PAIR else 1

    @property
    def is_band(self) -> bool:
        return self in (LoadNeed.BAND, LoadNeed.MINI_BAND)


class BandGrade(StrEnum):
    LIGHT = "light band"
    MEDIUM = "medium band"
    HEAVY = "heavy band"
    MINI_LIGHT = "light mini band"
    MINI_MEDIUM = "medium mini band"
    MINI_HEAVY = "heavy mini band"

    @property
    def need(self) -> LoadNeed:
        """The load that it is a grade of."""
        return LoadNeed.MINI_BAND if self.value.endswith(LoadNeed.MINI_BAND) else LoadNeed.BAND

    @property
    def item(self) -> "KitItem":
        return KitItem(self.need.value)


class Reach(StrEnum):
    NONE = "none"
    FORWARD = "forward"
    OVERHEAD = "overhead"
    FLOOR = "to the floor"
    SIDE = "to the side"


class Press(StrEnum):
    NONE = "none"
    FORWARD = "forward"
    OVERHEAD = "overhead"


class Rotation(StrEnum):
    NONE = "none"
    TOWARD = "toward the working side"
    AWAY = "away from the working side"
    BOTH_WAYS = "both ways"


class Extra(StrEnum):
    """What is done besides at full depth of every repetition, after the pause and the pulses, before the way back."""

    NONE = "nothing"
    LEG_LIFT = "leg lift"
    FLOOR_TAP = "floor tap"


class Depth(StrEnum):
    """How far a rung goes, beside its move's full depth."""

    PART = "less than full depth"
    FULL = "full depth"
    BEYOND = "beyond full depth"


class End(StrEnum):
    """The two ends of a repetition."""

    TOP = "top"
    BOTTOM = "bottom"

    @property
    def other(self) -> "End":
        return End.BOTTOM if self is End.TOP else End.TOP


class Caution(StrEnum):
    """Tags that ask for an alternative without them."""

    LYING_BACK = "lying on the back"
    LYING_FRONT = "lying on the front"
    OVERHEAD = "overhead"
    HELD_BREATH = "held breath"
    FALL_RISK = "fall risk"
    DEEP_KNEE = "deep knee bend"
    WRIST_LOAD = "wrist load"
    TO_FLOOR = "getting down to the floor"
    KNEELING = "kneeling"
    BACK_LOAD = "back bending or twisting under load"
    SHOULDER_LOAD = "shoulder bearing weight"
    HEAD_LOW = "head low or quick up"
    IMPACT = "impact"


class Level(StrEnum):
    """The label a session is offered under."""

    GENTLE = "gentle"
    MODERATE = "moderate"
    HARD = "hard"


class View(StrEnum):
    """How participants see the leader."""

    FACING = "facing"
    BACK_TURNED = "back turned"
    FILMED = "filmed"
    FILMED_FLIPPED = "filmed flipped"


class BlockKind(StrEnum):
    ANNOUNCEMENT = "announcement"
    WARM_UP = "warm-up"
    MAIN = "main"
    COOL_DOWN = "cool-down"
    RESERVE = "reserve"


class CueKind(StrEnum):
    SET_UP = "set-up"
    FORM = "form"
    BREATHING = "breathing"
    COUNT = "count"
    CHANGE = "change"
    SAFETY = "safety"
    ENCOURAGEMENT = "encouragement"
    KIT = "kit"
    PLACE = "place"
    SIDE = "side"
    VERSION = "version"
    BREAK = "break"
    LOOK = "look"
    THUMBS = "thumb check"

    @property
    def is_live(self) -> bool:
        """Whether it is for those who can be seen over a video link at that moment, and for no recording."""
        return self in (CueKind.LOOK, CueKind.THUMBS)


class OptionKind(StrEnum):
    HARDER = "harder"
    EASIER = "easier"
    NO_KIT = "no-kit"

    @property
    def key(self) -> str:
        """As a plan file and a table name it: 'no_kit'."""
        return self.value.replace("-", "_")

    @property
    def field(self) -> str:
        """Where it stands in a cell of a plan: 'options.no_kit'."""
        return f"options.{self.key}"


class KitItem(StrEnum):
    DUMBBELLS = "dumbbells"
    KETTLEBELL = "kettlebell"
    MEDICINE_BALL = "medicine ball"
    RUCKSACK = "rucksack"
    WATER_CAN = "water can"
    BALL = "ball"
    BAND = "band"
    MINI_BAND = "mini band"
    CHAIR = "chair"
    BENCH = "bench"
    TABLE = "table"
    STEP = "step"
    SLIDERS = "sliders"
    TOWEL = "towel"
    PILLOW = "pillow"
    MAT = "mat"
    WALL = "wall"

    @property
    def has_mass(self) -> bool:
        """Whether its mass says which it is, as of what is lifted."""
        return self in _LIFTED

    @property
    def has_grade(self) -> bool:
        return self in (KitItem.BAND, KitItem.MINI_BAND)

    @property
    def counts_as_kit(self) -> bool:
        """A no-kit rung may use a wall and a mat: everyone has a wall, and a floor (common practice, no source)."""
        return self not in _ALWAYS_THERE


_ALWAYS_THERE = frozenset((KitItem.MAT, KitItem.WALL))
_LIFTED = (KitItem.DUMBBELLS, KitItem.KETTLEBELL, KitItem.MEDICINE_BALL, KitItem.RUCKSACK, KitItem.WATER_CAN)


class SpanKind(StrEnum):
    """What the clock is spent on."""

    ANNOUNCE = "announcement"
    EXPLAIN = "explaining"
    KIT = "kit change"
    FLOOR = "down or up"
    SETTLE = "getting into position"
    WORK = "work"
    SWITCH = "side switch"
    REST = "rest"
    ROUND_REST = "round rest"
    WAIT = "waiting"


class Severity(StrEnum):
    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"
