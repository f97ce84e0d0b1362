"""Second way: the work-energy theorem over a repetition. What the joints put in is what the body's energy gains.

Contacts that neither slip nor lift do no work, so the power of all generalised forces (statics.needed times velocity)
is the rate of kinetic and potential energy. Energies are MuJoCo's own: mj_energyPos and the mass matrix.
"""

import mujoco
import numpy as np
import pytest

from everyrung.body.configuration import Configuration
from everyrung.body.contacts import HeldLoad
from everyrung.body.inverse_dynamics import GRAVITY, finite_difference, inverse_dynamics
from everyrung.body.pose_problem import pose_problem
from everyrung.body.trajectory import Trajectory, solve_depths
from everyrung.moves.library import standard_library
from everyrung.terms.person import BodySize, Sex

SIZE = BodySize(sex=Sex.MALE, stature_m=1.76, mass_kg=78.0)
STEP_S = 0.005
LASTING_S = 1.5


def energy(configuration: Configuration, velocity: np.ndarray, held: list[HeldLoad]) -> float:
    """Kinetic and potential energy of body and load, J."""
    model, data = configuration.body.mj_model, configuration.data
    speed = configuration.coupling_jacobian @ velocity
    pushed = np.zeros(model.nv)
    mujoco.mj_crb(model, data)
    mujoco.mj_mulM(model, data, pushed, speed)
    mujoco.mj_energyPos(model, data)
    found = float(data.energy[0]) + 0.5 * float(speed @ pushed)
    for load in held:
        for point in load.points:
            moving = configuration.point_jacobian(point) @ velocity
            part = load.mass_kg / len(load.points)
            found += part * (GRAVITY * float(configuration.point(point)[2]) + 0.5 * float(moving @ moving))
    return found


@pytest.mark.parametrize("rung", ["squat/goblet", "split-squat/pair", "push-up/base"])
def test_the_work_of_the_joints_is_the_gain_in_energy(rung: str) -> None:
    form = standard_library().rung(*rung.split("/")).form
    given = pose_problem(form, standard_library().pose(form), SIZE)
    solved = solve_depths(given)
    path, configuration = (
        Trajectory([one.depth for one in solved], [one.q_ind for one in solved]),
        Configuration(given.body),
    )
    times = np.arange(0, LASTING_S + STEP_S / 2, STEP_S)
    energies, powers = [], []
    for at in times:
        before, here, after = (
            path.at((1 - np.cos(np.pi * (at + shift) / LASTING_S)) / 2) for shift in (-STEP_S, 0.0, STEP_S)
        )
        configuration.set_q(here)
        motion, held = finite_difference(before, here, after, STEP_S), given.held_loads(0.5)
        powers.append(
            float(inverse_dynamics(configuration, held, motion) @ configuration.coupling_jacobian @ motion.velocity)
        )
        configuration.set_q(here)
        energies.append(energy(configuration, motion.velocity, held))
    gained = np.array(energies) - energies[0]
    worked = np.concatenate([[0.0], np.cumsum((np.array(powers)[1:] + np.array(powers)[:-1]) / 2 * STEP_S)])
    span = float(np.ptp(gained))
    assert span > 50
    assert np.abs(worked - gained).max() < 0.01 * span
