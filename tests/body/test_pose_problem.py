"""Poses as written, solved for bodies: sides, ranges, contacts, loads, and what contradicts itself."""

import tomllib
from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from everyrung.body.configuration import Configuration
from everyrung.body.contacts import centre_with
from everyrung.body.demand import demand
from everyrung.body.inverse_kinematics import solve_pose
from everyrung.body.pose_problem import PoseProblem, pose_problem
from everyrung.body.pose_vocabulary import angles, lines, parts, points
from everyrung.body.rung_demand import rung_demand
from everyrung.body.static_optimization import NoSolution
from everyrung.body.trajectory import Trajectory, settle, solve_depths
from everyrung.moves.library import standard_library
from everyrung.moves.pose_file import length, read_pose, span
from everyrung.parsing.table_reader import FileFaults, Table
from everyrung.terms.enums import Side
from everyrung.terms.errors import Invalid
from everyrung.terms.person import BodySize, Sex
from everyrung.terms.pose import Layer, Offset, Span
from everyrung.terms.units import Load, Mass, MassUnit, Tempo

SMALL = BodySize(sex=Sex.FEMALE, stature_m=1.52, mass_kg=60.0)
TALL = BodySize(sex=Sex.MALE, stature_m=1.88, mass_kg=85.0)
TEMPO = Tempo(lower_ms=2000, bottom_ms=0, rise_ms=2000, top_ms=0)
TEN_KG = Load(pieces=(Mass(amount=10, unit=MassUnit.KG),))


def posed(rung: str, size: BodySize = SMALL, extra: str = "", **more: Any) -> PoseProblem:
    library = standard_library()
    form = library.rung(*rung.split("/")).form
    layer = (
        library.pose(form).under(read_pose(Table(FileFaults("", extra), tomllib.loads(extra))).layer).without_removals()
    )
    return pose_problem(form, layer, size, **more)


def full(given: PoseProblem) -> Configuration:
    return Configuration(given.body, solve_depths(given)[-1].q_ind)


@pytest.mark.parametrize("rung", ["split-squat/base", "one-leg-hinge/base", "side-plank/base"])
def test_left_and_right_are_mirror_images(rung: str) -> None:
    right, left = (full(posed(rung, working=side)) for side in (Side.RIGHT, Side.LEFT))
    for name in ("knee", "ankle", "hip", "wrist"):
        one, other = right.point(f"{name}_right"), left.point(f"{name}_left")
        assert one[2] == pytest.approx(other[2], abs=0.004)
        assert one[0] - right.point("pelvis")[0] == pytest.approx(left.point("pelvis")[0] - other[0], abs=0.006)


def test_half_the_range_goes_about_half_the_way_down() -> None:
    tall = full(posed("squat/base", TALL, "angles = { knee_flexion = 4 }")).point("hip_left")[2]
    low = full(posed("squat/base", TALL)).point("hip_left")[2]
    half = full(posed("squat/base", TALL, "angles = { knee_flexion = [4, 52] }")).point("hip_left")[2]
    assert low < half < tall


@pytest.mark.parametrize("size", [SMALL, TALL], ids=["small", "tall"])
def test_what_touches_the_floor_lies_on_it(size: BodySize) -> None:
    configuration = full(posed("squat/base", size))
    for side in ("left", "right"):
        for name in ("heel", "ball_inner", "ball_outer"):
            assert configuration.point(f"{name}_{side}")[2] == pytest.approx(0.0, abs=0.008)


@pytest.mark.parametrize("size", [SMALL, TALL], ids=["small", "tall"])
def test_a_seat_of_45_cm_is_that_for_every_body(size: BodySize) -> None:
    configuration = full(posed("seated-march/base", size))
    assert configuration.point("seat_left")[2] == pytest.approx(0.45, abs=0.01)


def test_body_and_load_together_stand_over_the_feet() -> None:
    given = posed("split-squat/opposite", load=TEN_KG)
    configuration = full(given)
    centre, _ = centre_with(configuration, given.held_loads(1.0))
    alone = configuration.centre_of_mass()
    left = configuration.point("ankle_left")[0] - configuration.point("ankle_right")[0]
    assert (alone[0] - centre[0]) * left < 0, "the load is in the left hand, so the body leans away from it"
    found = demand(configuration, given.contacts(1.0), given.held_loads(1.0))
    assert found.balance is not None
    assert found.balance.still_m > 0


def test_a_declared_share_is_met() -> None:
    given = posed("squat/chair")
    found = demand(full(given), given.contacts(1.0))
    assert [one.wanted for one in found.shares] == [0.1, 0.1]
    assert all(one.got == pytest.approx(0.1, abs=0.02) for one in found.shares)


def test_a_load_hangs_where_it_is_said_to_and_is_all_there() -> None:
    given = posed("squat/goblet", load=TEN_KG)
    (held,) = given.held_loads(1.0)
    assert held.mass_kg == 10
    assert set(held.points) == {"grip_left", "grip_right"}
    configuration = full(given)
    heights = [configuration.point(name)[2] - configuration.point("chest_front")[2] for name in held.points]
    assert max(map(abs, heights)) < 0.08


def test_the_usual_load_is_taken_where_none_is_named() -> None:
    assert posed("split-squat/pair").load_kg == pytest.approx(2 * 4.54)
    assert posed("split-squat/base").load_kg == 0


def test_a_contradictory_pose_ends_and_says_by_how_much() -> None:
    spoilt = 'height = { pelvis = 0.9 }\ntouch = { hand = "floor" }\nangles = { hip_flexion = 0, knee_flexion = 0 }\n'
    last = solve_depths(posed("squat/base", SMALL, spoilt))[-1]
    assert max(each.amount for each in last.misfits if each.unit == "mm") > 100
    assert any("wrist" in each.task or "pelvis" in each.task for each in last.misfits)


def test_a_wish_gives_way_to_what_is_meant_in_earnest() -> None:
    plain = full(posed("squat/base"))
    wished = full(posed("squat/base", SMALL, "loose = { hip_rotation_in = 25, neck_flexion = 40 }"))
    for name in ("hip_left", "knee_left", "ankle_left"):
        assert np.abs(plain.point(name) - wished.point(name)).max() < 0.03


@pytest.mark.parametrize(
    ("ask", "near"),
    [
        (lambda: angles("knee_flexoin_working", Side.LEFT), "knee_flexion_working"),
        (lambda: lines("shanks", Side.LEFT), "shank"),
        (lambda: parts("tows", Side.LEFT), "toes"),
        (lambda: points("wristt", frozenset({"wrist_left", "wrist_right", "neck"}), Side.LEFT), "wrist"),
    ],
)
def test_an_unknown_name_of_the_body_is_refused_with_the_nearest(ask: Any, near: str) -> None:
    with pytest.raises(Invalid) as refused:
        ask()
    assert refused.value.nearest == near


NAMES = st.sampled_from(
    ["knee_flexion", "hip_flexion_other", "trunk_flexion", "trunk_turn", "shoulder_flexion", "toes", ""]
)
SPANS = st.floats(-400, 400).map(lambda value: Span(rest=value, full=-value))
POINTS = st.sampled_from(
    ["heel to knee", "pelvis to grip", "neck to wrist_other", "hip to nowhere", "palm to toe_other"]
)
BEARING = st.sampled_from(["foot", "toes_other", "seat", "nose"])
WILD = st.builds(
    Layer,
    angles=st.dictionaries(NAMES, SPANS, max_size=3),
    over=st.dictionaries(
        st.sampled_from(["foot", "toes_other", "seat", "nose"]), st.floats(-1, 1).map(span), max_size=2
    ),
    squeeze=st.dictionaries(st.sampled_from(["palm", "palm_working", "neck"]), st.floats(-2, 2).map(span), max_size=1),
    hangs=st.dictionaries(st.sampled_from(["grip", "grip_other", "neck"]), st.floats(-1, 1).map(span), max_size=2),
    stretched=st.dictionaries(POINTS, st.floats(-1, 1).map(span), max_size=1),
    apart=st.dictionaries(POINTS, st.floats(-0.7, 0.7).map(lambda far: Offset(out=length(far))), max_size=2),
)


@settings(max_examples=12, deadline=None)
@given(WILD)
def test_however_wild_a_pose_is_it_ends_in_an_answer_or_in_words(wild: Layer) -> None:
    goblet = posed("squat/goblet")
    layer = goblet.layer.under(wild).without_removals()
    refused, work_j = "", 0.0
    try:
        work_j = rung_demand(replace(goblet, layer=layer), SMALL, TEMPO).work_j
    except (Invalid, NoSolution) as problem:
        refused = str(problem)
    assert refused or np.isfinite(work_j)


@pytest.mark.parametrize("rung", ["squat/base", "split-squat/base", "side-lunge/base"])
def test_between_the_solved_poses_the_feet_stay_where_they_are(rung: str) -> None:
    """The way through nine poses against the tenth, solved half way between two of them."""
    given_ = posed(rung)
    settled, _ = settle(given_, given_.initial_guess())
    solved = solve_depths(given_)
    path, configuration = (
        Trajectory([one.depth for one in solved], [one.q_ind for one in solved]),
        Configuration(given_.body),
    )
    for one, other in pairwise(solved):
        middle = (one.depth + other.depth) / 2
        tenth = solve_pose(given_.body, settled.tasks(middle), start=one.q_ind, toward=given_.initial_guess())
        configuration.set_q(path.at(middle))
        found = {name: configuration.point(name) for name in ("heel_right", "ball_inner_right", "hip_left", "neck")}
        configuration.set_q(tenth.q_ind)
        for name, place in found.items():
            assert np.abs(place - configuration.point(name)).max() < 0.004, f"{name} at {middle:.2f}"


def test_a_share_of_nothing_or_less_bears_nothing() -> None:
    goblet = posed("squat/goblet")
    declared = goblet.layer.under(Layer(over={"foot": span(1)}))  # who says where the weight lies leaves it not open
    odd = Layer(over={"seat": span(-0.9999999999999999), "toes": span(0.0)})
    plain, found = (
        rung_demand(replace(goblet, layer=layer), SMALL, TEMPO)
        for layer in (declared, declared.under(odd).without_removals())
    )
    assert found.work_j == pytest.approx(plain.work_j)
