"""The Write screen in a real browser: by pointer, by keys, by two people, without its server, on a telephone."""

from collections.abc import Iterator
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest
from waits import live, until_there

ROOT = Path(__file__).parents[2]
SQUAT = "button.cell[data-ref='Main/Two/squat']"


@pytest.fixture
def page(shared_page: Any, shared: Any) -> Any:
    """The list of sessions of a studio that these tests share; each starts a session of its own."""
    shared_page.set_viewport_size({"width": 1280, "height": 900})
    shared_page.goto(shared.address)
    return shared_page


def opened(page: Any) -> Any:
    page.get_by_label("From").select_option("boathouse-30")
    page.get_by_role("button", name="Start it").click()
    page.wait_for_selector("#desk")
    return page


def dose(page: Any) -> Any:
    return page.locator("#panel").get_by_label("Dose")


def saved(page: Any, number: int) -> None:
    page.wait_for_selector(f"text=Saved, version {number}")


def test_a_new_session_is_written_by_keys_alone(page: Any) -> None:
    page.get_by_label("From").focus()
    page.get_by_label("From").select_option("empty")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.wait_for_selector("#desk")
    page.locator("button.cell").first.focus()
    page.keyboard.press("Enter")
    page.wait_for_selector("ol.ladder")
    page.wait_for_selector("#panel-head:focus")
    dose(page).focus()
    page.keyboard.press("Control+A")
    page.keyboard.type("12 reps")
    page.keyboard.press("Tab")
    saved(page, 2)
    assert "12 reps" in page.locator("button.cell").first.inner_text()


def test_arrows_go_through_the_grid_and_tab_stops_once(page: Any) -> None:
    opened(page)
    page.locator("button.cell[data-ref='Main/One/squat']").focus()
    ways = "ArrowRight One/curl, ArrowDown Two/curl, End Two/hinge, Home Two/squat, ArrowUp One/squat"
    for key, ref in (way.split(" ") for way in ways.split(", ")):
        page.keyboard.press(key)
        assert page.evaluate("document.activeElement.dataset.ref") == f"Main/{ref}"
    for key, ref in (("ArrowUp", "Warm-up/Warm-up/march"), ("ArrowDown", "Main/One/squat")):  # from part to part
        page.keyboard.press(key)
        assert page.evaluate("document.activeElement.dataset.ref") == ref
    assert page.locator("table[data-block=Main] button.cell[tabindex='0']").count() == 1


def test_a_list_gone_through_by_keys_is_saved_once(page: Any) -> None:
    opened(page)
    page.locator(SQUAT).click()
    rung = page.get_by_label("Rung as led")
    rung.focus()
    for _ in range(3):
        page.keyboard.press("ArrowDown")
        page.wait_for_timeout(150)
    assert page.locator("#base").input_value() == "1"
    page.keyboard.press("Tab")
    saved(page, 2)
    page.locator("button.cell").first.focus()
    page.keyboard.press("Control+z")
    saved(page, 1)
    page.wait_for_timeout(300)
    assert page.evaluate("document.activeElement !== document.body")


def test_an_open_menu_above_does_not_cost_the_click_below(page: Any) -> None:
    """Closing it moves up what is below; the press has to reach what it was meant for."""
    opened(page)
    part = page.locator("section.block", has=page.get_by_role("heading", name="Main", exact=True))
    part.get_by_text("Change this part").click()
    page.wait_for_selector(".menu[open]")
    page.get_by_label("Change round Two").click()
    assert page.locator("th .menu[open]").count() == 1
    assert page.locator(".menu[open]").count() == 1
    page.keyboard.press("Tab")  # into the menu: it stays
    assert page.locator("th .menu[open]").count() == 1


def test_a_refused_word_is_marked_where_it_was_typed(page: Any) -> None:
    opened(page)
    page.locator(SQUAT).click()
    dose(page).fill("banana")
    dose(page).press("Tab")
    page.wait_for_selector("#trouble >> text=expected a dose")
    assert dose(page).get_attribute("aria-invalid") == "true"
    assert dose(page).get_attribute("aria-describedby") == "trouble"
    assert not page.evaluate("document.activeElement.id").endswith("-dose")  # the next field keeps the letters to come
    box = page.locator("#trouble .notice").bounding_box()
    assert 0 <= box["y"] < 900


def test_undo_brings_back_what_was(page: Any) -> None:
    opened(page)
    before = page.locator(".number").inner_text()
    page.locator(SQUAT).click()
    dose(page).fill("14 reps")
    dose(page).press("Tab")
    saved(page, 2)
    assert page.locator(".number").inner_text() != before
    page.locator("#undo").click()
    saved(page, 1)
    assert page.locator(".number").inner_text() == before


def test_a_move_is_dragged_to_another_place(page: Any) -> None:
    opened(page)
    heads = page.locator("table[data-block=Main] thead th[draggable]")
    heads.nth(4).locator(".move").drag_to(heads.nth(0).locator(".move"))
    saved(page, 2)
    assert page.locator("table[data-block=Main] thead th[draggable]").first.get_attribute("data-cell") == "hinge"


def test_a_refused_word_is_explained_and_goes_no_farther(page: Any) -> None:
    opened(page)
    page.locator(SQUAT).click()
    dose(page).fill("many")
    dose(page).press("Tab")
    page.wait_for_selector("#trouble >> text=expected a dose")
    page.wait_for_timeout(1000)  # longer than it takes the background to ask again
    assert page.locator("#trouble .notice").is_visible()
    assert page.locator("#base").input_value() == "1"


def test_two_editors_see_each_other_and_choose(page: Any, chromium: Any) -> None:
    opened(page)
    other = chromium.new_context().new_page()
    other.route(
        "**/head", lambda route: route.abort()
    )  # however slow this machine is, it has not heard of the first edit
    other.goto(page.url)
    for each, words in ((page, "10 reps"), (other, "12 reps")):
        each.locator(SQUAT).click()
        each.wait_for_selector("ol.ladder")
        dose(each).fill(words)
        dose(each).press("Tab")
        each.wait_for_timeout(500)
    other.wait_for_selector("#clash")
    assert "10 reps" in other.locator("#clash").inner_text()
    other.locator("#mine").click()
    saved(other, 3)
    assert "12 reps" in other.locator(SQUAT).inner_text()
    other.context.close()


def test_what_another_coach_changes_comes_to_this_page_and_leaves_what_is_typed(page: Any, chromium: Any) -> None:
    opened(page)
    other = chromium.new_context().new_page()
    other.goto(page.url)
    page.locator(SQUAT).click()
    page.wait_for_selector("ol.ladder")
    dose(page).focus()
    page.keyboard.press("Control+A")
    page.keyboard.type("1")
    other.locator("button.cell[data-ref='Main/One/squat']").click()
    dose(other).fill("13 reps")
    dose(other).press("Tab")
    saved(other, 2)
    saved(page, 2)
    assert "13 reps" in page.locator("button.cell[data-ref='Main/One/squat']").inner_text()
    page.keyboard.type("4 reps")
    assert dose(page).input_value() == "14 reps"
    page.keyboard.press("Tab")
    saved(page, 3)
    assert "14 reps" in page.locator(SQUAT).inner_text()
    other.context.close()


def test_the_faulty_example_leads_to_its_cells(page: Any) -> None:
    page.get_by_label("A plan file (.toml)").set_input_files(ROOT / "examples" / "faulty.toml")
    page.get_by_role("button", name="Bring it in").click()
    page.wait_for_selector("#findings")
    link = page.locator("#findings a[data-opens]").first
    target = link.get_attribute("data-opens")
    link.click()
    page.wait_for_selector("ol.ladder")
    assert page.locator(f"#{target}").get_attribute("data-ref") == page.locator("#open-cell").input_value()


def test_trying_again_in_vain_is_no_error_of_the_page_and_what_was_not_sent_stays_said(page: Any) -> None:
    wrong: list[str] = []
    page.on("pageerror", lambda error: wrong.append(str(error)))
    opened(page).locator(SQUAT).click()
    page.route("**/edit", lambda route: route.abort())
    dose(page).fill("15 reps")
    dose(page).press("Tab")
    page.wait_for_selector("#offline:not([hidden])")
    failed: list[Any] = []
    page.on("requestfailed", lambda request: failed.append(request))
    page.evaluate("for (const _ of [1, 2]) document.querySelector('#again').click()")  # the second waits for the first
    until_there(page, failed, 2)
    with page.expect_response("**/head"):  # what else a page asks comes through
        page.wait_for_selector("#offline:not([hidden])")
    page.wait_for_timeout(200)
    assert page.locator("#offline").is_visible()
    page.unroute("**/edit")
    page.locator("#again").click()
    saved(page, 2)
    page.wait_for_selector("#offline", state="hidden")
    assert not wrong


def test_a_server_that_was_killed_loses_nothing_that_was_saved(own_page: Any, served: Any) -> None:
    page = opened(own_page)
    page.locator(SQUAT).click()
    dose(page).fill("14 reps")
    dose(page).press("Tab")
    saved(page, 2)
    served.kill()
    dose(page).fill("15 reps")
    dose(page).press("Tab")
    page.wait_for_selector("#offline:not([hidden])")
    assert dose(page).input_value() == "15 reps"
    served.start()
    page.locator("#again").click()
    saved(page, 3)
    assert "15 reps" in page.locator(SQUAT).inner_text()


BOXES = """() => Object.fromEntries(["sums", "findings", "panel", "score"].map((name) => {
  const box = document.getElementById(name).getBoundingClientRect();
  return [name, [box.left, box.top, box.right, Math.min(box.bottom, innerHeight)]];
}))"""


def test_score_findings_and_one_set_stand_in_sight_together(page: Any) -> None:
    """While a set is open nothing of them is pushed away, and none lies over another."""
    page.set_viewport_size({"width": 1280, "height": 800})
    opened(page)
    live(page)
    page.locator("button.cell").nth(9).click()
    page.wait_for_selector("#panel-head:focus")
    boxes = page.evaluate(BOXES)
    for name, (left, top, right, bottom) in boxes.items():
        assert 0 <= top < bottom <= 800, name
        assert bottom - top >= (30 if name == "sums" else 150), name
        assert 0 <= left < right <= 1280, name
    for one, other in combinations(boxes, 2):
        (left, top, right, bottom), (left2, top2, right2, bottom2) = boxes[one], boxes[other]
        assert min(right, right2) <= max(left, left2) + 1 or min(bottom, bottom2) <= max(top, top2) + 1, (one, other)


SCREENS_HIGH = 3  # at most, of the telephone's own; the client's


@pytest.fixture
def telephone(chromium: Any, shared: Any) -> Iterator[Any]:
    """The demo on a narrow screen, just opened."""
    context = chromium.new_context(viewport={"width": 390, "height": 844}, reduced_motion="reduce")
    context.add_cookies([{"name": "paper", "value": "narrow", "url": shared.address}])  # as after its first page
    page = context.new_page()
    page.goto(shared.address)
    opened(page)
    live(page)
    yield page
    context.close()


def test_on_a_telephone_parts_are_folded_to_three_screens(telephone: Any) -> None:
    page = telephone
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    assert page.evaluate("document.documentElement.scrollHeight") <= SCREENS_HIGH * 844
    part = page.locator("section.block", has=page.get_by_role("heading", name="Warm-up", exact=True))
    assert not part.locator("button.cell").first.is_visible()
    part.get_by_role("heading").click()
    part.locator("button.cell").first.wait_for()


FRESH_SCORE = """() => {
  const score = document.getElementById("score"), fresh = score.cloneNode(true);
  score.replaceWith(fresh);
  return fresh.getBoundingClientRect().height;
}"""


def test_a_folded_score_is_a_line_before_it_is_ever_painted(telephone: Any) -> None:
    """It once had 40 rem until then: a page of three and a half screens, for as long as the browser was busy."""
    assert telephone.evaluate(FRESH_SCORE) < 100


@pytest.mark.slow  # until bodies and people are computed
def test_with_all_that_is_found_it_is_still_three_screens(telephone: Any) -> None:
    telephone.wait_for_selector("text=can finish every set")
    assert telephone.evaluate("document.documentElement.scrollHeight") <= SCREENS_HIGH * 844
