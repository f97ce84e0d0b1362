"""The demand of a rung: what makes it rise, and hand computing of what can be computed by hand."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from everyrung.body.configuration import Configuration
from everyrung.body.figure_points import rung_drawing
from everyrung.body.inverse_dynamics import GRAVITY
from everyrung.body.pose_problem import pose_problem
from everyrung.body.rung_demand import rung_demand
from everyrung.body.self_checks import corner
from everyrung.body.trajectory import solve_depths
from everyrung.moves.library import standard_library
from everyrung.terms.demand import RungDemand
from everyrung.terms.figure import NEEDED_POINTS
from everyrung.terms.person import BodySize, Sex
from everyrung.terms.pose import Span
from everyrung.terms.units import Load, Mass, MassUnit, Tempo

SIZE = BodySize(sex=Sex.FEMALE, stature_m=1.65, mass_kg=62.0)


def asked(rung: str, size: BodySize = SIZE, tempo: Tempo | None = None, kg: float = 0.0, **form: Any) -> RungDemand:
    library = standard_library()
    shape = replace(library.rung(*rung.split("/")).form, **form)
    pieces = {"one": 1, "pair": 2}.get(str(shape.load), 0)
    load = Load(pieces=(Mass(amount=kg, unit=MassUnit.KG),) * pieces) if kg and pieces else None
    return rung_demand(pose_problem(shape, library.pose(shape), size, load), size, tempo or shape.tempo)


def test_a_heavier_load_is_more_of_everything() -> None:
    light, heavy = (asked("squat/goblet", kg=kg) for kg in (5, 12))
    assert heavy.hardest.fraction > light.hardest.fraction  # type: ignore[union-attr]
    assert heavy.work_j > light.work_j
    assert heavy.trunk_nm > light.trunk_nm
    assert heavy.above_rest_w > light.above_rest_w


def test_work_lifted_is_the_weight_times_the_height() -> None:
    """By hand: mass of body and load times g times the rise of their common centre, from the solved poses."""
    library = standard_library()
    form = library.rung("squat", "goblet").form
    given = pose_problem(form, library.pose(form), SIZE)
    heights = []
    solved = solve_depths(given)
    for one in (solved[0], solved[-1]):
        configuration = Configuration(given.body, one.q_ind)
        (held,) = given.held_loads(one.depth)
        grips = np.mean([configuration.point(name)[2] for name in held.points])
        total = SIZE.mass_kg + held.mass_kg
        heights.append((SIZE.mass_kg * configuration.centre_of_mass()[2] + held.mass_kg * grips) / total)
    by_hand = total * GRAVITY * (heights[0] - heights[1])
    assert asked("squat/goblet").work_j == pytest.approx(by_hand, rel=0.02)


def test_a_deeper_squat_is_more_work_and_a_quicker_one_a_greater_moment() -> None:
    half, whole = (asked("squat/base", range_share=share) for share in (0.5, 1.0))
    assert whole.work_j > 1.5 * half.work_j
    quick = asked("squat/base", tempo=Tempo(lower_ms=700, bottom_ms=0, rise_ms=700, top_ms=0))
    assert quick.motion("knee_extension_left").moment_nm > whole.motion("knee_extension_left").moment_nm  # type: ignore[union-attr]


def test_the_supports_bear_body_and_load_when_still() -> None:
    """A hold, so that nothing is accelerated: Newton's third law."""
    plank = asked("front-plank/base")
    assert plank.rep_ms == 1000
    assert sum(each.full_n or 0 for each in plank.bearings) == pytest.approx(SIZE.mass_kg * GRAVITY, rel=0.01)
    assert plank.work_j == 0


def test_an_opposite_load_moves_the_hip_abductors_and_a_narrow_stance_the_balance() -> None:
    free, loaded = asked("split-squat/base"), asked("split-squat/opposite", kg=10)
    assert loaded.effort("gluteus_medius_right").peak > free.effort("gluteus_medius_right").peak  # type: ignore[union-attr]
    wide, narrow = asked("ball-overhead-lift/base"), asked("ball-overhead-lift/slow")
    assert narrow.sideways_m < 0.7 * wide.sideways_m  # type: ignore[operator]


def test_self_checks_are_measured_and_a_spoilt_pose_fails_them() -> None:
    good = asked("split-squat/base")
    assert len(good.self_checks) == 4
    assert all(check.met for check in good.self_checks), [check.measured for check in good.self_checks]
    library = standard_library()
    form = library.rung("split-squat", "base").form
    layer = library.pose(form)
    stiff = replace(layer, angles={**layer.angles, "knee_flexion_working": Span(rest=18, full=50)})
    spoilt = rung_demand(replace(pose_problem(form, layer, SIZE), layer=stiff), SIZE, form.tempo)
    assert {check.say for check in spoilt.self_checks if not check.met} >= {good.self_checks[0].say}


def test_a_part_of_the_range_is_not_asked_for_right_angles() -> None:
    assert not asked("split-squat/wall-shallow").self_checks


def test_the_corner_of_a_right_triangle_is_right() -> None:
    """Euclid I.47: sides 3, 4, 5."""
    assert corner(np.array([3.0, 0, 0]), np.zeros(3), np.array([0, 4.0, 0])) == pytest.approx(90)
    assert corner(np.array([1.0, 1, 1]), np.zeros(3), np.array([-2.0, -2, -2])) == pytest.approx(180)


@pytest.mark.parametrize("rung", ["ball-wall-squat/base", "step-up/pair", "floor-press/base", "side-plank/hip-load"])
def test_a_drawing_has_every_point_and_the_things_around(rung: str) -> None:
    library = standard_library()
    form = library.rung(*rung.split("/")).form
    found = rung_drawing(pose_problem(form, library.pose(form), SIZE), hold=form.tempo.is_hold)
    assert set(NEEDED_POINTS) <= {name for name, _ in found.full.points}
    kinds = {thing.kind for thing in found.full.things}
    wanted = {
        "ball-wall-squat/base": {"ball", "wall"},
        "step-up/pair": {"step", "dumbbell"},
        "floor-press/base": {"band"},
        "side-plank/hip-load": {"dumbbell"},
    }
    assert wanted[rung] <= kinds
    assert (found.rest == found.full) == form.tempo.is_hold
