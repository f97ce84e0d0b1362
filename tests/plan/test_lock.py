"""A lock in a plan file: read, written, put by an edit, and of its own cell, move or part alone."""

from everyrung.checks.cells import every_cell
from everyrung.moves.library import standard_library
from everyrung.plan.edit import apply_edit
from everyrung.plan.read import plan_from_text
from everyrung.plan.resolve import session_from_text
from everyrung.plan.write import canonical, write_plan
from everyrung.terms.edit import RemoveRound, SetCell, SetPart
from everyrung.terms.plan import Ref

LIBRARY = standard_library()
PLAN = """\
title = "Locks"
slot_minutes = 10

[who]
in_room = 4

[[block]]
kind = "main"
lock = true

  [[block.move]]
  move = "squat"

  [[block.move]]
  move = "hip-hinge"
  lock = true # hers

  [[block.round]]
  name = "One"
  cell.squat = { dose = "8 reps", lock = true }

  [[block.round]]
  name = "Two"
  like = "One"
  cell.squat = { dose = "10 reps" }
"""


def locks(text: str) -> list[str]:
    """The sets that are locked."""
    return [str(cell.ref) for cell in every_cell(session_from_text(text, "plan.toml", LIBRARY)) if cell.lock]


def test_a_lock_is_of_its_own_set_and_of_a_move_in_every_round() -> None:
    assert locks(PLAN) == ["Main/One/squat", "Main/One/hip-hinge", "Main/Two/hip-hinge"]
    assert session_from_text(PLAN, "plan.toml", LIBRARY).blocks[0].lock


def test_it_is_written_as_it_is_read() -> None:
    assert canonical(PLAN, "plan.toml") == PLAN
    plan = plan_from_text(PLAN, "plan.toml")
    assert plan_from_text(write_plan(plan), "plan.toml") == plan


def test_it_is_put_and_taken_off_by_an_edit() -> None:
    two = Ref(block="Main", round="Two", cell="squat")
    text = apply_edit(PLAN, SetCell(ref=two, field="lock", value=True), LIBRARY)
    assert "Main/Two/squat" in locks(text)
    assert locks(apply_edit(text, SetCell(ref=two, field="lock", value=None), LIBRARY)) == locks(PLAN)
    free = apply_edit(PLAN, SetCell(ref=two, field="lock", value=None, column=True), LIBRARY)
    assert "Main/One/squat" not in locks(free)
    block = apply_edit(PLAN, SetPart(ref=Ref(block="Main"), field="lock", value=None), LIBRARY)
    assert not session_from_text(block, "plan.toml", LIBRARY).blocks[0].lock


def test_a_round_that_goes_leaves_its_lock_to_no_other() -> None:
    text = apply_edit(PLAN, RemoveRound(ref=Ref(block="Main", round="One")), LIBRARY)
    assert locks(text) == ["Main/Two/hip-hinge"]
