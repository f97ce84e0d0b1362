"""A session's video: from a run to an MP4 file."""

import os
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from math import ceil
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from everyrung.moves.library import Library, standard_library
from everyrung.publish.captions.fit import captions
from everyrung.publish.captions.format import Caption
from everyrung.publish.chapters import chapters
from everyrung.publish.video.compose import Composer, lines_of
from everyrung.publish.video.encode import FRAMES_S, encoder, join
from everyrung.publish.video.figures import Figures
from everyrung.publish.video.layout import LineSprites
from everyrung.publish.video.scenes import Stopwatch, VideoMade, round_marks_ms, scenes
from everyrung.results.analysis import Analysis
from everyrung.store.cache import Cache
from everyrung.terms.errors import require
from everyrung.terms.timeline import Track

FRAME_MS = 1_000 // FRAMES_S
PIECE_FRAMES = 60 * FRAMES_S  # chosen, because no more than a minute of film is then ever made twice
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
    over. `progress` is called each second: frames done, of how many. Captions are those of the run's `track`,
    if it has it; a rung without a pose has no figure.
    The film is encoded in pieces of a minute. With a folder `pieces` they are kept there: a film that was stopped goes
    on with the piece it was at. Whoever gives it empties it when the session is another one.
    A film of the whole session has its chapters in it. Raises Invalid for a part that is not within the session.
    """
    total_ms = run.timeline.total_ms
    sounding_ms = 0 if audio is None else ceil(len(audio) * 1_000 / sample_rate_hz)
    begin_ms, end_ms = part_ms or (0, max(total_ms, sounding_ms))
    require(0 <= begin_ms < min(end_ms, total_ms), "part_ms", f"a start before its end and {total_ms} ms", part_ms)
    spent = Stopwatch()
    composer = _composer(run, _captions(run, track), Figures(library or standard_library(), cache, spent), spent)
    frames = ceil((end_ms - begin_ms) / FRAME_MS)
    parts = () if part_ms else chapters(run.session, run.timeline)
    with _folder(pieces) as folder:
        there = []
        for first in range(0, frames, PIECE_FRAMES):
            those = range(first, min(frames, first + PIECE_FRAMES))
            piece = folder / f"piece-{first // PIECE_FRAMES:04}.mp4"
            if not piece.exists():
                _piece(piece, composer, spent, those, begin_ms, partial(_report, progress, frames))
            there.append((piece, len(those)))
        _report(progress, frames, frames)
        sound = None if audio is None else _cut(audio, begin_ms, end_ms, sample_rate_hz)
        with spent.on("join"), _replacement(path) as made:
            join(there, made, sound, sample_rate_hz, parts)
    return VideoMade(
        seconds=frames / FRAMES_S, frames=frames, size_bytes=path.stat().st_size, split=dict(spent.by_part)
    )


def _report(progress: Progress | None, frames: int, done: int) -> None:
    if progress:
        progress(done, frames)


def _piece(
    path: Path, composer: Composer, spent: Stopwatch, frames: range, begin_ms: int, told: Callable[[int], None]
) -> None:
    """One piece, there whole or not at all."""
    with _replacement(path) as made, encoder(made) as into:
        for frame in frames:
            if (frame - frames.start) % FRAMES_S == 0:
                told(frame)
            with spent.on("compose"):
                changed = composer.at(begin_ms + frame * FRAME_MS)
            with spent.on("encode"):
                into.picture(composer.canvas.planes, changed=changed)


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
    said = next((each for each in run.cues if each.track is track), None)
    return captions(said).captions if said else ()


def _composer(run: Analysis, said: tuple[Caption, ...], figures: Figures, spent: Stopwatch) -> Composer:
    with spent.on("scenes"):
        found, lines = scenes(run.session, run.timeline), LineSprites()
    with spent.on("text"):
        lines.make(lines_of(found, said))
    return Composer(found, said, round_marks_ms(run.timeline), figures, lines)


def _cut(audio: Samples, begin_ms: int, end_ms: int, sample_rate_hz: int) -> Samples:
    return audio[begin_ms * sample_rate_hz // 1_000 : end_ms * sample_rate_hz // 1_000]


@contextmanager
def _replacement(path: Path) -> Iterator[Path]:
    """A file to write into that takes the place of `path` when all went well; encoding needs a file, not bytes."""
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    os.close(handle)
    try:
        yield Path(name)
        os.chmod(name, path.stat().st_mode if path.exists() else 0o644)
        os.replace(name, path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
