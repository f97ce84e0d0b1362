"""A recording's drift by the phases of its beeps: each of a kind begins at the same phase, so that the phases in which
they are heard turn evenly with the drift.

The sound card that plays them is the session's clock, so each tone begins at phase 0 at its own time; a room shifts all
of one pitch alike. A millionth of drift turns 1,812 Hz by two thirds of a turn within six minutes, where an onset in
speech is known to some milliseconds. Source: the likeliest frequency is the top of the periodogram [rife1974].
"""

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from everyrung.lookback.beep_filters import KINDS, STEP_MS, TURN, Hearing
from everyrung.lookback.beep_line import USUAL, BeepLine
from everyrung.publish.audio.sound import TONES

SPAN, STEP = 40e-6, 0.1e-6  # around what the onsets say; chosen: they were at most 9e-6 off, and within a part a step
# turns the highest pitch by a twelfth at most
PART_MS = 600_000  # over which a room and a telephone in it are taken to stand still; chosen
LEAST = 2  # beeps of a kind in a part: one alone says nothing of a turn
AHEAD, APART = 12.0, 1.5e-6  # nats by which the best drift beats all that are further from it than so; chosen: of 1,500
# times that phases were made by chance, for three minutes to twenty, the best was ahead by 8.6 at most
PITCHES_HZ = np.array([TONES[kind].pitch_hz for kind in KINDS])

Floats = NDArray[np.float64]


def phase_drift(
    hearing: Hearing, line: BeepLine, runs: Sequence[NDArray[np.int64]], offsets: Sequence[float], drift: float
) -> float | None:
    """The drift, near to one that is about right; None where phases say nothing. `runs`: places on the line, of each
    stretch, `offsets` where they are, ms. What is left of all turned alike is taken for noise of one strength.
    """
    more = np.arange(-SPAN, SPAN + STEP / 2, STEP)
    fit = np.zeros(len(more))
    count = parts = 0
    for times_s, turns, pitch_hz in _parts(hearing, line, runs, offsets, drift):
        rest = np.exp(2j * np.pi * (turns + pitch_hz * (1 + drift) * times_s))
        ways = np.exp(2j * np.pi * pitch_hz * np.outer(more, times_s - times_s.mean()))
        fit += np.abs(ways @ rest) ** 2 / len(times_s)  # as many as beeps, if all turn alike
        count, parts = count + len(times_s), parts + 1
    best = int(np.argmax(fit))
    other = fit[np.abs(more - more[best]) > APART].max()
    ahead = (count - parts) * np.log((count - other) / max(count - fit[best], 1e-9)) if parts else 0.0
    return drift + float(more[best]) if ahead > AHEAD else None


def _parts(
    hearing: Hearing, line: BeepLine, runs: Sequence[NDArray[np.int64]], offsets: Sequence[float], drift: float
) -> Iterator[tuple[Floats, Floats, int]]:
    """Beeps of one kind within PART_MS that stand out: their times on the line (s), phases (turns) and pitch (Hz)."""
    for beeps, offset in zip(runs, offsets, strict=True):
        at_ms, kinds = line.at_ms[beeps], line.kinds[beeps]
        steps = np.rint((offset + (1 + drift) * at_ms) / STEP_MS).astype(int)
        inside = (steps >= 0) & (steps < hearing.scores.shape[1])
        at_ms, kinds, steps = at_ms[inside], kinds[inside], steps[inside]
        is_clear = hearing.scores[kinds, steps] > USUAL
        part = (at_ms - at_ms[:1]) // PART_MS
        for kind, number in sorted(set(zip(kinds.tolist(), part.tolist(), strict=True))):
            mine = (kinds == kind) & (part == number) & is_clear
            if mine.sum() >= LEAST:
                yield at_ms[mine] / 1000, hearing.phases[kind, steps[mine]] / TURN, int(PITCHES_HZ[kind])
