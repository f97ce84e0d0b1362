"""Deciding one cell: its rung, dose, load, sides, rest and options."""

from dataclasses import replace
from functools import lru_cache

from everyrung.moves.entry_tests import before_any_set
from everyrung.moves.levers import check as check_form
from everyrung.moves.levers import on_top, usual_carry
from everyrung.plan.bouts import as_listed, as_stocked, holding, lightest, lightest_band, make_bouts
from everyrung.plan.doses import DEFAULT_HOLD_MS, DEFAULT_REPS
from everyrung.plan.inheritance import FullCell
from everyrung.plan.music import on_the_beat
from everyrung.plan.options import LedCell, make_options
from everyrung.plan.resolve_context import CellContext, CellSetting, ResolveContext
from everyrung.terms.enums import Carry, CueKind, LoadNeed, Mode, Sidedness
from everyrung.terms.errors import Invalid
from everyrung.terms.lever import CarryChange, Lever, LoadChange
from everyrung.terms.move import Cue, Form, Move, Rung
from everyrung.terms.plan import CellText, Ref, SideText, Stock
from everyrung.terms.session import Cell, Default
from everyrung.terms.units import Dose, Load, Per, Tempo

CELLS_KEPT = 4096  # chosen, because an edit changes one cell of a plan, and the largest plans of a club have hundreds


def resolve_cell(deciding: ResolveContext, full: FullCell, ref: Ref, round_number: int, rest_ms: int) -> Cell:
    """One cell with nothing left open; `rest_ms` is its block's, `round_number` counts from 1. Raises UnresolvedCell
    after recording in `deciding` what is wrong.
    """
    plan, where = deciding.plan, full.text.where
    setting = CellSetting(
        library=deciding.library,
        kit=plan.kit,
        limits=plan.who.limits,
        sides=deciding.sides,
        round_number=round_number,
        rest_ms=rest_ms,
    )
    cell, defaults = deciding.attempt(full.text, lambda: _decide(setting, full, ref))
    if cell.where == where:
        deciding.defaults.extend(defaults)
        return cell
    deciding.note_defaults_again(where, defaults)
    return replace(cell, where=where)


@lru_cache(CELLS_KEPT)
def _decide(setting: CellSetting, full: FullCell, ref: Ref) -> tuple[Cell, tuple[Default, ...]]:
    """The cell and the defaults taken for it: of cells that say the same, all stand where the first one stood."""
    text = full.text
    deciding = CellContext(setting=setting, where=text.where)
    move = setting.library.move(text.move or "")
    rung = _rung(deciding, text, move)
    rung = as_listed(_in_tempo(rung, _tempo(deciding, full, rung.form)), setting.kit)
    load = _load(deciding, text, rung)
    dose = text.dose or _default_dose(deciding, rung.form)
    rule = text.sides or setting.sides
    form = holding(rung.form, load, rung.form.reps_added)
    check_form(form)
    if text.carry:
        setting.library.require_pose(form)
    name = text.name or (rung.name if _carried_as_named(text, rung.form) else f"{rung.name}, here {text.carry}")
    own = tuple(
        Cue(kind=CueKind.FORM, text=each) for each in text.cues
    )  # the coach's own points go before the library's
    rung = replace(rung, form=form, name=name, entry_test=text.entry_test or rung.entry_test, cues=(*own, *rung.cues))
    bouts = make_bouts(form, dose, load, rule, setting.round_number, _sides_as_stocked(text, setting.kit))
    if setting.round_number == 1:
        rung = before_any_set(rung)
    led_cell = LedCell(move=move, rung=rung, dose=dose, bouts=bouts, rule=rule, round_number=setting.round_number)
    cell = Cell(
        ref=ref,
        where=text.where,
        move=move,
        rung=rung,
        dose=dose,
        side_rule=rule,
        bouts=bouts,
        rest_ms=setting.rest_ms if text.rest_ms is None else text.rest_ms,
        options=make_options(deciding, text, led_cell),
        note=text.note,
        lock=text.lock,
        beats_a_minute=0.0 if form.tempo.is_hold else text.beats_a_minute or 0.0,
    )
    return cell, tuple(deciding.defaults)


def _in_tempo(rung: Rung, tempo: Tempo) -> Rung:
    return rung if tempo == rung.form.tempo else replace(rung, form=replace(rung.form, tempo=tempo))


def _carried_as_named(text: CellText, form: Form) -> bool:
    """Whether the rung's name still says how the load is carried."""
    return text.carry is None or form.carry in (None, text.carry)


def _rung(deciding: CellContext, text: CellText, move: Move) -> Rung:
    key = text.rung or "base"
    if text.rung is None:
        deciding.note_default("rung", "base", "no rung named")
    levers = on_top(text.levers or (), text.add)
    library = deciding.setting.library
    rung = library.custom_rung(move.key, key, levers) if levers else library.rung(move.key, key)
    extra = _load_levers(deciding, text, rung.form)
    if extra:
        rung = library.custom_rung(move.key, key, (*levers, *extra))
    return rung


def _load_levers(deciding: CellContext, text: CellText, form: Form) -> tuple[Lever, ...]:
    """A load or a way to carry it that the rung does not have yet makes a new rung, openly."""
    extra: list[Lever] = []
    need = form.load
    if text.load:
        need = _need_of(text.load, form)
        if form.amount is not None and form.amount.pieces != text.load.pieces:
            raise Invalid("load", f"the load of its lever, {form.amount}", str(text.load), remedy="Keep one of them.")
        if form.load is LoadNeed.NONE:
            extra.append(LoadChange(need=need))
            if need.pieces:
                extra.append(CarryChange(carry=_carry(deciding, text, replace(form, load=need))))
        elif form.load is not need:
            remedy = "Choose a rung that holds it, or change the load."
            raise Invalid("load", f"{_need_words(form.load)} for this rung", str(text.load), remedy=remedy)
    if text.carry and need is LoadNeed.NONE:
        raise Invalid("carry", "a load to carry", f"{text.carry} with no load", remedy="Give it a load.")
    return tuple(extra)


def _need_of(load: Load, form: Form) -> LoadNeed:
    """What a written load is for this rung: one piece is its kettlebell or medicine ball, where it holds one."""
    if load.band:
        return load.band.need
    return form.load if len(load.pieces) == form.load.pieces else (LoadNeed.ONE, LoadNeed.PAIR)[len(load.pieces) - 1]


def _need_words(need: LoadNeed) -> str:
    words = {LoadNeed.NONE: "no load", LoadNeed.ONE: "one piece", LoadNeed.PAIR: "two pieces"}
    return words.get(need, f"a {need}")


def _tempo(deciding: CellContext, full: FullCell, form: Form) -> Tempo:
    """The cell's tempo, in whole counts of its music."""
    tempo, beats = _tempo_in_seconds(deciding, full, form), full.text.beats_a_minute
    return on_the_beat(tempo, beats) if beats and not tempo.is_hold else tempo


def _tempo_in_seconds(deciding: CellContext, full: FullCell, form: Form) -> Tempo:
    """The written tempo with the rung's tempo and pause levers on top; a cell that says otherwise is refused."""
    text_tempo = full.text.tempo
    if form.mode is Mode.HOLD:
        if full.own.tempo is not None:
            raise Invalid("tempo", "no tempo: this rung is held still", str(full.own.tempo), remedy="Leave it out.")
        return form.tempo
    if text_tempo is None:
        deciding.note_default("tempo", form.tempo, "the move's own tempo")
        return form.tempo
    if text_tempo.is_hold:
        raise Invalid("tempo", "a tempo with some movement in it", str(text_tempo))
    base = deciding.setting.library.move(form.move).base.tempo
    lever_fields = [name for name in Tempo.__slots__ if getattr(form.tempo, name) != getattr(base, name)]
    tempo = replace(text_tempo, **{name: getattr(form.tempo, name) for name in lever_fields})
    own = full.own.tempo
    if own and any(_differs(getattr(own, name), getattr(tempo, name), name) for name in Tempo.__slots__):
        remedy = "Keep the tempo or the lever."
        raise Invalid("tempo", f"a tempo that its levers allow ({tempo})", str(own), remedy=remedy)
    return tempo


def _differs(own_ms: int, found_ms: int, name: str) -> bool:
    """A pause of 0 in a written tempo says nothing against a pause lever."""
    return own_ms != found_ms and (own_ms != 0 or name in ("lower_ms", "rise_ms"))


def _default_dose(deciding: CellContext, form: Form) -> Dose:
    per = Per.PLAIN if form.sides is Sidedness.BOTH else Per.SIDE
    hold = form.mode is Mode.HOLD
    dose = Dose(duration_ms=DEFAULT_HOLD_MS, per=per) if hold else Dose(reps=DEFAULT_REPS, per=per)
    deciding.note_default("dose", dose, "a usual dose for this kind of rung (see plan/cells.py)")
    return dose


def _load(deciding: CellContext, text: CellText, rung: Rung) -> Load | None:
    form = rung.form
    if form.load is LoadNeed.NONE:
        return None
    load = form.amount or text.load or _open_load(deciding, rung)
    load = as_stocked(load, deciding.setting.kit)
    return replace(load, carry=_carry(deciding, text, form)) if load.pieces else load


def _open_load(deciding: CellContext, rung: Rung) -> Load:
    """The load of a rung that holds one, where the plan does not say which."""
    form = rung.form
    if form.load.is_band:
        if form.band:
            return Load(band=form.band)
        band = lightest_band(form.load, deciding.setting.kit)
        deciding.note_default("load", band, "no band named: the lightest in the kit")
        return band
    load = lightest(form.load, deciding.setting.kit)
    if load is None:
        remedy = "Give it a load, or list one among the kit, or choose a rung without a load."
        raise Invalid("load", f"a load, since {rung.name!r} holds {_need_words(form.load)}", "none", remedy=remedy)
    deciding.note_default("load", load, "no load named: the lightest in the kit")
    return load


def _sides_as_stocked(text: CellText, kit: tuple[Stock, ...]) -> CellText:
    def with_listed_load(side: SideText | None) -> SideText | None:
        return replace(side, load=as_stocked(side.load, kit)) if side and side.load else side

    if not (text.left or text.right):
        return text
    return replace(text, left=with_listed_load(text.left), right=with_listed_load(text.right))


def _carry(deciding: CellContext, text: CellText, form: Form) -> Carry:
    if own := text.carry or form.carry:
        return own
    carry, why = usual_carry(form)
    deciding.note_default("carry", carry, why)
    return carry
