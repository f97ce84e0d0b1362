"""The three options of a cell: given in the plan, or inherited from the ladder."""

from dataclasses import replace
from functools import lru_cache

from everyrung.moves.alternatives import alternatives
from everyrung.moves.difference import difference
from everyrung.moves.entry_tests import before_any_set
from everyrung.moves.levers import hardens, usual_carry
from everyrung.moves.library import Library, highest_within
from everyrung.plan.bouts import Kit, as_listed, holding, lacking, make_bouts, option_dose, option_load
from everyrung.plan.resolve_context import CellContext, CellSetting
from everyrung.terms.enums import Caution, LoadNeed, OptionKind, SideRule
from everyrung.terms.errors import Invalid
from everyrung.terms.frozen import dataclass
from everyrung.terms.move import EASY_GRADE, Form, Move, Rung
from everyrung.terms.plan import CellText, OptionText
from everyrung.terms.session import Bout, Cell, Option
from everyrung.terms.units import Dose, Load, Mass, MassUnit

OPTIONS_KEPT = 1024  # chosen, because a plan of 500 cells has fewer


@dataclass(frozen=True, slots=True, kw_only=True)
class LedCell:
    """What a cell leads, decided, so that its options can be made beside it; `round_number` counts from 1."""

    move: Move
    rung: Rung
    dose: Dose
    bouts: tuple[Bout, ...]
    rule: SideRule
    round_number: int


def make_options(deciding: CellContext, text: CellText, led_cell: LedCell) -> tuple[Option, ...]:
    """Harder, easier and no-kit for one cell; one that neither the plan nor the ladder has is left out. Raises Invalid
    for one that the plan names and that cannot be done so.
    """
    options = []
    for kind in OptionKind:
        option_text = text.options.get(kind)
        rung = (
            _inherit(deciding.setting, kind, led_cell)
            if option_text is None
            else _rung_in_plan(deciding, led_cell.move, option_text, kind)
        )
        option = _make_option(deciding, led_cell, kind, rung, in_plan=option_text is not None) if rung else None
        if option is None:
            continue
        if led_cell.round_number == 1:  # also a coach's own question: nobody has done its set yet
            option = replace(option, rung=before_any_set(option.rung))
        option = replace(option, rung=as_listed(option.rung, deciding.setting.kit))
        if option_text is None:
            deciding.note_default(str(kind), option.rung.name, "the rung of the ladder that changes least")
        options.append(option)
    return tuple(options)


def _make_option(
    deciding: CellContext, led_cell: LedCell, kind: OptionKind, rung: Rung, *, in_plan: bool
) -> Option | None:
    """The option with its dose and load; None for an inherited one that nobody has the load for."""
    load = option_load(rung.form, led_cell.bouts[0].load, deciding.setting.kit)
    if load is None and rung.form.load is not LoadNeed.NONE:
        if in_plan:
            remedy = "Add a load lever with an amount, or list dumbbells among the kit."
            raise Invalid(kind.field, "a load for this option", rung.name, remedy=remedy)
        return None
    reps_added = (
        rung.form.reps_added if in_plan else 0
    )  # an inherited one is done as often as the led rung, whose are in it
    form = holding(rung.form, load, reps_added)
    by_time = led_cell.dose.duration_ms is not None
    dose = option_dose(led_cell.bouts, led_cell.rung.form.sides, form, by_time=by_time)
    bouts = make_bouts(form, dose, load, led_cell.rule, led_cell.round_number)
    option_rung = rung if form is rung.form else replace(rung, form=form)
    return Option(kind=kind, rung=option_rung, dose=dose, bouts=bouts, given=in_plan)


def beside(cell: Cell, rung: Rung, kit: Kit, round_number: int) -> Option:
    """Another rung of the ladder beside a cell's led one, dosed as options are; `round_number` counts from 1. Raises
    Invalid when the dose does not fit it.
    """
    load = option_load(rung.form, cell.bouts[0].load, kit) or _some_load(rung.form)
    form = holding(rung.form, load, 0)
    dose = option_dose(cell.bouts, cell.rung.form.sides, form, by_time=cell.dose.duration_ms is not None)
    bouts = make_bouts(form, dose, load, cell.side_rule, round_number)
    at = next(place for place, each in enumerate(cell.move.versions) if each.key == rung.key)
    above = at > _place(cell.move, cell.rung) or rung.grade > cell.rung.grade
    kind = OptionKind.HARDER if above else OptionKind.EASIER
    return Option(kind=kind, rung=replace(rung, form=form), dose=dose, bouts=bouts, given=False)


def _some_load(form: Form) -> Load | None:
    """Carried as usual, where the room has nothing for it; how heavy is for the people to say."""
    if not form.load.pieces:
        return None
    pieces = (Mass(amount=2, unit=MassUnit.KG),) * form.load.pieces  # chosen, because it is the least that is common
    return Load(pieces=pieces, carry=form.carry or usual_carry(form)[0])


def _rung_in_plan(deciding: CellContext, move: Move, text: OptionText, kind: OptionKind) -> Rung:
    library, (other, slash, key) = deciding.setting.library, text.rung.partition("/")
    address = (other, key) if slash else (move.key, text.rung)
    try:
        rung = library.custom_rung(*address, text.levers) if text.levers else library.rung(*address)
    except Invalid as problem:
        problem.field = kind.field
        raise
    if text.name or text.entry_test:
        rung = replace(rung, name=text.name or rung.name, entry_test=text.entry_test or rung.entry_test)
    return rung


def _inherit(setting: CellSetting, kind: OptionKind, led_cell: LedCell) -> Rung | None:
    if kind is OptionKind.NO_KIT and not led_cell.rung.needs_kit:
        return led_cell.rung
    return _least_change(setting.library, setting.limits, setting.kit, kind, led_cell.move.key, led_cell.rung)


@lru_cache(OPTIONS_KEPT)  # rounds repeat the same few
def _least_change(
    library: Library, limits: tuple[Caution, ...], kit: Kit, kind: OptionKind, key: str, rung: Rung
) -> Rung | None:
    """The ladder's rung for an option, the one that asks least beyond its purpose; without kit also another
    move beside it. None when there is none."""
    move = library.move(key)
    own = all(each.key != rung.key for each in move.versions)  # made by the coach on top of the ladder
    place = _place(move, rung)
    steps = [(at - place, each) for at, each in enumerate(move.versions)]
    if kind is OptionKind.HARDER:
        steps = [(step, each) for step, each in steps if step > 0 and each.grade >= rung.grade]
    elif kind is OptionKind.EASIER:
        highest = max(rung.grade, EASY_GRADE)  # what is easy is no harder than anything
        steps = [(step, each) for step, each in steps if step < own and each.grade <= highest]
    else:
        steps = [(step, each) for step, each in steps if not each.needs_kit]
    least = min(steps, key=lambda each: _change(limits, kit, kind, rung, *each), default=(0, None))[1]
    if least is None and kind is OptionKind.NO_KIT:  # the ladder has none: another move of the pattern
        beside_it = alternatives(library, rung, avoid=limits, kit=())
        least = next((each for each in beside_it if each.grade <= rung.grade), None)
    return least


def _change(
    limits: tuple[Caution, ...], kit: Kit, kind: OptionKind, rung: Rung, step: int, other: Rung
) -> tuple[int | bool, ...]:
    """How much an option asks of people beyond its purpose, the gravest first; the least is taken."""
    change = difference(rung, other)
    return (
        bool(set(limits) & set(other.cautions)),  # someone present has to avoid it
        bool(lacking(other, kit)),
        not _serves(kind, rung, other),
        other.form.move != rung.form.move,
        change.floor,
        change.surface,
        abs(step),
        step > 0,
    )


def _serves(kind: OptionKind, rung: Rung, other: Rung) -> bool:
    """Whether `other` is plainly what its kind promises: by its grade, or by the levers between the two."""
    if kind is OptionKind.NO_KIT:
        return other.grade <= rung.grade
    if kind is OptionKind.HARDER:
        return other.grade > rung.grade or _only_harder(rung, other)
    return other.grade < rung.grade or _only_harder(other, rung)


def _only_harder(low: Rung, high: Rung) -> bool:
    """Whether `high` only adds levers that harden to `low`, and only drops levers that ease."""
    extra, absent = set(high.levers) - set(low.levers), set(low.levers) - set(high.levers)
    return all(hardens(lever, low.form) for lever in extra) and not any(hardens(lever, low.form) for lever in absent)


def _place(move: Move, rung: Rung) -> int:
    """Where a rung stands on the ladder; a coach's own stands just above the highest rung that it contains."""
    keys = [each.key for each in move.versions]
    within = [at for at, each in enumerate(move.versions) if each.key == rung.key]
    if not within and (place := highest_within(move.versions, rung.levers)) is not None:
        return place
    return within[0] if within else keys.index(rung.key.partition("+")[0])
