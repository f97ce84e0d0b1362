"""The three options of a cell: given in the plan, or inherited from the ladder."""

from dataclasses import replace

from everyrung.moves.library import highest_within
from everyrung.plan.deciding import Deciding
from everyrung.terms.fault import Invalid
from everyrung.terms.move import Move, Rung
from everyrung.terms.plan import CellText, OptionText
from everyrung.terms.session import Option
from everyrung.terms.vocabulary import OptionKind


def make_options(deciding: Deciding, text: CellText, move: Move, rung: Rung) -> tuple[Option, ...]:
    """Harder, easier and no-kit for one cell; one that neither the plan nor the ladder has is left out."""
    found = []
    for kind in OptionKind:
        written = text.options.get(kind)
        if written is not None:
            made = _given(deciding, move, written)
            found.append(Option(kind=kind, rung=made, given=True))
        elif (inherited := inherit(kind, move, rung)) is not None:
            deciding.took(text.where, str(kind), inherited.name, "the ladder's neighbouring rung")
            found.append(Option(kind=kind, rung=inherited, given=False))
    return tuple(found)


def _given(deciding: Deciding, move: Move, text: OptionText) -> Rung:
    other, slash, key = text.rung.partition("/")
    address = (other, key) if slash else (move.key, text.rung)
    try:
        made = deciding.library.made(*address, text.levers) if text.levers else deciding.library.rung(*address)
    except Invalid as problem:
        problem.field = "options"
        raise
    if text.name or text.entry_test:
        made = replace(made, name=text.name or made.name, entry_test=text.entry_test or made.entry_test)
    return made


def inherit(kind: OptionKind, move: Move, rung: Rung) -> Rung | None:
    """The ladder's rung for an option, or None when the ladder ends."""
    own = all(each.key != rung.key for each in move.ladder)  # made by the coach on top of the ladder
    place = _place(move, rung)
    if kind is OptionKind.HARDER:
        return _nearest_kin(rung, move.ladder[place + 1 :])
    if kind is OptionKind.EASIER:
        return _nearest_kin(rung, move.ladder[: place + own][::-1])
    return _no_kit(move, rung, place)


def _nearest_kin(rung: Rung, rungs: tuple[Rung, ...]) -> Rung | None:
    """The first of `rungs` that is the same move on the same surface, since people change least; else the first."""
    alike = [each for each in rungs if (each.form.move, each.form.surface) == (rung.form.move, rung.form.surface)]
    return next(iter(alike or rungs), None)


def _place(move: Move, rung: Rung) -> int:
    """Where a rung stands on the ladder; a coach's own stands just above the highest rung that it contains."""
    keys = [each.key for each in move.ladder]
    within = [at for at, each in enumerate(move.ladder) if each.key == rung.key]
    if not within and (place := highest_within(move.ladder, rung.levers)) is not None:
        return place
    return within[0] if within else keys.index(rung.key.partition("+")[0])


def _no_kit(move: Move, rung: Rung, place: int) -> Rung | None:
    """The rung itself if it needs no kit, else the nearest that does not, a step down before a step up."""
    if not rung.needs_kit:
        return rung
    free = [(abs(at - place), at > place, each) for at, each in enumerate(move.ladder) if not each.needs_kit]
    return min(free, key=lambda each: each[:2])[2] if free else None
