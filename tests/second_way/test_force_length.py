"""The force-length curves against MuJoCo's own muscle, whose shape they copy: mju_muscleGain and mju_muscleBias."""

import mujoco
import numpy as np
import pytest

from everyrung.body.muscle_pull import force_length, passive_stretch

STRETCH = np.linspace(0.05, 2.6, 103)


def parameters(shortest: float, longest: float, passive: float) -> np.ndarray:
    """range 0-1 over length range 0-1 m makes length and normalised length the same; force 1 N; the speed is zero."""
    return np.array([0.0, 1.0, 1.0, 1.0, shortest, longest, 10.0, passive, 1.4])


@pytest.mark.parametrize(("shortest", "longest", "passive"), [(0.0, 2.0, 3.4), (0.46, 3.1, 1.8), (0.1, 3.5, 1.07)])
def test_curves_are_mujocos(shortest: float, longest: float, passive: float) -> None:
    ends, given = np.array([0.0, 1.0]), parameters(shortest, longest, passive)
    active = [-mujoco.mju_muscleGain(at, 0.0, ends, 1.0, given) for at in STRETCH]
    slack = [-mujoco.mju_muscleBias(at, ends, 1.0, given) for at in STRETCH]
    low, high, force = (np.full_like(STRETCH, value) for value in (shortest, longest, passive))
    assert force_length(STRETCH, low, high) == pytest.approx(active, abs=1e-12)
    assert passive_stretch(STRETCH, high, force) == pytest.approx(slack, abs=1e-12)
