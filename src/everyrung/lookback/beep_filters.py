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

Scores = NDArray[np.float16]


@dataclass(frozen=True, slots=True)
class _Filter:
    """Where the spectrum of one tone lies among those of a block, and what it is."""

    bins: slice
    spectrum: NDArray[np.complex64]


def beep_scores(blocks: Iterable[Samples]) -> Scores:
    """ln of each kind's energy against what is beside and before it; shape (kind, 2 ms step), kinds as in KINDS.

    The value at a step belongs to a beep that begins there. Source: matched filter, North 1943; the
    normalisation by neighbours is that of constant-false-alarm detectors in radar.
    """
    rows = [_filters(TONES[kind]) for kind in KINDS]
    lengths = [TONES[kind].duration_ms // STEP_MS for kind in KINDS]
    before = np.zeros((len(KINDS), max(lengths)))
    parts = [np.zeros((len(KINDS), 0), np.float16)]
    for target, beside in _chunks(_energies(blocks, rows)):
        calm = np.median(target.reshape(len(KINDS), -1, min(CALM, target.shape[1])), axis=2)
        calm = np.repeat(calm, min(CALM, target.shape[1]), axis=1)
        beside = scipy.ndimage.uniform_filter1d(beside, SMOOTH, axis=1)
        past = np.concatenate([before, target], axis=1)
        count = target.shape[1]
        earlier = np.stack(
            [row[past.shape[1] - count - n : past.shape[1] - n] for row, n in zip(past, lengths, strict=True)]
        )
        parts.append(np.log((target + FLOOR) / (beside + calm + BEFORE * earlier + FLOOR)).astype(np.float16))
        before = past[:, -max(lengths) :]
    return np.concatenate(parts, axis=1)


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
    return _Filter(bins, scipy.fft.ifftshift(spectrum))


def _energies(
    blocks: Iterable[Samples], rows: list[tuple[_Filter, ...]]
) -> Iterator[tuple[NDArray[np.float32], NDArray[np.float32]]]:
    """Of each block: energy in each kind's filter, and the mean of those beside it."""
    samples_in = np.zeros(0, np.float32)
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
            yield _energy(samples_in[:BLOCK], rows)
            samples_in = samples_in[BLOCK - OVERLAP :]
        size = len(samples_in)
    samples_in = np.concatenate([samples_in, *waiting])
    while len(samples_in) > 0:
        target, beside = _energy(np.pad(samples_in[:BLOCK], (0, max(0, BLOCK - len(samples_in)))), rows)
        count = min(len(samples_in), BLOCK - OVERLAP) // FOLD
        yield target[:, :count], beside[:, :count]
        samples_in = samples_in[BLOCK - OVERLAP :]


def _energy(block: Samples, rows: list[tuple[_Filter, ...]]) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    spectrum = scipy.fft.rfft(block)
    size, keep = BLOCK // FOLD, (BLOCK - OVERLAP) // FOLD
    energies = np.empty((len(rows), len(rows[0]), keep), np.float32)
    for place, filters in enumerate(rows):
        for number, each in enumerate(filters):
            product = scipy.fft.ifftshift(spectrum[each.bins]) * each.spectrum
            energies[place, number] = np.abs(scipy.fft.ifft(product, size)[:keep]) ** 2
    return energies[:, 0], energies[:, 1:].mean(axis=1)


def _chunks(
    parts: Iterable[tuple[NDArray[np.float32], NDArray[np.float32]]],
) -> Iterator[tuple[NDArray[np.float32], NDArray[np.float32]]]:
    """The same in pieces of CHUNK values; the last one as long as it is, or as many whole CALM as it has."""
    samples_in = [np.zeros((len(KINDS), 0), np.float32)] * 2
    for pair in parts:
        samples_in = [np.concatenate([one, other], axis=1) for one, other in zip(samples_in, pair, strict=True)]
        while samples_in[0].shape[1] >= CHUNK:
            yield samples_in[0][:, :CHUNK], samples_in[1][:, :CHUNK]
            samples_in = [each[:, CHUNK:] for each in samples_in]
    whole = samples_in[0].shape[1] // CALM * CALM
    for part in (slice(0, whole), slice(whole, None)):
        if samples_in[0][:, part].shape[1]:
            yield samples_in[0][:, part], samples_in[1][:, part]
