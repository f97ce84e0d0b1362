"""More or less of the same: doses by steps of two repetitions or five seconds, and who does how many."""

from dataclasses import replace

from everyrung.terms.edit import OneEdit, SetCell
from everyrung.terms.enums import Mode, Sidedness
from everyrung.terms.session import Cell
from everyrung.terms.units import Dose, Per

LEAST_REPS = 5  # chosen, because fewer light repetitions are no strength set for anybody
LEAST_HOLD_MS = 10_000  # lower end of the 10-30 s holds of ACSM guidance, from memory
STEP_MS = 5_000  # chosen, because nobody hears a smaller difference


def changed(cell: Cell, reps: int, most: int = 30) -> Dose | None:
    """The cell's dose with `reps` repetitions more a side (a negative number: fewer), or as many steps of time.

    None where that leaves what a set may be: LEAST_REPS or LEAST_HOLD_MS at least, `most` repetitions at most.
    """
    dose = cell.dose
    if dose.reps is not None:
        factor = 2 if dose.per is Per.ALL else 1
        made = dose.reps + factor * reps
        return replace(dose, reps=made) if LEAST_REPS * factor <= made <= most * factor else None
    made_ms = (dose.duration_ms or 0) + STEP_MS * reps
    return replace(dose, duration_ms=made_ms) if LEAST_HOLD_MS <= made_ms <= 300_000 else None


def set_dose(cell: Cell, dose: Dose | None) -> tuple[OneEdit, ...]:
    """The edit that gives a cell another dose; none where there is none."""
    return (SetCell(ref=cell.ref, field="dose", value=str(dose)),) if dose else ()


def dose_for(cell: Cell, mode: Mode, sides: Sidedness) -> Dose | None:
    """The dose of a rung of another kind in the cell's place; None where the cell's own will do."""
    old = cell.rung.form
    if (mode, sides) == (old.mode, old.sides):
        return None
    per = Per.PLAIN if sides is Sidedness.BOTH else Per.SIDE
    if mode is Mode.HOLD:
        return Dose(duration_ms=30_000, per=per)  # as a plan that says nothing
    return Dose(reps=max(LEAST_REPS, cell.bouts[0].reps or 10), per=per)
