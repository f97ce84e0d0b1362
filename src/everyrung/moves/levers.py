"""Applying levers to a form: pure; contradictory ones are refused with the reason."""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from operator import attrgetter
from typing import assert_never

from everyrung.terms import lever as levers
from everyrung.terms.enums import (
    Carry,
    Extra,
    Hold,
    Limb,
    LoadNeed,
    Mode,
    Position,
    Press,
    Reach,
    Rotation,
    Sidedness,
    Support,
    Surface,
)
from everyrung.terms.errors import Invalid
from everyrung.terms.frozen import dataclass
from everyrung.terms.lever import Lever
from everyrung.terms.move import Form

_AT_THE_BODY = (Carry.SIDES, Carry.SHOULDERS, Carry.GOBLET)  # where the arms keep a load in its place
# With these one is down on the floor, whatever the hands are on.
_DOWN = (Support.FEET_RAISED, Support.HANDS_AND_KNEES, Support.FOREARMS_AND_KNEES, Support.FOREARM_AND_KNEES)
_BALL_PLACES = {
    Surface.BALL_HEELS: "lying on the back",
    Surface.BALL_SEAT: "seated",
}


def conflict(lever: str, reason: str, remedy: str = "") -> Invalid:
    """Two levers, or a lever and its base, that cannot both be done."""
    return Invalid(lever, "levers that can be done together", reason, remedy=remedy)


def compose(base: Form, changes: Iterable[Lever]) -> Form:
    """`base` with every lever applied in order, checked as a whole. Raises Invalid with the reason."""
    form = base
    by_slot: dict[str, Lever] = {}
    for change in changes:
        key = _slot(change)
        if key in by_slot and by_slot[key] != change:
            raise conflict(change.word, f"{change.word} set twice", "Keep one of them.")
        if key not in by_slot:
            form = apply(change, form)
            by_slot[key] = change
    form = _in_turn(_upright(form))
    check(form)
    return form


def on_top(under: tuple[Lever, ...], upper: tuple[Lever, ...]) -> tuple[Lever, ...]:
    """Levers with more on top: the upper one replaces what says the same thing (a pause of 3 s one of 2 s).

    Repetitions add up.
    """
    slots = {_slot(change) for change in upper}
    rest = [change for change in under if _slot(change) not in slots]
    return (*rest, *(each for change in upper for each in _sum(under, change)))


def _sum(under: tuple[Lever, ...], change: Lever) -> Iterator[Lever]:
    """The change; of repetitions, what it comes to with those beneath, which may be nothing."""
    if not isinstance(change, levers.Reps):
        yield change
        return
    reps = change.added + sum(each.added for each in under if isinstance(each, levers.Reps))
    if reps:
        yield levers.Reps(added=reps)


def _upright(form: Form) -> Form:
    """Hands or forearms on a wall or a chair: leaning, not down on the floor."""
    on_arms = form.position in (Position.FRONT_SUPPORT, Position.SIDE_SUPPORT)
    on_edge = form.surface in (Surface.WALL, Surface.CHAIR, Surface.TABLE)
    return replace(form, position=Position.LEANING) if on_arms and on_edge and form.support not in _DOWN else form


def _in_turn(form: Form) -> Form:
    """One leg lifted at the end of a move that both do: the legs in turn, where nothing else is said."""
    one_leg = form.extra is Extra.LEG_LIFT and form.sides is Sidedness.BOTH
    return replace(form, sides=Sidedness.ALTERNATING) if one_leg else form


def require_change(changes: Iterable[Lever], form: Form) -> None:
    """Raises Invalid for a lever that a form has already: such a lever would do nothing."""
    for change in changes:
        if not isinstance(change, levers.Swap) and apply(change, form) == form:
            raise conflict(change.word, f"{change.word} as it is already", "Leave this lever out.")


def _slot(change: Lever) -> str:
    """Levers in one slot say the same thing, so two different ones contradict."""
    if isinstance(change, levers.Pause):
        return "pause at the top" if change.at_top else "pause at the bottom"
    if isinstance(change, levers.Base):
        return "hand-hold" if change.hold else "stance"
    return change.word


def apply(change: Lever, form: Form) -> Form:  # noqa: C901 - one case a lever
    """The form with one lever applied; the input is untouched. Raises Invalid where the form cannot take it."""
    match change:
        case levers.Range():
            return replace(form, range_share=change.share)
        case levers.Pause():
            _require_reps(form, "pause", "a pause in a move that is held all through", _LONGER)
            field = "top_ms" if change.at_top else "bottom_ms"
            return replace(form, tempo=replace(form.tempo, **{field: change.pause_ms}))
        case levers.TempoChange():
            _require_reps(form, "tempo", "a tempo for a move that is held still", _LONGER)
            return replace(form, tempo=replace(form.tempo, lower_ms=change.lower_ms, rise_ms=change.rise_ms))
        case levers.Reps():
            _require_reps(form, "reps", "repetitions for a move that is held still", _LONGER)
            return replace(form, reps_added=form.reps_added + change.added)
        case levers.LoadChange():
            carry = form.carry if change.need.pieces else None
            return replace(form, load=change.need, amount=change.amount, band=change.band, carry=carry)
        case levers.CarryChange():
            return replace(form, carry=change.carry)
        case levers.ReachChange():
            return replace(form, reach=change.reach)
        case levers.PressChange():
            return replace(form, press=change.press)
        case levers.RotationChange():
            return replace(form, rotation=change.rotation)
        case levers.Base():
            support = change.support or form.support
            return replace(form, hold=change.hold) if change.hold is not None else replace(form, support=support)
        case levers.Unilateral():
            if form.sides is not Sidedness.BOTH:
                raise conflict("unilateral", f"a move that is worked {form.sides} already", "Leave this lever out.")
            return replace(form, sides=change.sides)
        case levers.Pulse():
            _require_reps(form, "pulse", "pulses in a move that is held still", _ONE_THAT_MOVES)
            return replace(form, pulses=change.count)
        case levers.ExtraChange():
            _require_reps(form, "extra", f"a {change.extra} in a move that is held still", _ONE_THAT_MOVES)
            return replace(form, extra=change.extra)
        case levers.SurfaceChange():
            return replace(form, surface=change.surface)
        case levers.Swap():
            # The library resolves a swap before composing, since only it knows the other move.
            raise conflict("swap", f"a swap to {change.move!r} after other levers", "Put the swap first.")
        case _ as never:
            assert_never(never)


_LONGER, _ONE_THAT_MOVES = "Give it a longer dose instead.", "Choose a rung that moves."


def _require_reps(form: Form, lever: str, reason: str, remedy: str) -> None:
    if form.mode is Mode.HOLD:
        raise conflict(lever, reason, remedy)


def check(form: Form) -> None:
    """Raises Invalid when the form as a whole contradicts itself."""
    hands = hands_used(form)
    if hands > 2:
        raise conflict("load", f"{hands} hands' worth to hold", "Take away the load, the ball or the hand-hold.")
    _check_carry(form)
    if form.surface is Surface.BAND and form.load is not LoadNeed.NONE:
        raise conflict("load", "a load on a rung that works with a band", "Choose a rung without the band.")
    if form.press is not Press.NONE and form.hold is not Hold.NONE:
        raise conflict("press", "a press while one hand holds on", "Let go, or leave the press out.")
    if form.press is not Press.NONE and form.reach is not Reach.NONE:
        raise conflict("press", "a press and a reach of the same arms", "Keep one of them.")
    if form.sides is Sidedness.BOTH and form.rotation in (Rotation.TOWARD, Rotation.AWAY):
        remedy = 'Turn "both ways", or add { unilateral = "alternating" }.'
        raise conflict("rotation", f"a turn {form.rotation} while both sides work at once", remedy)
    if form.sides is Sidedness.BOTH and form.support in _ONE_AHEAD:
        remedy = "Make it one side at a time as well, so that both feet get their turn."
        raise conflict("base", f"{form.support} while both sides work at once", remedy)
    place = _BALL_PLACES.get(form.surface)
    if place and form.position.value != place:
        raise conflict("surface", f"{form.surface} while {form.position}", f"It needs {place}.")


def _check_carry(form: Form) -> None:
    """Raises Invalid where what is held can't be carried so, or not while the arms do what they do."""
    if form.carry and not form.load.pieces:
        raise conflict("carry", f"carrying {form.carry} with nothing to carry", "Add a load lever.")
    if form.load is LoadNeed.PAIR and form.carry and (form.carry.one_handed or form.carry is Carry.GOBLET):
        raise conflict("carry", f"a pair carried {form.carry}", "Use one piece, or carry at the sides or shoulders.")
    if form.hold is not Hold.NONE and form.load.pieces == 1 and form.carry is Carry.OPPOSITE_HAND:
        raise conflict("carry", "a load in the hand that holds on", "Carry it in the working hand.")
    if form.reach is not Reach.NONE and form.load.pieces:
        _check_reach(form, form.carry or usual_carry(form)[0])


def _check_reach(form: Form, carry: Carry) -> None:
    """Raises Invalid where the arms reach and cannot keep what they hold in its place."""
    if carry is Carry.OVERHEAD and form.reach is Reach.OVERHEAD:
        remedy = "Leave the carry out: the arms reach with what they hold."
        raise conflict("carry", "a load carried overhead by arms that reach there already", remedy)
    if carry in _AT_THE_BODY or carry is Carry.OVERHEAD:
        raise conflict("carry", f"a load {carry} while the arms reach {form.reach}", "Carry it in both hands.")
    if form.load.pieces == 1 and carry is Carry.BOTH_HANDS and form.reach is Reach.SIDE:
        raise conflict("reach", "arms apart with one piece in both hands", "Take two pieces.")


def hands_used(form: Form) -> int:
    """Hands that are full: carrying the body, a hand-hold, a ball, a load, or reaching empty."""
    load = form.load.pieces or form.load is LoadNeed.BAND
    carry = form.carry or usual_carry(form)[0]
    if form.load.pieces == 1 and not carry.one_handed:
        load = {Carry.SIDES: 1, Carry.THIGH: 1, Carry.HIPS: 1, Carry.SHOULDERS: 1}.get(carry, 2)
    holding = form.surface.hands_needed + (form.hold is not Hold.NONE)
    return load + holding + form.position.hands_needed


def usual_carry(form: Form) -> tuple[Carry, str]:
    """How a load is carried when nobody says, and why: common practice, no source; opposite side: Stastny 2015."""
    lying = form.position in (Position.BACK, Position.SIDE, Position.SIDE_SUPPORT)
    if lying and form.load.pieces == 1 and form.limb is not Limb.ARM:
        return Carry.HIPS, "one piece lies on the hips"
    if form.load is LoadNeed.MEDICINE_BALL:
        return Carry.BOTH_HANDS, "a medicine ball is held in both hands"
    if form.reach is not Reach.NONE and (form.load is LoadNeed.PAIR or form.sides is not Sidedness.ONE_SIDE):
        return Carry.BOTH_HANDS, "the arms reach with what they hold"
    if form.load is LoadNeed.PAIR:
        if form.press is not Press.NONE:
            return Carry.SHOULDERS, "two pieces are pressed from the shoulders"
        return Carry.SIDES, "two pieces hang at the sides"
    if form.sides is not Sidedness.ONE_SIDE:
        if form.press is Press.OVERHEAD:
            return Carry.BOTH_HANDS, "one piece is pressed overhead in both hands"
        return Carry.GOBLET, "one piece for both sides is held at the chest"
    if form.limb is Limb.ARM:
        return Carry.WORKING_HAND, "the working arm holds the load"
    if form.hold is not Hold.NONE:
        return Carry.WORKING_HAND, "the other hand holds on"
    return Carry.OPPOSITE_HAND, "a single load goes opposite to the working leg"


_ONE_AHEAD = (Support.SPLIT, Support.STAGGERED, Support.REAR_RAISED, Support.ONE_FOOT, Support.KNEE_AND_FOOT)
_STEADIER = (
    Support.TWO_FEET,
    Support.WIDE,
    Support.STAGGERED,
    Support.SEAT,
    Support.KNEES,
    Support.HANDS_AND_KNEES,
    Support.HANDS_RAISED,
    Support.FOREARMS_AND_KNEES,
    Support.FOREARM_AND_KNEES,
    Support.BODY,
)


def hardens(change: Lever, base: Form) -> bool:
    """Whether a lever is meant to make `base` harder. Declared by kind here; the body engine computes it."""
    match change:
        case levers.TempoChange():
            return change.lower_ms + change.rise_ms > base.tempo.lower_ms + base.tempo.rise_ms
        case levers.Range():
            return change.share > 1
        case levers.Reps():
            return change.added > 0
        case levers.LoadChange():
            return change.need is not LoadNeed.NONE
        case levers.Base():
            return change.hold is None and change.support not in _STEADIER
        case levers.SurfaceChange():
            return change.surface not in (Surface.FLOOR, Surface.WALL, Surface.TABLE, Surface.CHAIR, Surface.BALL_WALL)
        case levers.Swap():
            return False
        case (
            levers.Pause()
            | levers.CarryChange()
            | levers.ReachChange()
            | levers.PressChange()
            | levers.RotationChange()
            | levers.Unilateral()
            | levers.Pulse()
            | levers.ExtraChange()
        ):
            return True
        case _ as never:
            assert_never(never)


@dataclass(frozen=True, slots=True)
class Trace:
    """What a lever leaves in a form: the fields that it changes. It is not said to have changed while the field of
    another lever, `unless_with`, changed too: the change came with that one. `unit` is that of the fields' sum, where
    more of it is more of the lever; '' where there is no more or less.
    """

    fields: tuple[str, ...]
    unit: str = ""
    unless_with: str = ""

    def differs(self, old: Form, new: Form) -> bool:
        """Whether the lever changed between two forms."""
        if self.unless_with and getattr(old, self.unless_with) != getattr(new, self.unless_with):
            return False
        return any(attrgetter(field)(old) != attrgetter(field)(new) for field in self.fields)

    def amount(self, form: Form) -> float:
        """How much there is of it."""
        return float(sum(attrgetter(field)(form) for field in self.fields))


TRACES = {
    "range": Trace(("range_share",), "share"),
    "pause": Trace(("tempo.bottom_ms", "tempo.top_ms"), "ms"),
    "tempo": Trace(("tempo.lower_ms", "tempo.rise_ms"), "ms"),
    "carry": Trace(("carry",), unless_with="load"),
    "reach": Trace(("reach",)),
    "press": Trace(("press",)),
    "rotation": Trace(("rotation",)),
    "base": Trace(("support", "hold")),
    "unilateral": Trace(("sides",), unless_with="extra"),
    "pulse": Trace(("pulses",), "pulses"),
    "extra": Trace(("extra",)),
    "surface": Trace(("surface",)),
}
BEYOND_FORM = ("reps", "load", "swap")  # what a cell alone can tell: its dose, its load, its move
