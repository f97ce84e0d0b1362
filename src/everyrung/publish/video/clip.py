"""An upright clip of a session: its title, a stretch of each of two or three sets, the end words; on its own clock.

What is said stands in the picture: where such clips are shown, most people see them without sound, and a track of
captions in the file is often not offered (common practice, no source).
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate
from textwrap import wrap
from typing import TypeVar

from everyrung.publish.captions.fit import captions
from everyrung.publish.captions.format import Caption, needed_ms
from everyrung.publish.stills import kit_words, unlike_rungs
from everyrung.publish.video.compose import Picture
from everyrung.publish.video.layout import CLIP
from everyrung.publish.video.scenes import SECOND_MS, Scene, scenes
from everyrung.results.analysis import Analysis
from everyrung.runsheet.beeps import Beep, beeps
from everyrung.terms.enums import BlockKind, Sidedness, SpanKind
from everyrung.terms.errors import require
from everyrung.terms.move import Rung
from everyrung.terms.timeline import CueTrack, SaidCue, Span, Track

Piece = TypeVar("Piece", SaidCue, Caption)
MOST_SETS = 3
TITLE_MS, END_MS = 3_000, 4_000  # chosen, because a title of two lines and three names are read in that
LEAST_MS, AIM_MS, MOST_MS = 30_000, 48_000, 60_000  # chosen: a clip's usual length, and the least that shows a set
ROW_SIGNS = 31  # of the end words; chosen, because so many fit beside one another
STOP = "Stop for pain, dizziness or breathlessness."


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """From when to when in the session, and when it is seen in the clip."""

    begin_ms: int
    end_ms: int
    at_ms: int

    @property
    def shift_ms(self) -> int:
        """What is taken off a time of the session."""
        return self.begin_ms - self.at_ms


@dataclass(frozen=True, slots=True, kw_only=True)
class Clip:
    """What is seen, beeped and said in it, on its own clock."""

    picture: Picture
    stretches: tuple[Stretch, ...]
    beeps: tuple[Beep, ...]
    track: CueTrack

    @property
    def total_ms(self) -> int:
        return self.picture.scenes[-1].end_ms


def clip(run: Analysis) -> Clip:
    """The clip. Raises Invalid where the main part has no set, or none short enough for it."""
    works = _choice(run)
    require(bool(works), "clip", "a main part with a set", "none")
    stretches = _stretches(works, run.session.clock.count_in_ms)
    end_ms = stretches[-1].at_ms + stretches[-1].end_ms - stretches[-1].begin_ms
    require(end_ms + END_MS <= MOST_MS, "clip", f"one repetition of each set within {MOST_MS // 1000} s", end_ms)
    session_scenes = scenes(run.session, run.timeline)
    length = f"{round(run.timeline.total_ms / 60_000)} minutes"
    names = tuple((work.cell.move.name, "") for work in works if work.cell)
    parts = (
        Scene(at_ms=0, end_ms=TITLE_MS, above=length, title=run.session.title, agenda=names),
        *(scene for stretch in stretches for scene in _scenes(session_scenes, stretch)),
        _end(run, end_ms, length),
    )
    marks = beeps(run.timeline, count_in_ms=run.session.clock.count_in_ms)
    by_stretch = [(_cues(run, stretch), stretch) for stretch in stretches]
    texts = tuple(caption for words, stretch in by_stretch for caption in _captions(words, stretch))
    return Clip(
        picture=Picture(layout=CLIP, scenes=parts, captions=texts),
        stretches=stretches,
        beeps=tuple(
            replace(beep, at_ms=beep.at_ms - each.shift_ms)
            for each in stretches
            for beep in marks
            if each.begin_ms <= beep.at_ms < each.end_ms
        ),
        track=CueTrack(
            track=Track.FIRST, said=tuple(_later(cue, stretch.at_ms) for words, stretch in by_stretch for cue in words)
        ),
    )


def _choice(run: Analysis) -> list[Span]:
    """The first side of sets of the main part that look unlike each other, as they come."""
    works: dict[object, Span] = {}
    for span in run.timeline.spans:
        if span.kind is SpanKind.WORK and span.bout and span.cell and span.block.kind is BlockKind.MAIN:
            works.setdefault(span.cell.ref, span)
    by_rung: dict[Rung, Span] = {}
    for span in reversed(works.values()):  # the last round's first, for it is the hardest
        if span.cell:
            by_rung.setdefault(span.cell.rung, span)
    with_figure = [rung for rung in by_rung if rung.form in run.drawings]
    choice = unlike_rungs(with_figure or list(by_rung), MOST_SETS)
    return sorted((by_rung[rung] for rung in choice), key=lambda span: span.at_ms)


def _stretches(works: Sequence[Span], count_in_ms: int) -> tuple[Stretch, ...]:
    """From each set's count-in through whole repetitions: one more of the shortest until the clip is long enough."""
    units_ms = [_unit_ms(work) for work in works]
    counts = [1] * len(works)
    ends_ms = TITLE_MS + END_MS + len(works) * count_in_ms
    while True:
        lengths_ms = [count * unit_ms for count, unit_ms in zip(counts, units_ms, strict=True)]
        left_ms = AIM_MS - ends_ms - sum(lengths_ms)
        free = [
            at for at, work in enumerate(works)
            if units_ms[at] <= left_ms and lengths_ms[at] + units_ms[at] <= work.duration_ms
        ]  # fmt: skip
        if not free:
            break
        counts[min(free, key=lengths_ms.__getitem__)] += 1
    starts_ms = accumulate((length_ms + count_in_ms for length_ms in lengths_ms), initial=TITLE_MS)
    return tuple(
        Stretch(begin_ms=work.at_ms - count_in_ms, end_ms=work.at_ms + length_ms, at_ms=at_ms)
        for work, length_ms, at_ms in zip(works, lengths_ms, starts_ms, strict=False)
    )


def _unit_ms(work: Span) -> int:
    """A repetition, one of each side where they alternate; a second of a hold."""
    if work.bout is None or work.cell is None or not work.bout.reps:
        return SECOND_MS
    alternates = work.cell.rung.form.sides is Sidedness.ALTERNATING and work.bout.reps > 1
    return work.bout.rep_ms * (2 if alternates else 1)


def _scenes(session_scenes: Sequence[Scene], stretch: Stretch) -> Iterator[Scene]:
    for scene in session_scenes:
        at_ms, end_ms = max(scene.at_ms, stretch.begin_ms), min(scene.end_ms, stretch.end_ms)
        if at_ms < end_ms:
            view = scene.view and replace(scene.view, begins_ms=scene.view.begins_ms - stretch.shift_ms)
            yield replace(
                scene, at_ms=at_ms - stretch.shift_ms, end_ms=end_ms - stretch.shift_ms, view=view, coming=""
            )  # fmt: skip


def _end(run: Analysis, at_ms: int, length: str) -> Scene:
    rows = [(row, "") for words in (kit_words(run.session), STOP) for row in wrap(words, ROW_SIGNS)]
    title = f"All of it: {length}"
    return Scene(at_ms=at_ms, end_ms=at_ms + END_MS, above=run.session.title, title=title, agenda=tuple(rows))


def _cues(run: Analysis, stretch: Stretch) -> tuple[SaidCue, ...]:
    """Of those who see it for the first time, what is said and read wholly within a stretch, on the stretch's clock."""
    cues = next((track.said for track in run.cues if track.track is Track.FIRST), ())
    inside = (cue for cue in cues if stretch.begin_ms <= cue.at_ms and _read_ms(cue) <= stretch.end_ms)
    return tuple(_later(cue, -stretch.begin_ms) for cue in inside)


def _read_ms(cue: SaidCue) -> int:
    return max(cue.end_ms, cue.at_ms + needed_ms(len(cue.text.split())))


def _later(one: Piece, by_ms: int) -> Piece:
    return replace(one, at_ms=one.at_ms + by_ms, end_ms=one.end_ms + by_ms)


def _captions(cues: tuple[SaidCue, ...], stretch: Stretch) -> Iterator[Caption]:
    """None stands over a stretch that is not its own."""
    length_ms = stretch.end_ms - stretch.begin_ms
    for each in captions(CueTrack(track=Track.FIRST, said=cues)).captions:
        if each.at_ms < length_ms:
            yield _later(replace(each, end_ms=min(each.end_ms, length_ms)), stretch.at_ms)
