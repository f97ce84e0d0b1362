"""Which levers changed between two cells of one column, and whether they clearly went down."""

from functools import lru_cache

from everyrung.moves.levers import TRACES
from everyrung.terms.enums import BandGrade, Sidedness
from everyrung.terms.lever import LEVER_WORDS
from everyrung.terms.move import Form
from everyrung.terms.session import Cell
from everyrung.terms.units import SAME_MASS_KG, Load

TO_MUSIC = 1.15  # of the time of a movement; chosen: a beat shifts it by as much, and the slow versions by half
PAIRS_KEPT = 1024  # chosen, because a plan of 500 cells has fewer


def changed_levers(before: Cell, after: Cell) -> tuple[str, ...]:
    """The lever words by which `after` differs from `before`, in the order of LEVER_WORDS.

    With another move swapped in, only its dose and load can still be compared. A carry that comes with another
    number of pieces is part of the load, as a ball in the hands is that gives way to one; sides in turn that come with
    an extra are part of the extra; and a tempo that only keeps to the beat of a music is none of its own.
    """
    differs = {
        "swap": before.rung.form.move != after.rung.form.move,
        "reps": _dose(before) != _dose(after),
        "load": _load_differs(_load(before), _load(after)),
    }
    if not differs["swap"]:
        differs |= dict.fromkeys(_of_forms(before.rung.form, after.rung.form), True)
    if differs["load"] and any(form.surface.hands_needed for form in (before.rung.form, after.rung.form)):
        differs["surface"] = False
    if differs.get("tempo") and _is_to_music(before, after):
        differs["tempo"] = False
    return tuple(word for word in LEVER_WORDS if differs.get(word))


def _is_to_music(before: Cell, after: Cell) -> bool:
    """Whether they move as quickly but for the beat of a music."""
    if not before.beats_a_minute and not after.beats_a_minute:
        return False
    tempos = [each.rung.form.tempo for each in (before, after)]
    quick_ms, slow_ms = sorted(each.lower_ms + each.rise_ms for each in tempos)
    return slow_ms <= TO_MUSIC * quick_ms


@lru_cache(PAIRS_KEPT)  # rounds repeat the same few, and several rules ask
def _of_forms(old: Form, new: Form) -> tuple[str, ...]:
    return tuple(word for word, trace in TRACES.items() if trace.differs(old, new))


def went_down(before: Cell, after: Cell) -> tuple[str, ...]:
    """The changed levers, when all of them can be measured and went down; else none."""
    levers = changed_levers(before, after)
    return levers if all(_fell(word, before, after) for word in levers) else ()


def _fell(word: str, before: Cell, after: Cell) -> bool:
    (unit, old), (new_unit, new) = size(word, before), size(word, after)
    return bool(unit) and unit == new_unit and new < old


def _dose(cell: Cell) -> tuple[bool, float]:
    """Whether the dose is a time, and how much of it each side gets (repetitions or ms)."""
    by_time = cell.dose.reps is None
    sides = 2 if cell.rung.form.sides is Sidedness.ALTERNATING else 1
    total = sum(bout.duration_ms if by_time else bout.reps for bout in cell.bouts)
    return by_time, total / len(cell.bouts) / sides


def _load(cell: Cell) -> Load | None:
    return cell.bouts[0].load


def _load_differs(one: Load | None, other: Load | None) -> bool:
    if one is None or other is None:
        return one is not other
    kinds = (one.band, len(one.pieces)) != (other.band, len(other.pieces))
    return kinds or abs(one.total_kg - other.total_kg) > SAME_MASS_KG


def size(word: str, cell: Cell) -> tuple[str, float]:
    """How much there is of one lever, with its unit; only sizes of one unit compare, and none without."""
    load = _load(cell)
    if word == "reps":
        by_time, amount = _dose(cell)
        return ("ms" if by_time else "reps"), amount
    if word == "load":
        if load and load.band:
            return "band", list(BandGrade).index(load.band)
        return "kg", load.total_kg if load else 0.0
    trace = TRACES.get(word)
    return (trace.unit, trace.amount(cell.rung.form)) if trace and trace.unit else ("", 0.0)
