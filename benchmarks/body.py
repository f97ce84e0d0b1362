"""How long the body takes: a pose by its parts, 15 moves, the grid of 12 bodies; and what the shipped table takes.

Run: .venv/bin/python benchmarks/body.py. The baseline is `mj_kinematics` itself, MuJoCo's kinematics of the same body
without any Python around it, measured before and after each part: only the ratios mean something, the times are this
machine's. Bodies start processes, which read this script anew: hence its guard below.
"""

import os
import resource
import statistics
import time
from collections.abc import Callable

os.environ["OMP_NUM_THREADS"] = os.environ["OPENBLAS_NUM_THREADS"] = "1"

import mujoco
import numpy as np

from everyrung.body.bodies import body_model
from everyrung.body.configuration import Configuration
from everyrung.body.demand import demand
from everyrung.body.mechanics import Failure, Job, demand_of, from_table
from everyrung.body.model import bare_body
from everyrung.body.pose_problem import PoseProblem, pose_problem
from everyrung.body.reference_grid import reference_grid
from everyrung.body.static_optimization import build_problem, friction_cones, max_muscle_torques, solve
from everyrung.body.trajectory import solve_depths
from everyrung.effort.perform_set import weights
from everyrung.moves.library import standard_library
from everyrung.processes import computing_pool
from everyrung.terms.person import BodySize, Sex

RUNGS = (
    "squat/goblet", "split-squat/pair", "reverse-lunge/base", "side-lunge/base", "wide-squat/both-hands",
    "ball-wall-squat/pair", "step-up/base", "hip-hinge/pair", "staggered-hinge/pair", "bridge/base",
    "ball-leg-curl/base", "bent-row/pair", "overhead-press/pair", "push-up/knees", "dead-bug/base",
)  # fmt: skip
SIZE = BodySize(sex=Sex.FEMALE, stature_m=1.65, mass_kg=62.0)
ROUNDS, KINEMATICS = 9, 400


def jobs(sizes: tuple[BodySize, ...]) -> list[Job]:
    library = standard_library()
    forms = [library.rung(*name.split("/")).form for name in RUNGS]
    return [Job(form=form, layer=library.pose(form), size=size) for form in forms for size in sizes]


def cpu_s(work: Callable[[], object]) -> float:
    start = time.process_time()
    work()
    return time.process_time() - start


def print_parts(parts: dict[str, tuple[Callable[[], object], int]]) -> None:
    """Each part's time and its median ratio to the baseline, which is measured around it."""
    data = mujoco.MjData(body_model(SIZE).mj_model)
    bare = lambda: [mujoco.mj_kinematics(body_model(SIZE).mj_model, data) for _ in range(KINEMATICS)]  # noqa: E731
    for name, (work, times) in parts.items():
        work()
        ratios, least_s = [], float("inf")
        for _ in range(ROUNDS):
            before_s, taken_s, after_s = cpu_s(bare), cpu_s(work) / times, cpu_s(bare)
            ratios.append(taken_s / ((before_s + after_s) / 2 / KINEMATICS))
            least_s = min(least_s, taken_s)
        print(f"  {name:<42}{least_s * 1e6:12.2f} us {statistics.median(ratios):10.2f} x")


def problems() -> list[PoseProblem]:
    return [pose_problem(one.form, one.layer, one.size) for one in jobs((SIZE,))]


def a_pose() -> None:
    """One pose by its parts: the mean of 15 moves at full depth, of the search that of their nine depths."""
    every = problems()
    poses = [(given, solve_depths(given)[-1].q_ind) for given in every]
    configuration = Configuration(body_model(SIZE))
    placed = []
    for given, q_ind in poses:
        configuration.set_q(q_ind)
        contacts = given.contacts(1.0)
        found = friction_cones(configuration, contacts)
        wanted = configuration.gravity_load() - configuration.stretched_load()
        placed.append(build_problem(configuration, contacts, found, wanted, 620.0))

    def each(work: Callable[[PoseProblem], object]) -> Callable[[], object]:
        def done() -> None:
            for given, q_ind in poses:
                configuration.set_q(q_ind)
                work(given)

        return done

    def asked(given: PoseProblem) -> object:
        return demand(configuration, given.contacts(1.0), given.held_loads(1.0))

    print_parts(
        {
            "pose solving": (lambda: [solve_depths(given) for given in every], 9 * len(every)),
            "muscles' pull": (each(lambda _: max_muscle_torques(configuration)), len(poses)),
            "least effort": (lambda: [solve(one) for one in placed], len(placed)),
            "demand, geometry and least effort": (each(asked), len(poses)),
            "a body made": (lambda: bare_body(SIZE), 1),
            "a rung on one body": (lambda: [demand_of(one) for one in jobs((SIZE,))], len(every)),
        }
    )  # fmt: skip


def look_ups() -> None:
    """A rung from the table, and a person in a batch of 2,000 between the bodies."""
    grid = jobs(reference_grid())
    rng = np.random.default_rng(1)
    people = weights(rng.random(2000) < 0.5, rng.uniform(1.55, 1.85, 2000), rng.uniform(55.0, 95.0, 2000))
    fractions = np.array([[each.fraction for each in one.motions[:30]] for one in list(from_table(grid).values())[:12]])
    print_parts(
        {
            "a rung on one body, read and put together": (lambda: from_table(grid), len(grid)),
            "a person of 2,000, thirty joints": (lambda: [people @ fractions for _ in range(20)], 20 * len(people)),
        }
    )


def the_grid() -> None:
    grid = jobs(reference_grid())
    for cores in sorted({1, os.cpu_count() or 1}):
        start = time.perf_counter()
        if cores == 1:
            found = [demand_of(one) for one in grid]
        else:
            with computing_pool(cores) as pool:
                found = list(pool.map(demand_of, grid, chunksize=4))
        assert not any(isinstance(one, Failure) for one in found)
        print(f"  {cores} core{'s' if cores > 1 else ''}{time.perf_counter() - start:8.2f} s")


def main() -> None:
    print("one pose, CPU time against mj_kinematics")
    a_pose()
    print("from the shipped table")
    look_ups()
    print(f"{len(RUNGS)} moves x 20 poses x 12 bodies, all solved, processes and bodies made")
    the_grid()
    for name, who in (("this process", resource.RUSAGE_SELF), ("its largest helper", resource.RUSAGE_CHILDREN)):
        print(f"peak memory of {name}: {resource.getrusage(who).ru_maxrss / 1024:.0f} MB")


if __name__ == "__main__":
    main()
