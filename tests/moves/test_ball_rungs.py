"""The case of combined ball rungs: each is posed with its ball where the words say, computed, and has an entry test."""

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from everyrung.body.mechanics import DRAWN, Failure, Job, demands, drawing_of
from everyrung.body.reference_grid import reference_grid
from everyrung.checks.move_check import misses
from everyrung.moves.library import standard_library
from everyrung.plan.read import read_plan
from everyrung.plan.resolve import resolve
from everyrung.store.cache import default_cache
from everyrung.terms.demand import Drawing, RungDrawing
from everyrung.terms.person import BodySize
from everyrung.terms.session import Cell

LIBRARY = standard_library()
CASE = Path(__file__).with_name("ball-rungs.toml")
THICK = (0.30, 0.34)  # of the stature: between the palms, under a foot, at the wall


@cache
def cells() -> dict[str, Cell]:
    session = resolve(read_plan(CASE), LIBRARY)
    return {f"{cell.ref.round}/{cell.ref.cell}": cell for block in session.blocks for cell in block.cells}


@cache
def drawn(place: str) -> RungDrawing:
    cell = cells()[place]
    found = drawing_of(_job(cell, DRAWN))
    assert not isinstance(found, Failure), found
    return found


def _job(cell: Cell, size: BodySize) -> Job:
    return Job(form=cell.rung.form, layer=LIBRARY.pose(cell.rung.form), size=size, load=cell.bouts[0].load)


def thing(drawing: Drawing, kind: str) -> tuple[np.ndarray, float]:
    """Where the only thing of a kind is, and how large."""
    (found,) = [each for each in drawing.things if each.kind == kind]
    return np.array(found.at), found.size_m


def point(drawing: Drawing, name: str) -> np.ndarray:
    return np.array(dict(drawing.points)[name])


def both(place: str) -> tuple[Drawing, Drawing]:
    return drawn(place).rest, drawn(place).full


@pytest.mark.parametrize("place", ["A/split", "B/split", "C/split", "A/wide", "B/wide", "C/wide"])
def test_the_ball_stands_between_the_back_and_the_wall(place: str) -> None:
    """The body faces -y: the wall is behind it, the ball between the two, as thick as the gap at both ends."""
    for drawing in both(place):
        (ball, size), (wall, _) = thing(drawing, "ball"), thing(drawing, "wall")
        back = point(drawing, "lumbar")
        assert back[1] < ball[1] < wall[1]
        assert wall[1] - back[1] == pytest.approx(size, abs=0.02)
        assert ball[2] == pytest.approx(back[2], abs=0.02)
        assert THICK[0] * DRAWN.stature_m < size < THICK[1] * DRAWN.stature_m
    gaps = [thing(each, "wall")[0][1] for each in both(place)]
    assert abs(gaps[0] - gaps[1]) < 0.03, "a wall does not move"


@pytest.mark.parametrize("place", ["A/hinge", "B/hinge", "C/hinge"])
def test_the_toes_of_the_lifted_foot_go_back_along_the_top_of_the_ball(place: str) -> None:
    rest, full = both(place)
    for drawing in (rest, full):
        ball, size = thing(drawing, "ball")
        toe = point(drawing, "toe_left")
        assert toe[2] == pytest.approx(size, abs=0.005), "on its top"
        assert np.hypot(*(toe - ball)[:2]) < 0.02
        assert ball[2] == pytest.approx(size / 2, abs=0.001), "it stands on the floor"
    assert point(full, "toe_left")[1] - point(rest, "toe_left")[1] > 0.3


def test_a_reach_makes_one_line_from_the_fingertips_to_the_heel() -> None:
    assert any("fingertips" in check for check in drawn("B/hinge").self_checks)


@pytest.mark.parametrize("place", ["A/lunge", "B/lunge", "C/lunge"])
def test_the_ball_is_between_the_palms_as_thick_as_at_the_wall(place: str) -> None:
    for drawing in both(place):
        ball, size = thing(drawing, "ball")
        palms = [point(drawing, f"palm_{side}") for side in ("left", "right")]
        assert np.linalg.norm(ball - (palms[0] + palms[1]) / 2) < 0.01
        assert 0.27 * DRAWN.stature_m < size < THICK[1] * DRAWN.stature_m


def test_the_ball_is_in_front_overhead_or_pressed_out_as_the_words_say() -> None:
    for drawing in both("A/lunge"):
        ball, _ = thing(drawing, "ball")
        assert point(drawing, "chest_front")[1] - ball[1] > 0.15
        assert abs(ball[2] - point(drawing, "chest_front")[2]) < 0.25
    for drawing in both("B/lunge"):
        assert thing(drawing, "ball")[0][2] > point(drawing, "head")[2] + 0.1
    rest, full = both("C/lunge")
    assert thing(rest, "ball")[0][2] > point(rest, "head")[2] + 0.1
    assert point(full, "chest_front")[1] - thing(full, "ball")[0][1] > 0.35
    turn = both("A/lunge")[1]
    across = point(turn, "shoulder_right") - point(turn, "shoulder_left")
    assert 30 < np.degrees(np.arctan(abs(across[1] / across[0]))) < 60


@pytest.mark.parametrize("place", ["B/curl", "C/curl"])
def test_an_extra_of_a_curl_comes_at_its_long_end_beside_a_ball_that_lies_still(place: str) -> None:
    rest, full, end = drawn(place).rest, drawn(place).full, drawn(place).extra
    assert end is not None
    assert [each for each in full.things if each.kind == "ball"] == [each for each in end.things if each.kind == "ball"]
    long = [np.linalg.norm(point(each, "hip_left") - point(each, "ankle_left")) for each in (rest, full)]
    assert long[1] > 1.3 * long[0], "drawn in, then long"


def test_a_floor_tap_brings_both_heels_to_the_floor_on_either_side_of_the_ball() -> None:
    end = drawn("B/curl").extra
    assert end is not None
    ball, size = thing(end, "ball")
    for side, out in (("left", 1), ("right", -1)):
        heel = point(end, f"heel_back_{side}")
        assert heel[2] < 0.02
        assert out * (heel[0] - ball[0]) > size / 2 + 0.03, "clear of the ball"
        assert abs(heel[1] - ball[1]) < size / 2, "beside it, not before it"
    assert point(end, "buttock_left")[2] < 0.02, "the seat is down"


def test_a_leg_lift_takes_one_straight_leg_off_the_ball_and_the_legs_take_turns() -> None:
    full, end = drawn("C/curl").full, drawn("C/curl").extra
    assert end is not None
    hip, knee, ankle = (point(end, f"{name}_right") for name in ("hip", "knee", "ankle"))
    bent = np.degrees(
        np.arccos(np.dot(knee - hip, ankle - knee) / np.linalg.norm(knee - hip) / np.linalg.norm(ankle - knee))
    )
    assert bent < 12, "straight"
    size = thing(end, "ball")[1]
    assert point(end, "heel_back_right")[2] > size + 0.1, "off the ball"
    assert point(end, "heel_back_left")[2] == pytest.approx(size, abs=0.01), "the other heel stays on it"
    assert abs(point(end, "pelvis")[2] - point(full, "pelvis")[2]) < 0.02, "the hips stay up"
    form = cells()["C/curl"].rung.form
    assert form.sides == "alternating"
    assert cells()["B/curl"].rung.form.sides == "both"


def test_an_extra_of_a_curl_is_timed_and_asked_for_more_than_the_curl() -> None:
    """Facts of mechanics: one leg in place of two asks more of it, and what is lifted from the floor again is work."""
    curl = LIBRARY.rung("ball-leg-curl", "base")
    jobs = [Job(form=curl.form, layer=LIBRARY.pose(curl.form), size=DRAWN)]
    jobs += [_job(cells()[place], DRAWN) for place in ("B/curl", "C/curl")]
    base, tap, lift = (found for _, found in sorted(demands(jobs, default_cache()), key=lambda each: each[0]))
    assert not isinstance(base, Failure)
    assert not isinstance(tap, Failure)
    assert not isinstance(lift, Failure)
    assert (tap.rep_ms - base.rep_ms, lift.rep_ms - base.rep_ms) == (4000, 2000)
    assert tap.work_j > base.work_j + 10
    assert base.hardest is not None
    assert lift.hardest is not None
    assert lift.hardest.fraction > 1.3 * base.hardest.fraction


def test_a_press_goes_with_the_depth() -> None:
    rest, full = both("A/split")
    assert point(rest, "grip_right")[2] - point(rest, "head")[2] > 0.1, "up as she stands"
    assert point(full, "grip_right")[2] < point(full, "head")[2], "at the shoulders when low"
    rest, full = both("B/wide")
    ahead = [point(each, "chest_front")[1] - point(each, "grip_right")[1] for each in (rest, full)]
    assert ahead[0] < 0.2 < 0.3 < ahead[1], "at the chest, then out"


def test_pulses_follow_the_pause_and_are_counted_in_the_time_of_a_repetition() -> None:
    cell = cells()["A/wide"]
    form = cell.rung.form
    assert (form.tempo.bottom_ms, form.pulses) == (2000, 2)
    assert cell.bouts[0].rep_ms == form.tempo.rep_ms + 1000
    assert cell.bouts[0].duration_ms == cell.bouts[0].reps * cell.bouts[0].rep_ms


def test_every_rung_of_the_case_has_an_entry_test_made_from_its_levers() -> None:
    tests = {place: cell.rung.entry_test for place, cell in cells().items()}
    assert all(0 < len(said.split()) <= 9 for said in tests.values()), tests


def _posed_on(sizes: tuple[BodySize, ...]) -> None:
    asked = [(place, cell) for place, cell in cells().items()]
    jobs = [_job(cell, size) for _, cell in asked for size in sizes]
    for at, answer in demands(jobs, default_cache()):
        place = asked[at // len(sizes)][0]
        assert not isinstance(answer, Failure), f"{place}: {answer}"
        assert not misses(answer), f"{place} on {answer.size}: {misses(answer)}"


def test_every_pose_of_the_case_is_found_on_two_bodies() -> None:
    _posed_on((reference_grid()[2], reference_grid()[9]))


@pytest.mark.slow
def test_every_pose_of_the_case_is_found_on_all_twelve_bodies() -> None:
    _posed_on(reference_grid())
