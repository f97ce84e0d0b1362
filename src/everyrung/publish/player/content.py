"""From a finished run to all that the player's page knows."""

from collections.abc import Iterator

from everyrung.effort.ball import Purpose
from everyrung.effort.balls import NEVER
from everyrung.publish.audio.sound import TONES
from everyrung.publish.player.balls import HIGH_CM, LOW_CM, ball_rows
from everyrung.publish.player.sets import set_lines
from everyrung.publish.player.terms import Player, SetLine, SpanLine, ToneLine, WorkLine
from everyrung.publish.sheet.figures import Figures
from everyrung.results.analysis import Analysis
from everyrung.runsheet.beeps import beeps
from everyrung.terms.enums import KitItem, Side, Sidedness
from everyrung.terms.plan import Ref
from everyrung.terms.timeline import CueTrack, Span, Timeline


def player_content(run: Analysis, figures: Figures) -> Player:
    """Everything on the page; `figures` afterwards holds the pictures that its rungs are shown by.

    Without drawings in the run there are no figures, and without cues nothing said.
    """
    session, timeline = run.session, run.timeline
    sets = set_lines(session, timeline, run.drawings, figures)
    words = list(dict.fromkeys(cue.text for track in run.cues for cue in track.said))
    purposes = {rung.ball for each in sets for rung in each.rungs}
    return Player(
        title=session.title,
        total_ms=timeline.total_ms,
        sets=sets,
        spans=_spans(timeline),
        beeps=tuple((beep.at_ms, str(beep.kind)) for beep in beeps(timeline, count_in_ms=session.clock.count_in_ms)),
        tones={
            str(kind): ToneLine(pitch_hz=tone.pitch_hz, duration_ms=tone.duration_ms, amplitude=tone.amplitude)
            for kind, tone in TONES.items()
        },
        words=tuple(words),
        said={str(track.track): _said(track, words) for track in run.cues},
        balls={str(purpose): ball_rows(purpose) for purpose in Purpose if purpose in purposes},
        ball_care=NEVER,
        kit=_kit(sets),
        stature_cm=(LOW_CM, HIGH_CM),
    )


def _spans(timeline: Timeline) -> tuple[SpanLine, ...]:
    places: dict[Ref, int] = {}
    for span in timeline.spans:
        if span.cell:
            places.setdefault(span.cell.ref, len(places))
    return tuple(
        SpanLine(
            at_ms=span.at_ms,
            end_ms=span.end_ms,
            kind=str(span.kind),
            set=places[span.cell.ref] if span.cell else -1,
            text=span.text,
            work=_work(span),
        )
        for span in timeline.spans
    )


def _work(span: Span) -> WorkLine | None:
    if span.bout is None or span.cell is None:
        return None
    bout, form = span.bout, span.cell.rung.form
    return WorkLine(
        bout=span.cell.bouts.index(bout),
        reps=bout.reps,
        rep_ms=bout.rep_ms,
        timed=not bout.reps or span.cell.dose.duration_ms is not None,
        side="" if span.side is Side.BOTH else str(span.side),
        alternating=form.sides is Sidedness.ALTERNATING,
        phases=tuple((name, ms) for name, ms in form.in_time(bout.tempo) if ms) if bout.reps else (),
    )


def _said(track: CueTrack, words: list[str]) -> tuple[tuple[int, int, int], ...]:
    places = {text: place for place, text in enumerate(words)}
    return tuple((cue.at_ms, cue.end_ms, places[cue.text]) for cue in track.said)


def _kit(sets: tuple[SetLine, ...]) -> dict[str, int]:
    """In the order of the vocabulary."""
    most: dict[str, int] = {}
    for item, pieces in _needs(sets):
        most[item] = max(most.get(item, 0), pieces)
    return {item: most[item] for item in KitItem if item in most}


def _needs(sets: tuple[SetLine, ...]) -> Iterator[tuple[str, int]]:
    return (need for each in sets for rung in each.rungs for need in rung.needs.items())
