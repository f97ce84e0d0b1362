"""The whole chain in one place: plan file -> plan -> session -> timeline -> findings."""

from dataclasses import dataclass
from pathlib import Path

from everyrung.checks.every import check
from everyrung.moves.library import Library, standard_library
from everyrung.plan.read import read_plan
from everyrung.plan.resolve import resolve
from everyrung.terms.finding import Finding
from everyrung.terms.plan import Plan
from everyrung.terms.session import Session
from everyrung.terms.timeline import Timeline
from everyrung.timing.refit import Refit, refit
from everyrung.timing.timeline import build_timeline


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """Everything computed from one plan; stage and publishing read it and compute nothing."""

    plan: Plan
    session: Session
    timeline: Timeline
    findings: tuple[Finding, ...]
    refit: Refit | None = None

    @property
    def clean(self) -> bool:
        """No finding of severity error."""
        return all(finding.severity != "error" for finding in self.findings)


def run(path: Path, minutes: int | None = None, library: Library | None = None) -> Run:
    """The plan file at `path`, timed and checked; `minutes` fits it to another slot first.

    Raises Faults when the file cannot be used.
    """
    plan = read_plan(path)
    session = resolve(plan, library or standard_library())
    fitted = refit(session, minutes * 60_000) if minutes is not None else None
    if fitted:
        session = fitted.session
    timeline = build_timeline(session)
    return Run(plan=plan, session=session, timeline=timeline, findings=check(session, timeline), refit=fitted)
