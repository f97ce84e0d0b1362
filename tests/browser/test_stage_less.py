"""Three minutes less on the night: the stage goes on by a timeline that Python laid, and nobody is left on the floor.

The case is one that a review led: one-dumbbell-30 at 10:00, twice. The stage had then cut the getting up away.
"""

import re
from pathlib import Path
from typing import Any

import pytest
from stage_steps import left_s, open_stage, set_stage

from everyrung.moves.library import standard_library
from everyrung.plan.read import read_plan
from everyrung.plan.resolve import resolve
from everyrung.runsheet.beeps import beeps, tunes
from everyrung.terms.enums import BlockKind, SpanKind
from everyrung.terms.plan import Ref
from everyrung.terms.session import Session
from everyrung.terms.timeline import Timeline
from everyrung.timing.cut_order import without
from everyrung.timing.timeline import build_timeline

PLAN = Path(__file__).parents[2] / "examples" / "one-dumbbell-30.toml"
AT_MS = 600_000
SPANS = """() => {
  const { show } = window.stage;
  return show.spans.map((span) => [span.at_ms, span.end_ms, span.kind, show.cellOf(span)?.ref ?? "", span.text]);
}"""
NAMES = """(moments) => {
  const { clock, draw } = window.stage, stood = clock().nowMs();
  const names = moments.map((ms) => { clock().seek(ms); draw(); return document.getElementById("name").textContent; });
  clock().seek(stood);
  draw();
  return names;
}"""


@pytest.fixture(scope="module")
def dumbbell(shared_page: Any, shared: Any) -> str:
    return set_stage(shared_page, shared.address, PLAN)


def session_of() -> Session:
    return resolve(read_plan(PLAN), standard_library())


def refs_of(name: str) -> list[Ref]:
    """The sets of a round."""
    return [cell.ref for cell in session_of().cells if cell.ref.round == name]


def clock_words(ms: int) -> str:
    return f"{ms // 60_000}:{ms // 1000 % 60:02}"


def less_twice(stage: Any, session: str) -> list[str]:
    """The stage at 10:00 with two cuts; what it said of them."""
    open_stage(stage, session)
    stage.evaluate("(ms) => { window.stage.clock().seek(ms); window.stage.draw(); }", AT_MS)
    said = []
    for _ in range(2):
        stage.keyboard.press("t")
        stage.keyboard.press("t")
        said.append(stage.locator("#line").inner_text())
    return said


def laid_again(stage: Any) -> tuple[Session, Timeline]:
    """What Python's own cutting and laying make of the session without the cells that the stage has cut."""
    whole = session_of()
    gone = stage.evaluate("window.stage.show.gone.map((cell) => window.stage.show.cells[cell].ref)")
    assert len(gone) >= 4
    session = without(whole, [cell.ref for cell in whole.cells if str(cell.ref) in gone])
    return session, build_timeline(session)


@pytest.mark.slow
def test_after_two_cuts_names_and_spans_are_pythons_and_people_get_up_again(stage: Any, dumbbell: str) -> None:
    less_twice(stage, dumbbell)
    session, timeline = laid_again(stage)
    assert stage.evaluate(SPANS) == [
        [span.at_ms, span.end_ms, str(span.kind), str(span.cell.ref) if span.cell else "", span.text]
        for span in timeline.spans
    ]
    work = [span for span in timeline.spans if span.kind is SpanKind.WORK and span.cell]
    names = stage.evaluate(NAMES, [(span.at_ms + span.end_ms) // 2 for span in work])
    assert names == [span.cell.rung.name for span in work if span.cell]
    by = tunes(build_timeline(session_of()))  # a set keeps its count-in's tune, whatever goes before it
    sounded = beeps(timeline, count_in_ms=session.clock.count_in_ms, by=by)
    assert stage.evaluate("window.stage.show.beeps") == [[beep.at_ms, str(beep.kind)] for beep in sounded]
    later = [span for span in timeline.spans if span.at_ms > AT_MS]
    assert "up to standing" in {span.text for span in later}
    cool_down = next(block for block in session_of().blocks if block.kind is BlockKind.COOL_DOWN)
    assert {cell.ref for cell in cool_down.cells} <= {span.cell.ref for span in later if span.cell}
    assert left_s(stage) == -(-(timeline.total_ms - AT_MS) // 1000)


@pytest.mark.slow
def test_each_cut_says_how_much_it_is_and_is_undone_one_after_the_other(stage: Any, dumbbell: str) -> None:
    open_stage(stage, dumbbell)
    stage.evaluate("(ms) => { window.stage.clock().seek(ms); window.stage.draw(); }", AT_MS)
    whole = left_s(stage)
    button = stage.locator("#less").inner_text()
    said = less_twice(stage, dumbbell)
    assert re.match(rf"{button}: .+ of round Three go\.", said[0])
    first, second = (int(each[0]) * 60 + int(each[2:4]) for each in said)
    assert first >= 180
    assert left_s(stage) == whole - first - second
    stage.keyboard.press("u")
    assert left_s(stage) == whole - first
    stage.keyboard.press("u")
    assert left_s(stage) == whole
    assert stage.evaluate("window.stage.show.gone") == []
    assert not stage.locator("#undo").is_visible()


@pytest.mark.slow
def test_what_has_begun_is_not_offered_and_the_rest_is(stage: Any, dumbbell: str) -> None:
    """In the last round only what is still to come of it can go; in the cool-down nothing can."""
    open_stage(stage, dumbbell)
    seek = """(name) => {
      const { show, clock, draw } = window.stage;
      clock().seek(show.spans.find((span) => show.cellOf(span)?.ref === name).at_ms + 1000);
      draw();
    }"""
    stage.evaluate(seek, "Main/Three/press")
    whole, (later,) = session_of(), [ref for ref in refs_of("Three") if ref.cell == "bridge"]
    shorter = build_timeline(without(whole, [later]))
    less = clock_words(build_timeline(whole).total_ms - shorter.total_ms)
    assert stage.locator("#less").inner_text() == f"{less} less"
    stage.keyboard.press("t")
    assert f"{less} less? Bridge of round Three would go." in stage.locator("#line").inner_text()
    stage.keyboard.press("Escape")
    cool_down = next(block for block in session_of().blocks if block.kind is BlockKind.COOL_DOWN)
    stage.evaluate(seek, str(next(cool_down.cells).ref))
    stage.keyboard.press("t")
    assert "Everything left in the cut order has already begun." in stage.locator("#line").inner_text()
    assert stage.evaluate("window.stage.show.gone") == []


STRIP = """() => {
  const { show } = window.stage, bars = [...document.querySelectorAll("#strip .bar")];
  const box = document.getElementById("strip").getBoundingClientRect();
  const now = document.querySelector("#strip .now-line").getBoundingClientRect();
  const works = show.spans.filter((span) => span.work);
  return [bars.length === works.length, now.left >= box.left - 9, now.right <= box.right + 9];
}"""


@pytest.mark.slow
def test_after_a_cut_the_strip_is_that_of_the_shorter_session(stage: Any, dumbbell: str) -> None:
    open_stage(stage, dumbbell)
    before = stage.locator("#strip .bar").count()
    less_twice(stage, dumbbell)
    assert stage.evaluate(STRIP) == [True, True, True]
    assert stage.locator("#strip .bar").count() < before
