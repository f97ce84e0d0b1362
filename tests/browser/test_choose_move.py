"""Moves chosen from their pictures: by keys alone, seen on a telephone too, and nothing for axe to find."""

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from waits import live, until

PICTURES = "#panel .pictured img"
RULES = {"rules": {"target-size": {"enabled": True}}, "resultTypes": ["violations"]}


@pytest.fixture
def page(shared_page: Any, shared: Any) -> Any:
    """A session of its own, open."""
    shared_page.goto(shared.address)
    shared_page.get_by_label("From").select_option("boathouse-30")
    shared_page.get_by_role("button", name="Start it").click()
    shared_page.wait_for_selector("#desk")
    live(shared_page)
    yield shared_page
    shared_page.set_viewport_size({"width": 1280, "height": 900})


def by_keys(page: Any, place: Any) -> None:
    place.focus()
    page.keyboard.press("Enter")


def test_a_move_is_chosen_and_added_by_keys_alone(page: Any) -> None:
    by_keys(page, page.get_by_role("button", name="Add a move to Main"))
    page.wait_for_selector("#panel-head:focus")
    for _ in range(3):
        page.keyboard.press("Tab")  # called, works
    assert page.evaluate("document.activeElement.id") == "choose-kind"
    page.locator("#choose-works").focus()
    page.keyboard.type("calf")
    page.keyboard.press("Tab")
    until(page, "document.querySelector('#choose-calf-raise') && !document.querySelector('#choose-swing')")
    until(page, f"[...document.querySelectorAll('{PICTURES}')].every((each) => each.src)")
    by_keys(page, page.locator("#choose-calf-raise"))
    page.get_by_text("Saved, version 2").wait_for()
    page.wait_for_selector("button.cell[aria-current][data-ref='Main/One/calf-raise']")
    assert "Calf raise" in page.locator("#panel-head").inner_text()
    until(page, "document.activeElement !== document.body")


def test_what_was_asked_for_leads_back_where_it_came_from(page: Any) -> None:
    by_keys(page, page.get_by_role("button", name="Add a move to Cool-down"))
    page.wait_for_selector("#panel-head:focus")
    assert page.locator("#choose-kind").input_value() == "cool-down"
    by_keys(page, page.locator("#choose-back"))
    until(page, "!document.querySelector('.pictured')")
    assert page.evaluate("document.activeElement.getAttribute('aria-label')") == "Add a move to Cool-down"


def test_another_move_is_chosen_from_pictures_and_tried(page: Any) -> None:
    page.locator("button.cell[data-ref='Main/One/curl']").click()
    page.wait_for_selector("#panel-head:focus")
    by_keys(page, page.get_by_role("button", name="Another move in its place"))
    page.wait_for_selector("#offers-head:focus")
    page.wait_for_selector("#way-1")
    assert page.locator("#offers .ways img").count() == page.locator("#offers .ways > li").count()
    by_keys(page, page.get_by_role("button", name="Choose from pictures"))
    page.wait_for_selector("#panel-head:focus")
    by_keys(page, page.locator("#choose-deadlift"))
    page.get_by_text("Deadlift from the floor in place of ball leg curl").wait_for()
    page.wait_for_selector("#offers-head:focus")  # where the focus is put a moment later: Enter between the two is lost
    by_keys(page, page.locator("#way-1"))
    page.get_by_text("Saved, version 2").wait_for()
    assert page.locator("button.cell[data-ref='Main/One/deadlift']").count() == 1
    assert page.locator("button.cell[data-ref='Main/One/curl']").count() == 0


def test_a_press_counts_as_soon_as_what_is_pressed_is_seen(page: Any) -> None:
    """What comes while ways are tried is put in again and again; a press in between must not be lost."""
    page.evaluate("""() => document.body.addEventListener("htmx:afterSwap", function press() {
        if (!document.querySelector("#way-1")) return;
        document.body.removeEventListener("htmx:afterSwap", press);
        setTimeout(() => document.querySelector("#way-1").click());
    })""")
    page.locator("button.cell[data-ref='Main/One/curl']").click()
    page.wait_for_selector("#panel-head:focus")
    by_keys(page, page.get_by_role("button", name="Another move in its place"))
    page.get_by_text("Saved, version 2").wait_for()


@pytest.mark.parametrize("size", [(1280, 800), (390, 844)])
def test_the_pictures_fit_the_screen_and_axe_finds_nothing(page: Any, size: tuple[int, int]) -> None:
    page.set_viewport_size({"width": size[0], "height": size[1]})
    page.get_by_role("button", name="Add a move to Main").click()
    page.wait_for_selector("#panel .pictured")
    assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
    found = Axe().run(page, context="#panel", options=RULES).response["violations"]
    assert not [(each["id"], node["target"]) for each in found for node in each["nodes"]]
