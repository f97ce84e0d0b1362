"""What the body does inside a bout, as strokes: how deep it is at each moment of each repetition."""

from collections.abc import Iterator
from dataclasses import dataclass

from everyrung.terms.move import PULSE_MS
from everyrung.terms.session import Bout
from everyrung.terms.timeline import Phase, Span, phases, pulse_count
from everyrung.terms.vocabulary import Side

_PULSE_RISE = 0.4  # chosen, because a pulse comes up by less than half


@dataclass(frozen=True, slots=True, kw_only=True)
class Stroke:
    """One phase: depth 0 is the top of the repetition, 1 the bottom. `rep` is 0 in a hold."""

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
    bout = span.bout
    assert bout is not None
    kinds = _phase_kinds(bout)
    rep, at = 0, 0
    for phase in phases(span):
        rep, at = (rep, at + 1) if phase.rep == rep else (phase.rep, 0)
        kind = kinds[at] if at < len(kinds) else 3  # beyond the tempo: the drawn-out top of a timed bout
        if kind == 1 and pulse_count(bout):
            yield from _pulses(phase, pulse_count(bout))
        else:
            yield _stroke(phase, *((0.0, 1.0), (1.0, 1.0), (1.0, 0.0), (0.0, 0.0))[kind])


def _phase_kinds(bout: Bout) -> list[int]:
    """Which of lowering, bottom, rising and top a repetition has; a phase of no length is not on the timeline."""
    bottom_ms = bout.tempo.bottom_ms + pulse_count(bout) * PULSE_MS
    lengths = (bout.tempo.lower_ms, bottom_ms, bout.tempo.rise_ms, bout.tempo.top_ms)
    return [kind for kind, length in enumerate(lengths) if length]


def _pulses(phase: Phase, count: int) -> Iterator[Stroke]:
    """The pause there may be, then small bends of half a second, up and down again."""
    first_ms = phase.end_ms - count * PULSE_MS
    if first_ms > phase.at_ms:
        yield Stroke(at_ms=phase.at_ms, end_ms=first_ms, side=phase.side, before=1.0, after=1.0, rep=phase.rep)
    for at_ms in range(first_ms, phase.end_ms, PULSE_MS):
        middle, end = at_ms + PULSE_MS // 2, at_ms + PULSE_MS
        up = 1.0 - _PULSE_RISE
        yield Stroke(at_ms=at_ms, end_ms=middle, side=phase.side, before=1.0, after=up, rep=phase.rep)
        yield Stroke(at_ms=middle, end_ms=end, side=phase.side, before=up, after=1.0, rep=phase.rep)


def _stroke(phase: Phase, before: float, after: float) -> Stroke:
    return Stroke(at_ms=phase.at_ms, end_ms=phase.end_ms, side=phase.side, before=before, after=after, rep=phase.rep)
