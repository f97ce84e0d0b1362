"""How often the beeps of a session are found in a spoilt recording, and what of the processor it takes.

PYTHONPATH=src python docs/accuracy/recording.py FILE FIRST LAST office-20    a line a recording, seed by seed
PYTHONPATH=src python docs/accuracy/recording.py table FILE ...               the part of docs/looking-back.md
"""

import json
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
from spoilt_sound import ALONE, REFUSALS, SPOILINGS, Samples, Truth, _speech, at_8_khz, beep_sound, played

from everyrung.lookback.beep_clock import RecordingClock, recording_clock
from everyrung.lookback.beep_filters import hear_beeps
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
    clock = recording_clock(hear_beeps(blocks), line, line)
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


def main(file: Path, plan: str, seeds: range) -> None:
    """Adds a line for each recording to a file, seed by seed; what is there is not done again."""
    analysis = run(EXAMPLES / f"{plan}.toml")
    marks = beeps(analysis.timeline, count_in_ms=analysis.session.clock.count_in_ms)
    done = {(row["name"], row["seed"]) for row in rows_of(file)} if file.exists() else set()
    for seed in seeds:
        for name in (*SPOILINGS, ALONE, *REFUSALS):
            if (name, seed) not in done:
                row = json.dumps({"name": name, "seed": seed, **_values(one(name, marks, seed))})
                print(row[:200], flush=True)
                with file.open("a", encoding="utf-8") as into:
                    into.write(row + "\n")


def rows_of(file: Path) -> list[dict[str, Any]]:
    return [json.loads(line) for line in file.read_text(encoding="utf-8").splitlines()]


def _values(result: Result) -> dict[str, object]:
    return {
        "mapped": round(result.mapped, 4),
        "wrong_stretches": result.wrong_stretches,
        "wrong_beeps": result.wrong_beeps,
        "refused": bool(result.clock.refusal),
        "drift_off": round(result.drift_off, 2),
        "cpu_s": round(result.cpu_s, 2),
        "errors_ms": [round(each, 2) for each in result.errors_ms],
    }


def table(rows: list[dict[str, Any]]) -> Iterator[str]:
    """The part of docs/looking-back.md: a line a spoiling."""
    seeds = sorted({row["seed"] for row in rows})
    yield f"<!-- written by docs/accuracy/recording.py, {date.today()}, seeds {seeds[0]} to {seeds[-1]} -->"
    yield f"| {' | '.join(HEADS)} |"
    yield "|---" * len(HEADS) + "|"
    for name in (*SPOILINGS, ALONE, *REFUSALS):
        mine = [row for row in rows if row["name"] == name]
        if mine:
            yield f"| {name} | {' | '.join(_cells(mine))} |"


def _cells(rows: list[dict[str, Any]]) -> list[str]:
    errors = [each for row in rows for each in row["errors_ms"]]
    drifts = [abs(row["drift_off"]) for row in rows if not row["refused"]]
    return [
        f"{np.mean([row['mapped'] for row in rows]):.1%}",
        str(sum(row["wrong_stretches"] for row in rows)),
        f"{sum(row['refused'] for row in rows)} of {len(rows)}",
        str(sum(row["wrong_beeps"] for row in rows)),
        f"{np.percentile(errors, 99):.1f} ms" if errors else "-",
        f"{max(drifts):.1f} ppm" if drifts else "-",
        f"{np.mean([row['cpu_s'] for row in rows]):.0f} s",
    ]


if __name__ == "__main__":
    if sys.argv[1] == "table":
        print("\n".join(table([row for name in sys.argv[2:] for row in rows_of(Path(name))])))
    else:
        main(Path(sys.argv[1]), sys.argv[4], range(int(sys.argv[2]), int(sys.argv[3])))
