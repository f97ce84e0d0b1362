"""Moves to choose from: in the version that fits those who come, the nearest first; one chosen is tried alone."""

from pathlib import Path

import pytest
from spoilt_drafts import LIBRARY, run_of

from everyrung.checks.cells import every_cell
from everyrung.compose.case import PlanRun
from everyrung.compose.changes import ChangeKind, ChangeRequest, Offers, change_offers
from everyrung.compose.fitting_moves import moves_for, moves_in_place
from everyrung.pipeline import run_plan
from everyrung.plan.read import ref
from everyrung.terms.enums import MoveKind
from everyrung.terms.errors import Invalid

OFFICE = (Path(__file__).parents[2] / "examples" / "office-20.toml").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def start() -> PlanRun:
    return PlanRun(run=run_of(OFFICE), library=LIBRARY)


def test_a_part_is_offered_what_asks_for_least(start: PlanRun) -> None:
    """An office with chairs, tables and walls: nothing on the floor or with other kit before what needs neither."""
    found = moves_for(start, "Main", MoveKind.STRENGTH)
    assert {each.move.key for each in found} == {
        key for key in LIBRARY.keys if LIBRARY.move(key).kind is MoveKind.STRENGTH
    }
    there = [each for each in found if each.move.key in start.run.plan.blocks[2].columns]
    first = found[:8]
    assert not any(each.kit_gaps or each.to_avoid or each.rung.form.position.on_floor for each in first)
    assert not set(first) & set(there)
    places = [index for index, each in enumerate(found) if each.kit_gaps]
    assert min(places, default=len(found)) > 8


def test_a_place_is_offered_the_moves_of_its_pattern_first(start: PlanRun) -> None:
    cell = next(cell for cell in start.session.cells if str(cell.ref) == "Main/Two/march")
    found = moves_in_place(start, cell.ref)
    alike = [each.move.pattern is cell.move.pattern for each in found]
    assert any(alike)
    assert alike == sorted(alike, reverse=True)
    assert cell.move.key not in [each.move.key for each in found]
    with pytest.raises(Invalid, match="Main/Two/march"):
        moves_in_place(start, ref("Main/Two/marsh"))


def test_the_one_that_was_chosen_is_tried_alone(start: PlanRun) -> None:
    (offer,) = swapped_for(start, "front-plank").offers
    assert "in place of seated march" in offer.words
    moves = [cell.move.key for cell in every_cell(offer.run.session)]
    assert "front-plank" in moves
    with pytest.raises(Invalid, match="front-plank"):
        swapped_for(start, "front-plonk")


def swapped_for(start: PlanRun, move: str) -> Offers:
    request = ChangeRequest(kind=ChangeKind.SWAP, ref=ref("Main/Two/march"), move=move)
    return change_offers(OFFICE, start, request, lambda plan: run_plan(plan, library=LIBRARY))
