"""Spoken cues as clips: trimmed to the words, equally loud, kept on the disk so that each is made once."""

import wave
from contextlib import suppress
from dataclasses import dataclass
from io import BytesIO
from math import gcd
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from everyrung.store.digest import digest, versions
from everyrung.store.files import replace_bytes
from everyrung.terms.errors import require
from everyrung.voice import natural
from everyrung.voice.engine import FASTEST_WPM, SLOWEST_WPM, VOICE, plain, synthesise

SAMPLE_RATE_HZ = 48_000  # the audio track's; a ms is a whole number of samples
SAMPLES_A_MS = SAMPLE_RATE_HZ // 1_000
FULL_SCALE = 32_767  # 16 bits
HEADER_BYTES = 44  # of a WAV file with nothing in it but samples
HEARD_RATIO = 0.01  # of a clip's peak (-40 dB); chosen, because the softest s or f that begins a cue lies above it
SPEECH_DBFS = -20.0  # RMS while words sound; chosen, because the highest peak of the library's cues then is -1 dBFS
SPEECH_RATIO = 0.01  # of the loudest frame's power (-20 dB); chosen, because pauses lie below it and vowels above
FRAME_MS = 20  # chosen, because it holds two periods of the deepest voice and is shorter than a syllable
HIGHEST_PEAK = 0.98  # chosen, because it leaves the encoder of a file some room
MAKING = 1  # counted up whenever this module makes other samples of the same speech


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class VoiceClip:
    """Words as they sound, one channel at 48 kHz, from the first sample that is heard to the last; read-only.

    `text` is what was said; `length_ms` is rounded up. Where nothing is said there are no samples and 0 ms.
    """

    text: str
    samples: NDArray[np.float32]

    def __post_init__(self) -> None:
        require(self.samples.ndim == 1, "samples", "one channel", f"{self.samples.ndim} dimensions")
        self.samples.flags.writeable = False

    @property
    def length_ms(self) -> int:
        """Whole ms, rounded up."""
        return -(-len(self.samples) // SAMPLES_A_MS)


class Clips:
    """Clips at one rate, kept in `folder`, where several processes may work at once.

    A file that is spoilt is made anew; a folder where nothing can be written only costs time.
    """

    def __init__(self, folder: Path, words_a_minute: int, voice: str = VOICE) -> None:
        """Raises Invalid for a rate outside 80 to 450 words a minute."""
        expected = f"{SLOWEST_WPM} to {FASTEST_WPM} words a minute"
        require(SLOWEST_WPM <= words_a_minute <= FASTEST_WPM, "words_a_minute", expected, words_a_minute)
        self.folder, self.words_a_minute, self.voice = folder, words_a_minute, voice
        self._clips: dict[str, VoiceClip] = {}

    def __getstate__(self) -> dict[str, object]:
        """What goes to another process: there the clips are read from the folder again, when they are wanted."""
        return {**vars(self), "_clips": {}}

    def clip(self, text: str) -> VoiceClip:
        """The clip of a text. Raises Invalid, with a remedy, when it has to be made and cannot be."""
        words = plain(text)
        if words not in self._clips:
            self._clips[words] = VoiceClip(text=words, samples=_from_pcm(self._kept_or_made(words)))
        return self._clips[words]

    def length_ms(self, text: str) -> int:
        """How long a text takes to say, as the clip does."""
        return self.clip(text).length_ms

    def _kept_or_made(self, words: str) -> NDArray[np.int16]:
        if not any(map(str.isalnum, words)):  # no words
            return np.zeros(0, dtype=np.int16)
        made_by = "hibari-tts" if self.voice == natural.VOICE else "espeakng-loader"
        key = digest(words, self.words_a_minute, self.voice, versions(made_by), MAKING)
        path = self.folder / f"{key}.wav"
        pcm = _read(path)
        if pcm is not None:
            return pcm
        result = _to_pcm(*self._speech(words))
        with suppress(OSError):  # full, or nothing can be written here: it is result again the next time
            replace_bytes(path, _wav(result))
        return result

    def _speech(self, words: str) -> tuple[NDArray[np.float32], int]:
        if self.voice == natural.VOICE:
            return natural.synthesise(words, self.words_a_minute)
        return synthesise(words, self.words_a_minute, self.voice)


def best_voice() -> str:
    """The natural voice where its extra is installed, else the small one."""
    return natural.VOICE if natural.available() else VOICE


def _to_pcm(samples: NDArray[np.float32], rate_hz: int) -> NDArray[np.int16]:
    """Speech at 48 kHz without the silence around it, at the common loudness, rounded to 16 bits as the file holds it.

    Rounded here already, so that a clip just made and one read back are the same.
    """
    if not samples.any():
        return np.zeros(0, dtype=np.int16)
    from scipy.signal import resample_poly  # late, for it takes a second and most who speak find all clips made

    common = gcd(SAMPLE_RATE_HZ, rate_hz)
    audible = resample_poly(samples.astype(np.float64), SAMPLE_RATE_HZ // common, rate_hz // common)
    places = np.flatnonzero(np.abs(audible) >= HEARD_RATIO * np.abs(audible).max())
    words = audible[places[0] : places[-1] + 1]
    gain = min(10 ** (SPEECH_DBFS / 20) / speech_level(words), HIGHEST_PEAK / np.abs(words).max())
    result: NDArray[np.int16] = np.rint(gain * words * FULL_SCALE).astype(np.int16)
    return result


def speech_level(samples: NDArray[np.floating]) -> float:
    """The RMS of what is louder than pauses: of frames within 20 dB of the loudest one."""
    size = min(FRAME_MS * SAMPLES_A_MS, len(samples))
    power = np.square(samples[: len(samples) // size * size].reshape(-1, size)).mean(axis=1, dtype=np.float64)
    return float(np.sqrt(power[power >= SPEECH_RATIO * power.max()].mean()))


def _from_pcm(pcm: NDArray[np.int16]) -> NDArray[np.float32]:
    return pcm.astype(np.float32) / np.float32(FULL_SCALE)


def _wav(pcm: NDArray[np.int16]) -> bytes:
    buffer = BytesIO()
    with wave.open(buffer, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(SAMPLE_RATE_HZ)
        file.writeframes(pcm.astype("<i2").tobytes())
    return buffer.getvalue()


def _read(path: Path) -> NDArray[np.int16] | None:
    """What a file of ours holds; None when there is none, or its form or length is not as it was written."""
    try:
        content = path.read_bytes()
    except OSError:
        return None
    body = content[HEADER_BYTES:]
    pcm = np.frombuffer(body[: len(body) // 2 * 2], dtype="<i2").astype(np.int16)
    return pcm if len(pcm) and _wav(pcm) == content else None
