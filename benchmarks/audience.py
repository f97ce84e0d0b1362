"""How long an audience takes: the closed form of fatigue against every phase in turn and against the equations, the
same compiled, and whole rehearsals from a thousand to a million people with their peak memory, as times of a pass of
the closed form of as many people over as many sets.

Run: .venv/bin/python benchmarks/audience.py [--million]. Ratios within one run mean something; the seconds are this
machine's. The equations are solved for a sample and reckoned up.
"""

import argparse
import os
import subprocess
import sys
import time
from pathlib import Path

os.environ["OMP_NUM_THREADS"] = os.environ["OPENBLAS_NUM_THREADS"] = "1"
HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "tests" / "second_way"))  # the oracles of the tests

import numba  # noqa: E402 - as below
import numpy as np  # noqa: E402 - after the number of threads is set
from fatigue_oracles import ode_reps, stepped_reps  # noqa: E402

from everyrung.effort.audience import BLOCK  # noqa: E402
from everyrung.effort.rates import rest  # noqa: E402
from everyrung.effort.three_compartment import RepMap, after_failed_rep, after_reps, after_rest, rep_map, reps_possible  # noqa: E402
from everyrung.pipeline import Options, ready_course  # noqa: E402
from everyrung.store.cache import default_cache  # noqa: E402

PEOPLE, SETS, GROUPS, REPS, REST_S, STRIKE = 10_000, 15, 12, 10, 60.0, 0.02
SAMPLE = 24  # sets solved by the equations
PASSES = 5
PLAN = HERE.parent / "examples" / "boathouse-30.toml"


def cases(people: int):
    """R by group, F by person and group; of each set the shares of the peak by phase, the phases' lengths, when the
    hardest point is, and peaks by person and group. A repetition strikes with STRIKE of its peak.
    """
    rng = np.random.default_rng(1)
    recovery = rng.uniform(0.0006, 0.0017, GROUPS)
    fatigue = recovery * 10.0 * np.exp(0.32 * rng.standard_normal((people, 1)))
    sets = []
    for _ in range(SETS):
        peak = rng.uniform(0.1, 0.6, GROUPS) * np.exp(0.2 * rng.standard_normal((people, GROUPS)))
        seconds = np.array([2.0, rng.choice([0.0, 2.0]), 2.0, 0.0])
        sets.append((np.array([0.6, 0.95, 0.6, 0.1]), seconds, float(seconds[:2].sum()), np.clip(peak, 0.02, 0.99)))
    return recovery, fatigue, sets


def one_cycle(recovery, fatigue, shares, seconds, hardest, peak):
    """As effort/perform_set.py does it: a repetition at a load of 1, once a group, then scaled for everyone."""
    groups = len(recovery)
    phases = np.broadcast_to(shares, (groups, 4))
    at = np.full(groups, hardest)
    unit = rep_map(phases, np.broadcast_to(seconds, (groups, 4)), np.ones(groups), recovery, at)
    struck = STRIKE * np.exp(-recovery * (seconds.sum() - hardest))
    rise = peak * (fatigue * unit.rise + struck)
    return RepMap(decay=unit.decay, rise=rise, decay_to=unit.decay_to, rise_to=peak * fatigue * unit.rise_to)


def carried(parts, one, reps):
    """Both parts of fatigue (first axis) before the next set."""
    shares, rates = (each.reshape(-1, 1, 1) for each in rest())
    each = RepMap(decay=one.decay, rise=shares * one.rise, decay_to=one.decay_to, rise_to=shares * one.rise_to)
    ends = after_reps(parts, each, reps)
    return after_rest(np.where(reps < REPS, after_failed_rep(ends, each), ends), rates, REST_S)


def closed(recovery, fatigue, sets):
    """Repetitions of every set by the closed form, fatigue carried on."""
    parts, found = np.zeros((2, *fatigue.shape)), []
    for shares, seconds, hardest, peak in sets:
        one = one_cycle(recovery, fatigue, shares, seconds, hardest, peak)
        reps = np.minimum(reps_possible(parts.sum(axis=0), one, peak), REPS)
        found.append(reps)
        parts = carried(parts, one, reps)
    return np.stack(found)


def stepped(recovery, fatigue, sets):
    """The same, every phase of every repetition in turn."""
    parts, found, shape = np.zeros((2, *fatigue.shape)), [], fatigue.shape
    wide = np.ascontiguousarray(np.broadcast_to(recovery, shape)).reshape(-1)
    for shares, seconds, hardest, peak in sets:
        flat = peak.reshape(-1)
        loads = flat[:, None] * shares
        phases = np.broadcast_to(seconds, loads.shape)
        at = np.full(len(flat), hardest)
        m = parts.sum(axis=0).reshape(-1)
        reps = stepped_reps(m, loads, phases, fatigue.reshape(-1), wide, at, flat, STRIKE * flat, REPS)
        reps = reps.reshape(shape)
        found.append(reps)
        parts = carried(parts, one_cycle(recovery, fatigue, shares, seconds, hardest, peak), reps)
    return np.stack(found)


def timed(work, *given):
    best, answer = float("inf"), None
    for _ in range(3):
        start = time.perf_counter()
        answer = work(*given)
        best = min(best, time.perf_counter() - start)
    return best, answer


def kernel() -> None:
    recovery, fatigue, sets = cases(PEOPLE)
    quick_s, quick = timed(closed, recovery, fatigue, sets)
    start = time.perf_counter()
    slow = stepped(recovery, fatigue, sets)
    slow_s = time.perf_counter() - start
    size = PEOPLE * SETS * GROUPS
    print(f"{PEOPLE:,} people x {SETS} sets x {GROUPS} groups ({size:,} sets of up to {REPS} repetitions)")
    print(f"  closed form, NumPy      {quick_s:8.3f} s   1")
    print(f"  every phase in turn     {slow_s:8.3f} s   {slow_s / quick_s:.0f} times as long")
    print(f"  differing repetitions   {(quick != slow).sum()} of {size:,}")
    rng = np.random.default_rng(2)
    differing, start = 0, time.perf_counter()
    for _ in range(SAMPLE):
        shares, seconds, hardest, peak = sets[rng.integers(SETS)]
        person, group = rng.integers(PEOPLE), rng.integers(GROUPS)
        load, f = peak[person, group], fatigue[person, group]
        reps = ode_reps(0.0, load * shares, seconds, f, recovery[group], hardest, load, STRIKE * load, REPS)
        one = one_cycle(recovery, fatigue[person], shares, seconds, hardest, peak[person])
        differing += reps != min(reps_possible(np.zeros(GROUPS), one, peak[person])[group], REPS)
    ode_s = (time.perf_counter() - start) / SAMPLE * size
    print(
        f"  the equations, reckoned {ode_s:8.0f} s   {ode_s / quick_s:,.0f} times; {differing} of {SAMPLE} sets differ"
    )
    compiled(recovery, fatigue, sets, quick_s, quick)


def compiled(recovery, fatigue, sets, quick_s, quick) -> None:
    loop = numba.njit(_loop)
    shares, seconds, hardest, peaks = (np.stack([np.asarray(one[part]) for one in sets]) for part in range(4))
    given = (
        recovery,
        fatigue,
        shares,
        seconds,
        hardest,
        peaks,
        REPS,
        rest().share[0],
        np.exp(-rest().rate[0] * REST_S),
        STRIKE,
    )
    start = time.perf_counter()
    loop(*given)
    first_s = time.perf_counter() - start
    took_s, reps = timed(loop, *given)
    first = f"first call {first_s:.1f} s, {(reps == quick).mean():.2%} the same"
    print(f"  closed form, Numba      {took_s:8.3f} s   {took_s / quick_s:.2f} ({first})")


def _loop(recovery, fatigue, shares, seconds, hardest, peaks, most, share, rests, strike):
    sets, people, groups = peaks.shape
    found = np.zeros((sets, people, groups))
    for group in range(groups):
        r, spent = recovery[group], np.zeros((people, 2))
        for one in range(sets):
            total, until = seconds[one].sum(), hardest[one]
            unit, unit_to, at = 0.0, 0.0, 0.0
            for phase in range(4):
                ends = at + seconds[one, phase]
                low, high = min(at, until), min(ends, until)
                unit += shares[one, phase] * (np.exp(-r * (total - ends)) - np.exp(-r * (total - at))) / r
                unit_to += shares[one, phase] * (np.exp(-r * (until - high)) - np.exp(-r * (until - low))) / r
                at = ends
            decay, decay_to, struck = np.exp(-r * total), np.exp(-r * until), strike * np.exp(-r * (total - until))
            fades = np.log(decay)
            for person in range(people):
                peak, f, m = peaks[one, person, group], fatigue[person, group], spent[person].sum()
                rise, rise_to = peak * (f * unit + struck), peak * f * unit_to
                steady, limit = rise / (1 - decay), (1 - peak - rise_to) / decay_to
                if m > limit:
                    reps = 0.0
                elif steady <= limit:
                    reps = most
                else:
                    reps = min(most, 1 + np.floor(np.log((steady - limit) / (steady - m)) / fades))
                found[one, person, group] = reps
                left = decay**reps
                added = steady * (1 - left)
                if reps < most:
                    left, added = left * decay_to, added * decay_to + rise_to
                    over = max(1.0, left * m + added)
                    left, added = left / over, added / over
                for part in range(2):
                    spent[person, part] = (spent[person, part] * left + added * share[part]) * rests[part]
    return found


REHEARSED = """
import resource, sys, time
from pathlib import Path
from everyrung.pipeline import AudienceSpec, Options, run
from everyrung.store.cache import default_cache
if __name__ == "__main__":
    plan, people = Path(sys.argv[1]), int(sys.argv[2])
    run(plan, options=Options(cache=default_cache(), audience=AudienceSpec(count=100)))
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    start, busy = time.perf_counter(), time.process_time()
    done = run(plan, options=Options(cache=default_cache(), audience=AudienceSpec(count=people)))
    took, busy = time.perf_counter() - start, time.process_time() - busy
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    print(people, took, busy, before // 1024, peak // 1024, done.forecast.whole)
"""


def pass_s(people: int) -> float:
    """Seconds of the processor for the closed form over as many people as the demo's rehearsal has sets and motions, in
    blocks as there.
    """
    along = ready_course(PLAN, Options(cache=default_cache()))
    sets, motions = len(along.slots), len(along.motions)
    rng = np.random.default_rng(3)
    recovery = rng.uniform(0.0006, 0.0017, motions)
    fatigue = recovery * 10.0 * np.exp(0.32 * rng.standard_normal((BLOCK, 1)))
    peaks = np.clip(rng.uniform(0.1, 0.6, (sets, BLOCK, motions)), 0.02, 0.99)
    given = [(np.array([0.6, 0.95, 0.6, 0.1]), np.array([2.0, 0.0, 2.0, 0.0]), 2.0, peak) for peak in peaks]
    closed(recovery, fatigue, given)
    start = time.process_time()
    for _ in range(PASSES):
        closed(recovery, fatigue, given)
    print(f"  a closed-form pass: {sets} sets, {motions} motions, blocks of {BLOCK:,} people")
    return (time.process_time() - start) / PASSES / BLOCK * people


def rehearsals(counts: list[int]) -> None:
    print("whole rehearsals of the boathouse demo, demands cached: people, s, s of the processor,")
    print("as times of a pass of the closed form, peak MB (with 100 people before)")
    for people in counts:
        passed_s = pass_s(people)
        done = subprocess.run(
            [sys.executable, "-c", REHEARSED, str(PLAN), str(people)], capture_output=True, text=True, check=True
        )
        _, took, busy, before, peak, whole = done.stdout.split(maxsplit=5)
        times, took_s, busy_s = float(busy) / passed_s, float(took), float(busy)
        print(f"  {people:>9,} {took_s:>8.1f} {busy_s:>8.1f} {times:>8.1f} x {peak:>6} ({before})  {whole}")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--million", action="store_true", help="a rehearsal of a million people as well (minutes)")
    given = parser.parse_args()
    kernel()
    rehearsals([1_000, 10_000, 100_000] + ([1_000_000] if given.million else []))


if __name__ == "__main__":
    main()
