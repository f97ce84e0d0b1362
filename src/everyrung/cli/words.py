"""The lines that commands print about a run."""

from collections import Counter
from collections.abc import Sequence

from everyrung.checks.groups import first_groups, group_findings
from everyrung.results.analysis import Analysis
from everyrung.terms.finding import Finding
from everyrung.terms.units import clock_text
from everyrung.timing.refit import Refit


def summary_lines(run: Analysis) -> list[str]:
    """Title, time against the slot, the sums by kind, and how many findings of each severity."""
    session, timeline = run.session, run.timeline
    lines = [
        session.title,
        f"{clock_text(timeline.total_ms)} of {clock_text(session.slot_ms)}",
        *(f"  {clock_text(spent_ms):>8}  {kind}" for kind, spent_ms in timeline.by_kind.items()),
    ]
    counts = Counter(finding.severity for finding in run.findings)
    totals = ", ".join(f"{count} {severity}{'s' if count > 1 else ''}" for severity, count in sorted(counts.items()))
    return [*lines, f"Findings: {totals or 'none'}."]


def refit_lines(refit: Refit) -> list[str]:
    """What fitting to another slot cost or brought."""
    lines = [f"Fitted to {clock_text(refit.slot_ms)}: {clock_text(refit.before_ms)} -> {clock_text(refit.after_ms)}."]
    for label, items in (
        ("Lost", refit.lost),
        ("Kept", refit.kept),
        ("Taken in", refit.gained),
    ):
        lines.extend(f"  {label}: {item}" for item in items)
    if refit.problem:
        lines.append(f"  Not yet right: {refit.problem}.")
    return lines


def body_lines(run: Analysis) -> list[str]:
    """What the reference bodies say of the whole session: the energy as a band, never without its error."""
    if run.mechanics is None:
        return []
    lightest = min(run.energies, key=lambda body: body.mass_kg)
    heaviest = max(run.energies, key=lambda body: body.mass_kg)
    return [
        f"Computed on {len(run.mechanics.bodies)} bodies, {lightest} to {heaviest}.",
        *(f"  Energy, {body}: {run.energies[body]}" for body in (lightest, heaviest)),
    ]


def finding_lines(findings: Sequence[Finding], *, every: bool) -> list[str]:
    """The findings by rule, the gravest first: the first of each in full, the others by place; seven rules at once, or
    `every` one.
    """
    groups = group_findings(findings)
    first, more = (groups, ()) if every else first_groups(groups)
    lines = []
    for group in first:
        gravest, *others = group.findings
        lines += ["", str(gravest), *(f"  also at {each.place}: {each.measured}" for each in others)]
    if more:
        lines += ["", f"And less serious: {', '.join(each.rule for each in more)}. With --all they are printed too."]
    return lines
