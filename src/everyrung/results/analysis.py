"""The analysis of a plan: everything that was computed from it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import field
from typing import TYPE_CHECKING

from everyrung.results import analysis_values
from everyrung.results.result import Result, Rows, Values, absent
from everyrung.terms.enums import Severity
from everyrung.terms.finding import Finding
from everyrung.terms.frozen import dataclass
from everyrung.terms.move import Form
from everyrung.terms.person import BodySize
from everyrung.terms.plan import Plan
from everyrung.terms.session import Session
from everyrung.terms.timeline import CueTrack, Timeline
from everyrung.terms.units import clock_text

if TYPE_CHECKING:
    from everyrung.room.room_plan import RoomPlan
    from everyrung.terms.demand import Mechanics, RungDrawing
    from everyrung.terms.forecast import Energy, Forecast, PersonAdvice
    from everyrung.timing.branches import Branches
    from everyrung.timing.refit import Refit
    from everyrung.voice.clips import Clips

LONGEST = 5  # kinds of time in a repr; chosen, because they fit on its line


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Analysis(Result):
    """Everything computed from one plan; stage and publishing read it and compute nothing.

    `mechanics` and `energies` are there when the bodies were asked, `drawings` when figures were, `forecast` when an
    audience was, `advice` when people were, `cues` when those were; `voice` speaks them when one was asked for.
    `branches` are the ways it can go when time runs short, where they were asked for, `scripts` the cues of each of
    their variants; of the first, the whole session, they are `cues`. `room` is the session in its room, where one was
    named.
    """

    plan: Plan
    session: Session
    timeline: Timeline
    findings: tuple[Finding, ...]
    refit: Refit | None = None
    mechanics: Mechanics | None = None
    energies: Mapping[BodySize, Energy] = field(default_factory=dict)
    drawings: Mapping[Form, RungDrawing] = field(default_factory=dict)
    forecast: Forecast | None = None
    advice: tuple[PersonAdvice, ...] = ()
    cues: tuple[CueTrack, ...] = ()
    voice: Clips | None = None
    branches: Branches | None = None
    scripts: tuple[tuple[CueTrack, ...], ...] = ()
    room: RoomPlan | None = None

    @property
    def clean(self) -> bool:
        """No finding of severity error."""
        return all(finding.severity != "error" for finding in self.findings)

    def to_dict(self, *, explain: bool = False) -> Values:
        """Times in ms, sums, findings, every cell and span, and the bodies where they were computed; with `explain`
        each default that was taken, and why. `everyrung check --json` prints the same.
        """
        return analysis_values.analysis_values(self, explain=explain)

    def _tables(self) -> Mapping[str, Callable[[], Rows]]:
        return {
            "spans": lambda: [analysis_values.span_row(span) for span in self.timeline.spans],
            "cells": lambda: [analysis_values.cell_row(cell) for cell in self.session.cells],
            "findings": lambda: [analysis_values.finding_values(finding) for finding in self.findings],
            "cues": self._cue_rows,
            "bodies": self._body_rows,
        }

    def _cue_rows(self) -> Rows:
        if not self.cues:
            raise absent("cues", "analyze(plan, cues=True)")
        return [analysis_values.cue_row(track, cue) for track in self.cues for cue in track.said]

    def _body_rows(self) -> Rows:
        if self.mechanics is None:
            raise absent("bodies", "analyze(plan, bodies=True)")
        return [
            analysis_values.body_row(cell, body, demand)
            for cell in self.session.cells
            for body, demand in self.mechanics.of(cell.ref)
        ]

    def _lines(self) -> list[str]:
        kinds = sorted(self.timeline.by_kind.items(), key=lambda each: -each[1])[:LONGEST]
        lines = [
            f"Analysis of {self.session.title!r}",
            f"  {clock_text(self.timeline.total_ms)} of {clock_text(self.session.slot_ms)}: "
            + ", ".join(f"{kind} {clock_text(spent_ms)}" for kind, spent_ms in kinds),
            f"  {len(list(self.session.cells))} cells, {len(self.timeline.spans)} spans",
            f"  findings: {findings_in_short(self.findings)}",
        ]
        if self.mechanics:
            lines.append(f"  mechanics: on {len(self.mechanics.bodies)} bodies")
        if self.cues:
            lines.append(f"  cues: {', '.join(f'{len(each.said)} said, {each.track}' for each in self.cues)}")
        if self.forecast:
            lines.append(f"  forecast: {self.forecast.people:,} people, {self.forecast.mix}")
        if self.advice:
            lines.append(f"  advice: {len(self.advice)} people")
        return [*lines, f"  tables: {', '.join(self._tables())}"]

    def _picture(self) -> str:
        from everyrung.score.draw import score_svg

        return score_svg(self.session, self.timeline)


def findings_in_short(findings: tuple[Finding, ...]) -> str:
    """'1 error, 2 notes', or 'none'."""
    counts = Counter(finding.severity for finding in findings)
    parts = [f"{counts[one]} {one}{'s' if counts[one] > 1 else ''}" for one in Severity if one in counts]
    return ", ".join(parts) or "none"
