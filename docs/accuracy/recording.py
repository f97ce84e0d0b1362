"""How often the beeps of a session are found in a spoilt recording: prints the part of docs/looking-back.md.

PYTHONPATH=src python docs/accuracy/recording.py [SEEDS [PLAN]]
"""

import sys
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import numpy as np
from spoilt_sound import ALONE, REFUSALS, SPOILINGS, Samples, Truth, _speech, at_8_khz, beep_sound, played

from everyrung.lookback.beep_clock import RecordingClock, recording_clock
from everyrung.lookback.beep_filters import beep_scores
from everyrung.lookback.beep_line import BeepLine, planned_line
from everyrung.pipeline import run
from everyrung.runsheet.beeps import Beep, beeps

EXAMPLES = Path(__file__).parents[2] / "examples"
WITHIN_S = 0.05  # what was wanted of the design's first draft
WRONG_PART = 0.5  # of a stretch's beeps: it is elsewhere


@dataclass(frozen=True, kw_only=True)
class Result:
    """Of one recording."""

    clock: RecordingClock
    mapped: float
    wrong_beeps: int
    wrong_stretches: int
    errors_ms: list[float]
    drift_off: float
    cpu_s: float


def tried(line: BeepLine, truth: Truth, blocks: list[Samples]) -> Result:
    start = time.process_time()
    clock = recording_clock(beep_scores(blocks), line, line)
    cpu_s = time.process_time() - start
    errors: list[float] = []
    wrong = wrong_stretches = mapped = 0
    for stretch in clock.stretches:
        if not stretch.is_sure:
            continue
        off = []
        for place in range(stretch.first, stretch.last + 1):
            at_ms = clock.at(float(line.at_ms[place]))
            assert at_ms is not None
            off.append(abs(at_ms / 1000 - truth.at_s[place]) if place in truth.at_s else 99.0)
        wrong_stretches += np.mean(np.array(off) > WITHIN_S) > WRONG_PART
        wrong += sum(each > WITHIN_S for each in off)
        mapped += sum(each <= WITHIN_S for each in off)
        errors += [1000 * each for each in off if each <= WITHIN_S]
    return Result(
        clock=clock, mapped=mapped / max(1, len(truth.at_s)), wrong_beeps=wrong, wrong_stretches=int(wrong_stretches),
        errors_ms=errors, drift_off=1e6 * (clock.drift - truth.drift), cpu_s=cpu_s / truth.length_s * 3600,
    )  # fmt: skip


def one(name: str, marks: tuple[Beep, ...], seed: int) -> Result:
    truth = played(marks, seed, alone=name == ALONE)
    spoil = {**SPOILINGS, **REFUSALS, ALONE: _speech(-10)}[name]
    blocks = at_8_khz(spoil(beep_sound(marks, truth), seed), name)
    return tried(planned_line(marks), truth, blocks)


HEADS = ("spoiled by", "mapped", "wrong stretches", "refused", "beeps wrong", "99 % within", "drift off", "CPU an hour")


def main(seeds: int, plan: str, first: int) -> None:
    """The table, row by row as they come."""
    analysis = run(EXAMPLES / f"{plan}.toml")
    marks = beeps(analysis.timeline, count_in_ms=analysis.session.clock.count_in_ms)
    print(f"| {' | '.join(HEADS)} |")
    print("|---" * len(HEADS) + "|")
    with ProcessPoolExecutor(2) as pool:
        for name in (*SPOILINGS, ALONE, *REFUSALS):
            results = list(pool.map(partial(one, name, marks), range(first, first + seeds)))
            print(f"| {name} | {' | '.join(_cells(results))} |", flush=True)


def _cells(results: list[Result]) -> list[str]:
    errors = [each for result in results for each in result.errors_ms]
    drifts = [abs(result.drift_off) for result in results if not result.clock.refusal]
    return [
        f"{np.mean([each.mapped for each in results]):.1%}",
        str(sum(each.wrong_stretches for each in results)),
        f"{sum(bool(each.clock.refusal) for each in results)} of {len(results)}",
        str(sum(each.wrong_beeps for each in results)),
        f"{np.percentile(errors, 99):.1f} ms" if errors else "-",
        f"{max(drifts):.1f} ppm" if drifts else "-",
        f"{np.mean([each.cpu_s for each in results]):.0f} s",
    ]


if __name__ == "__main__":
    given = sys.argv[1:]
    main(
        int(given[0]) if given else 20,
        given[1] if len(given) > 1 else "office-20",
        int(given[2]) if len(given) > 2 else 0,
    )
