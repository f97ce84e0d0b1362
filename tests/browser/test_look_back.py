"""Looking back on an evening, by keys alone: brought in, laid on its plan, taken into the next one; nothing for axe."""

import os
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from axe_playwright_python.sync_playwright import Axe
from led_evening import WALL, otherwise, sets
from test_every_screen import LEAST_PX, SMALL
from waits import live, until

from everyrung.lookback.stage_log import stage_log_text

WIDTHS = (360, 390, 768, 1280, 1440)
SHEET = "name;left;pain;comment\nWilma;2,5;yes, knee;heavy\nBirger;1;no;\n"


def looks(page: Any, name: str) -> None:
    """Nothing for axe in either theme, nothing wider than any device."""
    for theme in ("dark", "light"):
        page.emulate_media(color_scheme=theme)
        assert Axe().run(page).response["violations"] == [], (name, theme)
        if folder := os.environ.get("EVERYRUNG_PICTURES"):
            page.screenshot(path=f"{folder}/look-back-{name}-{theme}.png", full_page=True)
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 844})
        assert page.evaluate("document.documentElement.scrollWidth") <= width, (name, width)
        assert page.evaluate(SMALL, LEAST_PX) == [], (name, width)
        if folder := os.environ.get("EVERYRUNG_PICTURES"):
            page.screenshot(path=f"{folder}/look-back-{name}-{width}.png", full_page=True)
    page.set_viewport_size({"width": 1280, "height": 844})


def heart_file() -> str:
    """Of a watch that had no contact for two minutes."""
    began = datetime.fromtimestamp(WALL / 1000, UTC)
    points = "".join(
        f"<trkpt><time>{began + timedelta(seconds=5 * at):%Y-%m-%dT%H:%M:%SZ}</time>"
        f"<extensions><hr>{0 if 100 < at < 124 else 95 + at % 30}</hr></extensions></trkpt>"
        for at in range(330)
    )
    return f"<gpx><trk><trkseg>{points}</trkseg></trk></gpx>"


def talk() -> str:
    lines = sorted((each.at_ms // 1000 + 30, f"next {each.name}") for each in sets())
    return "\n".join(f"[{at // 60}:{at % 60:02d}] {words}" for at, words in lines)


def bring(page: Any, field: str, name: str, content: str, button: str) -> None:
    """A file chosen, its button pressed by key."""
    page.locator(field).set_input_files({"name": name, "mimeType": "text/plain", "buffer": content.encode()})
    page.locator(f"form:has({field})").get_by_role("button", name=button).focus()
    page.keyboard.press("Enter")
    page.locator(".notice[role=status]").wait_for()
    live(page)


def recording_of(page: Any, path: Path) -> None:
    """Of an evening led without the stage: the path of a recording, or of its folder, brought in by key."""
    base = page.url.rstrip("/")
    live(page)
    session = page.get_by_role("link", name="Boathouse thirty", exact=False).first.get_attribute("href")
    page.goto(f"{base}{session}/led")
    live(page)
    page.locator("#when").fill("2026-11-23T18:30")
    page.get_by_role("button", name="Look back on it").click()
    page.locator("#recording-path").wait_for()
    live(page)
    page.locator("#recording-path").fill(str(path))
    page.keyboard.press("Enter")


def test_an_evening_is_looked_back_on_by_keys_alone(own_page: Any) -> None:
    page = own_page
    base = page.url.rstrip("/")
    live(page)
    token = page.evaluate("JSON.parse(document.body.getAttribute('hx-headers'))['X-Token']")
    page.goto(f"{base}/people")
    live(page)
    page.locator("#people-file").set_input_files(
        {"name": "people.csv", "mimeType": "text/csv", "buffer": b"name,stature\nWilma,165 cm\n"}
    )
    page.get_by_role("button", name="Bring it in").click()
    page.get_by_text("1 added").wait_for()
    page.goto(base)
    session = page.get_by_role("link", name="Boathouse thirty", exact=False).first.get_attribute("href")
    form = {"id": "an-evening", "revision": "1", "log": stage_log_text(otherwise()), "token": token}
    assert page.request.post(f"{base}{session}/log", form=form).status == 204
    page.goto(f"{base}{session}/led")
    live(page)
    looks(page, "list")
    page.locator("tbody a").first.focus()
    page.keyboard.press("Enter")
    page.wait_for_url("**/led/an-evening")
    live(page)
    bring(page, "#transcript-file", "talk.txt", talk(), "Bring it in")
    bring(page, "#heart-file", "w.gpx", heart_file(), "Bring it in")
    bring(page, "#answers-file", "form.csv", SHEET, "Write them down")
    page.get_by_text("PAIN", exact=False).first.wait_for()
    page.get_by_text("Not matched. Line 3", exact=False).wait_for()
    page.locator("#take-1").wait_for()
    assert page.locator("svg.score .not-done").count() >= 4
    assert page.locator("svg.score .debt.open").count() >= 1
    assert page.locator("svg.score .heart .rate").count() >= 3
    looks(page, "whole")
    page.locator("#take-1").focus()
    page.keyboard.press("Enter")
    page.locator("#undo-taken").wait_for()
    assert page.request.get(f"{base}{session}/head").text() == "2"
    live(page)
    page.locator("#undo-taken").focus()
    page.keyboard.press("Enter")
    page.get_by_text("Undone", exact=False).wait_for()
    page.locator("#take-1").wait_for()
    report = page.request.get(f"{page.url.split('#')[0].split('?')[0]}/review.pdf")
    assert report.body().startswith(b"%PDF")


def test_a_long_recording_is_listened_to_with_progress_and_stopped(own_page: Any, tmp_path: Path) -> None:
    """Two hours of silence as a plain sound file: written here, so that its length is known."""
    import wave

    path = tmp_path / "silence.wav"
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(1)
        file.setframerate(8000)
        for _ in range(120):
            file.writeframes(b"\x80" * 8000 * 60)
    page = own_page
    recording_of(page, tmp_path)
    chosen = page.get_by_role("button", name="Listen to silence.wav")
    chosen.wait_for()
    looks(page, "recordings")
    chosen.focus()
    page.keyboard.press("Enter")
    page.get_by_text("Minutes of the recording", exact=False).wait_for()
    until(page, "document.querySelector('#review progress')?.max === 120")
    page.locator("#stop").focus()
    page.keyboard.press("Enter")
    page.get_by_text("Stopped.").wait_for()
    page.locator("#overlay").wait_for()
    looks(page, "film")
    assert page.locator("#recording-path").input_value() == str(tmp_path)
