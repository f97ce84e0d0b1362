"""A move that is added: the version fits kit, level and those who come; and it stands where its kind belongs."""

import pytest
from spoilt_drafts import LIBRARY, run_of

from everyrung.checks.cells import every_cell
from everyrung.compose.add_move import fitting_rung, into_session, with_fitting_rung
from everyrung.compose.case import PlanRun
from everyrung.compose.missing_parts import whole_part
from everyrung.plan.edit import apply_edit
from everyrung.terms.edit import AddMove
from everyrung.terms.enums import BlockKind, MoveKind
from everyrung.terms.session import Cell

PLAN = """\
title = "Arms at home"
slot_minutes = 20
level = "gentle"

[who]
at_home = 4
limits = ["wrist load", "getting down to the floor"]

[[block]]
kind = "main"
  [[block.move]]
  move = "shadow-row"
  [[block.round]]
  name = "One"
  [[block.round]]
  name = "Two"
"""


def start(text: str = PLAN) -> PlanRun:
    return PlanRun(run=run_of(text), library=LIBRARY)


def cells_of(text: str, move: str) -> list[Cell]:
    return [cell for cell in every_cell(run_of(text).session) if cell.move.key == move]


@pytest.mark.parametrize("key", ["push-up", "one-arm-row", "squat", "floor-press", "biceps-curl"])
def test_it_comes_in_a_version_for_those_who_come_wherever_there_is_one(key: str) -> None:
    move = LIBRARY.move(key)
    limits = {"wrist load", "getting down to the floor"}
    fit = [
        rung.key
        for rung in move.ladder
        if rung.form.move == key
        and rung.grade <= 2
        and not {str(each) for each in rung.cautions} & limits
        and not any(need.item.counts_as_kit for need in rung.kit)
    ]
    made = fitting_rung(start(), move).key
    assert made in fit if fit else made == "base"
    text = apply_edit(PLAN, with_fitting_rung(start(), AddMove(block="Main", move=key)), LIBRARY)
    assert [cell.ref.round for cell in cells_of(text, key)] == ["One", "Two"]
    if fit and made != "base":
        assert {cell.rung.key for cell in cells_of(text, key)} == {made}


def test_a_second_one_of_the_same_move_is_another_column() -> None:
    once = apply_edit(PLAN, with_fitting_rung(start(), AddMove(block="Main", move="push-up")), LIBRARY)
    twice = apply_edit(once, with_fitting_rung(start(once), AddMove(block="Main", move="push-up"), "base"), LIBRARY)
    assert [cell.ref.cell for cell in cells_of(twice, "push-up") if cell.ref.round == "Two"] == ["push-up", "push-up 2"]


def test_a_move_from_the_library_goes_where_its_kind_belongs() -> None:
    text = apply_edit(PLAN, into_session(start(), "march"), LIBRARY)
    [cell] = cells_of(text, "march")
    assert LIBRARY.move("march").kind is MoveKind.WARM_UP
    assert cell.ref.block == "Warm-up"
    text = apply_edit(text, into_session(start(text), "push-up", "wall"), LIBRARY)
    assert {(cell.ref.block, cell.rung.key) for cell in cells_of(text, "push-up")} == {("Main", "wall")}


def test_a_warm_up_and_a_cool_down_come_whole_and_fit_what_is_trained() -> None:
    text = PLAN.replace("shadow-row", "calf-raise")
    for kind in (BlockKind.WARM_UP, BlockKind.COOL_DOWN):
        edit = whole_part(start(text), kind)
        assert edit
        text = apply_edit(text, edit, LIBRARY)
    rules = {each.rule for each in run_of(text).findings}
    assert not rules & {"warm-up-floor", "cool-down-floor", "warm-up-gap", "limit-without-path"}
    trained = {word for cell in run_of(text).session.cells_of(BlockKind.MAIN) for word in cell.move.focus}
    first = next(iter(run_of(text).session.cells_of(BlockKind.COOL_DOWN)))
    assert first.move.key == "calf-stretch"
    assert trained & set(first.move.focus)


@pytest.mark.parametrize("limits", [("fall risk", "overhead", "getting down to the floor"), ("fall risk", "kneeling")])
@pytest.mark.parametrize("kind", [BlockKind.WARM_UP, BlockKind.COOL_DOWN])
def test_they_come_in_versions_for_those_who_come(kind: BlockKind, limits: tuple[str, ...]) -> None:
    """Only moves whose own base did were once looked at: to people who might fall and keep their arms down, one."""
    names = ", ".join(f'"{each}"' for each in limits)
    text = PLAN.replace('"wrist load", "getting down to the floor"', names).replace(
        "slot_minutes = 20", "slot_minutes = 30"
    )
    edit = whole_part(start(text), kind)
    assert edit
    made = run_of(apply_edit(text, edit, LIBRARY))
    cells = list(made.session.cells_of(kind))
    assert len({cell.move.key for cell in cells}) >= 5
    assert not {str(each) for cell in cells for each in cell.rung.cautions} & set(limits)
    assert f"{kind}-floor" not in {each.rule for each in made.findings}


def test_moves_that_come_as_they_are_come_first() -> None:
    """A ball sweep with empty hands once led the warm-up of a room without a ball, because its name begins with b."""
    edit = whole_part(start(), BlockKind.WARM_UP)
    assert edit
    cells = list(run_of(apply_edit(PLAN, edit, LIBRARY)).session.cells_of(BlockKind.WARM_UP))
    as_written = [cell.rung.key == "base" for cell in cells]
    assert as_written == sorted(as_written, reverse=True)
    assert as_written[0]
