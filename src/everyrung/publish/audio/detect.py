"""Beeps found again in sound: reading audio files, and where the sounds in them start."""

from collections.abc import Iterator
from itertools import chain
from pathlib import Path

import av
import numpy as np
from av.container import InputContainer
from numpy.typing import NDArray

from everyrung.terms.errors import Invalid

LONGEST_S = 7_200  # chosen, because led sessions are shorter and two hours of samples still fit in memory
HIGHEST_RATE_HZ = 48_000  # chosen, because nothing of ours sounds above its half, and more only takes memory
FRAME_MS = 1  # chosen, because it is the accuracy that a beep is looked for with
SOUND_RATIO = 0.03  # of the track's peak (-30 dB); chosen, because it lies between the softest beep and a codec's noise
ONSET_RATIO = 0.2  # of the sound's own peak; chosen, because what a codec smears ahead of an onset stays below
PEAK_MS = 20  # chosen, because every beep has reached its height by then
SILENCE_MS = 15  # chosen, because beeps are further apart, and a sine's dips and a codec's ringing are shorter


def onsets(samples: NDArray[np.float32], sample_rate_hz: int) -> tuple[float, ...]:
    """Where sounds start, in ms: each rise out of at least 15 ms of near silence, at a fifth of the sound's height.

    On tracks of ours a beep is found less than 1 ms late; in speech or music these are starts of words or notes.
    """
    frame = max(1, round(FRAME_MS * sample_rate_hz / 1_000))
    whole = samples[: len(samples) // frame * frame].reshape(-1, frame)
    levels = np.maximum(whole.max(axis=1, initial=0.0), -whole.min(axis=1, initial=0.0))
    loud = np.flatnonzero((levels >= SOUND_RATIO * levels.max(initial=0.0)) & (levels > 0))
    starts = loud[np.diff(loud, prepend=-SILENCE_MS - 1) > SILENCE_MS]
    return tuple(_refined(samples, int(start) * frame, sample_rate_hz) for start in starts)


def _refined(samples: NDArray[np.float32], start: int, sample_rate_hz: int) -> float:
    heights = np.abs(samples[start : start + PEAK_MS * sample_rate_hz // 1_000])
    first = int(np.argmax(heights >= ONSET_RATIO * heights.max()))
    return (start + first) * 1_000 / sample_rate_hz


def read_audio(path: Path) -> tuple[NDArray[np.float32], int]:
    """One channel (the mean of a file's) and its sample rate in Hz, at most 48 kHz: WAV, Opus, MP3, M4A.

    A decoder's delay is taken off where the file tells it; a file that breaks off is read as far as it goes. Raises
    Invalid with words for a file that is not there, has no sound, cannot be decoded or is longer than two hours.
    """
    try:
        with av.open(str(path)) as container:
            if not container.streams.audio:
                raise Invalid("audio", "a file with sound in it", path.name)
            if container.streams.audio[0].codec_context is None:
                raise Invalid("audio", "sound that can be decoded", path.name, remedy="Save it as WAV and try again.")
            rate_hz = min(container.streams.audio[0].rate, HIGHEST_RATE_HZ)
            parts = list(_decoded(container, rate_hz))
    except Invalid:
        raise  # a ValueError too
    except (av.FFmpegError, OSError, ValueError) as problem:  # ValueError: channels or rate change on the way
        raise Invalid("audio", "a readable WAV, Opus, MP3 or M4A file", path.name, remedy=_words(problem)) from None
    if not parts:
        raise Invalid("audio", "a file with sound in it", path.name)
    return np.concatenate(parts), rate_hz


def _decoded(container: InputContainer, rate_hz: int) -> Iterator[NDArray[np.float32]]:
    resampler = av.AudioResampler(format="fltp", rate=rate_hz)
    count = 0
    for decoded in chain(container.decode(audio=0), (None,)):  # None: what the resampler still holds
        for frame in resampler.resample(decoded):
            count += frame.samples
            if count > LONGEST_S * rate_hz:
                raise Invalid("audio", f"at most {LONGEST_S // 60} minutes", "more")
            # Not the resampler's own mixing: in floating point it adds the channels and so lifts their level.
            yield frame.to_ndarray().mean(axis=0, dtype=np.float32)


def _words(problem: Exception) -> str:
    return f"The decoder says: {getattr(problem, 'strerror', None) or problem}."
