"""From a few words to a session to edit: by keys alone, stopped at will, readable on a telephone, nothing for axe."""

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from waits import live

WORDS = "20 minutes, push and pull, two 2.5 kg"
LONG = "45 minutes, hard, push and pull and legs, two 2.5 kg"  # looked for more than a minute
MOST_ACTIONS = 12  # of the client's own: from nothing to a clean session, by proposal


def test_a_search_is_begun_and_stopped_by_keys_alone(shared_page: Any) -> None:
    page = shared_page
    page.goto(page.url.split("/session")[0])
    page.locator("#say").focus()
    page.keyboard.type(LONG)
    page.keyboard.press("Enter")
    page.wait_for_url("**/propose?**")
    live(page)
    assert "45 minutes, hard; for " in page.locator("#proposals").inner_text()
    with page.expect_request("**/propose/progress?**"):  # an answer is on its way while Stop is pressed
        pass
    page.evaluate("document.querySelector('#stop').focus()")
    page.keyboard.press("Enter")
    page.get_by_text("Stopped.").wait_for()
    page.get_by_role("link", name="Keep looking").wait_for()


def test_what_is_understood_comes_as_one_types(shared_page: Any) -> None:
    page = shared_page
    page.goto(f"{page.url.split('/propose')[0].rstrip('/')}/propose")
    live(page)
    page.locator("#brief-say").focus()
    page.keyboard.type("half an hour of legs, moonlight")
    page.locator("#understood").get_by_text("Not understood, and left out: moonlight.").wait_for()
    assert page.locator("#brief-say").input_value() == "half an hour of legs, moonlight"


@pytest.mark.slow
def test_from_nothing_to_a_clean_session_by_proposal(own_page: Any) -> None:
    """The job as a coach does it, every key press and click counted."""
    page, actions = own_page, 0
    page.locator("#say").fill(WORDS)
    page.keyboard.press("Enter")
    actions += 2
    page.wait_for_selector("#proposal-3", timeout=300_000)
    for theme in ("light", "dark"):
        page.emulate_media(color_scheme=theme)
        assert Axe().run(page).response["violations"] == []
    for width in (360, 390, 768, 1280, 1440):
        page.set_viewport_size({"width": width, "height": 900})
        assert page.evaluate("document.documentElement.scrollWidth") <= width, width
    page.locator("#take-1").click()
    actions += 1
    page.wait_for_selector("#desk")
    assert page.locator(".finding.is-error, .finding.is-warning").count() == 0
    page.go_back()
    page.wait_for_selector("#proposal-3")
    assert actions <= MOST_ACTIONS
