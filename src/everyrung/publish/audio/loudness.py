"""The true peak of a track: what a converter makes of its samples, between them too.

Loudness by EBU R 128: measured over the whole programme, set by one gain, peaks kept below the ceiling.
"""

from dataclasses import dataclass
from math import inf, log10

import numpy as np
import pyloudnorm
from numpy.typing import NDArray

from everyrung.publish.audio.silence import silent_blocks, sounding_runs
from everyrung.publish.audio.sound import louder

OVERSAMPLING = 4  # ITU-R BS.1770-4, annex 2: four times at 48 kHz
TAPS = 24  # a phase; chosen, because it reads a sine up to 18 kHz to 0.1 dB (annex 2's example has 12)
BLOCK = 4_800  # samples; chosen, because few tenths of a second hold a track's highest samples


def true_peak(samples: NDArray[np.float32]) -> float:
    """The largest absolute value between and at the samples, 1.0 being full scale."""
    phases = _phases()
    most = max(float(np.abs(phase).sum()) for phase in phases)  # by what a phase can raise a sample at most
    ends = np.zeros(TAPS, np.float32)  # before the first sample and after the last one there is silence
    blocks = [samples[max(0, at - TAPS) : at + BLOCK + TAPS] for at in range(0, len(samples), BLOCK)]
    blocks[:1] = [np.append(ends, each) for each in blocks[:1]]
    blocks[-1:] = [np.append(each, ends) for each in blocks[-1:]]
    highest = [float(max(block.max(), -block.min())) for block in blocks]
    peak = max(highest, default=0.0)
    for high, block in sorted(zip(highest, blocks, strict=True), key=lambda both: -both[0]):
        if high * most <= peak:
            break  # neither here nor in those to come can a higher peak be
        peak = max(peak, *(float(np.abs(np.convolve(block, phase, "valid")).max()) for phase in phases))
    return peak


def _phases() -> list[NDArray[np.float64]]:
    """Windowed-sinc interpolators for a quarter, a half and three quarters of the way to the next sample."""
    result = []
    for shift in range(1, OVERSAMPLING):
        at = np.arange(TAPS) - TAPS / 2 + shift / OVERSAMPLING
        taps = np.sinc(at) * np.cos(np.pi * at / (TAPS + 2)) ** 2
        result.append(taps / taps.sum())
    return result


TARGET_LUFS = -23.0  # EBU R 128 (2020): programme loudness level
CEILING_DBTP = -1.0  # EBU R 128 (2020): maximum true peak level in production
ABSOLUTE_GATE_LUFS = -70.0  # ITU-R BS.1770-4, annex 1
RELATIVE_GATE_LU = -10.0  # ITU-R BS.1770-4, annex 1
OFFSET_LU = -0.691  # ITU-R BS.1770-4, annex 1, equation 2
BLOCK_S, STEP_S = 0.4, 0.1  # ITU-R BS.1770-4, annex 1: gating blocks of 400 ms that overlap by 75 %
STEPS_A_PART = 100  # chosen, because ten seconds at a time stay small however long the track
HISS = (
    1e-9  # -180 dB; chosen, because no gate hears it, and in silence the filters would work on denormal numbers, slowly
)
LEAD_IN_STEPS = 2  # chosen, because the weighting's slowest pole (38 Hz) forgets a start within 0.1 s


@dataclass(frozen=True, slots=True, kw_only=True)
class Loudness:
    """Of a track after `gain_db`; `peak_limited` when the ceiling kept it quieter than `target_lufs`.

    A track with nothing above the absolute gate has -inf LUFS and keeps the gain it came with.
    """

    target_lufs: float
    integrated_lufs: float
    true_peak_dbtp: float
    gain_db: float
    peak_limited: bool


def normalise(
    samples: NDArray[np.float32], sample_rate_hz: int, target_lufs: float = TARGET_LUFS
) -> tuple[NDArray[np.float32], Loudness]:
    """The track at its target, or as near as the peaks allow: they are never clipped.

    Of a beep track the silence counts for nothing and a soft tick for little: the gates leave out blocks below
    -70 LUFS and those 10 LU below the rest, so that the target is that of the beeps while they sound.
    """
    lufs, peak_dbtp = integrated_lufs(samples, sample_rate_hz), _decibels(true_peak(samples))
    wanted_db = 0.0 if lufs == -inf else target_lufs - lufs
    gain_db = min(wanted_db, CEILING_DBTP - peak_dbtp)
    track = louder(samples, 10 ** (gain_db / 20))
    return track, Loudness(
        target_lufs=target_lufs,
        integrated_lufs=lufs + gain_db,
        true_peak_dbtp=peak_dbtp + gain_db,
        gain_db=gain_db,
        peak_limited=gain_db < wanted_db,
    )


def integrated_lufs(samples: NDArray[np.float32], sample_rate_hz: int) -> float:
    """Integrated loudness of one channel by ITU-R BS.1770-4, both gates applied; -inf when nothing passes them.

    What is shorter than a block is measured as if silence followed.
    """
    step = round(STEP_S * sample_rate_hz)
    short = round(BLOCK_S * sample_rate_hz) - len(samples)
    powers = _step_powers(np.pad(samples, (0, short)) if short > 0 else samples, step, sample_rate_hz)
    steps = round(BLOCK_S / STEP_S)
    blocks = np.convolve(powers, np.ones(steps), mode="valid") / (steps * step)
    with np.errstate(divide="ignore"):
        blocks_lufs = OFFSET_LU + 10 * np.log10(blocks)
    loud = blocks_lufs[blocks_lufs >= ABSOLUTE_GATE_LUFS]
    if not len(loud):
        return -inf
    return _mean_lufs(loud[loud > _mean_lufs(loud) + RELATIVE_GATE_LU])


def _step_powers(samples: NDArray[np.float32], step: int, sample_rate_hz: int) -> NDArray[np.float64]:
    """The summed power of each 100 ms as it is weighted (step). Digital silence has none, and is left out."""
    weights = pyloudnorm.Meter(sample_rate_hz, filter_class="DeMan", block_size=BLOCK_S)._filters.values()
    hiss = np.random.default_rng(1).uniform(-HISS, HISS, (STEPS_A_PART + LEAD_IN_STEPS) * step)
    silent = silent_blocks(samples, step)[: len(samples) // step]
    silent &= ~np.append(False, ~silent[:-1])  # what a sound leaves behind is over in the step after it
    result = np.zeros(len(silent))
    for begin, end in sounding_runs(silent):
        for first in range(begin, end, STEPS_A_PART):
            after, lead_in = min(end, first + STEPS_A_PART), min(first, LEAD_IN_STEPS)
            part = samples[(first - lead_in) * step : after * step].astype(np.float64)
            part += hiss[: len(part)]
            for weight in weights:
                part = weight.apply_filter(part)
            result[first:after] = np.square(part).reshape(-1, step).sum(axis=1)[lead_in:]
    return result


def _mean_lufs(blocks_lufs: NDArray[np.float64]) -> float:
    """The loudness of the mean power of some blocks."""
    return OFFSET_LU + 10 * log10(float(np.mean(10 ** ((blocks_lufs - OFFSET_LU) / 10))))


def _decibels(amplitude: float) -> float:
    return 20 * log10(amplitude) if amplitude else -inf
