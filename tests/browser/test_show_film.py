"""The film of a show's recording, by keys alone: made with progress, taken; nothing for axe."""

from pathlib import Path
from typing import Any

import pytest
from test_look_back import looks, recording_of
from test_show_film_files import write_take
from waits import live


@pytest.mark.slow
def test_the_film_of_a_recording_is_made_and_taken_by_keys_alone(own_page: Any, tmp_path: Path) -> None:
    path = tmp_path / "take.mp4"
    write_take(path)
    page = own_page
    recording_of(page, path)
    page.locator("#overlay").wait_for()
    live(page)
    page.locator("#overlay").focus()
    page.keyboard.press("ArrowDown")
    page.get_by_role("button", name="Make them").focus()
    page.keyboard.press("Enter")
    page.locator("#stop-film").wait_for()
    link = page.get_by_role("link", name="overlay.mov")
    link.wait_for(timeout=240_000)
    looks(page, "film-made")
    with page.expect_download() as taken:
        link.focus()
        page.keyboard.press("Enter")
    assert Path(taken.value.path()).stat().st_size > 1_000
