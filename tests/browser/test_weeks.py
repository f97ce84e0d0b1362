"""From a brief to week three with answers, by keys; readable on a telephone, in both themes; nothing for axe."""

import os
import sqlite3
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from waits import live

from everyrung.blocks.block_file import PLANNED
from everyrung.store.digest import digest

TODAY = date.today()
MONDAY = TODAY - timedelta(days=TODAY.weekday())
FIRST = MONDAY - timedelta(days=14)  # so that it is week three now
WIDTHS = (360, 390, 768, 1280, 1440)
PLAN = Path(__file__).parents[2] / "examples" / "boathouse-30.toml"


def looks(page: Any, name: str) -> None:
    """Nothing for axe in either theme, nothing wider than any device."""
    for theme in ("light", "dark"):
        page.emulate_media(color_scheme=theme)
        assert Axe().run(page).response["violations"] == [], (name, theme)
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 900})
        assert page.evaluate("document.documentElement.scrollWidth") <= width, (name, width)
        if folder := os.environ.get("EVERYRUNG_PICTURES"):
            page.screenshot(path=f"{folder}/weeks-{name}-{width}.png", full_page=True)
    page.emulate_media(color_scheme="light")
    page.set_viewport_size({"width": 1280, "height": 900})


def fill_by_keys(page: Any, weeks: int) -> None:
    """The form, field by field; a select goes to what is typed."""
    words = {
        "title": "Winter block", "brief": "25 min whole body, dumbbells 4 to 10 kg", "brief-1": "25 min, no floor",
    }  # fmt: skip
    for name, text in words.items():
        page.locator(f"#block-{name}").focus()
        page.keyboard.press("Control+A")
        page.keyboard.type(text)
    page.locator("#block-first").fill(FIRST.isoformat())  # how a date is typed depends on the browser's language
    page.locator("#block-weeks").fill(str(weeks))
    page.locator("#block-starts-1").fill("18:30")
    for at, weekday in enumerate(("Monday", "Thursday")):
        page.locator(f"#block-day-{at}").focus()
        page.keyboard.type(weekday)


def test_a_block_is_asked_for_by_keys_alone_and_stopped(shared_page: Any, shared: Any) -> None:
    page, base = shared_page, shared.address
    page.goto(f"{base}/weeks")
    live(page)
    looks(page, "form")
    fill_by_keys(page, 6)
    page.get_by_role("button", name="Plan the block").focus()
    page.keyboard.press("Enter")
    page.wait_for_url("**/weeks/*")
    live(page)
    page.locator("#stop").focus()
    page.keyboard.press("Enter")
    page.get_by_text("Stopped.").wait_for()
    page.get_by_role("button", name="Discard this block").click()
    page.wait_for_url("**/weeks")


def a_kept_block(served: Any) -> str:
    """A block of two evenings in the studio's database, as if it had been planned and kept; its key."""
    days = [FIRST, FIRST + timedelta(days=3)]
    text = PLAN.read_text(encoding="utf-8")
    lines = ['title = "Winter block"', f"first = {FIRST}", "weeks = 4", 'brief = "30 min"']
    lines += ["[[weekly]]", 'day = "Monday"', 'starts = "18:30"', "[[weekly]]", 'day = "Thursday"', 'starts = "18:30"']
    lines += ["", PLANNED]
    for on in days:
        lines += ["[[evening]]", f"on = {on}", 'kind = "build"', 'change = "The moves are learned."']
        lines += [f'file = "{on}.toml"', f'digest = "{digest(text)}"', "at = {}"]
    with sqlite3.connect(served.home / "studio.sqlite") as database:
        row = ("b1", "Winter block", "\n".join(lines), "", TODAY.isoformat(), "", "", 1)
        database.execute("INSERT INTO block VALUES (?, ?, ?, ?, ?, ?, ?, ?)", row)
        for on in days:
            database.execute("INSERT INTO block_evening VALUES (?, ?, ?, ?)", ("b1", on.isoformat(), text, None))
    return "b1"


def test_a_block_that_is_kept_is_drawn_and_its_evenings_opened(shared_page: Any, shared: Any) -> None:
    page, base = shared_page, shared.address
    page.goto(f"{base}/weeks/{a_kept_block(shared)}")
    live(page)
    page.locator("#sheet svg").wait_for()
    looks(page, "kept")
    page.locator(f"#evening-{FIRST}").get_by_role("button", name="Open").focus()
    page.keyboard.press("Enter")
    page.wait_for_selector("#desk")
    page.go_back()
    live(page)
    page.reload()
    page.locator(f"#evening-{FIRST}").get_by_role("link", name="Answers").click()
    page.wait_for_url(f"**/answers?on={FIRST}")


@pytest.mark.slow
def test_from_a_brief_to_week_three_with_answers(own_page: Any) -> None:
    """Planned, kept, led twice with answers, an evening by hand, one missed, and the cards of the evening to come."""
    page, base = own_page, own_page.url.rstrip("/")
    page.goto(f"{base}/people")
    live(page)
    sheet = "name,stature,sex,level\nWilma,165 cm,female,regular\nOdd,180 cm,male,regular\n"
    page.locator("#people-file").set_input_files(
        {"name": "people.csv", "mimeType": "text/csv", "buffer": sheet.encode()}
    )
    page.get_by_role("button", name="Bring it in").click()
    page.get_by_text("2 added").wait_for()
    page.goto(f"{base}/weeks")
    live(page)
    fill_by_keys(page, 4)
    page.get_by_role("button", name="Plan the block").click()
    block = keep(page)
    page.locator("#sheet svg").wait_for()
    for week in (0, 1):  # two Mondays of answers: four left for both
        answer(page, block, FIRST + timedelta(days=7 * week))
    page.goto(block)
    live(page)
    page.locator("#sheet svg").wait_for()
    assert page.locator("#sheet svg").get_by_text("Wilma").count()
    hand = FIRST + timedelta(days=17)  # Thursday of week three
    page.locator(f"#evening-{hand}").get_by_role("button", name="Open").click()
    page.wait_for_selector("#desk")
    session = page.url.split("?")[0]
    page.goto(f"{session}/text")
    live(page)
    page.locator("textarea").first.focus()
    page.keyboard.press("Control+Home")
    page.keyboard.type("# mine\n")
    page.get_by_role("button", name="Save", exact=False).first.click()
    page.wait_for_selector("#desk")
    page.goto(block)
    live(page)
    page.get_by_role("button", name="Plan the others around it").click()
    keep(page)
    assert "Changed by hand" in page.locator(f"#evening-{hand}").inner_text()
    missed = FIRST + timedelta(days=21)  # Monday of week four
    page.locator(f"#evening-{missed} summary").click()
    page.get_by_role("button", name="was missed: plan what comes after").click()
    keep(page)
    assert page.locator(f"#evening-{missed}").count() == 0
    page.locator("#cards-week").select_option("3")
    page.get_by_role("button", name="Make the cards").click()
    links = page.get_by_role("link", name="Card of Wilma, as plain text")
    links.nth(1).wait_for(timeout=600_000)
    card = page.request.get(f"{base}{links.first.get_attribute('href')}").text()
    assert "Since last time" in card


def keep(page: Any) -> str:
    """Waits for what is proposed and keeps it; the block's address."""
    page.locator("#keep").wait_for(timeout=600_000)
    looks(page, "proposed")
    page.locator("#keep").click()
    page.get_by_text("Evening by evening").wait_for()
    live(page)
    return str(page.url)


def answer(page: Any, block: str, on: date) -> None:
    """A tap for each after the last set of an evening."""
    page.goto(block)
    live(page)
    page.locator(f"#evening-{on}").get_by_role("button", name="Open").click()
    page.wait_for_selector("#desk")
    page.goto(f"{page.url.split('?')[0]}/answers?on={on}")
    live(page)
    for name in ("Wilma", "Odd"):
        page.get_by_role("group", name=name, exact=True).get_by_role("radio", name="4", exact=True).check()
    page.get_by_role("button", name="Keep the answers").click()
    page.get_by_text("2 answers kept").wait_for()
