"""Buttons that once did harm or nothing, each tried by a coach of an upper-body session without a chair."""

from dataclasses import replace
from typing import Any

import pytest

from everyrung.checks.cells import every_cell
from everyrung.compose.case import Case, Remedy
from everyrung.compose.mend import remedies
from everyrung.moves.library import standard_library
from everyrung.pipeline import AudienceSpec, Options
from everyrung.results.analysis import Analysis
from everyrung.store.cache import default_cache
from everyrung.terms.edit import SetCell, SetHead
from everyrung.terms.enums import Caution, KitItem, OptionKind, Severity
from everyrung.terms.finding import Finding
from everyrung.terms.plan import Plan
from everyrung.terms.session import Cell

PLAN = """\
title = "Arms and shoulders"
slot_minutes = 25
level = "moderate"

[who]
in_room = 6
newcomers = true
limits = ["lying on the front"]

[[kit]]
item = "dumbbells"
mass = "4 kg"
as = "pairs"
count = 6

[[block]]
kind = "main"
  [[block.move]]
  move = "overhead-press"
  [[block.move]]
  move = "bird-dog"
  [[block.move]]
  move = "close-push-up"
  as = "push-up"
  [[block.move]]
  move = "bent-row"

  # Each cell names its rung: options written at its move are dropped here, as docs/plan-file.md says.
  [[block.round]]
  name = "One"
  cell.overhead-press = { rung = "base" }
  cell.bird-dog = { rung = "base" }
  cell.push-up = { rung = "base" }
  cell.bent-row = { rung = "pair", levers = [{ base = "feet together" }] }

  [[block.round]]
  name = "Two"
  cell.overhead-press = { rung = "wall-slide" }
  cell.bird-dog = { rung = "pause" }
  cell.push-up = { rung = "slow" }
  cell.bent-row = { rung = "pair", levers = [{ base = "feet together" }], dose = "12 reps" }
"""


def free(cell: Cell, caution: Caution) -> bool:
    """Whether the cell has a rung for who avoids this and has no kit."""
    rungs = [cell.rung, *(option.rung for option in cell.options)]
    return any(caution not in rung.cautions and not rung.needs_kit for rung in rungs)


def without_path(run: Analysis, caution: Caution) -> Analysis:
    """What the audience finds, in the plainest way: people who avoid something, without kit, in main cells."""
    cells = [cell for cell in every_cell(run.session) if not free(cell, caution)]
    mine = Finding(
        rule="limit-without-path", severity=Severity.WARNING, where=run.session.where, what=str(caution),
        places=tuple(cell.ref for cell in cells) or (run.session.cut_order or (next(every_cell(run.session)).ref,)),
        measured="142 of 142 have no rung", limit="0", source="a test", remedy="an option",
    )  # fmt: skip
    return replace(run, findings=(*run.findings, *([mine] if cells else [])))


def for_avoiders(press: Any, caution: Caution) -> tuple[Analysis, Finding, tuple[Remedy, ...]]:
    run_of, _, _ = press
    library = standard_library()

    def again(plan: Plan) -> Analysis:
        from everyrung.pipeline import run_plan

        return without_path(run_plan(plan, library=library), caution)

    run = without_path(run_of(PLAN), caution)
    finding = next(each for each in run.findings if each.rule == "limit-without-path")
    return run, finding, remedies(PLAN, Case(run=run, finding=finding, library=library), again)


@pytest.mark.parametrize("caution", [Caution.OVERHEAD, Caution.WRIST_LOAD])
def test_who_avoids_something_is_never_offered_it(press: Any, caution: Caution) -> None:
    """Once "Slow overhead press, back on the wall" for who avoids overhead, "Bird dog, held long" for sore wrists."""
    run_of, _, pressed = press
    before, finding, found = for_avoiders(press, caution)
    assert found
    for remedy in found:
        after = run_of(pressed(PLAN, remedy)).session
        for cell in every_cell(after):
            if cell.ref in finding.places:
                assert free(cell, caution), remedy.words
        old = {(cell.ref, option.kind): option.rung.name for cell in before.session.cells for option in cell.options}
        for cell in after.cells:
            for option in cell.options:
                if old.get((cell.ref, option.kind)) != option.rung.name and option.kind is not OptionKind.HARDER:
                    assert caution not in option.rung.cautions
                    assert option.rung.grade <= cell.rung.grade


def easier_options(press: Any) -> list[tuple[Finding, Remedy, Cell]]:
    """Each newcomer-rung finding with its remedies, and the cells after the press."""
    run_of, offered, pressed = press
    run = run_of(PLAN)
    found = []
    for finding in (each for each in run.findings if each.rule == "newcomer-rung"):
        for remedy in offered(PLAN, run, finding):
            after = run_of(pressed(PLAN, remedy))
            assert not [each for each in after.findings if each.identity == finding.identity], remedy.words
            found += [(finding, remedy, cell) for cell in after.session.cells if cell.ref in finding.places]
    return found


def test_an_easier_option_is_easy_needs_no_chair_that_is_not_there_and_lies_nobody_on_the_front(press: Any) -> None:
    """Once "Prone pull, elbows held back" (grade 3, on the front) and "Push-up, hands on a chair" (no chair)."""
    found = easier_options(press)
    assert {str(cell.ref) for _, _, cell in found} >= {"Main/One/bent-row", "Main/One/push-up"}
    for _, remedy, cell in found:
        easier = cell.option(OptionKind.EASIER)
        assert easier is not None
        assert easier.rung.grade <= 2, remedy.words
        assert Caution.LYING_FRONT not in easier.rung.cautions, remedy.words
        assert all(need.item is not KitItem.CHAIR for need in easier.rung.kit), remedy.words


def test_an_option_is_written_where_the_rung_is_named(press: Any) -> None:
    """Once at the column, where the cells that name a rung drop it: pressed, saved, and nothing changed."""
    for _, remedy, cell in easier_options(press):
        written = [edit for edit in remedy.edits if isinstance(edit, SetCell)]
        assert written
        assert not any(edit.column for edit in written)
        assert cell.option(OptionKind.EASIER).given  # type: ignore[union-attr]


LONG = PLAN.replace("slot_minutes = 25", 'slot_minutes = 6\ncut_order = ["Main/Two"]')


def test_a_session_that_is_too_long_is_shortened_first_and_its_slot_is_stretched_last(press: Any) -> None:
    run_of, offered, pressed = press
    run = run_of(LONG)
    (finding,) = (each for each in run.findings if each.rule == "slot-overrun")
    *real, last = offered(LONG, run, finding)
    assert [each.silent for each in (*real, last)] == [*([False] * len(real)), True]
    assert real
    assert last.words.startswith("Accept: make the slot ")
    assert last.words.endswith("nothing in the session changes")
    assert isinstance(last.edits[0], SetHead)
    for remedy in real:
        assert run_of(pressed(LONG, remedy)).timeline.total_ms <= 6 * 60_000


def test_what_only_silences_comes_last_and_says_so(press: Any, rule_cases: dict[str, str]) -> None:
    run_of, offered, _ = press
    seen = 0
    for name in [each for each in rule_cases if each.partition("-")[2] in ("kit-missing", "level-label", "option-kit")]:
        run = run_of(rule_cases[name])
        for finding in run.findings:
            found = offered(rule_cases[name], run, finding)
            silent = [each.silent for each in found]
            assert silent == sorted(silent)
            assert all(each.words.startswith("Accept: ") for each in found if each.silent)
            seen += any(silent)
    assert seen


@pytest.mark.slow
@pytest.mark.parametrize("caution", [Caution.OVERHEAD, Caution.WRIST_LOAD])
def test_so_it_is_with_a_real_audience(press: Any, caution: Caution) -> None:
    """The same with bodies and 500 people, as the studio finds and tries it."""
    run_of, offered, pressed = press
    options = Options(bodies=True, audience=AudienceSpec(count=500), cache=default_cache())
    run = run_of(PLAN, options)
    found = [each for each in run.findings if each.rule == "limit-without-path" and each.what == caution]
    for finding in found:
        for remedy in offered(PLAN, run, finding, options, 3):
            after = run_of(pressed(PLAN, remedy), options)
            assert finding.identity[:2] not in [each.identity[:2] for each in after.findings]
    assert found
