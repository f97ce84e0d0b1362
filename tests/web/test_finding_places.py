"""Findings lead to their own cells, and remedies change them, whatever signs stand in the names."""

import json
from collections.abc import Mapping
from typing import Any

import pytest
from starlette.testclient import TestClient

from everyrung.checks.cells import every_block
from everyrung.compose.case import Case, Remedy
from everyrung.compose.mend import again, remedies
from everyrung.moves.library import standard_library
from everyrung.parsing.table_reader import words
from everyrung.pipeline import Options, run_plan
from everyrung.plan import read_blocks
from everyrung.plan.read import plan_from_text
from everyrung.results.analysis import Analysis
from everyrung.terms.edit import SetCell
from everyrung.terms.finding import Finding
from everyrung.terms.plan import Ref
from everyrung.web.edit_form import form_of
from everyrung.web.grid import cell_id, finding_views, grid, place_id
from everyrung.web.save import draft
from everyrung.web.studio import Studio

PLAN = """\
title = "Names"
slot_minutes = 30
level = "moderate"

[who]
in_room = 4

[[block]]
kind = "main"
name = @main
say = ["Do it like this."]
  [[block.move]]
  move = "squat"
  as = @squat
  dose = "8 reps"
  [[block.move]]
  move = "overhead-press"
  as = @press
  rung = "pair"
  load = "2 x 5 lb"
  dose = "8 reps"

  [[block.round]]
  name = @one

  [[block.round]]
  name = @two
  like = @one
  cell.@squat = { dose = "10 reps", tempo = "3-1-1-0" }

  [[block.round]]
  name = @three
  like = @two

[[block]]
kind = "reserve"
name = @extra
  [[block.move]]
  move = "hip-hinge"
  as = @squat
  load = "2 x 10 lb"
  dose = "8 reps"
"""
PLAIN = {"main": "Main", "one": "One", "two": "Two", "three": "Three", "squat": "squat", "press": "press", "extra": "X"}
# Each says in words what another place says: two rounds at once, two cells at once, or a cell of another block.
SIGNS = PLAIN | {"main": "Legs; back, all", "three": "One, Two", "two": "Two; soft", "press": "squat; Legs, X"}
SLASHES = PLAIN | {"three": "One, Two", "press": "squat; Main / Two / squat", "extra": "Main / One"}


def text(names: Mapping[str, str]) -> str:
    found = PLAN
    for key, name in names.items():
        found = found.replace(f"@{key}", json.dumps(name))
    return found


@pytest.fixture(params=[PLAIN, SIGNS, SLASHES], ids=["plain", "signs", "slashes"])
def names(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Mapping[str, str]:
    """Names in a plan; the reader lets no slash through, and nothing behind it may count on that."""
    monkeypatch.setattr(read_blocks, "name", words)
    return dict(request.param)


def made(names: Mapping[str, str]) -> Analysis:
    return run_plan(plan_from_text(text(names), "plan.toml"))


def ids(run: Analysis) -> dict[str, tuple[int, ...]]:
    """The id of each block, round and cell with its number in the plan."""
    found: dict[str, tuple[int, ...]] = {}
    for at, block in enumerate(every_block(run.session)):
        found[place_id(block.name)] = (at,)
        for row, each in enumerate(block.rounds):
            found[place_id(block.name, each.name)] = (at, row)
            found |= {cell_id(cell.ref): (at, row, column) for column, cell in enumerate(each.cells)}
    return found


def led_to(run: Analysis) -> list[tuple[str, list[tuple[int, ...]]]]:
    """Each finding's rule, and the numbers of the places that it links to."""
    known = ids(run)
    return [
        (view.finding.rule, [known[target] for _, target, _ in view.links]) for view in finding_views(run, run.findings)
    ]


def marked(run: Analysis) -> list[str]:
    """What each cell of the grid is marked with, in the order of the plan."""
    blocks = grid(run, run.findings, None, {})
    return [cell.worst for block in blocks for each in block.rounds for cell in each.cells]


def held(names: Mapping[str, str], run: Analysis, finding: Finding) -> tuple[Remedy, ...]:
    """The remedies of a finding."""
    library = standard_library()
    case = Case(run=run, finding=finding, library=library)
    return remedies(text(names), case, again(finding.rule, library, Options()))


def changed(names: Mapping[str, str], run: Analysis) -> list[tuple[str, tuple[int, ...]]]:
    """Each of two rules with the numbers of the cells to which its remedies give another dose."""
    numbers = {cell.ref: ids(run)[cell_id(cell.ref)] for block in every_block(run.session) for cell in block.cells}
    found = [each for each in run.findings if each.rule in ("two-levers", "round-same")]
    edits = [(each.rule, edit) for each in found for remedy in held(names, run, each) for edit in remedy.edits]
    return [(rule, numbers[edit.ref]) for rule, edit in edits if isinstance(edit, SetCell) and edit.field == "dose"]


def test_every_place_has_an_id_of_its_own(names: Mapping[str, str]) -> None:
    assert len(ids(made(names))) == 2 + 4 + 7


def test_findings_lead_to_the_cells_that_the_rules_mean(names: Mapping[str, str]) -> None:
    found = led_to(made(names))
    assert ("two-levers", [(0, 1, 0)]) in found
    assert ("round-same", [(0, 2)]) in found
    assert ("words-shown", [(0,)]) in found
    assert ("kit-missing", [(0, 0, 1), (0, 1, 1), (0, 2, 1)]) in found
    assert ("slot-underfilled", []) in found
    assert ("kit-missing", [(1, 0, 0)]) in found
    assert found == led_to(made(PLAIN))


def test_the_grid_marks_the_cells_that_the_rules_mean(names: Mapping[str, str]) -> None:
    found = marked(made(names))
    assert found == ["", "error", "warning", "error", "", "error", "error"]  # no kit; two levers in round two
    assert found == marked(made(PLAIN))


def test_remedies_change_the_cells_that_the_rules_mean(names: Mapping[str, str]) -> None:
    found = changed(names, made(names))
    assert ("two-levers", (0, 1, 0)) in found
    assert ("round-same", (0, 2, 0)) in found
    assert found == changed(PLAIN, made(PLAIN))


def test_a_page_links_a_finding_to_its_cell_and_its_button_mends_it(
    post: Any, client: TestClient, studio: Studio
) -> None:
    session = studio.sessions.create(draft(text(SIGNS), "Signs")).id
    page = client.get(f"/session/{session}").text
    cell = cell_id(Ref(block=SIGNS["main"], round=SIGNS["two"], cell=SIGNS["squat"]))
    assert f'class="cell has-warning" id="{cell}"' in page
    assert f'data-opens="{cell}"' in page
    run = studio.run(text(SIGNS))
    (finding,) = (each for each in run.findings if each.rule == "round-same")
    remedy, *_ = held(SIGNS, run, finding)
    assert post(f"/session/{session}/edit", base=1, **form_of(remedy.edit)).status_code == 200
    after = studio.run(studio.sessions.head(session).text)
    assert "round-same" not in [each.rule for each in after.findings]
