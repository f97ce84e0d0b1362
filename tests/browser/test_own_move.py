"""A move of the coach's own in a real browser: a slider is moved, the figure follows, the move is kept and led."""

from typing import Any

from axe_playwright_python.sync_playwright import Axe
from waits import until


def test_a_slider_moves_the_figure_and_what_is_kept_is_among_the_moves(own_page: Any, served: Any) -> None:
    page = own_page
    page.goto(f"{served.address}/moves/squat/copy")
    picture = page.locator("#drawn svg")
    picture.wait_for()
    before = picture.inner_html()
    slider = page.get_by_label("Knee flexion, at full depth")
    slider.focus()
    for _ in range(5):
        page.keyboard.press("ArrowLeft")
    assert page.locator("output").nth(1).inner_text() == "95"
    until(page, "before => document.querySelector('#drawn svg')?.innerHTML !== before", before)
    assert page.locator("#drawn").get_by_text("Caution: deep knee bend.").is_visible()
    assert Axe().run(page).response["violations"] == []
    page.set_viewport_size({"width": 390, "height": 844})
    assert page.evaluate("document.documentElement.scrollWidth") <= 390

    page.get_by_label("Its name").fill("Squat")
    page.get_by_role("button", name="Save it with the moves").click()
    page.get_by_text("a name that no other move has").wait_for()
    assert page.get_by_label("Its name").input_value() == "Squat"
    assert page.get_by_label("Knee flexion, at full depth").input_value() == "95"  # nothing of it is lost

    page.get_by_label("Its name").fill("Lake squat")
    page.get_by_role("button", name="Save it with the moves").click()
    page.get_by_text("Lake squat is among the moves").wait_for()
    page.goto(f"{served.address}/moves")
    assert page.get_by_text("your move").is_visible()
