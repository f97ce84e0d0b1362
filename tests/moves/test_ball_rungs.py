"""The case of combined ball rungs: each is posed with its ball where the words say, computed, and has an entry test."""

from functools import cache
from pathlib import Path

import numpy as np
import pytest
from solved import misses

from everyrung.body.bodies import reference_grid
from everyrung.body.mechanics import Failed, Job, demands, drawing_of
from everyrung.body.session import DRAWN
from everyrung.moves.library import standard_library
from everyrung.plan.read import read_plan
from everyrung.plan.resolve import resolve
from everyrung.store.cache import default_cache
from everyrung.terms.body import BodySize
from everyrung.terms.rung_demand import Drawing, RungDrawing
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
    assert not isinstance(found, Failed), found
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
        assert not isinstance(answer, Failed), f"{place}: {answer}"
        assert not misses(answer), f"{place} on {answer.size}: {misses(answer)}"


def test_every_pose_of_the_case_is_found_on_two_bodies() -> None:
    _posed_on((reference_grid()[2], reference_grid()[9]))


@pytest.mark.slow
def test_every_pose_of_the_case_is_found_on_all_twelve_bodies() -> None:
    _posed_on(reference_grid())
