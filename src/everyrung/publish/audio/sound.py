"""How beeps sound: one sine for each kind, placed to the sample; and a track of cues, every clip at its time."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from everyrung.cues.speech import speech_text
from everyrung.publish.audio.silence import QUIET_SAMPLES, sounding
from everyrung.runsheet.beeps import SECOND_MS, Beep, BeepKind
from everyrung.terms.enums import CueKind
from everyrung.terms.errors import require
from everyrung.terms.timeline import CueTrack, SaidCue
from everyrung.voice.clips import Clips, VoiceClip
from everyrung.voice.engine import FASTEST_WPM

SAMPLE_RATE_HZ = 48_000  # Opus's own rate (RFC 6716); a ms is a whole number of samples
ATTACK_MS = 2  # chosen, because below 3 ms an onset is heard and measured as sharp, and at 2 it does not yet click
RELEASE_MS = 10  # chosen, because it ends a tone without a click and leaves the shortest tick its pitch


@dataclass(frozen=True, slots=True, kw_only=True)
class Tone:
    """A sine; `amplitude` is relative, for the whole track is set to its loudness afterwards."""

    pitch_hz: int
    duration_ms: int
    amplitude: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Clip:
    """A recorded voice, mono and at the track's sample rate, that starts at `at_ms`."""

    at_ms: int
    samples: NDArray[np.float32]

    def __post_init__(self) -> None:
        require(self.at_ms >= 0, "at_ms", "0 ms or more", self.at_ms)
        require(self.samples.ndim == 1, "samples", "one channel", f"{self.samples.ndim} dimensions")


# Chosen, because neighbours in pitch are a fifth or a fourth apart and whatever follows on one another (count-in and
# go, last and end) an octave, which nobody needs a trained ear for; because all of it lies where a telephone's
# loudspeaker still sounds and hearing does not yet fade with age; and because what matters more lasts longer. All lie
# a quarter tone above the tempered scale (times 2^(1/24) from 440 Hz), so that music in tune has none of them and a
# recording can be searched for them (docs/looking-back.md); the count-ins have three pitches, by which sets differ.
TONES: Mapping[BeepKind, Tone] = MappingProxyType(
    {
        BeepKind.CHANGE: Tone(pitch_hz=453, duration_ms=300, amplitude=0.5),
        BeepKind.END: Tone(pitch_hz=679, duration_ms=400, amplitude=0.5),
        BeepKind.COUNT_IN: Tone(pitch_hz=906, duration_ms=100, amplitude=0.5),
        BeepKind.COUNT_IN_THIRD: Tone(pitch_hz=1_077, duration_ms=100, amplitude=0.5),
        BeepKind.COUNT_IN_FOURTH: Tone(pitch_hz=1_209, duration_ms=100, amplitude=0.5),
        BeepKind.LAST: Tone(pitch_hz=1_359, duration_ms=120, amplitude=0.5),
        BeepKind.GO: Tone(pitch_hz=1_812, duration_ms=350, amplitude=0.5),
        BeepKind.REP: Tone(pitch_hz=2_717, duration_ms=40, amplitude=0.2),  # soft: it must not tire in half an hour
    }
)


def render(
    beeps: Sequence[Beep],
    total_ms: int,
    clips: Sequence[Clip] = (),
    sample_rate_hz: int = SAMPLE_RATE_HZ,
    *,
    beeps_db: float = 0.0,
) -> NDArray[np.float32]:
    """One channel with every beep and clip at its sample, mixed by adding; it may exceed full scale.

    Beeps are `beeps_db` louder than their own level, or softer if it is below 0.
    As long as `total_ms`, or as the last sound needs: the beep that ends a session starts where its time is over.
    """
    gain = np.float32(10 ** (beeps_db / 20))
    sounds = [
        (_sample_at(beep.at_ms, sample_rate_hz), gain * tone_samples(beep.kind, sample_rate_hz)) for beep in beeps
    ]
    sounds += [(_sample_at(clip.at_ms, sample_rate_hz), clip.samples) for clip in clips]
    ends = [at + len(sound) for at, sound in sounds]
    track = np.zeros(max([_sample_at(total_ms, sample_rate_hz), *ends]), dtype=np.float32)
    for at, sound in sounds:
        track[at : at + len(sound)] += sound
    return track


def louder(samples: NDArray[np.float32], times: float) -> NDArray[np.float32]:
    """All samples so many times as large; silence, which most of a track is, takes neither time nor memory."""
    track = np.zeros(len(samples), dtype=np.float32)
    for part in sounding(samples, QUIET_SAMPLES):
        track[part] = samples[part] * np.float32(times)
    return track


@cache
def tone_samples(kind: BeepKind, sample_rate_hz: int = SAMPLE_RATE_HZ) -> NDArray[np.float32]:
    """The samples of one beep, with raised-cosine ends; read-only, for they are shared."""
    tone = TONES[kind]
    count = _sample_at(tone.duration_ms, sample_rate_hz)
    wave: NDArray[np.float64] = tone.amplitude * np.sin(2 * np.pi * tone.pitch_hz / sample_rate_hz * np.arange(count))
    attack, release = (_ramp(_sample_at(ms, sample_rate_hz)) for ms in (ATTACK_MS, RELEASE_MS))
    wave[: len(attack)] *= attack
    wave[-len(release) :] *= release[::-1]
    result = wave.astype(np.float32)
    result.flags.writeable = False
    return result


def _ramp(count: int) -> NDArray[np.float64]:
    """Half a period of a raised cosine, from nothing to one."""
    ramp: NDArray[np.float64] = np.sin(np.pi / 2 * (np.arange(count) + 0.5) / count) ** 2
    return ramp


def _sample_at(at_ms: int, sample_rate_hz: int) -> int:
    return (at_ms * sample_rate_hz + 500) // 1_000


# How much faster a sentence is said that would else run into the next; chosen, because a third more is still followed.
HURRIES = (1.0, 1.1, 1.2, 1.33)


def voice_track(track: CueTrack, voice: Clips) -> tuple[tuple[Clip, ...], tuple[str, ...]]:
    """The clips of a track that was timed by the same voice, and what is left out, in words.

    Each clip is over when its cue is. Only the coach's own announcements can be too long, for their time is the plan's.
    """
    clips, left = [], []
    for cue in track.said:
        for at_ms, end_ms, text in _parts(cue):
            clip = _fitting(voice, speech_text(text), end_ms - at_ms)
            if clip is None:
                left.append(f"The voice leaves out {text!r}: {(end_ms - at_ms) / 1000:.1f} s are too short for it.")
            elif clip.length_ms:
                clips.append(Clip(at_ms=at_ms, samples=clip.samples))
    return tuple(clips), tuple(left)


def _parts(cue: SaidCue) -> Iterator[tuple[int, int, str]]:
    """A cue as it is; or the numbers of a count-in, the last of them a second before its end."""
    numbers = cue.text.removesuffix(".").split(", ")
    if cue.kind is not CueKind.COUNT or len(numbers) == 1:
        yield cue.at_ms, cue.end_ms, cue.text
        return
    for place, number in enumerate(numbers):
        at_ms = cue.end_ms - (len(numbers) - place) * SECOND_MS
        yield at_ms, at_ms + SECOND_MS, number


def _fitting(voice: Clips, text: str, room_ms: int) -> VoiceClip | None:
    for hurry in HURRIES:
        rate = min(FASTEST_WPM, round(hurry * voice.words_a_minute))
        clips = voice if rate == voice.words_a_minute else Clips(voice.folder, rate, voice.voice)
        spoken_clip = clips.clip(text)
        if spoken_clip.length_ms <= room_ms:
            return spoken_clip
    return None
