"""What the body does inside a bout, as strokes: how deep it is at each moment of each repetition."""

from collections.abc import Iterator
from dataclasses import dataclass

from everyrung.terms.enums import Side
from everyrung.terms.move import PULSE_MS, Form
from everyrung.terms.timeline import Phase, Span, phases

_ENDS = ((0.0, 1.0), (1.0, 1.0), (1.0, 0.0), (0.0, 0.0))  # of the phases in the order of time
_PULSE_TO = 0.6  # of the depth; chosen, because a pulse comes back by less than half


@dataclass(frozen=True, slots=True, kw_only=True)
class Stroke:
    """One phase: depth 0 is where a repetition begins, 1 its full depth. `rep` is 0 in a hold."""

    at_ms: int
    end_ms: int
    side: Side
    before: float
    after: float
    rep: int

    @property
    def is_pause(self) -> bool:
        return self.before == self.after


def strokes(span: Span) -> tuple[Stroke, ...]:
    """The strokes of a work span, from its phases; none for any other span."""
    if span.bout is None:
        return ()
    if span.bout.reps == 0:
        return tuple(_stroke(phase, 1.0, 1.0) for phase in phases(span))
    return tuple(_rep_strokes(span))


def _rep_strokes(span: Span) -> Iterator[Stroke]:
    bout, cell = span.bout, span.cell
    assert bout is not None
    assert cell is not None
    form = cell.rung.form
    kinds = [kind for kind, (_, length_ms) in enumerate(form.in_time(bout.tempo)) if length_ms]
    rep, at = 0, 0
    for phase in phases(span):
        rep, at = (rep, at + 1) if phase.rep == rep else (phase.rep, 0)
        kind = kinds[at] if at < len(kinds) else 3  # beyond the tempo: the drawn-out rest of a timed bout
        if kind == 1 and form.pulses:
            yield from _pulses(phase, form)
        else:
            yield _stroke(phase, *_ENDS[kind])


def _pulses(phase: Phase, form: Form) -> Iterator[Stroke]:
    """The pause there may be, then small bends of half a second, there and back, then the extra."""
    until_ms = phase.end_ms - form.extra_ms
    first_ms = until_ms - form.pulses_ms
    halves = [(at_ms, at_ms + PULSE_MS // 2) for at_ms in range(first_ms, until_ms, PULSE_MS // 2)]
    yield from _lasting(phase, phase.at_ms, first_ms, 1.0, 1.0)
    for place, (at_ms, end_ms) in enumerate(halves):
        before, after = (_PULSE_TO, 1.0) if place % 2 else (1.0, _PULSE_TO)
        yield from _lasting(phase, at_ms, end_ms, before, after)
    yield from _lasting(phase, until_ms, phase.end_ms, 1.0, 1.0)


def _lasting(phase: Phase, at_ms: int, end_ms: int, before: float, after: float) -> Iterator[Stroke]:
    if end_ms > at_ms:
        yield Stroke(at_ms=at_ms, end_ms=end_ms, side=phase.side, before=before, after=after, rep=phase.rep)


def _stroke(phase: Phase, before: float, after: float) -> Stroke:
    return Stroke(at_ms=phase.at_ms, end_ms=phase.end_ms, side=phase.side, before=before, after=after, rep=phase.rep)
