"""Recordings that never were: a session's beeps as a telephone in the room might have taken them, with known truth.

All of it is synthesis of ours: speech by espeak, music of harmonics on the tempered scale, echo of decaying noise. No
room, loudspeaker or telephone was recorded.
"""

import tempfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import av
import numpy as np
import scipy.signal
from numpy.typing import NDArray

from everyrung.lookback.recording import Sound
from everyrung.publish.audio.sound import tone_samples
from everyrung.runsheet.beeps import Beep, BeepKind

RATE_HZ = 16_000
BEEP_POWER = 0.5**2 / 2  # of a beep of amplitude 0.5 while it sounds: what noise is measured against
LINES = (
    "Feet under your hips, chest tall, and sit back as far as you like.",
    "Breathe out on the way up. Nice and slow on the way down, two, three, and rest.",
    "If your knee talks to you, take the easier one, it is on the ladder on your left.",
    "Ten more seconds. You can do this. Shoulders away from the ears, and the ball stays where it is.",
    "Next is the split squat, left leg in front. Find your wall or the chair. Ready? Here we go.",
)
Samples = NDArray[np.float32]


@dataclass(frozen=True, kw_only=True)
class Truth:
    """When each beep that sounded was in the recording (s), by its place in the plan's list; and the clock's drift."""

    at_s: dict[int, float]
    drift: float
    length_s: float


def played(marks: Sequence[Beep], seed: int, *, alone: bool = False) -> Truth:
    """A show with one pause and one skip; `alone`: one set between two skips."""
    random = np.random.default_rng(seed)
    drift = float(random.uniform(-100e-6, 100e-6))
    gos = [place for place, beep in enumerate(marks) if beep.kind is BeepKind.GO]
    first, second = sorted(random.choice(np.arange(2, len(gos) - 6), 2, replace=False))
    pause_at = marks[gos[first]].at_ms + float(random.uniform(2_000, 12_000))
    pause_ms = float(random.uniform(15_000, 90_000))
    skips = [
        (marks[gos[second] + 3].at_ms + 1, _before(marks, gos[min(len(gos) - 2, second + int(random.integers(2, 4)))]))
    ]
    if alone:
        middle = int(random.integers(6, len(gos) - 6))
        skips = [
            (marks[gos[middle - 4]].at_ms - 4_000, _before(marks, gos[middle])),
            (_before(marks, gos[middle + 1]), _before(marks, gos[middle + 4])),
        ]
    offset = float(random.uniform(20_000, 100_000))
    at_s: dict[int, float] = {}
    for place, beep in enumerate(marks):
        if any(low <= beep.at_ms < high for low, high in skips):
            continue
        shift = offset + (pause_ms if beep.at_ms > pause_at else 0)
        shift -= sum(high - low for low, high in skips if beep.at_ms >= high)
        at_s[place] = (1 + drift) * (beep.at_ms + shift) / 1000
    return Truth(at_s=at_s, drift=drift, length_s=max(at_s.values()) + 20)


def _before(marks: Sequence[Beep], go: int) -> int:
    """Just before the count-in of a set."""
    return marks[go].at_ms - 4_200


def beep_sound(marks: Sequence[Beep], truth: Truth) -> Samples:
    track = np.zeros(round(truth.length_s * RATE_HZ), np.float32)
    for place, at_s in truth.at_s.items():
        tone = tone_samples(marks[place].kind, RATE_HZ)
        at = round(at_s * RATE_HZ)
        track[at : at + len(tone)] += tone[: len(track) - at]
    return track


@cache
def speech() -> Samples:
    """Half a minute and more of coaching, once."""
    from everyrung.voice.engine import synthesise

    parts = []
    for line in LINES:
        samples, rate_hz = synthesise(line, 150)
        count = round(len(samples) * RATE_HZ / rate_hz)
        parts += [scipy.signal.resample(samples, count), np.zeros(RATE_HZ // 3)]
    return np.concatenate(parts).astype(np.float32)


@cache
def music(cents: float = 0.0) -> Samples:
    """A minor at 120 a minute on the grid of half seconds: the worst there is, for the beeps lie on whole seconds."""
    random = np.random.default_rng(7)
    scale = np.array([0, 2, 3, 5, 7, 8, 10])
    track = np.zeros(32 * RATE_HZ, np.float32)
    for beat in range(64):
        for octave, many in ((110.0, 1), (220.0, 2), (440.0, 2), (880.0, 1)):
            for degree in random.choice(scale, many, replace=False, p=np.array([4, 1, 3, 2, 4, 1, 1]) / 16):
                pitch = octave * 2 ** (degree / 12 + cents / 1200)
                count = round(random.choice([0.25, 0.5, 1.0]) * RATE_HZ)
                at = np.arange(count) / RATE_HZ
                note = sum(np.sin(2 * np.pi * pitch * each * at) / each for each in (1, 2, 3, 4)) * np.exp(-3 * at)
                start = beat * RATE_HZ // 2
                track[start : start + count] += note[: len(track) - start].astype(np.float32)
    return track


def mixed(track: Samples, noise: Samples, decibels: float, seed: int) -> Samples:
    """With noise so many decibels louder (below 0) or softer than a beep while it sounds."""
    start = int(np.random.default_rng(seed).integers(len(noise)))
    whole = np.resize(np.roll(noise, start), len(track))
    return track + whole * np.float32(np.sqrt(BEEP_POWER / 10 ** (decibels / 10) / np.mean(noise**2)))


def echo(track: Samples, seconds: float, seed: int) -> Samples:
    """A room in which sound dies away by 60 dB in so long."""
    at = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    tail = np.random.default_rng(seed).normal(size=len(at)) * 10 ** (-3 * at / seconds) * 0.05
    tail[0] = 1.0
    return scipy.signal.oaconvolve(track, tail.astype(np.float32))[: len(track)].astype(np.float32)


def clipped(track: Samples) -> Samples:
    """Four times too loud for what took it."""
    level = np.quantile(np.abs(track[:: RATE_HZ // 100]), 0.999)
    return np.clip(track * np.float32(4 / max(level, 1e-6)), -1, 1)


def gain(track: Samples) -> Samples:
    """An automatic gain that lets go in a second and a half."""
    block = RATE_HZ // 100
    levels = np.sqrt(np.mean(track[: len(track) // block * block].reshape(-1, block) ** 2, axis=1)) + 1e-4
    held = scipy.signal.lfilter([1 - np.exp(-0.01 / 1.5)], [1, -np.exp(-0.01 / 1.5)], levels)
    return track * np.resize(np.repeat(0.1 / np.maximum(levels, held), block), len(track)).astype(np.float32)


def telephone(track: Samples) -> Samples:
    """300 to 3,400 Hz."""
    filters = scipy.signal.butter(4, [300, 3400], "bandpass", fs=RATE_HZ, output="sos")
    return scipy.signal.sosfilt(filters, track).astype(np.float32)


def aac(track: Samples) -> Samples:
    """Through an encoder at 64 kbit/s, a file, and the reader under test; at its rate of 8 kHz."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "take.mp4"
        with av.open(str(path), "w") as container:
            stream = container.add_stream("aac", rate=RATE_HZ, layout="mono")
            stream.bit_rate = 64_000
            for at in range(0, len(track), RATE_HZ):
                frame = av.AudioFrame.from_ndarray(np.ascontiguousarray(track[None, at : at + RATE_HZ]), "fltp", "mono")
                frame.sample_rate, frame.pts = RATE_HZ, at
                container.mux(stream.encode(frame))
            container.mux(stream.encode(None))
        return np.concatenate(list(Sound(path).blocks()))


def _speech(decibels: float) -> Callable[[Samples, int], Samples]:
    return lambda track, seed: mixed(track, speech(), decibels, seed)


def _music(decibels: float, cents: float = 0.0) -> Callable[[Samples, int], Samples]:
    return lambda track, seed: mixed(track, music(cents), decibels, seed)


def _all(track: Samples, seed: int) -> Samples:
    result = mixed(mixed(echo(track, 0.6, seed), speech(), -10, seed), music(), -8, seed)
    return aac(gain(clipped(result)))


Spoiling = Callable[[Samples, int], Samples]
SPOILINGS: dict[str, Spoiling] = {
    "nothing": lambda track, _: track,
    "speech -10 dB": _speech(-10),
    "speech -15 dB": _speech(-15),
    "speech -20 dB": _speech(-20),
    "music in A minor, 120 a minute, -10 dB": _music(-10),
    "the same, -15 dB": _music(-15),
    "echo of 1 s, speech -5 dB": lambda track, seed: mixed(echo(track, 1.0, seed), speech(), -5, seed),
    "clipped, speech -5 dB": lambda track, seed: clipped(mixed(track, speech(), -5, seed)),
    "AAC 64 kbit/s, speech -5 dB": lambda track, seed: aac(mixed(track, speech(), -5, seed)),
    "automatic gain, speech -5 dB": lambda track, seed: gain(mixed(track, speech(), -5, seed)),
    "telephone band, speech -5 dB": lambda track, seed: telephone(mixed(track, speech(), -5, seed)),
    "all at once": _all,
}
ALONE = "one set between two skips, speech -10 dB"
REFUSALS: dict[str, Spoiling] = {
    "speech alone": lambda track, seed: mixed(0 * track, speech(), -10, seed),
    "music alone": lambda track, seed: mixed(0 * track, music(), -10, seed),
    "music alone, a quarter tone up": lambda track, seed: mixed(0 * track, music(50.0), -10, seed),
    "speech -30 dB": _speech(-30),
}


def at_8_khz(track: Samples, name: str) -> list[Samples]:
    """In blocks, as a recording is read."""
    is_done = name in ("AAC 64 kbit/s, speech -5 dB", "all at once")
    low = track if is_done else scipy.signal.resample_poly(track, 1, 2).astype(np.float32)
    return [low[at : at + 8_000] for at in range(0, len(low), 8_000)]
