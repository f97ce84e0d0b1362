"""Every screen: no wider than its device, nothing for axe to find in both themes, nothing too small to touch."""

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe

LEAST_PX = 24  # WCAG 2.2, 2.5.8 Target Size (Minimum)
# axe leaves target size out unless asked; of what passes it would else bring every element of a page.
RULES = {"rules": {"target-size": {"enabled": True}}, "resultTypes": ["violations"]}
SMALL = """(least) => [...document.querySelectorAll("button, select, summary, input:not([type=hidden])")]
  .filter((each) => each.checkVisibility())
  .map((each) => [each.outerHTML.slice(0, 90), each.getBoundingClientRect()])
  .filter(([, box]) => box.height && (box.width < least || box.height < least)).map(([words]) => words)"""


@pytest.fixture(scope="module")
def screens(shared_page: Any) -> dict[str, str]:
    """Every screen's address, the list of people with somebody on it."""
    base = shared_page.url.rstrip("/")
    session = shared_page.get_by_role("link", name="Boathouse thirty", exact=False).first.get_attribute("href")
    shared_page.goto(f"{base}/people")
    shared_page.get_by_label("Name", exact=False).first.fill("Edda")
    shared_page.get_by_label("Stature", exact=False).first.fill("165 cm")
    shared_page.get_by_role("button", name="Put on the list").click()
    shared_page.wait_for_selector("text=Edda is on your list")
    shared_page.goto(f"{base}/rooms")
    shared_page.get_by_label("From").select_option("boat-bay")
    shared_page.get_by_role("button", name="Begin").click()
    shared_page.wait_for_selector(".handle")
    within = {
        "write": f"{session}?open=Main%2FTwo%2Fsquat", "rehearse": f"{session}/rehearse",
        "answers": f"{session}/answers", "publish": f"{session}/publish", "text": f"{session}/text",
        "versions": f"{session}/versions", "room": f"{session}/room", "look back": f"{session}/led",
        "compare": f"{session}/versions/compare?from=1&to=1",
    }  # fmt: skip
    others = {
        "sessions": "/", "propose": "/propose", "weeks": "/weeks", "away": "/?shown=away", "moves": "/moves",
        "people": "/people", "person": "/people/1", "rooms": "/rooms", "measured": "/rooms/1",
        "move": "/moves/squat?rung=base&lever=%7B%22range%22%3A%201.25%7D", "none": "/nowhere",
        "help": "/help", "help page": "/help/rules", "help with pictures": "/help/studio",
    }  # fmt: skip
    return {name: base + path for name, path in (within | others).items()}


def opened(page: Any, name: str, address: str) -> None:
    page.goto(address)
    if name == "move":
        page.wait_for_selector("ol.ladder")
        page.wait_for_selector("text=repetition for repetition")


def test_no_screen_is_wider_than_its_device_or_too_small_to_touch(shared_page: Any, screens: dict[str, str]) -> None:
    for name, address in screens.items():
        opened(shared_page, name, address)
        for width in (360, 768, 1440):
            shared_page.set_viewport_size({"width": width, "height": 800})
            assert shared_page.evaluate("document.documentElement.scrollWidth") <= width, (name, width)
            assert shared_page.evaluate(SMALL, LEAST_PX) == [], (name, width)


@pytest.mark.parametrize("theme", ["light", pytest.param("dark", marks=pytest.mark.slow)])
def test_axe_finds_nothing_on_any_screen(shared_page: Any, screens: dict[str, str], theme: str) -> None:
    shared_page.emulate_media(color_scheme=theme)
    wrong = []
    for name, address in screens.items():
        opened(shared_page, name, address)
        found = Axe().run(shared_page, options=RULES).response["violations"]
        wrong += [(name, each["id"], node["target"]) for each in found for node in each["nodes"]]
    assert not wrong


def test_a_rung_is_built_by_keys_alone(shared_page: Any, screens: dict[str, str]) -> None:
    shared_page.goto(screens["moves"])
    shared_page.get_by_role("link", name="Squat", exact=True).focus()
    shared_page.keyboard.press("Enter")
    shared_page.wait_for_selector("ol.ladder")
    shared_page.get_by_label("Add a lever").focus()
    shared_page.keyboard.type("125")  # a select goes to what is typed
    shared_page.keyboard.press("Tab")
    shared_page.keyboard.press("Enter")
    shared_page.wait_for_selector("#own-name")
    for field, words in (("#own-name", "Deeper"), ("#own-test", "Ten without a wobble?")):
        shared_page.locator(field).focus()
        shared_page.keyboard.press("Control+A")
        shared_page.keyboard.type(words)
    shared_page.keyboard.press("Tab")
    shared_page.keyboard.press("Enter")
    shared_page.wait_for_selector("#own >> text=Deeper")


def test_print_leaves_out_what_paper_cannot_do(shared_page: Any, screens: dict[str, str]) -> None:
    shared_page.goto(screens["write"])
    shared_page.emulate_media(media="print")
    for gone in (".top nav", ".within", ".foot", ".order", ".panel"):
        assert shared_page.locator(gone).count() == 0 or not shared_page.locator(gone).first.is_visible(), gone
    assert shared_page.locator("button.cell").first.is_visible()
