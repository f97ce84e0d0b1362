"""What is new is said in words that a hand or a body can follow. Common practice, no source: put down, then take up."""

import pytest

from everyrung.cues.cell_timing import change_words
from everyrung.cues.kit_words import BALL_BEFORE_WEIGHTS, kit_back_words, kit_change_words
from everyrung.moves.library import standard_library
from everyrung.pipeline import run_plan
from everyrung.plan.read import plan_from_text
from everyrung.terms.enums import KitItem
from everyrung.terms.timeline import KitInUse

BALL, WALL, CHAIR = (KitInUse(item=item, label=str(item)) for item in (KitItem.BALL, KitItem.WALL, KitItem.CHAIR))
ONE, TWO = (KitInUse(item=KitItem.DUMBBELLS, label=label) for label in ("10 lb", "2 x 10 lb"))


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        ((), (), ()),
        ((BALL,), (BALL,), ()),
        ((BALL, WALL), (BALL,), ("Away from the wall.",)),
        ((), (WALL, BALL), ("Take the ball and go to the wall.",)),
        ((ONE,), (BALL,), ("Weight down, take the ball.",)),
        ((BALL,), (ONE,), ("Ball away, take one dumbbell, 10 lb.",)),
        ((ONE,), (TWO,), ("Take the second dumbbell.",)),
        ((TWO,), (ONE,), ("Put one dumbbell down.",)),
        ((TWO, BALL), (BALL,), ("Weights down, keep the ball.",)),
        ((TWO, BALL, WALL), (BALL,), ("Weights down, keep the ball.", "Away from the wall.")),
        ((WALL,), (CHAIR,), ("Away from the wall, fetch the chair.",)),
        ((TWO,), (TWO, BALL, WALL), ("Weights down, ball to the wall.", BALL_BEFORE_WEIGHTS)),
    ],
)
def test_kit_is_put_down_before_other_kit_is_taken_up_and_no_sentence_has_three_jobs(
    before: tuple[KitInUse, ...], after: tuple[KitInUse, ...], said: tuple[str, ...]
) -> None:
    assert kit_change_words(before, after) == said


def test_only_what_was_fetched_goes_back() -> None:
    assert kit_back_words(frozenset((KitItem.BALL, KitItem.DUMBBELLS, KitItem.WALL, KitItem.MAT))) == (
        "Dumbbells and balls back where you found them."
    )
    assert not kit_back_words(frozenset((KitItem.WALL, KitItem.MAT)))


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
    [("half-wall", []), ("base", ["Further"]), ("pause", ["Further", "With a pause"])],
)
def test_what_is_asked_more_of_is_said(rung: str, said: list[str]) -> None:
    session = run_plan(plan_from_text(PLAN.replace("RUNG", rung), "two.toml"), library=standard_library()).session
    first, second = session.cells
    assert list(change_words(first, second)) == said
