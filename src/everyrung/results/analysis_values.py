"""An analysis as plain values: the same facts as the printed lines, and every span of the timeline; and as rows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from everyrung.checks.focus import computed_focus
from everyrung.results.result import Values
from everyrung.terms.enums import OptionKind
from everyrung.terms.finding import Finding
from everyrung.terms.person import BodySize
from everyrung.terms.session import Bout, Cell, Option
from everyrung.terms.timeline import CueTrack, SaidCue, Span, phases

if TYPE_CHECKING:
    from everyrung.results.analysis import Analysis
    from everyrung.terms.demand import RungDemand


def analysis_values(run: Analysis, *, explain: bool) -> Values:
    """The whole analysis; times in ms."""
    values: Values = {
        "title": run.session.title,
        "slot_ms": run.session.slot_ms,
        "total_ms": run.timeline.total_ms,
        "by_kind_ms": {str(kind): spent_ms for kind, spent_ms in run.timeline.by_kind.items()},
        "clean": run.clean,
        "by_block_ms": {block.name: run.timeline.block_ms(block.name) for block in run.session.blocks},
        "cut_order": [str(ref) for ref in run.session.cut_order],
        "findings": [finding_values(finding) for finding in run.findings],
        "cells": [_cell(cell) for cell in run.session.cells],
        "reserve": [_cell(cell) for block in run.session.reserve for cell in block.cells],
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
    if run.mechanics:
        values["bodies"] = [_body(run, body) for body in run.mechanics.bodies]
        values["focus"] = {
            str(cell.ref): list(computed_focus([demand for _, demand in run.mechanics.of(cell.ref)]))
            for cell in run.session.cells
        }
    if explain:
        values["defaults"] = [
            {"where": str(each.where), "field": each.field, "value": each.value, "why": each.why}
            for each in run.session.defaults
        ]
    return values


def _body(run: Analysis, body: BodySize) -> Values:
    """One reference body: the hardest joint of every cell, and the energy as bands with their error."""
    energy = run.energies[body]
    return {
        "body": str(body),
        "energy": {"kcal": str(energy.kcal), "met": str(energy.met), "error": energy.reason},
        "cells": {
            str(cell.ref): _demand(run.mechanics.demands[cell.ref, body])
            for cell in run.session.cells
            if run.mechanics and (cell.ref, body) in run.mechanics.demands
        },
    }


def _demand(demand: RungDemand) -> Values:
    hardest = demand.hardest
    return {
        "hardest_joint": hardest.motion if hardest else None,
        "fraction": hardest.fraction if hardest else None,
        "trunk_nm": demand.trunk_nm,
        "balance_m": demand.balance_m,
        "work_j": demand.work_j,
        "held": demand.feasible,
    }


def finding_values(finding: Finding) -> Values:
    """One finding, field by field."""
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
        "hint": finding.hint,
    }


def _cell(cell: Cell) -> Values:
    return {
        **_head(cell),
        "entry_test": cell.rung.entry_test,
        "cautions": [str(caution) for caution in cell.rung.cautions],
        "dose": str(cell.dose),
        "rest_ms": cell.rest_ms,
        "bouts": [_bout(bout) for bout in cell.bouts],
        "options": {str(option.kind): _option(option) for option in cell.options},
        "note": cell.note,
    }


def _head(cell: Cell) -> Values:
    """Which cell it is and what is led in it: what its values and its row begin with."""
    return {
        "ref": str(cell.ref),
        "move": cell.move.key,
        "rung": cell.rung.address,
        "name": cell.rung.name,
        "grade": cell.rung.grade,
    }


def _option(option: Option) -> Values:
    return {
        "rung": option.rung.address,
        "name": option.rung.name,
        "entry_test": option.rung.entry_test,
        "given": option.given,
        "dose": str(option.dose),
        "bouts": [_bout(bout) for bout in option.bouts],
    }


def _bout(bout: Bout) -> Values:
    return {
        "side": str(bout.side),
        "reps": bout.reps,
        "duration_ms": bout.duration_ms,
        "rep_ms": bout.rep_ms,
        "tempo": str(bout.tempo),
        "load": str(bout.load) if bout.load else None,
        "carry": str(bout.load.carry) if bout.load and bout.load.carry else None,
        "load_side": str(bout.load_side) if bout.load_side else None,
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
        "kit": [each.label for each in span.kit],
        "text": span.text,
        "bout": _bout(bout) if bout else None,
        "phases": [
            {"at_ms": each.at_ms, "end_ms": each.end_ms, "name": each.name, "rep": each.rep, "side": str(each.side)}
            for each in phases(span)
        ],
    }


def span_row(span: Span) -> Values:
    """One span as a row of a table."""
    bout = span.bout
    return {
        "at_ms": span.at_ms,
        "end_ms": span.end_ms,
        "kind": str(span.kind),
        "block": span.block.name,
        "round": span.round.name if span.round else "",
        "cell": span.cell.ref.cell if span.cell else "",
        "rung": span.cell.rung.address if span.cell else "",
        "side": str(span.side),
        "position": str(span.position),
        "kit": ", ".join(each.label for each in span.kit),
        "reps": bout.reps if bout else None,
        "load_kg": bout.load.total_kg if bout and bout.load else None,
        "text": span.text,
    }


def cell_row(cell: Cell) -> Values:
    """One cell as a row of a table; its options by the names of their rungs."""
    return {
        **_head(cell),
        "dose": str(cell.dose),
        "load": str(cell.bouts[0].load or ""),
        "work_ms": sum(bout.duration_ms for bout in cell.bouts),
        "rest_ms": cell.rest_ms,
        "entry_test": cell.rung.entry_test,
        **{kind.key: _option_name(cell, kind) for kind in OptionKind},
    }


def _option_name(cell: Cell, kind: OptionKind) -> str:
    option = cell.option(kind)
    return option.rung.name if option else ""


def cue_row(track: CueTrack, cue: SaidCue) -> Values:
    """One cue as a row of a table."""
    return {
        "track": str(track.track),
        "at_ms": cue.at_ms,
        "end_ms": cue.end_ms,
        "kind": str(cue.kind),
        "ref": str(cue.ref or ""),
        "text": cue.text,
    }


def body_row(cell: Cell, body: BodySize, demand: RungDemand) -> Values:
    """One cell on one body as a row of a table."""
    size = {"sex": str(body.sex), "stature_m": body.stature_m, "mass_kg": body.mass_kg}
    return {"ref": str(cell.ref), **size, **_demand(demand)}
