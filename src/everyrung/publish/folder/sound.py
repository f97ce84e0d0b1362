"""The folder's sound: beeps; and with a voice the voice alone, for editing, and both together, for listening."""

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from everyrung.publish.audio.files import mp3_possible, write_flac, write_mp3, write_opus
from everyrung.publish.audio.loudness import Loudness, normalise
from everyrung.publish.audio.sound import SAMPLE_RATE_HZ, Clip, render, voice_track
from everyrung.publish.descriptions.place import descriptions
from everyrung.publish.folder.kept_sound import kept_or_made, sound_key
from everyrung.publish.output import NAMES, Files
from everyrung.results.analysis import Analysis
from everyrung.runsheet.beeps import Beep, beeps
from everyrung.terms.timeline import CueTrack, Track

Sound = tuple[NDArray[np.float32], Loudness]
BEEPS_UNDER_VOICE_DB = -12.0  # chosen, because a long beep then is about as loud as the words beside it


def sound_of(run: Analysis, clips: Sequence[Clip] = ()) -> Sound:
    """Beeps, with a voice's clips above them where there are any, at their loudness."""
    return mix(_marks(run), run.timeline.total_ms, clips)


def mix(marks: Sequence[Beep], total_ms: int, clips: Sequence[Clip]) -> Sound:
    """The same of beeps on any clock."""
    beeps_db = BEEPS_UNDER_VOICE_DB if clips else 0.0
    return normalise(render(marks, total_ms, clips, beeps_db=beeps_db), SAMPLE_RATE_HZ)


def beep_files(run: Analysis, folder: Path, notes: list[str]) -> Files:
    """Beeps for editing and for listening."""
    yield from _from_store("beeps", run, (), folder, notes, partial(_beeps, run, folder))


def voice_files(run: Analysis, track: CueTrack, folder: Path, notes: list[str]) -> Files:
    """The voice alone, for it must stay when music is replaced; and with the beeps."""
    assert run.voice is not None
    clips, left = voice_track(track.for_recording, run.voice)
    yield from _from_store(
        f"voice {track.track}", run, clips, folder, notes, partial(_voice, run, track, clips, folder)
    )
    notes += left


def description_files(run: Analysis, folder: Path, notes: list[str]) -> Files:
    """Cues, beeps and what is described between them, said by the same voice."""
    assert run.voice is not None
    track = next(each for each in run.cues if each.track is Track.FIRST)
    clips, left = voice_track(descriptions(run).with_cues(track), run.voice)
    yield from _from_store("descriptions", run, clips, folder, notes, partial(_description, run, clips, folder))
    notes += left


def _marks(run: Analysis) -> Sequence[Beep]:
    return beeps(run.timeline, count_in_ms=run.session.clock.count_in_ms)


def _from_store(
    files: str,
    run: Analysis,
    clips: Sequence[Clip],
    folder: Path,
    notes: list[str],
    make: Callable[[list[str]], Files],
) -> Files:
    key = sound_key(files, _marks(run), run.timeline.total_ms, clips)
    return kept_or_made(key, folder, notes, make)


def _beeps(run: Analysis, folder: Path, notes: list[str]) -> Files:
    samples, loudness = sound_of(run)
    notes.append(loudness_words("Beeps", loudness))
    write_flac(folder / "beeps.flac", samples, SAMPLE_RATE_HZ)
    yield folder / "beeps.flac", "counts and changes as beeps, for editing (lossless)"
    yield from _small(folder, "beeps", samples, "the same")


def _voice(run: Analysis, track: CueTrack, clips: Sequence[Clip], folder: Path, notes: list[str]) -> Files:
    name = NAMES[track.track]
    with ThreadPoolExecutor(1) as aside:  # numpy and the encoders leave Python to others while they work
        alone = aside.submit(_alone, clips, run.timeline.total_ms, folder / f"voice-{name}.flac")
        both, loudness = sound_of(run, clips)
        notes.append(loudness_words(f"Beeps and voice, {track.track},", loudness))
        small = list(_small(folder, f"spoken-{name}", both, f"cues and beeps to listen to, {track.track}"))
        yield alone.result(), f"the cues spoken, without beeps, for editing, {track.track} (lossless)"
    yield from small


def _alone(clips: Sequence[Clip], total_ms: int, path: Path) -> Path:
    samples, _ = normalise(render((), total_ms, clips), SAMPLE_RATE_HZ)
    write_flac(path, samples, SAMPLE_RATE_HZ)
    return path


def _description(run: Analysis, clips: Sequence[Clip], folder: Path, notes: list[str]) -> Files:
    samples, loudness = sound_of(run, clips)
    notes.append(loudness_words("Beeps, voice and audio description", loudness))
    yield from _small(folder, "described-first-time", samples, "cues, beeps and audio description to listen to")


def _small(folder: Path, name: str, samples: NDArray[np.float32], what: str) -> Files:
    makers = [(write_opus, folder / f"{name}.opus", f"{what}, small")]
    if mp3_possible():
        makers.append((write_mp3, folder / f"{name}.mp3", f"{what}, for old players"))
    with ThreadPoolExecutor() as pool:  # encoders leave Python to others while they work
        for future in [pool.submit(maker, path, samples, SAMPLE_RATE_HZ) for maker, path, _ in makers]:
            future.result()
    yield from ((path, words) for _, path, words in makers)


def loudness_words(what: str, loudness: Loudness) -> str:
    """'Beeps at -23.0 LUFS (EBU R 128: -23), true peak -13.8 dBTP.'"""
    why = ", held down by its peaks" if loudness.peak_limited else ""
    return (
        f"{what} at {loudness.integrated_lufs:.1f} LUFS{why} (EBU R 128: {loudness.target_lufs:g}), "
        f"true peak {loudness.true_peak_dbtp:.1f} dBTP."
    )
