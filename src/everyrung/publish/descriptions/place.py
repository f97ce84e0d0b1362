"""Where there is silence, and which words fit into it: never over a cue, never over a count-in, with a breath around.

The longest words that fit are said, in the first silence that holds them; a set's figure before its versions.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial

from everyrung.cues.candidates import BREATH_MS
from everyrung.cues.cell_timing import CellTiming, cell_timings
from everyrung.cues.speech import speech_ms, speech_text
from everyrung.moves.library import Library, standard_library
from everyrung.publish.captions.format import Caption, Note, vtt
from everyrung.publish.descriptions.words import end_words, figure_words, opening_words, version_words
from everyrung.publish.video.scenes import scenes
from everyrung.results.analysis import Analysis
from everyrung.terms.enums import BlockKind, CueKind
from everyrung.terms.errors import Invalid
from everyrung.terms.pose import Layer
from everyrung.terms.session import Cell
from everyrung.terms.timeline import CueTrack, SaidCue, Track

Stretch = tuple[int, int]  # from when to when, ms
KIND = "Audio description of the film: give it to a player as a track of the kind 'descriptions'."


@dataclass(frozen=True, slots=True, kw_only=True)
class Descriptions:
    """What is described when, in order of time; `without` are sets of the main part that no silence is left for."""

    cues: tuple[SaidCue, ...]
    without: tuple[Cell, ...]

    def with_cues(self, track: CueTrack) -> CueTrack:
        """Cues and descriptions as one voice says them."""
        both = sorted((*track.said, *self.cues), key=lambda cue: cue.at_ms)
        return replace(track, said=tuple(both))


class _Silences:
    """What is left of the time, as words are placed in it."""

    def __init__(self, busy: Sequence[Stretch], length_ms: Callable[[str], int]) -> None:
        self._busy, self._length_ms = sorted(busy), length_ms

    def find(self, choices: Sequence[str], window: Stretch, cell: Cell | None) -> SaidCue | None:
        """The first of the choices that a silence of the window holds; None where none does."""
        for words in choices:
            length_ms = self._length_ms(words)
            for begin_ms, end_ms in self._free(window):
                if length_ms <= end_ms - begin_ms:
                    end_ms = begin_ms + length_ms
                    self._busy = sorted([*self._busy, (begin_ms, end_ms)])
                    ref = cell.ref if cell else None
                    return SaidCue(at_ms=begin_ms, end_ms=end_ms, kind=CueKind.SET_UP, text=words, ref=ref)
        return None

    def _free(self, window: Stretch) -> Iterator[Stretch]:
        """Silences within a window, a breath after what was said before and before what is said next."""
        at_ms = window[0]
        for begin_ms, end_ms in self._busy:
            if end_ms + BREATH_MS <= at_ms:
                continue
            if at_ms < begin_ms - BREATH_MS:
                yield at_ms, min(begin_ms - BREATH_MS, window[1])
            at_ms = max(at_ms, end_ms + BREATH_MS)
            if at_ms >= window[1]:
                return
        yield at_ms, window[1]


def descriptions(run: Analysis, library: Library | None = None) -> Descriptions:
    """What is described beside the cues of those who see the session for the first time; timed by the run's voice where
    it has one, else by its `talk_wpm`.
    """
    moves, clock = library or standard_library(), run.session.clock
    track = next((each for each in run.cues if each.track is Track.FIRST), CueTrack(track=Track.FIRST, said=()))
    visits = cell_timings(run.timeline, clock)
    counts = [(work.at_ms - clock.count_in_ms, work.at_ms) for visit in visits for work in visit.work]
    busy = [*counts, *((cue.at_ms, cue.end_ms) for cue in track.said)]
    silences = _Silences(busy, _length(run))
    cues: list[SaidCue] = []
    without: list[Cell] = []
    for visit in visits:
        figure = _figure(run, visit, moves, silences)
        if figure is None and visit.block_kind is BlockKind.MAIN:
            without.append(visit.cell)
        versions = silences.find(version_words(visit.cell, track.said), _window(visit, figure), visit.cell)
        cues += [cue for cue in (figure, versions) if cue]
    in_order = sorted([*cues, *_ends(run, silences)], key=lambda cue: cue.at_ms)
    return Descriptions(cues=tuple(in_order), without=tuple(without))


def _length(run: Analysis) -> Callable[[str], int]:
    voice = run.voice
    if voice is None:
        return partial(speech_ms, talk_wpm=run.session.clock.talk_wpm)
    return lambda words: voice.clip(speech_text(words)).length_ms


def _window(visit: CellTiming, after: SaidCue | None) -> Stretch:
    """While the set's figure is on the screen; of its versions, once the figure was described."""
    return after.end_ms if after else visit.before_ms, visit.work[-1].end_ms


def _figure(run: Analysis, visit: CellTiming, library: Library, silences: _Silences) -> SaidCue | None:
    """In the set's first bout, or where no silence is left, in one of the other side."""
    begin_ms = visit.before_ms
    drawing, pose = run.drawings.get(visit.cell.rung.form), _pose(library, visit.cell)
    for number, work in enumerate(visit.work):
        words = figure_words(visit.cell, drawing, pose, min(number, len(visit.cell.bouts) - 1))
        if cue := silences.find(words, (begin_ms, work.end_ms), visit.cell):
            return cue
        begin_ms = work.end_ms
    return None


def _pose(library: Library, cell: Cell) -> Layer | None:
    try:
        return library.pose(cell.rung.form)
    except Invalid:
        return None


def _ends(run: Analysis, silences: _Silences) -> Iterator[SaidCue]:
    """What stands on the screen before the first set and after the last one."""
    parts = scenes(run.session, run.timeline)
    ends = [(scene, opening_words(scene)) for scene in parts[:1]] + [(scene, end_words(scene)) for scene in parts[-1:]]
    for scene, words in ends:
        if scene.view is None and (cue := silences.find(words, (scene.at_ms, scene.end_ms), None)):
            yield cue


def descriptions_vtt(content: Descriptions) -> str:
    """A WebVTT file's text: each description in one line, for a voice to read."""
    cues = [Caption(at_ms=cue.at_ms, end_ms=cue.end_ms, lines=(cue.text.replace("-->", "→"),)) for cue in content.cues]
    return vtt(cues, [Note(line=0, text=KIND, after=0)])
