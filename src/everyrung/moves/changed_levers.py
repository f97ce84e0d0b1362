"""Which levers changed between two cells of one column, and whether they clearly went down."""

from everyrung.terms.enums import BandGrade, Sidedness
from everyrung.terms.lever import LEVER_WORDS
from everyrung.terms.session import Cell
from everyrung.terms.units import SAME_MASS_KG, Load

MEASURED = ("range", "pause", "tempo", "reps", "load", "pulse")  # the others have no more or less by themselves


def changed_levers(before: Cell, after: Cell) -> tuple[str, ...]:
    """The lever words by which `after` differs from `before`, in the order of LEVER_WORDS.

    With another move swapped in, only its dose and load can still be compared. A carry that comes with another
    number of pieces is part of the load, and sides in turn that come with an extra are part of the extra.
    """
    changed = {
        "swap": before.rung.form.move != after.rung.form.move,
        "reps": _dose(before) != _dose(after),
        "load": _load_differs(_load(before), _load(after)),
    }
    if not changed["swap"]:
        changed |= _form_changes(before, after)
    return tuple(word for word in LEVER_WORDS if changed.get(word))


def went_down(before: Cell, after: Cell) -> tuple[str, ...]:
    """The changed levers, when all of them can be measured and went down; else none."""
    changed = changed_levers(before, after)
    return changed if all(word in MEASURED and _fell(word, before, after) for word in changed) else ()


def _fell(word: str, before: Cell, after: Cell) -> bool:
    (unit, old), (new_unit, new) = size(word, before), size(word, after)
    return unit == new_unit and new < old


def _form_changes(before: Cell, after: Cell) -> dict[str, bool]:
    old, new = before.rung.form, after.rung.form
    pauses = (old.tempo.bottom_ms, old.tempo.top_ms) != (new.tempo.bottom_ms, new.tempo.top_ms)
    return {
        "range": old.range_share != new.range_share,
        "pause": pauses,
        "tempo": (old.tempo.lower_ms, old.tempo.rise_ms) != (new.tempo.lower_ms, new.tempo.rise_ms),
        "carry": old.carry != new.carry and old.load is new.load,
        "reach": old.reach is not new.reach,
        "press": old.press is not new.press,
        "rotation": old.rotation is not new.rotation,
        "base": (old.support, old.hold) != (new.support, new.hold),
        "unilateral": old.sides is not new.sides and old.extra is new.extra,
        "pulse": old.pulses != new.pulses,
        "extra": old.extra is not new.extra,
        "surface": old.surface is not new.surface,
    }


def _dose(cell: Cell) -> tuple[bool, float]:
    """Whether the dose is a time, and how much of it each side gets (repetitions or ms)."""
    timed = cell.dose.reps is None
    sides = 2 if cell.rung.form.sides is Sidedness.ALTERNATING else 1
    total = sum(bout.duration_ms if timed else bout.reps for bout in cell.bouts)
    return timed, total / len(cell.bouts) / sides


def _load(cell: Cell) -> Load | None:
    return cell.bouts[0].load


def _load_differs(one: Load | None, other: Load | None) -> bool:
    if one is None or other is None:
        return one is not other
    kinds = (one.band, len(one.pieces)) != (other.band, len(other.pieces))
    return kinds or abs(one.total_kg - other.total_kg) > SAME_MASS_KG


def size(word: str, cell: Cell) -> tuple[str, float]:
    """How much there is of one lever, with its unit; only sizes of one unit compare."""
    form, load = cell.rung.form, _load(cell)
    if word == "reps":
        timed, amount = _dose(cell)
        return ("ms" if timed else "reps"), amount
    if word == "load" and load and load.band:
        return "band", list(BandGrade).index(load.band)
    sizes = {
        "load": ("kg", load.total_kg if load else 0.0),
        "tempo": ("ms", form.tempo.lower_ms + form.tempo.rise_ms),
        "pause": ("ms", form.tempo.bottom_ms + form.tempo.top_ms),
        "range": ("share", form.range_share),
        "pulse": ("pulses", form.pulses),
    }
    return sizes[word]
