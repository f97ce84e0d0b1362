"""Place, side and hand of a set in words, by rule from its pose: what touches the floor, which foot is ahead.

Words name the participant's own left and right. Where no rule of a pose says more, the side alone is named.
"""

from collections.abc import Iterator, Sequence

from everyrung.terms.enums import Limb, Position, Side, Sidedness, Support, Surface
from everyrung.terms.move import Form
from everyrung.terms.pose import Ground, Layer, Line, Offset, Span, When
from everyrung.terms.sentences import upper_first
from everyrung.terms.session import Bout, Cell

AHEAD = 0.12  # of the stature that one foot is before the other to be called in front; chosen: half a foot's length
BEHIND = -0.07  # the same for a foot behind, which starts from beside the other; chosen, because a stretch begins so
STEPPED = 0.3  # of the stature; chosen, because who goes from under AHEAD to this has stepped
HEEL_TO_TOE = 0.14  # of the stature, one foot right before the other; chosen, just under a foot's length
OUTWARD = 0.2  # of the stature between the heels; chosen, because who goes over it has stepped to the side
TURNED = 10.0  # degrees of bend or turn that a side is named for; chosen, because less is not seen
_FEET = ("ball", "heel", "ankle", "instep")
_SOLES = ("foot", "toes", "heel", "laces")
_FLOOR = {
    Position.BACK: "on your back", Position.FRONT: "on your front", Position.HANDS_AND_KNEES: "on hands and knees",
    Position.FRONT_SUPPORT: "on hands and toes", Position.SIDE_SUPPORT: "on your side",
    Position.KNEELING: "on your knees", Position.HALF_KNEELING: "on one knee",
    Position.FLOOR_SEATED: "to sit on the floor", Position.SIDE: "on your side",
}  # fmt: skip
_FACING_DOWN = (  # from low to high
    Position.FRONT, Position.HANDS_AND_KNEES, Position.FRONT_SUPPORT, Position.KNEELING, Position.HALF_KNEELING
)  # fmt: skip
_FOREARMS = (Support.FOREARMS_AND_FEET, Support.FOREARMS_AND_KNEES, Support.FOREARM_AND_FEET, Support.FOREARM_AND_KNEES)


def place_words(before: Position, cell: Cell, position_texts: Sequence[str] = ()) -> str:
    """How to get to a set's position: 'Down on your back.', 'Stand up.'; '' where nobody has to sit, lie or rise.
    `position_texts`: words of the position that follow; where they name it, 'Down to the floor.' is enough.

    >>> from everyrung import analyze
    >>> curl = next(cell for cell in analyze("examples/boathouse-30.toml").session.cells if cell.ref.cell == "curl")
    >>> place_words(Position.STANDING, curl)
    'Down on your back.'
    """
    form = cell.rung.form
    after = form.position
    if after.on_floor:
        if before is after:
            return ""
        if way := _sit_or_lie(before, after):
            return way
        floor = _floor(form)
        says_where = any(floor in text.casefold() for text in position_texts)
        if before.on_floor:
            return _over(before, after, floor, says_where=says_where)
        return "Down to the floor." if says_where else f"Down {floor}."
    seat = f"on the {'ball' if form.surface is Surface.BALL_SEAT else 'chair'}"
    if after is Position.SEATED:
        return "" if before is after else f"{'Up, and sit' if before.on_floor else 'Sit down'} {seat}."
    return "Stand up." if before.on_floor or before is Position.SEATED else ""


def _over(before: Position, after: Position, floor: str, *, says_where: bool) -> str:
    """From one position on the floor to another: nobody turns over who faces the floor already."""
    onto = floor.replace("on ", "onto ", 1)
    if before in _FACING_DOWN and after in _FACING_DOWN:
        if floor == _FLOOR[before]:
            return ""
        onto_forearms = "forearms" in floor and before.hands_needed
        is_up = not onto_forearms and _FACING_DOWN.index(after) > _FACING_DOWN.index(before)
        return f"{'Up' if is_up else 'Down'} {onto}."
    return "Turn over." if says_where else f"Turn over, {onto}."


def _sit_or_lie(before: Position, after: Position) -> str:
    """Between lying and sitting on the floor nobody turns over."""
    if before is Position.FLOOR_SEATED and after is Position.BACK:
        return "Lie back."
    if after is not Position.FLOOR_SEATED or not before.on_floor:
        return ""
    return "Sit up." if before in (Position.BACK, Position.SIDE, Position.SIDE_SUPPORT) else "Sit back on the floor."


def _floor(form: Form) -> str:
    if form.position is Position.FRONT_SUPPORT and form.support is Support.HANDS_AND_KNEES:
        return "on hands and knees"
    if form.position is Position.FRONT_SUPPORT and form.support in _FOREARMS:
        return "on your forearms"
    return _FLOOR[form.position]


def side_words(cell: Cell, pose: Layer | None, number: int = 0) -> str:
    """Which side works first and in which hand the load is: 'Left leg in front, weight in the right hand.'

    `number` counts the bouts from 0; '' where both sides work together or in turn.
    """
    bout = cell.bouts[number]
    if bout.side is Side.BOTH or cell.rung.form.sides is Sidedness.ALTERNATING:
        return ""
    words = ", ".join(filter(None, (_stance(cell.rung.form, pose, bout.side), _hand(bout))))
    return f"{upper_first(words or _bare(cell, bout))}."


def swap_words(cell: Cell, pose: Layer | None) -> tuple[str, ...]:
    """The change to the second side as an instruction, in several wordings: 'Swap hands, right leg in front.'"""
    first, second = cell.bouts
    stance, hand = _stance(cell.rung.form, pose, second.side), _hand(second)
    if hand and first.load_side is not second.load_side:
        then = stance or f"{hand}"
        return tuple(f"{start}, {then}." for start in ("Swap hands", "Pass the weight across", "Change hands"))
    if stance:
        return tuple(f"{start}: {stance}." for start in ("Swap sides", "Change over", "Other side"))
    side = f"the {second.side} {_limb(cell)}"
    return (f"Swap to {side}.", f"Change to {side}.", f"Now {side}.")


def with_side(text: str, side: Side) -> str:
    """Words about 'the working ankle' as they are said on a side: 'the left ankle'."""
    if side is Side.BOTH:
        return text
    return text.replace("working", str(side)).replace("Working", str(side).capitalize())


def _bare(cell: Cell, bout: Bout) -> str:
    return f"{bout.side} {_limb(cell)} first" if len(cell.bouts) > 1 else f"{bout.side} {_limb(cell)}"


def _limb(cell: Cell) -> str:
    return "side" if cell.rung.form.limb is Limb.TRUNK else str(cell.rung.form.limb)


def _hand(bout: Bout) -> str:
    return f"weight in the {bout.load_side} hand" if bout.load and bout.load_side in (Side.LEFT, Side.RIGHT) else ""


def _stance(form: Form, pose: Layer | None, side: Side) -> str:
    """The first of the rules that knows something of this pose; '' where none does."""
    if pose is None:
        return ""
    return next(filter(None, _rules(form, pose, side)), "")


def _rules(form: Form, pose: Layer, side: Side) -> Iterator[str]:
    yield _lying(form, pose, side)
    yield _forearm(form, pose, side)
    yield _step(form, pose, side)
    yield _feet_apart(form, pose, side)
    yield _sideways(pose, side)
    yield _tether(pose, side)
    yield _hand_on_wall(form, pose, side)
    yield _one_foot(form, pose, side)
    yield _trunk(form, pose, side)


def _lying(form: Form, pose: Layer, side: Side) -> str:
    below = _side_of(pose, "hip_side", side) if form.position is Position.SIDE else None
    return f"lie on your {below} side" if below else ""


def _forearm(form: Form, pose: Layer, side: Side) -> str:
    below = _side_of(pose, "forearm", side)
    if below is None:
        return ""
    if form.position is Position.FRONT_SUPPORT:
        return f"{below.other} arm reaches"
    ground = next(touch.on for name, touch in pose.touch.items() if touch and name.startswith("forearm"))
    return f"{below} forearm on the {ground}"


def _step(form: Form, pose: Layer, side: Side) -> str:
    """A foot on a step; who stands on one foot alone up there, or lowers the other from it, stands on it."""
    on_step = {
        name for name, touch in pose.touch.items() if touch and touch.on is Ground.STEP and _bare_name(name) in _SOLES
    }
    if not any(name.endswith("_working") for name in on_step):
        return ""
    on_floor = [name for name, touch in pose.touch.items() if touch and name.endswith("_other")
                and _bare_name(name) in _SOLES and touch.on is Ground.FLOOR]  # fmt: skip
    if form.support is Support.ONE_FOOT and not on_floor:
        return f"stand on the {side} leg"
    return f"{side} foot on the step"


def _feet_apart(form: Form, pose: Layer, side: Side) -> str:
    """By how far the working foot is ahead of the other, at rest and at full depth."""
    ahead = next((span for span in map(_forward, pose.apart.items()) if span), None)
    if ahead is None:
        return ""
    if form.support is Support.NARROW and max(ahead.rest, ahead.full) >= HEEL_TO_TOE:
        return f"{side} foot in front"
    if abs(ahead.rest) < AHEAD and ahead.full >= STEPPED:
        return f"stand on the {side} leg, step back with the {side.other}"
    if min(ahead.rest, ahead.full) >= AHEAD:
        return f"{side} leg in front"
    if max(ahead.rest, ahead.full) <= BEHIND:
        return f"{side.other} leg in front" if form.limb is Limb.ARM else f"{side} leg behind"
    return ""


def _forward(entry: tuple[str, Offset | None]) -> Span | None:
    """How far the working foot is ahead of the other by one entry 'point to point'; None where it is of no feet."""
    name, offset = entry
    first, _, second = name.partition(" to ")
    if offset is None or offset.forward is None or not {_bare_name(first), _bare_name(second)} <= set(_FEET):
        return None
    span = offset.forward.span
    if first.endswith("_other") and second.endswith("_working"):
        return span
    reverse = first.endswith("_working") and second.endswith("_other")
    return Span(rest=-span.rest, full=-span.full) if reverse else None


def _sideways(pose: Layer, side: Side) -> str:
    offset = pose.apart.get("heel_other to heel_working")
    if offset is None or offset.out is None or not offset.out.span.rest < OUTWARD < offset.out.span.full:
        return ""
    slides = pose.touch.get("foot_other")
    if slides and slides.on is Ground.SLIDER:
        return f"stand on the {side} leg, {side.other} foot slides out"
    return f"step out to the {side}"


def _tether(pose: Layer, side: Side) -> str:
    tether = pose.tethered.get("grip_working")
    if tether is None or tether.line.out.rest == 0:
        return ""
    return f"band on your {side if tether.line.out.rest > 0 else side.other} side"


def _hand_on_wall(form: Form, pose: Layer, side: Side) -> str:
    touch = pose.touch.get("hand_working") if form.limb is Limb.ARM else None
    return f"{side} hand on the {touch.on}" if touch else ""


def _one_foot(form: Form, pose: Layer, side: Side) -> str:
    """Who stands on one foot through the whole repetition; whoever lies or sits has that foot down."""
    if form.support is not Support.ONE_FOOT or form.limb is Limb.TRUNK or form.position is Position.SEATED:
        return ""
    down = {_side(name, side) for name, touch in pose.touch.items()
            if touch and touch.when is When.ALWAYS and _bare_name(name) in _SOLES}  # fmt: skip
    if len(down) != 1 or None in down:
        return ""
    (foot,) = down
    if form.position.on_floor or form.surface is Surface.CHAIR:
        return f"{foot} foot down, {foot.other if foot else ''} foot lifted"
    return f"stand on the {foot} leg"


def _trunk(form: Form, pose: Layer, side: Side) -> str:
    if form.limb is not Limb.TRUNK:
        return ""
    bend, turn = (pose.angles.get(name) for name in ("trunk_bend", "trunk_turn"))
    line = pose.lines.get("trunk")
    lean = max((abs(span.full) for span in (bend, line.out if isinstance(line, Line) else None) if span), default=0.0)
    if form.position in (Position.STANDING, Position.SEATED) and lean >= TURNED and bend is not None:
        return f"lean to the {side if bend.full > 0 else side.other}"
    if turn and abs(turn.full) >= TURNED:
        return f"turn to the {side if turn.full > 0 else side.other}"
    return ""


def _side_of(pose: Layer, part: str, side: Side) -> Side | None:
    """On which one side a part touches something; None for neither or both."""
    names = [name for name, touch in pose.touch.items() if touch and _bare_name(name) == part]
    sides = {_side(name, side) for name in names}
    return sides.pop() if len(sides) == 1 else None


def _side(name: str, side: Side) -> Side | None:
    if name.endswith("_working"):
        return side
    return side.other if name.endswith("_other") else None


def _bare_name(name: str) -> str:
    return name.removesuffix("_working").removesuffix("_other")
