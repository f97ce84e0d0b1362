"""How an audience scales on a Dask cluster of this machine: one worker against two, and memory while people stream.

Run: .venv/bin/python benchmarks/cluster.py [--people 200000] [--stream 10000000]. A scheduler and the workers are begun
as processes on the loopback address. Efficiency is the time with one worker over twice the time with two; the peak
is each worker's largest resident memory from its start (ru_maxrss). With --stream that many people walk on two workers.
"""

import argparse
import os
import resource
import sys
import tempfile
import time
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "tests" / "executors"))  # the cluster of the tests

from loopback import loopback  # noqa: E402 - after its path is there

from everyrung.executors.address import VARIABLE  # noqa: E402
from everyrung.executors.cluster import connection  # noqa: E402
from everyrung.pipeline import AudienceSpec, Options, run  # noqa: E402
from everyrung.store.cache import default_cache  # noqa: E402

PLAN = HERE.parent / "examples" / "boathouse-30.toml"


def worker_use() -> tuple[int, float]:
    """A worker's peak, MB, and its processor time so far, s."""
    use = resource.getrusage(resource.RUSAGE_SELF)
    return use.ru_maxrss // 1024, use.ru_utime + use.ru_stime


def walk(people: int, on_people=None):
    """Wall time and processor time of this process, s; and the forecast."""
    begun_s, cpu_s = time.perf_counter(), time.process_time()
    options = Options(audience=AudienceSpec(count=people), cache=default_cache(), on_people=on_people)
    found = run(PLAN, options=options).forecast
    return time.perf_counter() - begun_s, time.process_time() - cpu_s, found


def on_workers(count: int, people: int, on_people=None):
    """The same on a cluster, after a first walk in which the workers load what they need."""
    with tempfile.TemporaryDirectory() as folder, loopback(Path(folder), count) as cluster:
        os.environ[VARIABLE] = cluster.address
        try:
            walk(1000 * count)
            with connection(cluster.address) as client:
                before = client.run(worker_use)
            wall_s, own_s, found = walk(people, on_people)
            with connection(cluster.address) as client:
                after = client.run(worker_use)
        finally:
            del os.environ[VARIABLE]
        peaks = [peak for peak, _ in after.values()]
        spent_s = sum(cpu_s for _, cpu_s in after.values()) - sum(cpu_s for _, cpu_s in before.values())
        say(
            f"{count} worker{'s' if count > 1 else ' '} {people:>11,} people {wall_s:8.1f} s",
            f"processor {spent_s:8.1f} s in workers, {own_s:6.1f} s here",
            f"peaks {', '.join(map(str, peaks))} MB",
            f"{found.whole} finish every set",
        )
        return wall_s, spent_s, found


def say(*parts: str) -> None:
    print(" ", "; ".join(parts), flush=True)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--people", type=int, default=200_000)
    parser.add_argument("--stream", type=int, default=0)
    given = parser.parse_args()
    print("the boathouse demo, demands cached", flush=True)
    walk(1000)
    if given.people:
        here_s, cpu_s, here = walk(given.people)
        say(f"here      {given.people:>11,} people {here_s:8.1f} s", f"processor {cpu_s:8.1f} s", load())
        one_s, one_cpu_s, one = on_workers(1, given.people)
        two_s, two_cpu_s, two = on_workers(2, given.people)
        assert here == one == two
        faster, dearer = one_s / two_s, two_cpu_s / one_cpu_s
        say("the same forecast three times", f"two workers {faster:.2f} times as fast, efficiency {faster / 2:.0%}")
        say(f"their processor time {dearer:.2f} of one worker's", load())
    if given.stream:
        begun_s = time.perf_counter()

        def told(done: int, total: int) -> None:
            if done % (total // 20) == 0:
                say(f"{done:,} after {time.perf_counter() - begun_s:.0f} s", load())

        on_workers(2, given.stream, told)
    say(f"this process: peak {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024} MB")


def load() -> str:
    return f"load {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores"


if __name__ == "__main__":
    main()
