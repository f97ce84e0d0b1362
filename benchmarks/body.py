"""How long the body takes: a pose by its parts, a session of 15 moves, the grid of 12 bodies, cold and from the cache.

Run: .venv/bin/python benchmarks/body.py. Ratios within one run mean something; the seconds are this machine's. The
baseline of a pose is MuJoCo's kinematics of the same body. Bodies start processes, which read this script anew: hence
its guard below.
"""

import os
import resource
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

os.environ["OMP_NUM_THREADS"] = os.environ["OPENBLAS_NUM_THREADS"] = "1"

import numpy as np

from everyrung.body import mechanics
from everyrung.body.bodies import reference_grid
from everyrung.body.configuration import Configuration
from everyrung.body.demand import demand
from everyrung.body.mechanics import Job, demands, in_job_order
from everyrung.body.pose_problem import pose_problem
from everyrung.body.static_optimization import max_muscle_torques
from everyrung.body.trajectory import solve_depths
from everyrung.moves.library import standard_library
from everyrung.store.cache import Cache
from everyrung.terms.person import BodySize, Sex

RUNGS = (
    "squat/goblet", "split-squat/pair", "reverse-lunge/base", "side-lunge/base", "wide-squat/both-hands",
    "ball-wall-squat/pair", "step-up/base", "hip-hinge/pair", "staggered-hinge/pair", "bridge/base",
    "ball-leg-curl/base", "bent-row/pair", "overhead-press/pair", "push-up/knees", "dead-bug/base",
)  # fmt: skip
SIZE = BodySize(sex=Sex.FEMALE, stature_m=1.65, mass_kg=62.0)


def median_s(work: Callable[[], object], times: int) -> float:
    work()
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return float(np.median(taken))


def jobs(sizes: tuple[BodySize, ...]) -> list[Job]:
    library = standard_library()
    forms = [library.rung(*name.split("/")).form for name in RUNGS]
    return [Job(form=form, layer=library.pose(form), size=size) for form in forms for size in sizes]


def a_pose() -> None:
    """One pose by its parts, in ms and against kinematics alone."""
    library = standard_library()
    form = library.rung("split-squat", "pair").form
    given = pose_problem(form, library.pose(form), SIZE)
    configuration = Configuration(given.body, solve_depths(given)[-1].q_ind)
    q_ind, contacts, held = configuration.q_ind, given.contacts(1.0), given.held(1.0)
    bare_s = median_s(lambda: configuration.set_q(q_ind), 200)
    parts = {
        "kinematics (baseline)": bare_s,
        "pose solving": median_s(lambda: solve_depths(given), 9) / 9,
        "geometry: arms and fitted pull": median_s(lambda: max_muscle_torques(configuration), 100),
        "demand, geometry and QP": median_s(lambda: demand(configuration, contacts, held), 50),
    }
    for name, seconds in parts.items():
        print(f"  {name:<32}{seconds * 1000:8.2f} ms  {seconds / bare_s:7.0f} x")


def timed(what: str, asked: list[Job], cache: Cache | None) -> float:
    start = time.perf_counter()
    in_job_order(demands(asked, cache))
    seconds = time.perf_counter() - start
    print(f"  {what:<46}{seconds:7.2f} s")
    return seconds


def main() -> None:
    print("one pose")
    a_pose()
    one = jobs((SIZE,))
    mechanics.WORTH_A_POOL = 10_000  # one core
    in_job_order(demands(one[:1]))  # models and libraries loaded
    with tempfile.TemporaryDirectory() as folder:
        cache = Cache(Path(folder) / "computed.sqlite")
        print(f"{len(RUNGS)} moves x 20 poses, one core")
        cold_s = timed("cold", one, cache)
        warm_s = timed("from the cache", one, cache)
        print(f"  the cache is {cold_s / warm_s:.0f} times as fast")
        grid = jobs(reference_grid())
        mechanics.WORTH_A_POOL = 16
        print(f"{len(RUNGS)} moves x 20 poses x 12 bodies, {os.cpu_count()} cores")
        cold_s = timed("cold", grid, cache)
        warm_s = timed("from the cache", grid, cache)
        print(f"  the cache is {cold_s / warm_s:.0f} times as fast")
    for name, who in (("this process", resource.RUSAGE_SELF), ("its largest helper", resource.RUSAGE_CHILDREN)):
        print(f"peak memory of {name}: {resource.getrusage(who).ru_maxrss / 1024:.0f} MB")


if __name__ == "__main__":
    main()
