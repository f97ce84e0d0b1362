"""A run as plain values for the stage: spans with what is led, the other rungs, beeps, cues, what may be cut."""

from collections.abc import Iterable
from typing import Any

from everyrung.cues.sides import led
from everyrung.publish.audio.sound import TONES
from everyrung.publish.sheet.content import STOP_SIGNS
from everyrung.publish.stage.pictures import Pictures
from everyrung.results.analysis import Analysis
from everyrung.runsheet.beeps import beeps
from everyrung.runsheet.words import dose_words
from everyrung.score.draw import score_svg, system_tops
from everyrung.score.places import SYSTEM
from everyrung.terms.cue import CueTrack
from everyrung.terms.plan import Ref
from everyrung.terms.session import Cell, Option, Session
from everyrung.terms.timeline import Span
from everyrung.terms.vocabulary import OptionKind, Side, SpanKind

Values = dict[str, Any]


def stage_content(run: Analysis, pictures: Pictures) -> Values:
    """Everything that is shown; times in ms. The run needs its drawings and cues."""
    session, timeline = run.session, run.timeline
    cells = {cell.ref: place for place, cell in enumerate(session.cells)}
    return {
        "title": session.title,
        "total_ms": timeline.total_ms,
        "view": str(session.view),
        "cells": [_cell(cell, pictures) for cell in session.cells],
        "spans": [_span(span, session, cells) for span in timeline.spans],
        "beeps": [
            [beep.at_ms, str(beep.kind)] for beep in beeps(timeline, count_in_ms=session.clock.count_in_ms)
        ],
        "tones": {
            str(kind): [tone.pitch_hz, tone.duration_ms / 1000, tone.amplitude] for kind, tone in TONES.items()
        },
        "cues": {str(track.track): _cues(track) for track in run.cues},
        "cuts": [[cells[cell.ref] for cell in _named(session, ref)] for ref in session.cut_order],
        "stop": list(STOP_SIGNS),
        "notes": session.cover_notes,
        "score": score_svg(session, timeline),
        "systems": [
            {
                "at": system.at_ms, "end": system.end_ms, "top": top, "high": SYSTEM, "left": system.paper.left,
                "width": system.paper.width, "per_ms": system.units_per_ms,
            }
            for system, top in system_tops(session, timeline)
        ],
    }  # fmt: skip


def _cell(cell: Cell, pictures: Pictures) -> Values:
    offered = {option.kind: option for option in cell.options}
    motion = pictures.motion(cell.rung, cell.bouts[0].load)
    return {
        "ref": str(cell.ref),
        "move": cell.move.name,
        "block": cell.ref.block,
        "round": "" if cell.ref.round == cell.ref.block else cell.ref.round,
        "name": cell.rung.name,
        "dose": dose_words(cell),
        "load": str(cell.bouts[0].load or ""),
        "kit": [str(need.item) for need in cell.rung.kit],
        "test": cell.rung.entry_test,
        "sides": len(cell.bouts),
        "motion": motion.number,
        "turned": str(motion.turned),
        "rungs": [
            _offered(offered[kind], pictures)
            for kind in (OptionKind.HARDER, OptionKind.EASIER, OptionKind.NO_KIT)
            if kind in offered
        ],
    }  # fmt: skip


def _offered(option: Option, pictures: Pictures) -> Values:
    still = pictures.still(option.rung, option.load)
    return {
        "kind": str(option.kind), "name": option.rung.name, "test": option.rung.entry_test,
        "load": str(option.load or ""), "picture": still.number, "turned": str(still.turned),
    }  # fmt: skip


def _span(span: Span, session: Session, cells: dict[Ref, int]) -> Values:
    found: Values = {"at": span.at_ms, "end": span.end_ms, "kind": str(span.kind), "block": span.block.name}
    if span.cell:
        found["cell"] = cells[span.cell.ref]
    if span.text and span.kind is not SpanKind.ANNOUNCE:
        found["text"] = span.text
    if span.kind is SpanKind.KIT:
        found["kit"] = [held.label for held in span.kit]
    if span.bout:
        found |= {"reps": span.bout.reps, "rep": span.bout.rep_ms}
        if span.side is not Side.BOTH:
            side = led(span.side, session.view)
            found |= {"side": str(side.says), "moves": str(side.moves)}
    return found


def _cues(track: CueTrack) -> list[list[object]]:
    return [[cue.at_ms, cue.end_ms, str(cue.kind), cue.text] for cue in track.said]


def _named(session: Session, ref: Ref) -> Iterable[Cell]:
    """The cells that go when a place of the cut order goes."""
    for cell in session.cells:
        here = cell.ref
        if here.block == ref.block and ref.round in ("", here.round) and ref.cell in ("", here.cell):
            yield cell
