"""A show steered by keys, buttons and a phone: start to end, pauses, skips, cuts, sides, the emergency card."""

import re
from typing import Any

import pytest
from stage_steps import SIZES, SMALL, left_s, open_stage, seek, set_stage


@pytest.mark.slow
def test_the_demo_is_led_to_its_end_with_pauses_skips_and_a_second_screen(stage: Any, boathouse: str) -> None:
    session = boathouse
    stage.goto(f"{session}/lead")
    code = stage.locator("#code").inner_text()
    open_stage(stage, session, "?speed=60")
    stage.wait_for_selector("#go")
    assert left_s(stage) == stage.evaluate("window.stage.show.totalMs") / 1000
    stage.keyboard.press(" ")
    stage.wait_for_timeout(3000)
    prompter = stage.context.new_page()
    prompter.goto(f"{session}/prompter")
    prompter.wait_for_selector("#coming li")
    remote = stage.context.new_page()
    remote.set_viewport_size({"width": 390, "height": 800})
    remote.goto(f"{session}/remote")
    remote.locator("#code").fill(code)
    remote.get_by_role("button", name="Pair").click()
    remote.get_by_role("button", name="Pause or go on").click()
    stage.wait_for_selector("#paused[open]")
    stood = left_s(stage)
    stage.wait_for_timeout(500)
    assert left_s(stage) == stood
    prompter.wait_for_selector("text=Paused.")
    remote.locator("#less").click()
    remote.wait_for_selector("text=of round Three would go")
    assert left_s(stage) == stood
    remote.locator("#less").click()
    stage.wait_for_selector("text=of round Three go")
    assert stood - left_s(stage) >= 180
    remote.get_by_role("button", name="Next set").click()
    stage.wait_for_timeout(300)
    remote.get_by_role("button", name="Pause or go on").click()
    stage.wait_for_selector("text=Well done")
    prompter.wait_for_selector("text=The end.")
    remote.wait_for_selector("text=The end.")
    stage.wait_for_timeout(500)
    stage.goto(f"{session}/lead")
    row = stage.locator("table.running tbody tr").first.inner_text()
    assert "yes" in row
    assert "1 ×" in row


def test_a_reload_picks_up_where_it_was_and_stands_still(stage: Any, session: str) -> None:
    open_stage(stage, session, "?speed=10")
    stage.keyboard.press("ArrowRight")
    stage.keyboard.press(" ")
    stage.wait_for_timeout(1200)
    stage.keyboard.press(" ")
    stage.wait_for_selector("#paused[open]")
    stood = left_s(stage)
    stage.reload()
    stage.wait_for_selector("#go >> text=Go on")
    assert abs(left_s(stage) - stood) <= 1
    assert stage.locator("#go").inner_text() == "Go on"
    stage.keyboard.press(" ")
    stage.wait_for_selector("#go >> text=Pause")
    assert not stage.locator("#resume").is_visible()


@pytest.mark.slow
def test_no_side_is_owed_while_both_are_done(stage: Any, boathouse: str) -> None:
    open_stage(stage, boathouse, "?speed=10")
    seek(stage, "work", "left", 4000)
    stage.keyboard.press(" ")
    for words in ("RIGHT NEXT", "RIGHT"):
        stage.wait_for_selector(f'#side:text-is("{words}")')
        assert stage.locator("#owed").inner_text() == ""
    stage.wait_for_selector('#name:text("Hip hinge")')
    assert stage.locator("#owed").inner_text() == ""


@pytest.mark.slow
def test_a_side_left_undone_is_said_to_be_owed_until_it_is_made_up(stage: Any, boathouse: str) -> None:
    """H02 of the real-life cases: the other leg."""
    open_stage(stage, boathouse)
    seek(stage, "work", "right", 20_000)
    stage.evaluate("window.stage.draw()")
    stage.keyboard.press("ArrowRight")
    stage.wait_for_selector("#owed >> text=Owed: Split squat, right")
    seek(stage, "work", "right", 10_000)
    stage.evaluate("window.stage.draw()")
    assert stage.locator("#owed").inner_text() == ""  # its own set is still on
    stage.keyboard.press("ArrowLeft")
    seek(stage, "work", "right", -100)
    stage.evaluate("window.stage.draw()")
    stage.wait_for_selector('#name:text("Hip hinge")')
    assert stage.locator("#owed").inner_text() == ""


@pytest.mark.slow
@pytest.mark.parametrize("by", ["key", "button", "phone"])
def test_a_side_that_is_owed_can_be_dismissed(stage: Any, boathouse: str, by: str) -> None:
    """What is owed is seen on every screen, and the leader's own and the phone say so as loudly."""
    stage.goto(f"{boathouse}/lead")
    code = stage.locator("#code").inner_text()
    prompter, phone = stage.context.new_page(), stage.context.new_page()
    prompter.goto(f"{boathouse}/prompter")
    phone.goto(f"{boathouse}/remote")
    if phone.locator("#code").is_visible():
        phone.locator("#code").fill(code)
        phone.get_by_role("button", name="Pair").click()
    open_stage(stage, boathouse)
    seek(stage, "work", "right", 20_000)
    stage.evaluate("window.stage.draw()")
    stage.keyboard.press("ArrowRight")
    stage.wait_for_selector("#owed >> text=Split squat, right")
    for screen in (prompter, phone):
        screen.wait_for_selector("#owed >> text=Split squat, right")
        weight = screen.evaluate("getComputedStyle(document.getElementById('owed')).fontWeight")
        assert int(weight) >= 600
    if by == "key":
        stage.keyboard.press("o")
    else:
        (stage if by == "button" else phone).locator("#waive").click()
    for screen in (stage, prompter, phone):
        screen.wait_for_selector("#owed:empty", state="attached")
    assert not stage.locator("#waive").is_visible()
    assert phone.get_by_role("button", name="Side made up").is_disabled()


IN_SIGHT = """() => {
  const card = document.getElementById("emergency"), box = card.getBoundingClientRect();
  const seen = [...card.querySelectorAll("h2, ol li, #close")].every((each) => {
    const { top, bottom } = each.getBoundingClientRect();
    return top >= Math.max(0, box.top) && bottom <= Math.min(innerHeight, box.bottom);
  });
  return seen && card.scrollTop === 0;
}"""


@pytest.mark.parametrize("size", SIZES)
def test_the_emergency_card_opens_at_its_top_with_every_step_in_sight(
    stage: Any, session: str, size: dict[str, int]
) -> None:
    stage.set_viewport_size(size)
    open_stage(stage, session)
    stage.keyboard.press("e")
    stage.wait_for_selector("#emergency[open]")
    assert stage.evaluate("document.activeElement.id") == "emergency-head"
    assert stage.evaluate(IN_SIGHT)


def test_under_the_emergency_card_nothing_steers(stage: Any, session: str) -> None:
    open_stage(stage, session)
    stage.keyboard.press(" ")
    stage.wait_for_selector("#go >> text=Pause")
    prompter = stage.context.new_page()
    prompter.goto(f"{session}/prompter")
    prompter.wait_for_selector("#line >> text=left.")
    stage.keyboard.press("e")
    stage.wait_for_selector("#emergency[open]")
    prompter.wait_for_selector("#line >> text=The emergency card is open")
    stood = left_s(stage)
    for key in ("ArrowRight", " ", "PageDown", "t", "b", "e", "ArrowLeft"):
        stage.keyboard.press(key)
    for order in ("Next set", "Pause or go on", "3 minutes less"):
        prompter.get_by_role("button", name=order).click()
    stage.wait_for_timeout(500)
    assert stage.locator("#emergency").is_visible()
    assert left_s(stage) == stood
    assert not stage.evaluate("window.stage.clock().playing")
    stage.keyboard.press("Escape")
    assert not stage.locator("#emergency").is_visible()
    assert not stage.evaluate("window.stage.clock().playing")
    stage.wait_for_selector("#paused[open] >> text=Pause")  # whoever looks up sees why nothing moves
    stage.keyboard.press("ArrowRight")
    assert left_s(stage) < stood


FRAMES = """() => {
  window.frames_asked = 0;
  const ask = window.requestAnimationFrame;
  window.requestAnimationFrame = (draw) => { window.frames_asked++; return ask(draw); };
}"""


def test_after_many_jumps_there_is_one_loop_and_the_end_is_reached(stage: Any, session: str) -> None:
    stage.add_init_script(f"({FRAMES})()")
    open_stage(stage, session, "?speed=10")
    prompter = stage.context.new_page()
    prompter.goto(f"{session}/prompter")
    stage.keyboard.press(" ")
    stage.wait_for_selector("#go >> text=Pause")
    for key in ("ArrowRight", "ArrowRight", "ArrowLeft", "ArrowLeft", "ArrowRight", "ArrowLeft"):
        stage.keyboard.press(key)
    before = stage.evaluate("window.frames_asked")
    stage.wait_for_timeout(1000)
    assert stage.evaluate("window.frames_asked") - before <= 90  # of one loop at 60 a second, and some haste
    stage.evaluate("window.stage.clock().seek(window.stage.show.totalMs - 8000)")
    stage.wait_for_selector("#name >> text=Well done")
    prompter.wait_for_selector("#line >> text=The end.")
    assert stage.locator("#ladder li").count() == 0
    assert not stage.locator("#figure").is_visible()
    assert stage.locator("#count").inner_text() == ""
    stage.wait_for_timeout(2500)  # past the next beat
    assert "Well done" in stage.locator("#name").inner_text()


def test_skipping_past_the_last_set_while_it_stands_is_the_end_and_back_leaves_it(stage: Any, session: str) -> None:
    open_stage(stage, session)
    for _ in range(8):
        stage.keyboard.press("ArrowRight")
    assert "Well done" in stage.locator("#name").inner_text()
    stage.keyboard.press("ArrowLeft")
    assert "Well done" not in stage.locator("#name").inner_text()
    assert stage.locator("#go").is_enabled()
    assert stage.locator("#ladder li").count() == 3


@pytest.mark.slow
def test_a_closed_tab_loses_neither_place_nor_cut(stage: Any, boathouse: str) -> None:
    open_stage(stage, boathouse)
    whole = left_s(stage)
    stage.keyboard.press(" ")
    stage.keyboard.press("ArrowRight")
    stage.keyboard.press("t")
    stage.keyboard.press("t")
    stage.wait_for_selector("text=of round Three go")
    stood = left_s(stage)
    prompter = stage.context.new_page()
    prompter.goto(f"{boathouse}/prompter")
    prompter.wait_for_selector("#line >> text=left.")
    again = stage.context.new_page()
    stage.close()
    prompter.wait_for_selector("#line >> text=The stage isn't answering.")
    prompter.reload()
    prompter.wait_for_selector("#line >> text=The stage isn't answering.")
    open_stage(again, boathouse)
    again.get_by_role("button", name="Go on at 0:5").wait_for()
    assert abs(left_s(again) - stood) <= 3
    prompter.wait_for_selector("#line >> text=Paused.")
    again.keyboard.press(" ")
    again.wait_for_selector("#go >> text=Pause")
    assert again.evaluate("window.stage.show.gone.length") == 3
    again.reload()
    with again.expect_navigation():
        again.get_by_role("button", name="From the start").click()
    again.wait_for_selector("#name:not(:empty)")
    assert again.locator("#go").inner_text() == "Start"
    assert left_s(again) == whole
    assert not again.locator("#resume").is_visible()


AN_HOUR_AGO = """() => {
  const key = Object.keys(localStorage).find((each) => each.startsWith("stage "));
  const state = JSON.parse(localStorage[key]);
  for (const each of [state, ...state.log.events]) each.wall_ms -= 3_600_000;
  localStorage[key] = JSON.stringify(state);
}"""


@pytest.mark.slow  # waits for the log to be sent, half a minute
def test_one_show_is_one_row_whatever_is_reloaded(stage: Any, shared: Any) -> None:
    session = set_stage(stage, shared.address, SMALL)
    open_stage(stage, session, "?speed=60")
    stage.keyboard.press("ArrowRight")  # only looked round: no show yet
    stage.keyboard.press("ArrowLeft")
    for _ in range(2):
        stage.keyboard.press(" ")
        stage.wait_for_selector("#go >> text=Pause")
        stage.keyboard.press("ArrowRight")
        stage.wait_for_timeout(300)
        stage.evaluate(AN_HOUR_AGO)
        stage.reload()
        stage.wait_for_selector("#resume[open]")
        stage.wait_for_timeout(1200)  # what is offered stays as it was kept
    stage.keyboard.press(" ")
    stage.wait_for_selector("#name >> text=Well done")
    stage.wait_for_timeout(500)
    stage.goto(f"{session}/lead")
    rows = stage.locator("table.running tbody tr")
    assert rows.count() == 1
    assert "yes" in rows.inner_text()
    took = rows.locator("td").first.inner_text()
    assert took.startswith("0:"), "the hours that no stage was open count"
    assert rows.locator("td").nth(2).inner_text() == "2"


@pytest.mark.slow
def test_three_minutes_less_asks_first_and_is_undone(stage: Any, boathouse: str) -> None:
    open_stage(stage, boathouse)
    whole = left_s(stage)
    stage.keyboard.press("t")
    question = re.search(r"(\d):(\d\d) less\? (.+) of round Three would go\.", stage.locator("#line").inner_text())
    assert question
    minutes, seconds, names = question.groups()
    cut_s = 60 * int(minutes) + int(seconds)
    assert cut_s >= 180
    assert names.startswith("Hip hinge, Split squat")  # as the plan's cut order says
    stage.keyboard.press("Escape")
    assert stage.locator("#line").inner_text() == ""
    stage.keyboard.press("t")
    stage.wait_for_selector("#line:empty", state="attached")
    stage.keyboard.press("t")
    assert left_s(stage) == whole
    stage.locator("#less").click()
    assert f"{minutes}:{seconds} less: {names} of round Three go." in stage.locator("#line").inner_text()
    assert left_s(stage) == whole - cut_s
    stage.keyboard.press("u")
    assert left_s(stage) == whole
    assert not stage.locator("#undo").is_visible()
    stage.keyboard.press("t")
    stage.keyboard.press("t")
    stage.evaluate("window.stage.clock().seek(window.stage.show.totalMs - 60_000)")
    stage.evaluate("window.stage.draw()")
    stage.keyboard.press("u")  # what was cut has passed
    assert left_s(stage) == 60
    assert not stage.locator("#undo").is_visible()
