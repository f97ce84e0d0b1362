"""Mend all: spoilt drafts end clean or say what stands in the way, nothing locked is touched, nothing is accepted."""

import re
from collections import Counter
from collections.abc import Iterator

import pytest
from spoilt_drafts import GRAVE, LIBRARY, draft_number, run_of

from everyrung.checks.cells import every_cell
from everyrung.checks.registry import rules
from everyrung.compose.case import PlanRun
from everyrung.compose.locks import locks_touched
from everyrung.compose.mend_all import MOST_RUNS, Mending, mend_all
from everyrung.pipeline import run_plan
from everyrung.plan.edit import apply_edit
from everyrung.plan.read import plan_from_text
from everyrung.results.analysis import Analysis
from everyrung.terms.edit import OneEdit, SetCell, SetHead, SetPart, Several, TakeRung
from everyrung.terms.enums import Severity
from everyrung.terms.finding import Finding
from everyrung.terms.plan import Plan, Ref

FEW, MANY = range(6), range(300)
WEIGHTS = {Severity.ERROR: 1000, Severity.WARNING: 1}


def mending_of(text: str) -> tuple[Mending, int]:
    """What mending comes to, and how often the plan was run for it."""
    runs = Counter[str]()

    def again(plan: Plan) -> Analysis:
        runs["of the plan"] += 1
        return run_plan(plan, library=LIBRARY)

    return mend_all(text, PlanRun(run=run_of(text), library=LIBRARY), again), runs.total()


def grave(run: Analysis) -> list[Finding]:
    return [each for each in run.findings if each.severity in GRAVE]


def weight(run: Analysis) -> int:
    return sum(WEIGHTS.get(each.severity, 0) for each in run.findings)


def holds(text: str) -> Mending:
    """Mends a draft; what must be so then is read from the text anew, not from what mending says of itself."""
    mending, runs = mending_of(text)
    after = run_of(mending.text)
    assert runs <= MOST_RUNS + 1
    assert sorted(map(str, grave(after))) == sorted(str(each.finding) for each in mending.left)
    assert all(each.why for each in mending.left)
    assert all("as severe comes" not in each.why or "as severe comes (" in each.why for each in mending.left)
    assert weight(after) <= weight(run_of(text))
    assert bool(mending.steps) == (mending.text != text)
    heads = {edit.field for edit in mending.edit.edits if isinstance(edit, SetHead)}
    assert not heads & {"slot_minutes", "level", "who.limits"}, "mended by accepting it"
    if mending.steps:
        assert apply_edit(text, mending.edit, LIBRARY) == mending.text
    return mending


@pytest.mark.parametrize("number", FEW)
def test_a_draft_ends_clean_or_says_what_stands_in_the_way(number: int) -> None:
    holds(draft_number(number))


@pytest.mark.slow
def test_so_do_three_hundred() -> None:
    clean = findings = left = 0
    rules: Counter[str] = Counter()
    for number in MANY:
        text = draft_number(number)
        mending = holds(text)
        clean += not mending.left
        findings += len(grave(run_of(text)))
        left += len(mending.left)
        rules.update(each.finding.rule for each in mending.left)
    print(f"\n{clean} of {len(MANY)} clean; of {findings} findings {left} stay: {rules.most_common()}")
    assert clean >= 0.7 * len(MANY)
    assert left <= 0.2 * findings


def locks(run: Analysis, number: int) -> Iterator[OneEdit]:
    """A cell, a move and a part locked, others in each draft; the places of the findings among them."""
    places = [place for each in grave(run) for place in each.places if isinstance(place, Ref) and place.cell]
    cells = [cell.ref for cell in every_cell(run.session)]
    for at in (places or cells)[:1]:
        yield SetCell(ref=at, field="lock", value=True)
    yield SetCell(ref=cells[7 * number % len(cells)], field="lock", value=True, column=True)
    yield SetPart(ref=Ref(block=run.plan.blocks[number % len(run.plan.blocks)].name), field="lock", value=True)


@pytest.mark.parametrize("number", [1, 3, *(pytest.param(each, marks=pytest.mark.slow) for each in range(100, 160))])
def test_nothing_locked_is_touched(number: int) -> None:
    text = draft_number(number)
    for edit in locks(run_of(text), number):
        text = apply_edit(text, edit, LIBRARY)
    before = run_of(text)
    assert any(cell.lock for cell in every_cell(before.session))
    mending = holds(text)
    assert locks_touched(before.session, run_of(mending.text).session) == ()


PLAN = """\
title = "One set"
slot_minutes = 5
level = "gentle"

[who]
in_room = 4

[[block]]
kind = "main"
  [[block.move]]
  move = "push-up"
  rung = "feet-raised"
"""


def test_a_lock_that_stands_in_the_way_is_named() -> None:
    free, _ = mending_of(PLAN)
    assert [each.rule for each in grave(free.before)] != [each.rule for each in grave(free.after)]
    mending, _ = mending_of(PLAN.replace('rung = "feet-raised"', 'rung = "feet-raised"\n  lock = true'))
    stays = next(each for each in mending.left if each.finding.rule == "level-label")
    assert "it changes what is locked" in stays.why
    assert "level-label" not in [each.rule for each in grave(free.after)]


@pytest.mark.parametrize("number", [2, 44])
def test_a_finding_that_would_come_in_another_s_place_is_named(number: int) -> None:
    """'Another finding as severe comes' alone left a coach to guess which."""
    why = " ".join(each.why for each in mending_of(draft_number(number))[0].left)
    named = [words for each in why.split("as severe comes (")[1:] for words in re.split(", | and ", each.split(")")[0])]
    assert named
    assert set(named) <= {rule.id for rule in rules()}


def test_what_another_run_finds_too_is_none_of_its_business() -> None:
    text = draft_number(2)
    start = PlanRun(run=run_of(text), library=LIBRARY)
    assert grave(start.run)
    mending = mend_all(text, start, lambda plan: run_plan(plan, library=LIBRARY), base=start.run)
    assert (mending.steps, mending.left) == ((), ())


def test_where_no_try_is_left_that_is_said() -> None:
    text = draft_number(4)
    start = PlanRun(run=run_of(text), library=LIBRARY)
    mending = mend_all(
        text, start, lambda plan: run_plan(plan_from_text(text, plan.file), library=LIBRARY), most_runs=0
    )
    assert mending.left
    assert {each.why for each in mending.left} <= {
        "there was no time to try", *(f"that is yours to choose: {each.finding.remedy}" for each in mending.left),
    }  # fmt: skip


def test_a_move_led_in_another_s_place_is_found_under_its_own_name_by_what_comes_after() -> None:
    """In a part without rounds its set is then called by the new move."""
    text = PLAN.replace('kind = "main"', 'kind = "warm-up"').replace(
        '"push-up"\n  rung = "feet-raised"', '"shoulder-rolls"'
    )
    swap = TakeRung(ref=Ref(block="Warm-up", round="Warm-up", cell="shoulder-rolls"), rung="base", move="arm-circles")
    dose = SetCell(ref=Ref(block="Warm-up", round="Warm-up", cell="arm-circles"), field="dose", value="0:45")
    at_once = apply_edit(text, Several(edits=(swap, dose), words=""), LIBRARY)
    assert at_once == apply_edit(apply_edit(text, swap, LIBRARY), dose, LIBRARY)
