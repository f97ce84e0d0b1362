"""From a timeline to its two tracks of cues: for the first time, and for the next. The script of every set in order."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import partial

from everyrung.cues.before_set import before_set
from everyrung.cues.candidates import CueCandidate, CueRotation, SetToCue, lips_seen
from everyrung.cues.cell_timing import CellTiming, cell_timings
from everyrung.cues.closing import closing
from everyrung.cues.during_set import POINTS, during_set
from everyrung.cues.phrases import Phrases
from everyrung.cues.schedule import ATTENDED, Schedule, schedule_cues
from everyrung.cues.speech import speech_ms
from everyrung.moves.library import Library, standard_library
from everyrung.terms.enums import BlockKind, CueKind, SpanKind
from everyrung.terms.plan import Ref
from everyrung.terms.session import Cell, Session
from everyrung.terms.timeline import CueTrack, SaidCue, Span, Timeline, Track, UnsaidCue

# The share of a set's time in which a leader who does it herself can speak; chosen: half of an easy one, a fifth of the
# hardest, because talking intelligibly during hard work is nearly impossible (common practice, no source).
EASY_SHARE, HARD_SHARE = 0.5, 0.2
GRADES = 5


def cue_tracks(
    session: Session,
    timeline: Timeline,
    efforts: Mapping[Ref, float] | None = None,
    length_ms: Callable[[str], int] | None = None,
    *,
    library: Library | None = None,
    felt: Mapping[Ref, float] | None = None,
) -> tuple[tuple[CueTrack, float], ...]:
    """Both tracks, each with its gap: how far from the best placing it may be at most, as a fraction of it.

    `efforts`: how hard each cell is for the leader, 0 to 1, `felt` the same for those who follow; where it is not known
    the rung's declared grade stands in. `length_ms`: how long some words take to say; without it their syllables at the
    plan's rate say so. `library` has the poses that sides and hands are read from.

    >>> from everyrung import analyze
    >>> evening = analyze("examples/boathouse-30.toml")
    >>> (first, gap), _ = cue_tracks(evening.session, evening.timeline)
    >>> str(first.track), first.said[0].text
    ('first time', 'Welcome, here and at home.')
    """
    along, wpm = cell_timings(timeline, session.clock), session.clock.talk_wpm
    efforts = efforts or {}
    budgets, length = _budgets(along, wpm, efforts), length_ms or partial(speech_ms, talk_wpm=wpm)
    moves = library or standard_library()
    candidates = {track: cue_candidates(session, along, track, length, moves, efforts, felt) for track in Track}
    both = (_track(track, candidates[track], timeline, budgets, length) for track in Track)
    silent = tuple(each.cell.ref for each in along if not lips_seen(session, each.cell, moves))
    return tuple((replace(track, silent=silent), gap) for track, gap in both)


def cue_texts(session: Session, timeline: Timeline, library: Library | None = None) -> tuple[str, ...]:
    """Every text that one of the tracks may say, in alphabetical order: what a voice has to make before they can be
    placed.
    """
    along, moves = cell_timings(timeline, session.clock), library or standard_library()
    texts = {one.text for track in Track for one in cue_candidates(session, along, track, len, moves, {})}
    texts |= {text for span in timeline.spans if span.kind is SpanKind.ANNOUNCE for text in span.block.say}
    return tuple(sorted(texts))


def cue_candidates(
    session: Session,
    visits: Sequence[CellTiming],
    track: Track,
    length_ms: Callable[[str], int],
    library: Library,
    efforts: Mapping[Ref, float],
    felt: Mapping[Ref, float] | None = None,
) -> tuple[CueCandidate, ...]:
    """Everything that might be said on a track, in order of time; `length_ms`: how long some words take, `efforts` and
    `felt` as for `cue_tracks`.
    """
    candidates: list[CueCandidate] = []
    phrases, rotations, resting = Phrases(), dict[tuple[str, str], CueRotation](), set[tuple[str, int]]()
    for before, visit in zip((None, *visits), visits, strict=False):
        rotation = rotations.setdefault(visit.column, CueRotation(phrases))
        here = (visit.cell.ref.block, visit.round_place)
        rest = track is Track.FIRST and here not in resting and _are_over(session, visit)
        phrases.start_set()
        leader_effort = _effort(visit, efforts)
        one = SetToCue(
            session=session, visit=visit, track=track, length_ms=length_ms, rotation=rotation, library=library,
            effort=max(leader_effort, (felt or {}).get(visit.cell.ref, 0.0)), leader_effort=leader_effort, rest=rest,
            round_end=_round_end(before, visit), is_last=visit is visits[-1],
        )  # fmt: skip
        candidates += [*before_set(one), *during_set(one)]
        resting |= {here} if rest else set()
        rotation.rounds, rotation.before, rotation.last_set = rotation.rounds + 1, visit.cell, phrases.sets
        if visit is visits[-1] and one.shows_lips(one.cell):  # else after the end, with the face to the room
            candidates += closing(session, visit, length_ms)
    return tuple(sorted(candidates, key=lambda one: (one.from_ms, -one.worth)))


def _are_over(session: Session, visit: CellTiming) -> bool:
    """Whether the rounds of those who are new are over."""
    late = session.who.newcomers and visit.round_place >= session.newcomer_rounds
    return late and visit.block_kind is BlockKind.MAIN


def _round_end(before: CellTiming | None, visit: CellTiming) -> Cell | None:
    """The set before, where a main round ended with it."""
    if before is None or before.block_kind is not BlockKind.MAIN:
        return None
    same = (before.cell.ref.block, before.round_place) == (visit.cell.ref.block, visit.round_place)
    return None if same else before.cell


def _effort(visit: CellTiming, efforts: Mapping[Ref, float]) -> float:
    return efforts.get(visit.cell.ref, (visit.cell.rung.grade - 1) / (GRADES - 1))


def _track(
    track: Track,
    candidates: Sequence[CueCandidate],
    timeline: Timeline,
    budgets: Mapping[int, int],
    length_ms: Callable[[str], int],
) -> tuple[CueTrack, float]:
    schedule = schedule_cues(candidates, budgets, POINTS[track])
    cues = [
        SaidCue(
            at_ms=one.at_ms,
            end_ms=one.end_ms,
            kind=one.candidate.kind,
            text=one.candidate.text,
            ref=one.candidate.ref,
            rungs=one.candidate.rungs,
        )
        for one in schedule.cues
    ]
    cues += [
        cue for span in timeline.spans if span.kind is SpanKind.ANNOUNCE for cue in _announcement_cues(span, length_ms)
    ]
    reasons = [reason(one, schedule, budgets, POINTS[track]) for one in schedule.left]
    unsaid = tuple(
        UnsaidCue(kind=one.kind, text=one.text, ref=one.ref, reason=why)
        for one, why in zip(schedule.left, reasons, strict=True)
    )
    return CueTrack(track=track, said=tuple(sorted(cues, key=lambda cue: cue.at_ms)), unsaid=unsaid), schedule.gap


def _budgets(along: tuple[CellTiming, ...], talk_wpm: int, efforts: Mapping[Ref, float]) -> dict[int, int]:
    """Words for each bout, by the start of its span."""
    result = {}
    for visit in along:
        share = EASY_SHARE + (HARD_SHARE - EASY_SHARE) * min(max(_effort(visit, efforts), 0.0), 1.0)
        for span in visit.work:
            result[span.at_ms] = int(share * span.duration_ms / 60_000 * talk_wpm)
    return result


def _announcement_cues(span: Span, length_ms: Callable[[str], int]) -> list[SaidCue]:
    """The coach's own sentences, one after another, spread over the time that the plan gives them."""
    result: list[SaidCue] = []
    lengths = [max(1, length_ms(text)) for text in span.block.say]
    total, at_ms = sum(lengths), span.at_ms
    for text, length in zip(span.block.say, lengths, strict=True):
        end_ms = min(span.end_ms, at_ms + length * span.duration_ms // total)
        if end_ms > at_ms:
            result.append(SaidCue(at_ms=at_ms, end_ms=end_ms, kind=CueKind.SET_UP, text=text, ref=None))
        at_ms = end_ms
    return result


def reason(one: CueCandidate, schedule: Schedule, budgets: Mapping[int, int], points: int) -> str:
    """Why a candidate was left out of a schedule, in a sentence; `budgets` and `points` are those it was made with."""
    room_ms = one.until_ms - one.from_ms
    if one.length_ms > room_ms:
        return f"It takes {one.length_ms / 1000:.1f} s to say, and there are {max(0, room_ms) / 1000:.1f} s for it."
    if one.bout is not None:
        here = [each.candidate for each in schedule.cues if each.candidate.bout is one.bout]
        if one.kind in ATTENDED and sum(each.kind in ATTENDED for each in here) >= points:
            return f"{'Two points are' if points == 2 else 'One point is'} enough for one set."
        words = sum(each.words for each in here)
        if words + one.words > budgets[one.bout.at_ms]:
            return f"The leader has breath for {budgets[one.bout.at_ms]} words in this set, and {words} are spoken for."
    return "What matters more is said in that time."
