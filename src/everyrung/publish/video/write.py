"""A session's video: from a run to an MP4 file."""

import tempfile
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, ThreadPoolExecutor, wait
from contextlib import contextmanager
from dataclasses import dataclass
from functools import lru_cache, partial
from math import ceil
from os import cpu_count
from pathlib import Path
from threading import Event

import numpy as np
from numpy.typing import NDArray

from everyrung.executors.tasks import is_elsewhere, map_tasks
from everyrung.moves.library import Library, standard_library
from everyrung.publish.captions.fit import captions
from everyrung.publish.captions.format import Caption
from everyrung.publish.chapters import Chapter, chapters
from everyrung.publish.video.compose import Composer, Picture, lines_of
from everyrung.publish.video.encode import FRAMES_S, encoder, join
from everyrung.publish.video.figures import Figures
from everyrung.publish.video.layout import FILM, LineSprites
from everyrung.publish.video.scenes import Stopwatch, VideoMade, round_marks_ms, scenes
from everyrung.results.analysis import Analysis
from everyrung.store.cache import Cache, default_cache
from everyrung.store.files import replacement
from everyrung.terms.errors import require
from everyrung.terms.timeline import Track

FRAME_MS = 1_000 // FRAMES_S
PIECE_FRAMES = 60 * FRAMES_S  # chosen, because no more than a minute of film is then ever made twice
TELL_S = 0.5  # chosen, because a line of progress that is told more often is not read
Samples = NDArray[np.float32]
Progress = Callable[[int, int], None]


def write_video(
    run: Analysis,
    path: Path,
    audio: Samples | None = None,
    sample_rate_hz: int = 48_000,
    progress: Progress | None = None,
    *,
    track: Track = Track.FIRST,
    part_ms: tuple[int, int] | None = None,
    pieces: Path | None = None,
    library: Library | None = None,
    cache: Cache | None = None,
) -> VideoMade:
    """Writes the session, or the part of it from one time to another, and returns the result.

    `audio` is one channel (sample) of the whole session from its start; the last picture stays until the last sound is
    over. `progress` is called now and then: frames done, of how many; what it raises stops the work. A rung
    without a pose has no figure.
    The film is encoded in pieces of a minute, as many beside one another as there are cores here, or on the cluster
    where there is one (executors/tasks.py). With a folder `pieces`
    they are kept there: a film that was stopped continues with those that are missing. Whoever gives it empties it when
    the session is another one.
    A film of the whole session has its chapters in it, and captions of the run's `track` beside the picture, to be
    switched on and off. Raises Invalid for a part that is not within the session.
    """
    total_ms = run.timeline.total_ms
    sounding_ms = 0 if audio is None else ceil(len(audio) * 1_000 / sample_rate_hz)
    begin_ms, end_ms = part_ms or (0, max(total_ms, sounding_ms))
    require(0 <= begin_ms < min(end_ms, total_ms), "part_ms", f"a start before its end and {total_ms} ms", part_ms)
    picture = Picture(layout=FILM, scenes=scenes(run.session, run.timeline), marks_ms=round_marks_ms(run.timeline))
    return write_picture(
        picture, path, audio, sample_rate_hz, progress, part_ms=(begin_ms, end_ms), pieces=pieces, library=library,
        cache=cache, marks=() if part_ms else chapters(run.timeline), soft=() if part_ms else _captions(run, track),
    )  # fmt: skip


def write_picture(
    picture: Picture,
    path: Path,
    audio: Samples | None,
    sample_rate_hz: int,
    progress: Progress | None,
    *,
    part_ms: tuple[int, int],
    pieces: Path | None = None,
    library: Library | None = None,
    cache: Cache | None = None,
    marks: Sequence[Chapter] = (),
    soft: Sequence[Caption] = (),
) -> VideoMade:
    """Writes a picture from one time to another with its sound, `soft` captions beside it, and chapters; the rest as in
    `write_video`.
    """
    begin_ms, end_ms = part_ms
    stopwatch, film = Stopwatch(), _Film(picture, begin_ms)
    moves, tell = library or standard_library(), progress or (lambda _count, _total: None)
    frames = ceil((end_ms - begin_ms) / FRAME_MS)
    with _folder(pieces) as folder:
        there = [
            _Piece(folder / f"piece-{number:04}.mp4", range(first, min(frames, first + PIECE_FRAMES)), film)
            for number, first in enumerate(range(0, frames, PIECE_FRAMES))
        ]
        if is_elsewhere():
            _encode_elsewhere(there, film, moves, tell)
        else:
            _encode(there, film.composers(moves, cache, stopwatch), stopwatch, tell)
        sound = None if audio is None else _cut(audio, begin_ms, end_ms, sample_rate_hz)
        with stopwatch.on("join"), replacement(path) as part:
            join([(each.path, len(each.frames)) for each in there], part, sound, sample_rate_hz, marks, soft)
    return VideoMade(
        seconds=frames / FRAMES_S, frames=frames, size_bytes=path.stat().st_size, split=dict(stopwatch.by_part)
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Film:
    """What all pieces have in common, as it is sent to other machines."""

    picture: Picture
    begin_ms: int

    def composers(self, library: Library, cache: Cache | None, stopwatch: Stopwatch) -> Callable[[], Composer]:
        """What makes a composer for each piece; words and figures are those of all."""
        figures, lines = Figures(library, cache, stopwatch, self.picture.layout.figure), LineSprites()
        with stopwatch.on("text"):
            lines.make(lines_of(self.picture))
        return partial(Composer, self.picture, figures, lines)


class _Stop(Exception):
    """The film is not wanted any more: what is half done is thrown away."""


class _Piece:
    """Some frames of the film, as a file of their own; `done` of them are encoded."""

    def __init__(self, path: Path, frames: range, film: _Film) -> None:
        self.path, self.frames, self._film = path, frames, film
        self.frames_done = len(frames) if path.exists() else 0

    def write(self, compose: Callable[[], Composer], stopwatch: Stopwatch, stop: Event) -> None:
        """The file, there whole or not at all. Raises _Stop."""
        composer, last = compose(), self.frames[-1]
        with replacement(self.path) as part, encoder(part, self._film.picture.layout) as into:
            for frame in self.frames:
                if stop.is_set():
                    raise _Stop
                with stopwatch.on("compose"):
                    changes = composer.at(self._film.begin_ms + frame * FRAME_MS)
                if changes or frame == last:  # the last one says how long the piece is
                    with stopwatch.on("encode"):
                        into.picture(composer.canvas.frame, frame - self.frames.start)
                self.frames_done += 1


def _encode(
    pieces: Sequence[_Piece], compose: Callable[[], Composer], stopwatch: Stopwatch, progress: Progress
) -> None:
    """Every piece that is not there yet. What `progress` raises stops all, and half a piece is not kept."""
    stop, total = Event(), sum(len(each.frames) for each in pieces)
    # Threads, for the encoder leaves Python to others while it works.
    with ThreadPoolExecutor(cpu_count() or 1) as pool:
        try:
            progress(sum(each.frames_done for each in pieces), total)
            left = {pool.submit(each.write, compose, stopwatch, stop) for each in pieces if not each.frames_done}
            while left:
                ready, left = wait(left, TELL_S, FIRST_COMPLETED)
                for each in ready:
                    each.result()
                progress(sum(each.frames_done for each in pieces), total)
        except BaseException:
            stop.set()
            pool.shutdown(cancel_futures=True)
            raise


def _encode_elsewhere(pieces: Sequence[_Piece], film: _Film, library: Library, progress: Progress) -> None:
    """The same on the cluster: the pieces come back as bytes, and are written here."""
    missing, total = [each for each in pieces if not each.frames_done], sum(len(each.frames) for each in pieces)
    progress(sum(each.frames_done for each in pieces), total)
    ask = partial(_piece_bytes, film, library)
    for piece, data in zip(missing, map_tasks(ask, [each.frames for each in missing], chunk=1), strict=True):
        with replacement(piece.path) as part:
            part.write_bytes(data)
        piece.frames_done = len(piece.frames)
        progress(sum(each.frames_done for each in pieces), total)


def _piece_bytes(film: _Film, library: Library, frames: range) -> bytes:
    """One piece, wherever this is computed; words and figures are kept there for the next."""
    with tempfile.TemporaryDirectory(prefix="everyrung-film-") as folder:
        piece = _Piece(Path(folder) / "piece.mp4", frames, film)
        piece.write(_kept_composers(film, library), Stopwatch(), Event())
        return piece.path.read_bytes()


@lru_cache(maxsize=1)
def _kept_composers(film: _Film, library: Library) -> Callable[[], Composer]:
    return film.composers(library, default_cache(), Stopwatch())


@contextmanager
def _folder(pieces: Path | None) -> Iterator[Path]:
    """Where the pieces are kept; without a place, for as long as they are needed."""
    if pieces is not None:
        pieces.mkdir(parents=True, exist_ok=True)
        yield pieces
        return
    with tempfile.TemporaryDirectory(prefix="everyrung-film-") as name:
        yield Path(name)


def _captions(run: Analysis, track: Track) -> tuple[Caption, ...]:
    cue_track = next((each for each in run.cues if each.track is track), None)
    return captions(cue_track.for_recording).captions if cue_track else ()


def _cut(audio: Samples, begin_ms: int, end_ms: int, sample_rate_hz: int) -> Samples:
    return audio[begin_ms * sample_rate_hz // 1_000 : end_ms * sample_rate_hz // 1_000]
