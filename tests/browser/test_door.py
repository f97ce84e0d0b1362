"""The door's page in a browser: ticks lead to another version, one caution is one tick, and clearing brings it back."""

import re
from pathlib import Path
from typing import Any

from everyrung import load_plan
from everyrung.moves.library import standard_library
from everyrung.plan.resolve import resolve
from everyrung.publish.door import door, write_door

PLAN = Path(__file__).parents[2] / "examples" / "bare-floor-30.toml"


def test_a_tick_shows_another_way_and_clearing_takes_it_back(chromium: Any, tmp_path: Path) -> None:
    html, _ = write_door(door(resolve(load_plan(PLAN), standard_library()), standard_library(), None), tmp_path)
    page = chromium.new_context().new_page()
    page.goto(html.as_uri())
    page.get_by_text("All as led.").wait_for()  # the script has run
    boxes = page.locator("input[value='getting down to the floor']")
    boxes.first.check()
    page.get_by_text(re.compile(r"[1-9]\d* of \d+ sets in another version\.")).wait_for()
    assert all(each.is_checked() for each in boxes.all())
    assert not page.locator("#shown").is_visible()  # what is avoided is shown to the leader only when one agrees
    page.locator("#consent").check()
    page.get_by_text("Avoids: getting down to the floor.").wait_for()
    page.get_by_role("button", name="Clear all ticks").click()
    assert not page.locator("#shown").is_visible()
    page.get_by_text("All as led.").wait_for()
    assert not page.locator("input:checked").count()
    page.get_by_label("I am here for the first time").check()
    page.get_by_text(re.compile(r"[1-9]\d* of \d+ sets in another version\.")).wait_for()
    page.locator("#consent").check()
    page.get_by_text("First time. Avoids nothing.").wait_for()
