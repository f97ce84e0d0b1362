"""Live online, on stage: the card one press away while the clock goes on, and what the prompter says of the screen."""

from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from conftest import set_in_its_page
from stage_steps import SIZES, SMALL, open_stage
from waits import until


@pytest.fixture(scope="module")
def live_session(chromium: Any, shared: Any, tmp_path_factory: pytest.TempPathFactory) -> str:
    plan: Path = tmp_path_factory.mktemp("live") / "live.toml"
    text = SMALL.read_text(encoding="utf-8").replace("[who]", "[who]\nlive = true").replace("8 reps", "16 reps")
    text = text.replace('kind = "main"', 'kind = "main"\nround_rest = "1:20"')
    plan.write_text(text, encoding="utf-8")
    return set_in_its_page(chromium, shared, plan)


@pytest.fixture
def live_stage(chromium: Any, live_session: str) -> Any:
    context = chromium.new_context(viewport=SIZES[0], reduced_motion="reduce")
    page = context.new_page()
    page.errors = []
    page.on("pageerror", lambda error: page.errors.append(str(error)))
    page.goto(f"{live_session}/lead")  # the browser's own token
    open_stage(page, live_session)
    yield page
    assert not page.errors
    context.close()


def test_the_card_opens_by_one_key_and_the_clock_goes_on_under_it(live_stage: Any) -> None:
    live_stage.keyboard.press(" ")
    live_stage.wait_for_selector("#go >> text=Pause")
    live_stage.keyboard.press("l")
    now = live_stage.locator("#live-now")
    assert now.inner_text().startswith("Now: ")
    assert "Next set in" in now.inner_text()
    assert "Ring at once" in live_stage.locator("#dropped").inner_text()
    before = live_stage.evaluate("window.stage.clock().nowMs()")
    until(live_stage, f"window.stage.clock().nowMs() > {before} + 1000")
    assert live_stage.evaluate("window.stage.state()") == "running"
    live_stage.keyboard.press("e")  # help comes before everything
    assert live_stage.locator("#emergency").is_visible()
    assert not live_stage.locator("#live").is_visible()
    live_stage.keyboard.press("Escape")
    live_stage.locator("#emergency").wait_for(state="hidden")
    live_stage.keyboard.press("l")
    live_stage.locator("#live").wait_for()
    live_stage.keyboard.press("Escape")
    live_stage.locator("#live").wait_for(state="hidden")


@pytest.mark.parametrize("size", SIZES, ids=lambda each: str(each["width"]))
def test_the_card_is_read_at_both_sizes_and_has_nothing_for_axe(live_stage: Any, size: dict[str, int]) -> None:
    live_stage.set_viewport_size(size)
    live_stage.click("#at-home")
    box = live_stage.locator("#live").bounding_box()
    assert box["x"] >= 0
    assert box["x"] + box["width"] <= size["width"]
    assert live_stage.evaluate("document.getElementById('live').scrollWidth") <= box["width"]
    found = Axe().run(live_stage, context="#live").response["violations"]
    assert not found, [each["id"] for each in found]
    live_stage.click("#close-live")
    assert not live_stage.locator("#live").is_visible()


def test_the_prompter_says_when_to_look_at_the_screen(live_stage: Any, live_session: str) -> None:
    prompter = live_stage.context.new_page()
    prompter.goto(f"{live_session}/prompter")
    for kind, words in (("look", "Eyes on the screen"), ("thumb check", "Eyes on the screen: thumbs")):
        live_stage.evaluate(
            """(kind) => {
              const { show, clock, draw } = window.stage;
              const cue = Object.values(show.sheet.variants[0].script)[0].find((each) => each[2] === kind);
              clock().seek(cue[0] + 300); draw();
            }""",
            kind,
        )
        until(prompter, f"document.getElementById('eyes').textContent === '{words}'")


def test_the_prompter_turns_the_leader_to_the_room_before_words_that_are_read_from_lips(
    chromium: Any, shared: Any, tmp_path: Path
) -> None:
    plan = tmp_path / "lips.toml"
    plan.write_text(SMALL.read_text(encoding="utf-8").replace("[who]", "[who]\nlip_readers = true"), encoding="utf-8")
    address = set_in_its_page(chromium, shared, plan)
    page = chromium.new_context(viewport=SIZES[0], reduced_motion="reduce").new_page()
    page.goto(f"{address}/lead")
    open_stage(page, address)
    prompter = page.context.new_page()
    prompter.goto(f"{address}/prompter")
    quiet = """(before) => {
      const { show, clock, draw } = window.stage, script = Object.values(show.sheet.variants[0].script)[0];
      const at = script.findIndex((each, at) => at && each[0] - script[at - 1][1] > 9000);
      clock().seek(script[at][0] - before); draw();
    }"""
    tops = set()
    for before, words in ((1000, "Face up, to the room"), (5000, "")):
        page.evaluate(quiet, before)
        until(prompter, f"document.getElementById('eyes').textContent === '{words}'")
        tops.add(prompter.locator("#saying").bounding_box()["y"])
    assert len(tops) == 1  # the words stay where they are read
    page.context.close()


@pytest.mark.parametrize("screen", ["prompter", "remote"])
def test_the_card_is_a_press_away_on_the_prompter_and_the_phone(
    live_stage: Any, live_session: str, screen: str
) -> None:
    other = live_stage.context.new_page()
    if screen == "remote":
        other.goto(f"{live_session}/lead")
        code = other.locator("#code").inner_text()
        other.set_viewport_size(SIZES[1])
    other.goto(f"{live_session}/{screen}")
    if screen == "remote" and other.locator("#code").is_visible():
        other.locator("#code").fill(code)
        other.get_by_role("button", name="Pair").click()
    other.get_by_role("button", name="Live card").click()
    assert other.locator("#live-now").inner_text().startswith("Now: ")
    assert "Ring at once" in other.locator("#dropped").inner_text()
    assert not live_stage.locator("#live").is_visible()  # whoever asks reads it on their own screen
    found = Axe().run(other, context="#live").response["violations"]
    assert not found, [each["id"] for each in found]
    other.locator("#close-live").click()
    assert not other.locator("#live").is_visible()


def test_a_session_without_live_people_has_no_such_button(stage: Any, session: str) -> None:
    open_stage(stage, session)
    assert not stage.locator("#at-home").is_visible()
    stage.keyboard.press("l")
    assert not stage.locator("#live").is_visible()
