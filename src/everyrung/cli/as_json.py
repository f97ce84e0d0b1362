"""A run as plain values for `--json`: the same facts as the printed lines, and every span of the timeline."""

from typing import Any

from everyrung.pipeline import Run
from everyrung.terms.finding import Finding
from everyrung.terms.timeline import Span

Values = dict[str, Any]


def run_values(run: Run, *, explain: bool) -> Values:
    """The whole run; times in ms."""
    values: Values = {
        "title": run.session.title,
        "slot_ms": run.session.slot_ms,
        "total_ms": run.timeline.total_ms,
        "by_kind_ms": {str(kind): spent_ms for kind, spent_ms in run.timeline.by_kind.items()},
        "findings": [_finding(finding) for finding in run.findings],
        "spans": [_span(span) for span in run.timeline.spans],
    }
    if run.refit:
        refit = run.refit
        values["refit"] = {
            "before_ms": refit.before_ms,
            "after_ms": refit.after_ms,
            "lost": [{"place": each.place, "saved_ms": each.duration_ms} for each in refit.lost],
            "kept": list(refit.kept),
            "gained": [{"place": each.place, "added_ms": each.duration_ms} for each in refit.gained],
            "problem": refit.problem,
        }
    if explain:
        values["defaults"] = [
            {"where": str(each.where), "field": each.field, "value": each.value, "why": each.why}
            for each in run.session.defaults
        ]
    return values


def _finding(finding: Finding) -> Values:
    return {
        "rule": finding.rule,
        "severity": str(finding.severity),
        "file": finding.where.file,
        "line": finding.where.line,
        "place": finding.place,
        "measured": finding.measured,
        "limit": finding.limit,
        "source": finding.source,
        "remedy": finding.remedy,
    }


def _span(span: Span) -> Values:
    bout = span.bout
    return {
        "at_ms": span.at_ms,
        "end_ms": span.end_ms,
        "kind": str(span.kind),
        "block": span.block.name,
        "round": span.round.name if span.round else None,
        "cell": span.cell.ref.cell if span.cell else None,
        "rung": span.cell.rung.address if span.cell else None,
        "side": str(span.side),
        "position": str(span.position),
        "kit": [held.label for held in span.kit],
        **({"reps": bout.reps, "tempo": str(bout.tempo), "load": str(bout.load or "")} if bout else {}),
    }
