"""What is new is said in words that a hand or a body can follow. Common practice, no source: put down, then take up."""

import pytest

from everyrung.cues.cell_timing import change_words, kit_change_words
from everyrung.moves.library import standard_library
from everyrung.pipeline import run_plan
from everyrung.plan.read import plan_from_text
from everyrung.terms.enums import KitItem
from everyrung.terms.timeline import KitInUse

BALL, WALL = KitInUse(item=KitItem.BALL, label="ball"), KitInUse(item=KitItem.WALL, label="wall")
ONE, TWO = (KitInUse(item=KitItem.DUMBBELLS, label=label) for label in ("10 lb", "2 x 10 lb"))


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        ((), (), ""),
        ((BALL,), (BALL,), ""),
        ((BALL, WALL), (BALL,), ""),  # whoever is told the next move leaves the wall unasked
        ((), (WALL, BALL), "Take the ball, go to the wall."),
        ((BALL,), (ONE,), "Ball away, take one dumbbell, 10 lb."),
        ((ONE,), (TWO,), "Take two dumbbells, 10 lb each."),
        ((TWO,), (BALL,), "Weights down, take the ball."),
        ((TWO,), (TWO, BALL, WALL), "Weights down, take the ball, go to the wall, weights up again last."),
    ],
)
def test_kit_is_put_down_before_other_kit_is_taken_up(
    before: tuple[KitInUse, ...], after: tuple[KitInUse, ...], said: str
) -> None:
    assert kit_change_words(before, after) == said


PLAN = """title = "Two rounds"
slot_minutes = 20
[who]
in_room = 4
[[block]]
kind = "main"
  [[block.move]]
  move = "squat"
  dose = "8 reps"
  options.harder = "pause"
  options.easier = "half-wall"
  options.no_kit = "base"
  rung = "half-wall"
  [[block.round]]
  name = "One"
  [[block.round]]
  name = "Two"
  [block.round.cell.squat]
  rung = "RUNG"
"""


@pytest.mark.parametrize(
    ("rung", "said"),
    [("half-wall", []), ("base", ["Further this time."]), ("pause", ["Further this time.", "With a pause this time."])],
)
def test_what_is_asked_more_of_is_said(rung: str, said: list[str]) -> None:
    session = run_plan(plan_from_text(PLAN.replace("RUNG", rung), "two.toml"), library=standard_library()).session
    first, second = session.cells
    assert list(change_words(first, second)) == said
