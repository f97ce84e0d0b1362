"""What was learned from a session becomes edits of the plan, each tried."""

from functools import cache

import pytest
from spoken import EXAMPLES, Line, lay, lines_of

from everyrung.compose.case import PlanRun
from everyrung.lookback.next_edits import edit_lines, edit_values, next_edits
from everyrung.lookback.plan_sets import plan_sets
from everyrung.lookback.review_values import NextEdit
from everyrung.moves.library import standard_library
from everyrung.pipeline import run_plan
from everyrung.plan.read import plan_from_text
from everyrung.results.analysis import Analysis
from everyrung.terms.plan import Plan

TEXT = (EXAMPLES / "boathouse-30.toml").read_text(encoding="utf-8")


def again(plan: Plan) -> Analysis:
    return run_plan(plan, library=standard_library())


@cache
def start() -> PlanRun:
    return PlanRun(run=again(plan_from_text(TEXT, "boathouse-30.toml")), library=standard_library())


def edits(*extra: Line, without: str = "") -> tuple[NextEdit, ...]:
    sets = plan_sets(start().session, start().run.timeline)
    lines, _ = lines_of(sets, [place for place, each in enumerate(sets) if each.ref != without])
    return next_edits(lay(sets, [*lines, *extra]), TEXT, start(), again)


def begin_s(ref: str) -> float:
    sets = plan_sets(start().session, start().run.timeline)
    return next(each.at_ms for each in sets if each.ref == ref) / 1000


def test_a_session_as_planned_changes_nothing() -> None:
    assert edits() == ()


def test_a_set_that_was_left_out_is_offered_to_be_left_out() -> None:
    (edit,) = edits(without="Main/Three/hinge")
    hinge = next(cell for cell in start().session.cells if str(cell.ref) == "Main/Three/hinge")
    assert edit.words == f"Leave out {hinge.rung.name} in Main, Three, which was not led."
    if edit.text is None:
        pytest.fail(edit.why)
    plan = plan_from_text(edit.text, "plan")
    assert "hinge" in next(each for block in plan.blocks for each in block.rounds if each.name == "Three").skip


def test_repetitions_that_were_announced_are_offered() -> None:
    hinge = next(cell for cell in start().session.cells if str(cell.ref) == "Main/One/hinge")
    (edit,) = edits((begin_s("Main/One/hinge") + 4, "seven reps"))
    assert edit.words == f"{hinge.rung.name} in Main, One: 7 reps, as announced, for {hinge.dose}."
    assert edit.text is not None
    changed = run_plan(plan_from_text(edit.text, "plan"), library=standard_library())
    doses = {
        str(cell.ref): str(cell.dose) for block in changed.session.blocks for row in block.rounds for cell in row.cells
    }
    assert doses["Main/One/hinge"] == "7 reps"
    assert doses["Main/Two/hinge"] == next(
        str(each.dose) for each in start().session.cells if str(each.ref) == "Main/Two/hinge"
    )
    assert edit_values([edit])[0]["holds"] is True


def test_what_does_not_hold_says_why() -> None:
    """Forty repetitions make the session longer than its slot, or too much for those who come."""
    (edit,) = edits((begin_s("Main/One/hinge") + 4, "forty reps"))
    assert edit.text is None
    assert edit.why
    assert list(edit_lines([edit]))[1].startswith("- Not ")
