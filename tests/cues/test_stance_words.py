"""Sides and places in words against what a coach would say; the front foot against the solved body, another way."""

import pytest

from everyrung.body.mechanics import Job, drawing_of
from everyrung.body.reference_grid import reference_grid
from everyrung.cues.stance_words import place_words, side_words, swap_words, with_side
from everyrung.moves.library import standard_library
from everyrung.plan.read import plan_from_text
from everyrung.plan.resolve import resolve
from everyrung.terms.demand import RungDrawing
from everyrung.terms.enums import Position, Side
from everyrung.terms.session import Cell

LIBRARY = standard_library()
KIT = """
[[kit]]
item = "dumbbells"
mass = "5 kg"
as = "pairs"
count = 9
[[kit]]
item = "chair"
each = 1
[[kit]]
item = "wall"
each = 1
[[kit]]
item = "mat"
each = 1
[[kit]]
item = "step"
each = 1
"""


def cell(move: str, rung: str = "base", dose: str = "6 a side") -> Cell:
    text = (
        f'title = "One"\nslot_minutes = 15\n[who]\nin_room = 3\n{KIT}[[block]]\nkind = "main"\n'
        f'[[block.move]]\nmove = "{move}"\nrung = "{rung}"\ndose = "{dose}"\n'
    )
    return next(resolve(plan_from_text(text, "one.toml"), LIBRARY).cells)


def said(one: Cell) -> tuple[str, str]:
    pose = LIBRARY.pose(one.rung.form)
    return side_words(one, pose), swap_words(one, pose)[0]


# As a coach says it when she sees the move (common practice, no source).
@pytest.mark.parametrize(
    ("move", "rung", "dose", "first", "swap"),
    [
        ("split-squat", "base", "6 a side", "Left leg in front.", "Swap sides: right leg in front."),
        ("split-squat", "opposite", "6 a side", "Left leg in front, weight in the right hand.",
         "Swap hands, right leg in front."),
        ("reverse-lunge", "base", "6 a side", "Stand on the left leg, step back with the right.",
         "Swap sides: stand on the right leg, step back with the left."),
        ("side-lunge", "part", "6 a side", "Step out to the left.", "Swap sides: step out to the right."),
        ("clam", "base", "8 a side", "Lie on your right side.", "Swap sides: lie on your left side."),
        ("side-plank", "base", "20 s a side", "Left forearm on the floor.", "Swap sides: right forearm on the floor."),
        ("calf-stretch", "base", "30 s a side", "Left leg behind.", "Swap sides: right leg behind."),
        ("front-thigh-stretch", "base", "30 s a side", "Stand on the right leg.", "Swap sides: stand on the left leg."),
        ("one-arm-row", "chair", "8 a side", "Right leg in front, weight in the left hand.",
         "Swap hands, left leg in front."),
        ("step-up", "base", "6 a side", "Left foot on the step.", "Swap sides: right foot on the step."),
        ("suitcase-march", "base", "8 a side", "Weight in the left hand.", "Swap hands, weight in the right hand."),
    ],
)  # fmt: skip
def test_side_and_hand_are_those_of_the_pose(move: str, rung: str, dose: str, first: str, swap: str) -> None:
    assert said(cell(move, rung, dose)) == (first, swap)


def test_both_sides_together_or_in_turn_need_no_side() -> None:
    assert side_words(cell("squat", dose="8 reps"), None) == ""
    assert side_words(cell("march", dose="40 s"), None) == ""


def test_without_a_pose_the_side_alone_is_named() -> None:
    assert side_words(cell("split-squat"), None) == "Left leg first."
    assert swap_words(cell("split-squat"), None)[0] == "Swap to the right leg."


@pytest.mark.parametrize(
    ("before", "move", "dose", "way"),
    [
        (Position.STANDING, "bridge", "8 reps", "Down on your back."),
        (Position.STANDING, "front-plank", "20 s", "Down on your forearms."),
        (Position.BACK, "bird-dog", "8 in all", "Turn over, onto hands and knees."),
        (Position.SIDE, "back-raise", "8 reps", "Turn over, onto your front."),
        (Position.HANDS_AND_KNEES, "back-raise", "8 reps", "Down onto your front."),
        (Position.FRONT, "bird-dog", "8 in all", "Up onto hands and knees."),
        (Position.HANDS_AND_KNEES, "front-plank", "20 s", "Down onto your forearms."),
        (Position.FRONT, "front-plank", "20 s", "Up onto your forearms."),
        (Position.HANDS_AND_KNEES, "ball-roll-out", "8 reps", "Up onto your knees."),
        (Position.BACK, "squat", "8 reps", "Stand up."),
        (Position.SEATED, "squat", "8 reps", "Stand up."),
        (Position.STANDING, "seated-march", "12 in all", "Sit down on the chair."),
        (Position.BACK, "seated-march", "12 in all", "Up, and sit on the chair."),
        (Position.SEATED, "seated-march", "12 in all", ""),
        (Position.BACK, "bridge", "8 reps", ""),
        (Position.STANDING, "squat", "8 reps", ""),
    ],
)
def test_getting_down_and_up_is_said(before: Position, move: str, dose: str, way: str) -> None:
    assert place_words(before, cell(move, dose=dose)) == way


def test_a_place_that_the_position_names_is_not_named_twice() -> None:
    assert place_words(Position.STANDING, cell("bridge", dose="8 reps"), ["On your back, feet flat."]) == (
        "Down to the floor."
    )


def test_nobody_hears_of_a_working_leg() -> None:
    assert with_side("Hold the working ankle.", Side.LEFT) == "Hold the left ankle."
    assert with_side("Hold the working ankle.", Side.BOTH) == "Hold the working ankle."


@pytest.mark.parametrize("move", ["split-squat", "ankle-rocks", "calf-stretch", "staggered-hinge", "rear-foot-squat"])
def test_the_leg_in_front_is_in_front_on_a_solved_body(move: str) -> None:
    """Another way: where the ankles are in the drawing that the body engine solved (it faces -y)."""
    one = cell(move, dose="30 s a side" if move == "calf-stretch" else "6 a side")
    words = side_words(one, LIBRARY.pose(one.rung.form), 1)  # poses are solved with the right limb working
    job = Job(form=one.rung.form, layer=LIBRARY.pose(one.rung.form), size=reference_grid()[5])
    drawing = drawing_of(job)
    assert isinstance(drawing, RungDrawing)
    points = dict(drawing.full.points)
    ahead = points["ankle_right"][1] < points["ankle_left"][1]
    assert words.startswith("Right leg")
    assert ahead == ("in front" in words)
