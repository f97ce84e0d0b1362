"""The work of a show as strokes of the score: each repetition where it was on the wall, whole or broken off."""

from collections.abc import Iterator
from dataclasses import replace

from everyrung.lookback.show import Show
from everyrung.lookback.stretches import Stretch as WallStretch
from everyrung.results.analysis import Analysis
from everyrung.runsheet.build import ways
from everyrung.score.lanes import Lane, Stretch, Stroke, strokes
from everyrung.terms.enums import SpanKind
from everyrung.terms.timeline import Span


def show_stretches(show: Show, analysis: Analysis) -> Iterator[Stretch]:
    """One for each time that a set's work was on, ms since the show began; what was paused comes in pieces."""
    branches = ways(analysis)
    for part in show.stretches:
        for span in branches.variants[part.way].timeline.spans:
            if span.kind is SpanKind.WORK and span.cell and span.at_ms < part.end_ms and span.end_ms > part.at_ms:
                yield _piece(span, part, show.start_ms)


def _piece(span: Span, part: WallStretch, start_ms: int) -> Stretch:
    """What of a span lies in a stretch of the clock, with the dose that was really done in it."""
    from_ms, to_ms = max(span.at_ms, part.at_ms), min(span.end_ms, part.end_ms)
    here = tuple(_strokes(span, part, start_ms))
    bout = span.bout
    if bout and (from_ms, to_ms) != (span.at_ms, span.end_ms):
        duration_ms = to_ms - from_ms
        whole = len({each.rep for each in here if each.rep and each.after == 0.0})
        reps = min(whole, duration_ms // bout.rep_ms) if bout.reps else 0
        bout = replace(bout, reps=reps, duration_ms=duration_ms)
    place = replace(span, at_ms=part.wall_of(from_ms) - start_ms, end_ms=part.wall_of(to_ms) - start_ms, bout=bout)
    return Stretch(lane=Lane.SIDES, span=place, grade=span.cell.rung.grade if span.cell else 0, strokes=here)


def _strokes(span: Span, part: WallStretch, start_ms: int) -> Iterator[Stroke]:
    """Those that lie in a stretch; one that is broken off ends as deep as it had come."""
    for each in strokes(span):
        at_ms, end_ms = max(each.at_ms, part.at_ms), min(each.end_ms, part.end_ms)
        if at_ms < end_ms:
            yield replace(
                each,
                at_ms=part.wall_of(at_ms) - start_ms,
                end_ms=part.wall_of(end_ms) - start_ms,
                before=_depth(each, at_ms),
                after=_depth(each, end_ms),
            )


def _depth(stroke: Stroke, at_ms: int) -> float:
    share = (at_ms - stroke.at_ms) / (stroke.end_ms - stroke.at_ms)
    return stroke.before + share * (stroke.after - stroke.before)
