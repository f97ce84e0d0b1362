"""A trial: a remedy done to a copy of the plan, the copy run like the plan itself, and what became of the finding."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import StrEnum

from everyrung.checks.cells import every_cell
from everyrung.checks.rules.whole_session import HIGHEST_GRADE
from everyrung.compose.case import Case, PlanRun, Remedy
from everyrung.compose.locks import locks_touched
from everyrung.plan.bouts import lacking
from everyrung.plan.edit import write_edit
from everyrung.plan.read import plan_from_text
from everyrung.results.analysis import Analysis
from everyrung.terms.edit import Edit
from everyrung.terms.enums import OptionKind, Severity
from everyrung.terms.errors import Faults, Invalid
from everyrung.terms.finding import Finding
from everyrung.terms.move import Form, Rung
from everyrung.terms.plan import Plan
from everyrung.terms.session import Cell, Session

Again = Callable[[Plan], Analysis]  # runs a plan with the same parts asked as the run that found the finding
_ORDER = list(Severity)


class Refusal(StrEnum):
    """Why a remedy is not offered."""

    IMPOSSIBLE = "it cannot be done to this plan"
    LOCK = "it changes what is locked"
    STAYS = "its finding stays"
    AS_SEVERE = "another finding as severe comes"
    NO_BETTER = "the plan is no better for it"
    CAUTION = "it offers a rung with a caution in question"
    KIT = "it offers a rung with kit that is not listed"
    LEVEL = "it leads a rung above the session's level, or offers a harder one as easier"


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkingRemedy:
    """A remedy that held: the text it makes, with its run, and how many milder findings come with it."""

    text: str
    milder: int
    run: Analysis


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """A change that can be done, and touches nothing locked: the text it makes, and that text's run."""

    text: str
    run: Analysis


def try_edit(text: str, start: PlanRun, edit: Edit, again: Again) -> Outcome | Refusal:
    """What an edit makes of the plan `text`, whose run is `start`."""
    try:
        new_text = write_edit(text, edit, start.run.plan.file)
        after = again(plan_from_text(new_text, start.run.plan.file))
    except (Invalid, Faults):
        return Refusal.IMPOSSIBLE
    return Refusal.LOCK if locks_touched(start.session, after.session) else Outcome(text=new_text, run=after)


def try_remedy(text: str, case: Case, remedy: Remedy, again: Again) -> WorkingRemedy | Refusal:
    """What a remedy for the case's finding does to the plan `text`."""
    outcome = try_edit(text, case, remedy.edit, again)
    if isinstance(outcome, Refusal):
        return outcome
    if not is_mended(case.finding, outcome.run.findings):
        return Refusal.STAYS
    if unfit := why_unfit(case, outcome.run.session):
        return unfit
    new = fresh(case.run.findings, outcome.run.findings)
    if any(_ORDER.index(each.severity) <= _ORDER.index(case.finding.severity) for each in new):
        return Refusal.AS_SEVERE
    return WorkingRemedy(text=outcome.text, milder=len(new), run=outcome.run)


def is_mended(finding: Finding, after: tuple[Finding, ...]) -> bool:
    """Whether nothing is left of a finding: of a merged one no place may be left, for one press is to mend it all."""
    return not any(_same_matter(finding, each) and set(finding.places) & set(each.places) for each in after)


def fresh(before: tuple[Finding, ...], after: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """The findings that were not there before, at some place of theirs, or only milder."""
    return tuple(each for each in after if not _was_there(each, before))


def _was_there(finding: Finding, before: tuple[Finding, ...]) -> bool:
    alike = [
        each
        for each in before
        if _same_matter(finding, each) and _ORDER.index(each.severity) <= _ORDER.index(finding.severity)
    ]
    return set(finding.places) <= {place for each in alike for place in each.places}


def _same_matter(one: Finding, other: Finding) -> bool:
    return (one.rule, one.what) == (other.rule, other.what)


def why_unfit(case: PlanRun, after: Session) -> Refusal | None:
    """Why one of the rungs that the remedy offers is not fit for those who come, for the kit or for the level."""
    before = {cell.ref: cell for cell in every_cell(case.session)}
    for cell in every_cell(after):
        old = before.get(cell.ref)
        for kind, rung in _new_rungs(old, cell):
            if _risky(case, cell, old, kind, rung):
                return Refusal.CAUTION
            if lacking(rung, after.kit):
                return Refusal.KIT
            if _too_high(after, cell, old, kind, rung):
                return Refusal.LEVEL
    return None


def _new_rungs(old: Cell | None, cell: Cell) -> Iterator[tuple[OptionKind | None, Rung]]:
    """The led rung and the options named in the plan, where they are not what they were; None is the led one."""
    if old is None or _shape(old.rung) != _shape(cell.rung):
        yield None, cell.rung
    for option in cell.options:
        was = old.option(option.kind) if old else None
        if option.given and (was is None or _shape(was.rung) != _shape(option.rung)):
            yield option.kind, option.rung


def _risky(case: PlanRun, cell: Cell, old: Cell | None, kind: OptionKind | None, rung: Rung) -> bool:
    """Whether a rung has a caution in question; who does the led rung can also do a harder one that has the same."""
    had = cell.rung if kind is OptionKind.HARDER else old.rung if old and kind is None else None
    new = set(rung.cautions) - set(had.cautions if had else ())
    return bool(new & case.cautions or set(rung.cautions) & case.own_cautions)


def _too_high(after: Session, cell: Cell, old: Cell | None, kind: OptionKind | None, rung: Rung) -> bool:
    if kind is OptionKind.HARDER:
        return False
    return rung.grade > (cell.rung.grade if kind else max(HIGHEST_GRADE[after.level], old.rung.grade if old else 0))


def _shape(rung: Rung) -> tuple[str, Form]:
    return rung.name, rung.form
