"""No question of a plan asks a count that nobody has just done: on all examples and on fifty made drafts.

Common practice in leading groups, no source: whoever is asked answers from the set before.
"""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from everyrung.checks.registry import check
from everyrung.moves.library import standard_library
from everyrung.plan.read import plan_from_text
from everyrung.plan.resolve import resolve
from everyrung.terms.enums import BlockKind
from everyrung.terms.session import Cell, Session
from everyrung.timing.timeline import build_timeline
from tests.whole.any_plan import plan_number

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*-[0-9][0-9].toml"))
DRAFTS = range(100)  # half are built from the library, half are examples with something spoilt
NUMBERS = {
    "Four": 4, "Five": 5, "Six": 6, "Seven": 7, "Eight": 8, "Nine": 9, "Ten": 10, "Twelve": 12, "Fifteen": 15,
    "Twenty": 20, "Thirty": 30,
}  # fmt: skip
COUNT = re.compile(r"(\d+|[A-Z][a-z]+)\b")
ONE_MOVE = """
title = "One"
slot_minutes = 10
[who]
in_room = 1
[[block]]
kind = "main"
  [[block.move]]
  move = "squat"
  dose = "8 reps"
  entry_test = "{led}"
  options.harder = {{ rung = "pause", entry_test = "{harder}" }}
  [[block.round]]
  name = "One"
  [[block.round]]
  name = "Two"
  like = "One"
"""


def session_of(text: str) -> Session:
    return resolve(plan_from_text(text, "plan.toml"), standard_library())


def questions(cell: Cell) -> list[str]:
    return [cell.rung.entry_test, *(option.rung.entry_test for option in cell.options)]


def asked(question: str) -> int:
    """A count at the beginning, of four and more: two or three of something can be tried."""
    word = COUNT.match(question)
    return NUMBERS.get(word[1], int(word[1]) if word[1].isdecimal() else 0) if word else 0


def not_done(session: Session) -> Iterator[tuple[Cell, str]]:
    """Cells with a question about more than any version of the set before in its column was."""
    done: dict[tuple[str, str], int] = {}
    for block in (*session.blocks, *session.reserve):
        for cell in block.cells:
            column = block.name, cell.ref.cell
            before = done.get(column, 0)
            yield from ((cell, each) for each in questions(cell) if asked(each) > before)
            sets = [*cell.bouts, *(bout for option in cell.options for bout in option.bouts)]
            done[column] = max(bout.reps or bout.duration_ms // 1000 for bout in sets)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_no_question_of_an_example_asks_a_count_that_was_not_just_done(path: Path) -> None:
    session = session_of(path.read_text(encoding="utf-8"))
    assert [(cell.ref, question) for cell, question in not_done(session)] == []


def test_the_examples_ask_for_counts_that_were_just_done() -> None:
    """Else the test above would hold of plans without any."""
    cells = [cell for path in EXAMPLES for cell in session_of(path.read_text(encoding="utf-8")).cells]
    assert sum(asked(each) > 0 for cell in cells for each in questions(cell)) > 20


def test_a_draft_that_asks_a_count_nobody_did_is_told_so() -> None:
    for number in DRAFTS:
        session = session_of(plan_number(number))
        strength = {
            (cell.ref, question) for cell, question in not_done(session)
            if any(cell in block.cells for block in (*session.of_kind(BlockKind.MAIN), *session.reserve))
        }  # fmt: skip
        told = {
            (place, each.what)
            for each in check(session, build_timeline(session)) if each.rule == "entry-test" for place in each.places
        }  # fmt: skip
        assert {ref for ref, _ in strength} <= {place for place, _ in told}, number


def test_a_coachs_own_question_about_a_set_waits_until_there_was_one() -> None:
    """In the first round something to try is asked in its place; what is to be tried already stays as written."""
    first, second = session_of(ONE_MOVE.format(led="Eight, heels down?", harder="Was that easy?")).cells
    assert questions(second)[:2] == ["Eight, heels down?", "Was that easy?"]
    assert not {"Eight, heels down?", "Was that easy?"} & set(questions(first))
    own = "Sit a little: no pain?"
    assert next(iter(session_of(ONE_MOVE.format(led=own, harder=own)).cells)).rung.entry_test == own
