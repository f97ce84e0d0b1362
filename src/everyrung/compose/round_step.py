"""One round made a step harder or easier: in each of its sets by the first way that brings no finding."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from everyrung.checks.cells import every_block, every_cell
from everyrung.checks.rules.whole_session import HIGHEST_GRADE
from everyrung.compose.case import PlanRun, Remedy
from everyrung.compose.led_rungs import lead, loads_near
from everyrung.compose.rungs import change_dose, set_dose, stand_ins
from everyrung.compose.trial import Again, Outcome, fresh, try_edit, why_unfit
from everyrung.terms.edit import AddLever, DropLever, OneEdit, SetCell, Several
from everyrung.terms.enums import Mode, OptionKind, Severity
from everyrung.terms.errors import Invalid, nearest
from everyrung.terms.plan import Ref
from everyrung.terms.session import Cell, Session

PAUSE = {"pause": "1 s"}
_OF_TIME = ("slot-overrun", "slot-underfilled")  # mended when all sets are changed
Way = tuple[str, Sequence[OneEdit]]


def round_steps(text: str, start: PlanRun, at: Ref, again: Again, *, harder: bool) -> Iterator[Remedy]:
    """The plan `text` with one round a step harder, or easier: none where no set can take it. Raises Invalid for a
    place that is not there.
    """
    edits: list[OneEdit] = []
    words: list[str] = []
    now, base = start, text
    for ref in [cell.ref for cell in round_cells(start.session, at) if not cell.lock]:
        cell = next(each for each in every_cell(now.session) if each.ref == ref)
        for name, way in _ways(now, cell, harder=harder):
            outcome = try_edit(base, now, _as_one(way), again) if way else None
            if isinstance(outcome, Outcome) and _holds(now, outcome):
                edits += way
                words.append(f"{cell.move.name.lower()} {name}")
                base, now = outcome.text, replace(now, run=outcome.run)
                break
    if edits:
        what = "harder" if harder else "easier"
        yield Remedy(words=f"Round {at.round} a step {what}: {', '.join(words)}", edits=tuple(edits))


def round_cells(session: Session, at: Ref) -> tuple[Cell, ...]:
    """The sets of a round. Raises Invalid with the nearest round."""
    rounds = {
        str(Ref(block=block.name, round=each.name)): each for block in every_block(session) for each in block.rounds
    }
    place = str(Ref(block=at.block, round=at.round))
    if place not in rounds:
        raise Invalid("round", "a round of this session", place, nearest=nearest(place, rounds))
    return rounds[place].cells


def is_step(before: Session, after: Session, at: Ref, *, harder: bool) -> bool:
    """Whether some set of a round is harder than it was, or easier, and none the other way."""
    old = {cell.ref: cell for cell in round_cells(before, at)}
    now = {cell.ref: cell for cell in every_cell(after) if cell.ref in old}
    steps = {_amount(cell) > _amount(old[ref]) for ref, cell in now.items() if _amount(cell) != _amount(old[ref])}
    return steps == {harder}


def _amount(cell: Cell) -> tuple[float, ...]:
    """What tells a harder set of a column from an easier one: grade, load, work."""
    load = cell.bouts[0].load
    return cell.rung.grade, load.total_kg if load and load.pieces else 0.0, sum(bout.duration_ms for bout in cell.bouts)


def _as_one(edits: Sequence[OneEdit]) -> Several:
    return Several(edits=tuple(edits), words="")


def _holds(before: PlanRun, outcome: Outcome) -> bool:
    new = fresh(before.run.findings, outcome.run.findings)
    grave = [each for each in new if each.severity is not Severity.NOTE and each.rule not in _OF_TIME]
    return not grave and why_unfit(before, outcome.run.session) is None


def _ways(now: PlanRun, cell: Cell, *, harder: bool) -> Iterator[Way]:
    """The ways to make one set harder, or easier, the plainest first."""
    step = 1 if harder else -1
    yield f"two repetitions {'more' if harder else 'fewer'}", set_dose(cell, change_dose(cell, 2 * step))
    if not harder and now.has_lever(cell):
        yield "without its last change", (DropLever(ref=cell.ref),)
    kind = OptionKind.HARDER if harder else OptionKind.EASIER
    rungs = (each for each in stand_ins(now, cell, kind, highest=HIGHEST_GRADE[now.session.level]) if not each.move)
    for other in rungs:
        yield f"as {other.rung.name.lower()}", lead(now, [cell], other)
        break
    load = cell.bouts[0].load
    for other_load in loads_near(now, cell) if load and load.pieces else ():
        if load and (other_load.total_kg > load.total_kg) is harder:
            yield f"with {other_load}", (SetCell(ref=cell.ref, field="load", value=str(other_load)),)
            break
    if harder and cell.rung.form.mode is not Mode.HOLD and not cell.rung.form.tempo.bottom_ms:
        yield "with a pause of a second", (AddLever(ref=cell.ref, lever=PAUSE),)
