"""What a session that was led says of the next plan, as edits: each tried, and offered only where it holds.

A set that was surely left out may be left out of the plan; a number of repetitions that was surely announced may be the
plan's. Whether either was meant is the coach's to say: they are offers.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from everyrung.compose.case import PlanRun
from everyrung.compose.trial import Again, Refusal, fresh, try_edit
from everyrung.lookback.counts import announced_reps
from everyrung.lookback.notes import is_clear
from everyrung.lookback.outcome import SURE, Change, Outcome
from everyrung.lookback.talk import words_between
from everyrung.terms.edit import OneEdit, SetCell, SkipCell
from everyrung.terms.enums import Severity
from everyrung.terms.units import Dose, Per


@dataclass(frozen=True, slots=True, kw_only=True)
class NextEdit:
    """One change of the plan, in words; `text` is the whole plan after it, None where it does not hold, and `why` says
    what stands in the way then.
    """

    words: str
    text: str | None
    why: str = ""


def next_edits(outcome: Outcome, text: str, start: PlanRun, again: Again) -> tuple[NextEdit, ...]:
    """Every change that the session suggests, each tried alone on the plan `text`, whose run is `start`."""
    return tuple(_try(words, edit, text, start, again) for words, edit in _suggestions(outcome))


def _try(words: str, edit: OneEdit, text: str, start: PlanRun, again: Again) -> NextEdit:
    trial = try_edit(text, start, edit, again)
    if isinstance(trial, Refusal):
        return NextEdit(words=words, text=None, why=str(trial))
    new = [each for each in fresh(start.run.findings, trial.run.findings) if each.severity is Severity.ERROR]
    if new:
        return NextEdit(words=words, text=None, why=f"it brings {new[0].rule}: {new[0].measured}; {new[0].limit}")
    return NextEdit(words=words, text=trial.text)


def _suggestions(outcome: Outcome) -> Iterator[tuple[str, OneEdit]]:
    yield from _skips(outcome)
    if is_clear(outcome):
        yield from _doses(outcome)


def _skips(outcome: Outcome) -> Iterator[tuple[str, OneEdit]]:
    """Cells none of whose sides was led."""
    led_cells = {outcome.sets[each.place].ref for each in outcome.steps if each.at_ms is not None}
    refs = [each.place for each in outcome.changes if each.change is Change.SKIPPED and each.is_sure]
    cells = {outcome.sets[place].ref: outcome.sets[place].cell for place in refs}
    for ref, cell in cells.items():
        if ref not in led_cells:
            yield f"Leave out {ref}, which was not led.", SkipCell(ref=cell.ref, skip=True)


def _doses(outcome: Outcome) -> Iterator[tuple[str, OneEdit]]:
    """Repetitions announced at the beginning of a set that are not the plan's, once a cell."""
    done_refs: set[str] = set()
    for each in outcome.steps:
        plan = outcome.sets[each.place]
        if each.at_ms is None or each.end_ms is None or each.change or each.chance < SURE or plan.ref in done_refs:
            continue
        promise = announced_reps(words_between(outcome.transcript.words, each.at_ms, each.end_ms))
        if promise and plan.cell.dose.reps and promise[0] != plan.bout.reps and plan.cell.dose.per is not Per.ALL:
            done_refs.add(plan.ref)
            dose = Dose(reps=promise[0], per=plan.cell.dose.per)
            words = f"{plan.ref}: {dose}, as announced, for {plan.cell.dose}."
            yield words, SetCell(ref=plan.cell.ref, field="dose", value=str(dose))


def edit_lines(edits: Sequence[NextEdit]) -> Iterator[str]:
    """The changes for the screen, with what stands in the way of those that don't hold."""
    if edits:
        yield "For the next plan (tried; --json has each plan's text):"
    for each in edits:
        yield f"- {each.words}" if each.text else f"- Not {each.words[:1].lower()}{each.words[1:]} {each.why}"


def edit_values(edits: Sequence[NextEdit]) -> list[dict[str, object]]:
    """The same for programs, with the whole text of each plan."""
    return [{"words": each.words, "holds": each.text is not None, "why": each.why, "plan": each.text} for each in edits]
