"""What a pose leaves open is where it costs the least effort: against other ways of looking for it."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import lsq_linear  # type: ignore[import-untyped,unused-ignore]

from everyrung.body.configuration import Configuration
from everyrung.body.demand import effort_parts
from everyrung.body.inverse_kinematics import solve_pose
from everyrung.body.pose_problem import PoseProblem, pose_problem
from everyrung.body.posture import MISFIT, PREFERENCE, bounded_least_squares
from everyrung.body.trajectory import full_of, settle, solve_depths
from everyrung.moves.library import standard_library
from everyrung.terms.errors import Invalid
from everyrung.terms.person import BodySize, Sex
from everyrung.terms.pose import Layer, Span

WOMAN = BodySize(sex=Sex.FEMALE, stature_m=1.65, mass_kg=62.0)
MAN = BodySize(sex=Sex.MALE, stature_m=1.76, mass_kg=78.0)


def posed(rung: str, size: BodySize = WOMAN, load_kg: float = 0.0) -> PoseProblem:
    library = standard_library()
    form = library.rung(*rung.split("/")).form
    return replace(pose_problem(form, library.pose(form), size), load_kg=load_kg)


def chosen(given: PoseProblem) -> dict[str, float]:
    """The share of its room that each open value takes."""
    return dict(settle(given, given.initial_guess())[0].posture)


def effort(given: PoseProblem, posture: dict[str, float]) -> float:
    """At full depth, with the values at so much of their room; the search begins where the movement has the pose."""
    start = full_of(solve_depths(given)).q_ind
    there = replace(given, posture=posture)
    solved = solve_pose(given.body, there.tasks(1.0), start=start, toward=given.initial_guess())
    configuration = Configuration(given.body, solved.q_ind)
    parts = effort_parts(configuration, given.contacts(1.0), given.held_loads(1.0), given.pulls(1.0))
    off = MISFIT * solved.firmly_off
    return float(parts @ parts + off @ off) + sum((PREFERENCE * share) ** 2 for share in posture.values())


def test_the_step_inside_bounds_is_scipy_s() -> None:
    """Another library's bounded least squares, on problems of two and three values."""
    draw = np.random.default_rng(3)
    for count in (1, 2, 3) * 20:
        slopes, now = draw.normal(size=(9, count)), draw.normal(size=9) * 3
        share = draw.uniform(-1, 1, count)
        theirs = lsq_linear(slopes, slopes @ share - now, bounds=(-1, 1)).x
        ours = bounded_least_squares(slopes, now, share)
        worth = [float(np.sum((now + slopes @ (x - share)) ** 2)) for x in (ours, theirs)]
        assert worth[0] <= worth[1] * 1.05  # ends are taken one at a time, never given back


@pytest.mark.parametrize(("rung", "kg"), [("squat/goblet", 8.0), ("hip-hinge/pair", 16.0), ("split-squat/pair", 10.0)])
def test_nothing_on_a_grid_of_its_room_costs_much_less(rung: str, kg: float) -> None:
    """A search of the whole room, eleven steps (of two values: five and five)."""
    given = posed(rung, load_kg=kg)
    found, room = chosen(given), given.room(1.0)
    assert set(found) == set(room)
    grids = [np.linspace(-1, 1, 11 if len(room) == 1 else 5)] * len(room)
    points = np.array(np.meshgrid(*grids)).reshape(len(room), -1).T
    least = min(effort(given, dict(zip(room, point.tolist(), strict=True))) for point in points)
    written = effort(given, dict.fromkeys(room, 0.0))
    got = effort(given, found)
    assert got <= written
    assert got <= least + 0.25 * (written - least) + 1e-3


def test_it_stays_inside_its_room() -> None:
    for rung in ("squat/base", "push-up/chair", "step-up/pair", "one-leg-hinge/base"):
        assert all(abs(share) <= 1 for share in chosen(posed(rung)).values())


def test_a_little_more_mass_moves_the_posture_a_little() -> None:
    here, there = (chosen(posed("squat/goblet", replace(WOMAN, mass_kg=kg), load_kg=8.0)) for kg in (62.0, 62.6))
    assert here.keys() == there.keys() == {"balance", "trunk"}
    assert max(abs(here[name] - there[name]) for name in here) < 0.06  # of the room: a degree of lean


def test_hands_and_feet_stay_where_they_are_in_a_push_up() -> None:
    for rung in ("push-up/base", "push-up/chair", "push-up/feet-raised"):
        given = posed(rung, MAN)
        configuration, apart = Configuration(given.body), []
        for one in solve_depths(given):
            configuration.set_q(one.q_ind)
            apart.append((configuration.point("wrist_left") - configuration.point("ball_left"))[1])
        assert np.ptp(apart) < 0.01, rung


def test_a_declared_share_is_kept_and_a_written_value_is_not_moved() -> None:
    given = posed("squat/base")
    closed = given.layer.under(Layer(over={"foot": Span(rest=1, full=1)}, lines=given.layer.lines))
    assert closed.open == {}
    assert chosen(replace(given, layer=closed)) == {}


def test_an_open_value_that_the_pose_has_not_is_refused() -> None:
    given = posed("squat/base")
    odd = given.layer.under(Layer(open={"leg": Span(rest=0, full=5)}))
    with pytest.raises(Invalid) as refused:
        solve_depths(replace(given, layer=odd))
    assert "leg" in str(refused.value)
