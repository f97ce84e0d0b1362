"""A repetition in time: the tempo's phases, a smooth way between the ends, rest where it pauses."""

import numpy as np
import pytest

from everyrung.body.configuration import upright
from everyrung.body.trajectory import POSES, Trajectory
from everyrung.terms.enums import End
from everyrung.terms.units import Tempo


def bending(tempo: Tempo, rests: str) -> list:
    depths = np.linspace(0, 1, 9)
    return Trajectory(depths, [upright(knee_flexion_left=depth) for depth in depths]).repetition(tempo, End(rests))


def knee(q_ind: np.ndarray) -> float:
    return float(q_ind[7:].max())


TEMPO = Tempo(lower_ms=3000, bottom_ms=1000, rise_ms=1500, top_ms=0)


def test_the_instants_stand_for_the_whole_repetition() -> None:
    found = bending(TEMPO, "top")
    assert len(found) in (POSES - 1, POSES)
    assert sum(one.weight_ms for one in found) == pytest.approx(TEMPO.rep_ms)


def test_a_pause_is_still_and_at_its_end_of_the_way() -> None:
    (pause,) = (one for one in bending(TEMPO, "top") if one.motion is None)
    assert (pause.depth, pause.weight_ms) == (1.0, 1000)
    (other,) = (one for one in bending(TEMPO, "bottom") if one.motion is None)
    assert other.depth == 0.0


@pytest.mark.parametrize(("rests", "down_ms"), [("top", 3000), ("bottom", 1500)])
def test_lowering_and_rising_take_their_own_times(rests: str, down_ms: int) -> None:
    """Going deeper is lowering for a squat, and rising for a bridge, which rests at its bottom."""
    moving = [one for one in bending(TEMPO, rests) if one.motion is not None]
    deeper = [one for one in moving if one.motion.velocity.max() > 1e-9]
    assert sum(one.weight_ms for one in deeper) == pytest.approx(down_ms, rel=0.15)


def test_speed_and_acceleration_are_those_of_a_pendulum() -> None:
    """By hand, from (1 - cos(pi t / T)) / 2: the greatest speed is pi / 2T, the greatest acceleration pi^2 / 2T^2."""
    moving = [one for one in bending(TEMPO, "top") if one.motion is not None and one.motion.velocity.max() >= 0][:9]
    speeds = [float(one.motion.velocity.max()) for one in moving]
    assert max(speeds) == pytest.approx(np.pi / 2 / 3.0, rel=0.03)
    assert abs(moving[0].motion.acceleration).max() == pytest.approx(np.pi**2 / 2 / 9.0, rel=0.02)


def test_the_way_goes_through_the_solved_poses() -> None:
    depths = np.linspace(0, 1, 9)
    path = Trajectory(depths, [upright(knee_flexion_left=depth**2) for depth in depths])
    assert knee(path.at(0.5)) == pytest.approx(0.25, abs=1e-9)
    assert knee(path.at(0.55)) == pytest.approx(0.3025, abs=2e-3)
