"""What a session that was led says of the next plan, as edits: each tried, and offered only where it holds.

A set that was surely left out may be left out of the plan; a number of repetitions that was surely announced may be the
plan's; her own clock may be. Whether any of it was meant is the coach's to say: they are offers.
"""

from collections.abc import Iterator, Sequence

from everyrung.compose.case import PlanRun
from everyrung.compose.trial import Again, Refusal, fresh, try_edit
from everyrung.lookback.coach_clock import CoachClock
from everyrung.lookback.counts import announced_reps
from everyrung.lookback.notes import is_clear
from everyrung.lookback.outcome import SURE, Change, Outcome
from everyrung.lookback.plan_sets import round_words
from everyrung.lookback.review_values import NextEdit
from everyrung.lookback.show import Show
from everyrung.lookback.talk import words_between
from everyrung.terms.edit import OneEdit, SetCell, SetHead, Several, SkipCell
from everyrung.terms.enums import Severity
from everyrung.terms.sentences import lower_first
from everyrung.terms.units import Dose, Per, clock_text


def next_edits(
    outcome: Outcome | None,
    text: str,
    start: PlanRun,
    again: Again,
    *,
    show: Show | None = None,
    clock: CoachClock | None = None,
) -> tuple[NextEdit, ...]:
    """Every change that the session suggests, each tried alone on the plan `text`, whose run is `start`; last of all
    the coach's own `clock`.
    """
    suggestions = dict(_suggestions(outcome, show))  # the log and the words may say the same
    edits = [_try(words, edit, text, start, again) for words, edit in suggestions.items()]
    if clock and clock.offer:
        edits.append(_try("Your own times as the plan's.", clock_edit(clock), text, start, again, is_forecast=True))
    return tuple(edits)


def clock_edit(clock: CoachClock) -> Several:
    """What was learned, as the plan's [clock]."""
    values = {
        key.removesuffix("_ms"): value if key == "talk_wpm" else f"{value / 1000:g} s"
        for key, value in clock.offer.items()
    }
    return Several(
        edits=tuple(SetHead(field=f"clock.{key}", value=value) for key, value in values.items()),
        words="your own times",
    )


def _try(
    words: str, edit: OneEdit | Several, text: str, start: PlanRun, again: Again, *, is_forecast: bool = False
) -> NextEdit:
    """`is_forecast`: it changes what is forecast and not what is led, so that an error it brings was there unseen."""
    whole = edit if isinstance(edit, Several) else Several(edits=(edit,), words=words.rstrip("."))
    trial = try_edit(text, start, whole, again)
    if isinstance(trial, Refusal):
        return NextEdit(words=words, edit=whole, text=None, why=str(trial))
    new = [each for each in fresh(start.run.findings, trial.run.findings) if each.severity is Severity.ERROR]
    brings = [f"it brings an error: {each.measured}; {each.limit}" for each in new]
    if new and not is_forecast:
        return NextEdit(words=words, edit=whole, text=None, why=brings[0])
    times = [clock_text(round(each.timeline.total_ms, -3)) for each in (start.run, trial.run)]
    after = f"the session then takes {times[1]}, now {times[0]}" if times[0] != times[1] else ""
    return NextEdit(
        words=words, edit=whole, text=trial.text, after="; ".join([each for each in (after, *brings[:1]) if each])
    )


def _suggestions(outcome: Outcome | None, show: Show | None) -> Iterator[tuple[str, OneEdit]]:
    if show:
        yield from _log_skips(show)
    elif outcome:
        yield from _skips(outcome)
    if outcome and is_clear(outcome):
        yield from _doses(outcome)


def _log_skips(show: Show) -> Iterator[tuple[str, OneEdit]]:
    """Cells of which no side was ever on."""
    cells = {row.plan.ref: row for row in show.rows}
    work_refs = {row.plan.ref for row in show.rows if row.bouts}
    if len(work_refs) < len(cells) / 2:
        return  # broken off: nobody chose to leave the rest out
    for ref, row in cells.items():
        if ref not in work_refs:
            what = "cut" if row.change is Change.CUT else "not led"
            words = f"Leave out {row.plan.cell.rung.name} in {row.plan.where}, which was {what}."
            yield words, SkipCell(ref=row.plan.cell.ref, skip=True)


def _skips(outcome: Outcome) -> Iterator[tuple[str, OneEdit]]:
    """Cells none of whose sides was led."""
    led_cells = {outcome.sets[each.place].ref for each in outcome.steps if each.at_ms is not None}
    refs = [each.place for each in outcome.changes if each.change is Change.SKIPPED and each.is_sure]
    cells = {outcome.sets[place].ref: outcome.sets[place].cell for place in refs}
    for ref, cell in cells.items():
        if ref not in led_cells:
            where = round_words(cell.ref)
            yield f"Leave out {cell.rung.name} in {where}, which was not led.", SkipCell(ref=cell.ref, skip=True)


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
            words = f"{plan.cell.rung.name} in {plan.where}: {dose}, as announced, for {plan.cell.dose}."
            yield words, SetCell(ref=plan.cell.ref, field="dose", value=str(dose))


def edit_lines(edits: Sequence[NextEdit]) -> Iterator[str]:
    """The changes for the screen, with what stands in the way of those that don't hold."""
    if edits:
        yield "For the next plan (tried; --json has each plan's text):"
    for each in edits:
        yield f"- {each.words}" if each.text else f"- Not {lower_first(each.words)} {each.why}"


def edit_values(edits: Sequence[NextEdit]) -> list[dict[str, object]]:
    """The same for programs, with the whole text of each plan."""
    return [{"words": each.words, "holds": each.text is not None, "why": each.why, "plan": each.text} for each in edits]
