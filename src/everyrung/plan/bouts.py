"""What is held, how heavy, and how it is carried, where the plan leaves that open.

From a dose and a side rule to bouts: how often, how long, on which side, with what in which hand.
"""

import re
from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache

from everyrung.moves.kit import kit_for
from everyrung.moves.levers import usual_carry
from everyrung.terms.enums import BandGrade, Carry, KitItem, LoadNeed, Mode, Side, Sidedness, SideRule
from everyrung.terms.errors import Invalid
from everyrung.terms.move import Form, KitNeed, Rung
from everyrung.terms.plan import CellText, SideText, Stock
from everyrung.terms.session import Bout
from everyrung.terms.units import SAME_MASS_KG, Dose, Load, Mass, Per

Kit = tuple[Stock, ...]
FORMS_KEPT = 1024  # chosen, because a plan of 500 cells has fewer


def as_stocked(load: Load, kit: Kit) -> Load:
    """The same pieces in the unit they are listed in: 6.6 lb is the 3 kg of the kit. Pieces that
    are not listed stay.
    """
    return replace(load, pieces=tuple(_mass_as_listed(piece, kit) for piece in load.pieces))


def _mass_as_listed(piece: Mass, kit: Kit) -> Mass:
    masses = [stock.mass for stock in kit if stock.mass]
    nearest = min(masses, key=lambda mass: abs(mass.mass_kg - piece.mass_kg), default=piece)
    return nearest if abs(nearest.mass_kg - piece.mass_kg) <= SAME_MASS_KG else piece


def lightest(need: LoadNeed, kit: Kit) -> Load | None:
    """The lightest of the kit that is to be held, in as many pieces as one person needs; None when it has none."""
    thing = kit_for(need)
    masses = [s.mass for s in kit if thing.is_met_by(s.item) and s.mass and s.pieces >= need.pieces]
    return Load(pieces=(min(masses, key=lambda mass: mass.mass_kg),) * need.pieces) if masses else None


def lightest_band(need: LoadNeed, kit: Kit) -> Load:
    """The lightest band of this kind in the kit; the lightest that there is, where the kit has none."""
    grades = [grade for grade in BandGrade if grade.need is need]  # as they stand, from light to heavy
    return Load(band=min((s.grade for s in kit if s.grade in grades), key=grades.index, default=grades[0]))


def option_load(form: Form, led_load: Load | None, kit: Kit) -> Load | None:
    """What an option holds: its own amount, else the pieces of the rung that is led, else the lightest there is.

    None when it holds nothing, or nothing is known that it could hold (`form.load` tells which).
    """
    if form.load is LoadNeed.NONE:
        return None
    if form.load.is_band:
        band = led_load.band if led_load and led_load.band and led_load.band.need is form.load else None
        band = form.band or band
        return form.amount or (Load(band=band) if band else lightest_band(form.load, kit))
    pieces = form.load.pieces
    same = (
        led_load.pieces[:1] * pieces
        if led_load and led_load.pieces and _enough(led_load.pieces[0], pieces, kit)
        else ()
    )
    load = form.amount or (Load(pieces=same) if same else lightest(form.load, kit))
    return replace(as_stocked(load, kit), carry=form.carry or usual_carry(form)[0]) if load else None


@lru_cache(FORMS_KEPT)  # rounds repeat the same few
def holding(form: Form, load: Load | None, reps_added: int) -> Form:
    """The form with the load that was decided, its band and how it is carried, and the repetitions that are added."""
    band, carry = (load.band, load.carry) if load else (None, None)
    with_load = replace(form, amount=load, band=band, carry=carry, reps_added=reps_added)
    return form if with_load == form else with_load


def lacking(rung: Rung, kit: Kit) -> tuple[KitItem, ...]:
    """The items of a rung that the kit has not, or not in enough pieces for one person; walls and mats are there."""
    return tuple(
        need.item
        for need in rung.kit
        if need.item.counts_as_kit and not any(need.is_met_by(s.item) and s.pieces >= need.pieces for s in kit)
    )


def items_of(rung: Rung, kit: Kit) -> Iterator[KitItem]:
    """What is fetched for a rung: of the kit, where that has something that will do."""
    yield from (_in_its_place(need, kit) or need.item for need in rung.kit)


def as_listed(rung: Rung, kit: Kit) -> Rung:
    """The rung with what is listed in place of what is not, in its name, question and cues too: whoever has a
    kettlebell, a bench or a towel alone takes that, and is told so.
    """
    for need in rung.kit:
        if other := _in_its_place(need, kit):
            rest = (need.item, *(each for each in need.instead if each is not other))
            needs = tuple(replace(each, item=other, instead=rest) if each is need else each for each in rung.kit)
            name, test, *texts = (
                _in_words_of(need.item, other, text)
                for text in (rung.name, rung.entry_test, *(cue.text for cue in rung.cues))
            )
            cues = tuple(replace(cue, text=text) for cue, text in zip(rung.cues, texts, strict=True))
            return replace(rung, kit=needs, cues=cues, name=name, entry_test=test)
    return rung


def _in_its_place(need: KitNeed, kit: Kit) -> KitItem | None:
    """What of the kit is taken instead; None where that is there which is asked for, or nothing is. Mats are
    everywhere, and words about a ball do not fit what is no ball.
    """
    items = {stock.item for stock in kit if stock.pieces >= need.pieces}
    if need.item in items or need.item in (KitItem.MAT, KitItem.BALL):
        return None
    return next((each for each in need.instead if each in items), None)


def _in_words_of(item: KitItem, other: KitItem, text: str) -> str:
    """A text about one thing, said of another: nobody puts a bench's back to the wall."""
    old, new = str(item).removesuffix("s"), str(other)
    words = rf"{old}(?: or {new})?(?: back(?= against))?"
    return re.sub(words, lambda match: new.capitalize() if match[0][0].isupper() else new, text, flags=re.IGNORECASE)


def _enough(mass: Mass, pieces: int, kit: Kit) -> bool:
    return any(stock.mass == mass and stock.pieces >= pieces for stock in kit)


_ORDERS = {
    SideRule.LEFT_FIRST: (Side.LEFT, Side.RIGHT),
    SideRule.RIGHT_FIRST: (Side.RIGHT, Side.LEFT),
    SideRule.LEFT_ONLY: (Side.LEFT,),
    SideRule.RIGHT_ONLY: (Side.RIGHT,),
}


def make_bouts(
    form: Form, dose: Dose, load: Load | None, rule: SideRule, round_number: int, text: CellText | None = None
) -> tuple[Bout, ...]:
    """The bouts of one cell, in order: one, or one for each side. `round_number` counts from 1, for sides that take
    turns; `text` is the cell as written, for what it says of one side.

    Raises Invalid when the dose, the sides or a side's load do not fit the move.
    """
    if text:
        _check_sides(form, rule, text)
    _check_dose(form, dose)
    dose = _with_added_reps(form, dose)
    if form.sides is not Sidedness.ONE_SIDE:
        total = _for_both_sides(dose) if dose.per is Per.SIDE else dose
        return (_bout(form, total, load, Side.BOTH),)
    sides = _sides(rule, round_number)
    side_texts = {Side.LEFT: text.left, Side.RIGHT: text.right} if text else {}
    return tuple(
        _one_side(form, share, load, side, side_texts.get(side))
        for side, share in zip(sides, _shares(dose, len(sides)), strict=True)
    )


def option_dose(led_bouts: tuple[Bout, ...], sides: Sidedness, form: Form, *, by_time: bool) -> Dose:
    """The dose of another rung beside a led one: as many repetitions a side, or (`by_time`, or a hold) as long, as
    there. `sides` is how the led rung works.
    """
    per_side = led_bouts[0]
    halves = 2 if sides is Sidedness.ALTERNATING else 1
    per = Per.SIDE if form.sides is Sidedness.ONE_SIDE else Per.PLAIN
    if form.mode is Mode.HOLD or by_time:
        if form.sides is Sidedness.ALTERNATING:
            sides_ms = per_side.duration_ms * len(led_bouts)
            return Dose(duration_ms=max(sides_ms, 2 * form.rep_ms, 1000))
        parts = halves if form.sides is Sidedness.ONE_SIDE else 1
        return Dose(duration_ms=max(per_side.duration_ms // parts, form.rep_ms, 1000), per=per)
    if form.sides is Sidedness.ALTERNATING:
        per = Per.SIDE
    return Dose(reps=max(1, per_side.reps // halves), per=per)


def _sides(rule: SideRule, round_number: int) -> tuple[Side, ...]:
    if rule is SideRule.BY_ROUND:
        return (Side.LEFT if round_number % 2 else Side.RIGHT,)
    return _ORDERS[rule]


def _check_sides(form: Form, rule: SideRule, text: CellText) -> None:
    """What is said of one side only is refused where that side is not worked by itself."""
    side_texts = {"left": text.left, "right": text.right}
    own = [side for side, side_text in side_texts.items() if side_text is not None]
    if form.sides is not Sidedness.ONE_SIDE:
        if own:
            raise Invalid(own[0], "sides only where one side works at a time", f"this rung works {form.sides}")
        if text.sides not in (None, SideRule.LEFT_FIRST, SideRule.RIGHT_FIRST):
            raise Invalid("sides", "this side rule only where one side works at a time", str(text.sides))
    elif rule in _ORDERS and (idle := [side for side in own if Side(side) not in _ORDERS[rule]]):
        raise Invalid(idle[0], f"only a side that is worked: {rule}", f"something for the {idle[0]}")


def _check_dose(form: Form, dose: Dose) -> None:
    if form.mode is Mode.HOLD and dose.reps is not None:
        raise Invalid("dose", "a time, since this rung is held still", str(dose), remedy='Write "30 s".')
    if form.sides is Sidedness.BOTH and dose.per is Per.SIDE:
        plain = replace(dose, per=Per.PLAIN)
        raise Invalid("dose", "a plain dose: both sides work together here", str(dose), remedy=f'Write "{plain}".')
    counted_sides = form.sides is Sidedness.ONE_SIDE or (form.sides is Sidedness.ALTERNATING and dose.reps)
    if counted_sides and dose.per is Per.PLAIN:
        base = str(dose).removesuffix(" reps")
        remedy = f'Write "{base} a side" or "{base} in all".'
        raise Invalid("dose", "whether it counts a side or in all", str(dose), remedy=remedy)


def _with_added_reps(form: Form, dose: Dose) -> Dose:
    if not form.reps_added:
        return dose
    if dose.reps is None:
        raise Invalid("dose", "a dose in repetitions, since a lever adds some", str(dose))
    return replace(dose, reps=dose.reps + form.reps_added)


def _for_both_sides(dose: Dose) -> Dose:
    reps = None if dose.reps is None else dose.reps * 2
    duration_ms = None if dose.duration_ms is None else dose.duration_ms * 2
    return Dose(reps=reps, duration_ms=duration_ms, per=Per.ALL)


def _shares(dose: Dose, sides: int) -> tuple[Dose, ...]:
    """A dose 'in all' is shared out over the sides, the first side taking what does not divide."""
    if dose.per is Per.SIDE or sides == 1:
        return (replace(dose, per=Per.SIDE),) * sides
    if dose.reps is not None:
        half = dose.reps // 2
        if half < 1:
            raise Invalid("dose", "at least one repetition a side", str(dose))
        return (Dose(reps=dose.reps - half, per=Per.SIDE), Dose(reps=half, per=Per.SIDE))
    half = (dose.duration_ms or 0) // 2
    return (Dose(duration_ms=half, per=Per.SIDE),) * 2


def _one_side(form: Form, dose: Dose, load: Load | None, side: Side, side_text: SideText | None) -> Bout:
    if side_text is None:
        return _bout(form, dose, load, side)
    tempo = side_text.tempo or form.tempo
    if side_text.load and load is None:
        raise Invalid(f"{side}.load", "a load on one side only where the rung holds one", str(side_text.load))
    if side_text.load and load and (side_text.load.band is None) != (load.band is None):
        raise Invalid(f"{side}.load", f"the same kind of load as {load}", str(side_text.load))
    side_load = replace(side_text.load, carry=load.carry) if side_text.load and load else load
    own = replace(side_text.dose, per=Per.SIDE) if side_text.dose else dose
    return _bout(replace(form, tempo=tempo), own, side_load, side)


def _bout(form: Form, dose: Dose, load: Load | None, side: Side) -> Bout:
    reps, duration_ms = _reps_and_ms(form, dose)
    return Bout(
        side=side,
        reps=reps,
        duration_ms=duration_ms,
        tempo=form.tempo,
        rep_ms=form.rep_ms,
        load=load,
        load_side=load_side(load, side),
    )


def _reps_and_ms(form: Form, dose: Dose) -> tuple[int, int]:
    if form.mode is Mode.HOLD:
        return 0, dose.duration_ms or 0
    if dose.reps is not None:
        return dose.reps, dose.reps * form.rep_ms
    duration_ms = dose.duration_ms or 0
    reps = duration_ms // form.rep_ms
    if form.sides is Sidedness.ALTERNATING:
        reps -= reps % 2  # a timed bout ends with both sides done
    if reps < 1:
        need = form.rep_ms * (2 if form.sides is Sidedness.ALTERNATING else 1)
        raise Invalid("dose", f"time for at least one repetition ({need / 1000:g} s)", str(dose))
    return reps, duration_ms


def load_side(load: Load | None, side: Side) -> Side | None:
    """The hand a single load is in, as the participant's side; both for two-handed carries, None without a load."""
    if load is None:
        return None
    if load.carry is Carry.OPPOSITE_HAND:
        return side.other
    return side if load.carry is Carry.WORKING_HAND else Side.BOTH
