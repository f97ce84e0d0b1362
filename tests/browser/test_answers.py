"""The list to tap after class: twenty people with a tap each, counted; readable on a telephone, nothing for axe."""

import os
from typing import Any

from axe_playwright_python.sync_playwright import Axe
from waits import live

PEOPLE = 20
MOST_ACTIONS = PEOPLE + 1  # a tap each, and one to keep: at 2 s a tap, which is chosen, 42 s
NAMES = [f"Rower {chr(65 + at)}" for at in range(PEOPLE)]


def test_twenty_people_are_written_down_by_a_tap_each(own_page: Any) -> None:
    page = own_page
    base = page.url.rstrip("/")
    session = page.get_by_role("link", name="Boathouse thirty", exact=False).first.get_attribute("href")
    page.goto(f"{base}/people")
    live(page)
    sheet = "\n".join(["name,stature", *(f"{name},170 cm" for name in NAMES)])
    page.locator("#people-file").set_input_files(
        {"name": "people.csv", "mimeType": "text/csv", "buffer": sheet.encode()}
    )
    page.get_by_role("button", name="Bring it in").click()
    page.get_by_text("20 added").wait_for()
    page.goto(f"{base}{session}/answers")
    live(page)
    for theme in ("dark", "light"):
        page.emulate_media(color_scheme=theme)
        assert Axe().run(page).response["violations"] == []
    for width in (1280, 390):
        page.set_viewport_size({"width": width, "height": 844})
        assert page.evaluate("document.documentElement.scrollWidth") <= width, width
        if folder := os.environ.get("EVERYRUNG_PICTURES"):
            page.screenshot(path=f"{folder}/answers-{width}.png")
    actions = 0
    for at, name in enumerate(NAMES):
        page.get_by_role("group", name=name, exact=True).get_by_role("radio", name=str(at % 6), exact=True).check()
        actions += 1
    page.get_by_role("button", name="Keep the answers").click()
    actions += 1
    page.get_by_text("20 answers kept").wait_for()
    assert actions <= MOST_ACTIONS
    assert page.locator(".taps input:checked").count() == PEOPLE  # as they stand in the history
