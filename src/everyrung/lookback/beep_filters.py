"""How much a recording sounds like each kind of beep at each moment: matched filters, normalised by what is beside."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
import scipy.fft
import scipy.ndimage
from numpy.typing import NDArray

from everyrung.lookback.recording import RATE_HZ, Samples
from everyrung.publish.audio.sound import ATTACK_MS, RELEASE_MS, TONES, Tone

KINDS = tuple(TONES)
BLOCK, OVERLAP = 65_536, 4_096  # samples; the longest beep has 3,200
FOLD = 16  # the spectrum around a pitch is product back alone, which is every sixteenth sample exactly
STEP_MS = 1000 * FOLD // RATE_HZ  # 2
SIDES = (0.82, 0.91, 1.09, 1.18)  # times the pitch; chosen: within the same voice or chord, outside the tone's own line
BEFORE = 0.5  # how much the same pitch a tone earlier counts: what sounded on is no onset; chosen
CALM = 1_500  # values, 3 s: what is usual at this pitch just now; chosen
SMOOTH = 25  # values, 50 ms: beside a lone tone the neighbours ripple with its distance, some 40 Hz and more
CHUNK = 10 * CALM
FLOOR = 1e-7  # of a full beep some 75 dB: in digital silence anything would stand out

TURN = 256  # parts of a turn in which a phase is kept: finer than anything that is heard

Scores = NDArray[np.float16]
Floats = NDArray[np.float32]
Phases = NDArray[np.uint8]


@dataclass(frozen=True, slots=True)
class Hearing:
    """What a recording sounds like at each 2 ms step; both of shape (kind, step), kinds as in KINDS, and the value at a
    step belongs to a beep that begins there.

    `scores`: ln of each kind's energy against what is beside and before it. `phases`: in parts of a TURN, that of a
    tone against one that began when the recording did.
    """

    scores: Scores
    phases: Phases


@dataclass(frozen=True, slots=True)
class _Filter:
    """Where the spectrum of one tone lies among those of a block, what it is, and in turns a sample its pitch."""

    bins: slice
    spectrum: NDArray[np.complex64]
    pitch: float

    def phases(self, value: NDArray[np.complex64], first: int) -> Phases:
        """Phases of what the filter gives of a block whose first sample is the recording's `first`."""
        middle = (self.bins.start + self.bins.stop) / 2 / BLOCK  # it gives them against this pitch from the block on
        at = FOLD * np.arange(len(value))
        turns = np.angle(value) / (2 * np.pi) + (middle - self.pitch) * at - self.pitch * first
        result: Phases = np.floor(turns % 1 * TURN).astype(np.uint8)
        return result


@dataclass(frozen=True, slots=True)
class _Part:
    """Of a stretch: energy in each kind's filter, the mean of those beside it, and phase; shape (kind, step)."""

    energy: Floats
    beside: Floats
    phases: Phases

    def cut(self, first: int | None, stop: int | None) -> "_Part":
        return _Part(self.energy[:, first:stop], self.beside[:, first:stop], self.phases[:, first:stop])

    def then(self, other: "_Part") -> "_Part":
        return _Part(
            np.concatenate([self.energy, other.energy], axis=1),
            np.concatenate([self.beside, other.beside], axis=1),
            np.concatenate([self.phases, other.phases], axis=1),
        )


def hear_beeps(blocks: Iterable[Samples]) -> Hearing:
    """How much, and in which phase, each moment sounds like each kind. Source: matched filter, North 1943; the
    normalisation by neighbours is that of constant-false-alarm detectors in radar.
    """
    rows = [_filters(TONES[kind]) for kind in KINDS]
    lengths = [TONES[kind].duration_ms // STEP_MS for kind in KINDS]
    before = np.zeros((len(KINDS), max(lengths)))
    parts = [np.zeros((len(KINDS), 0), np.float16)]
    phases = [np.zeros((len(KINDS), 0), np.uint8)]
    for part in _chunks(_energies(blocks, rows)):
        target = part.energy
        calm = np.median(target.reshape(len(KINDS), -1, min(CALM, target.shape[1])), axis=2)
        calm = np.repeat(calm, min(CALM, target.shape[1]), axis=1)
        beside = scipy.ndimage.uniform_filter1d(part.beside, SMOOTH, axis=1)
        past = np.concatenate([before, target], axis=1)
        count = target.shape[1]
        earlier = np.stack(
            [row[past.shape[1] - count - n : past.shape[1] - n] for row, n in zip(past, lengths, strict=True)]
        )
        parts.append(np.log((target + FLOOR) / (beside + calm + BEFORE * earlier + FLOOR)).astype(np.float16))
        phases.append(part.phases)
        before = past[:, -max(lengths) :]
    return Hearing(np.concatenate(parts, axis=1), np.concatenate(phases, axis=1))


def _filters(tone: Tone) -> tuple[_Filter, ...]:
    """The tone's own and the four beside it."""
    return tuple(_filter(tone.pitch_hz * times, tone.duration_ms) for times in (1.0, *SIDES))


def _filter(pitch_hz: float, duration_ms: int) -> _Filter:
    count = duration_ms * RATE_HZ // 1000
    at = np.arange(count)
    ramp = np.minimum(
        1.0, np.minimum((at + 1) / (ATTACK_MS * RATE_HZ / 1000), (count - at) / (RELEASE_MS * RATE_HZ / 1000))
    )
    tone = ramp * np.exp(2j * np.pi * pitch_hz / RATE_HZ * at)
    tone /= np.linalg.norm(tone)
    middle, half = round(pitch_hz / RATE_HZ * BLOCK), BLOCK // FOLD // 2
    bins = slice(middle - half, middle + half)
    spectrum: NDArray[np.complex64] = np.conj(scipy.fft.fft(tone, BLOCK)[bins]).astype(np.complex64) / FOLD
    return _Filter(bins, scipy.fft.ifftshift(spectrum), pitch_hz / RATE_HZ)


def _energies(blocks: Iterable[Samples], rows: list[tuple[_Filter, ...]]) -> Iterator[_Part]:
    """Of each block: energy in each kind's filter, the mean of those beside it, and phase."""
    samples_in = np.zeros(0, np.float32)
    first = 0  # sample of the recording
    waiting: list[Samples] = []
    size = 0
    for block in blocks:
        waiting.append(block)
        size += len(block)
        if size < BLOCK:
            continue
        samples_in = np.concatenate([samples_in, *waiting])
        waiting = []
        while len(samples_in) >= BLOCK:
            yield _energy(samples_in[:BLOCK], first, rows)
            samples_in, first = samples_in[BLOCK - OVERLAP :], first + BLOCK - OVERLAP
        size = len(samples_in)
    samples_in = np.concatenate([samples_in, *waiting])
    while len(samples_in) > 0:
        count = min(len(samples_in), BLOCK - OVERLAP) // FOLD
        yield _energy(np.pad(samples_in[:BLOCK], (0, max(0, BLOCK - len(samples_in)))), first, rows).cut(None, count)
        samples_in, first = samples_in[BLOCK - OVERLAP :], first + BLOCK - OVERLAP


def _energy(block: Samples, first: int, rows: list[tuple[_Filter, ...]]) -> _Part:
    spectrum = scipy.fft.rfft(block)
    size, keep = BLOCK // FOLD, (BLOCK - OVERLAP) // FOLD
    energies = np.empty((len(rows), len(rows[0]), keep), np.float32)
    phases = np.empty((len(rows), keep), np.uint8)
    for place, filters in enumerate(rows):
        for number, each in enumerate(filters):
            product = scipy.fft.ifftshift(spectrum[each.bins]) * each.spectrum
            value = scipy.fft.ifft(product, size)[:keep]
            energies[place, number] = np.abs(value) ** 2
            if number == 0:
                phases[place] = each.phases(value, first)
    return _Part(energies[:, 0], energies[:, 1:].mean(axis=1), phases)


def _chunks(parts: Iterable[_Part]) -> Iterator[_Part]:
    """The same in pieces of CHUNK values; the last one as long as it is, or as many whole CALM as it has."""
    none = np.zeros((len(KINDS), 0), np.float32)
    waiting = _Part(none, none, none.astype(np.uint8))
    for part in parts:
        waiting = waiting.then(part)
        while waiting.energy.shape[1] >= CHUNK:
            yield waiting.cut(None, CHUNK)
            waiting = waiting.cut(CHUNK, None)
    whole = waiting.energy.shape[1] // CALM * CALM
    for piece in (waiting.cut(None, whole), waiting.cut(whole, None)):
        if piece.energy.shape[1]:
            yield piece
