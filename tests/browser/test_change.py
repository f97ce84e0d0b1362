"""A change by one press, by keys alone: asked for, tried, done, and undone by the next press."""

from typing import Any


def test_one_press_changes_it_and_the_next_undoes_it(shared_page: Any) -> None:
    page = shared_page
    page.goto(page.url.split("/session")[0])
    page.locator("#from").select_option("one-dumbbell-30")
    page.get_by_role("button", name="Start it").click()
    page.wait_for_selector("#desk")
    page.wait_for_function("window.htmx")
    menu = page.get_by_text("Change it by one press")
    menu.focus()
    page.keyboard.press("Enter")
    page.locator("#press-one-person-more").focus()
    page.keyboard.press("Enter")
    page.wait_for_selector("#way-1", timeout=120_000)
    assert "For 5 in the room." in page.locator("#offers").inner_text()
    for _ in range(20):  # one press may meet the part just when it comes anew
        if page.locator("#way-1").count():
            page.evaluate("document.querySelector('#way-1')?.focus()")
            page.keyboard.press("Enter")
        page.wait_for_timeout(500)
        if page.get_by_text("Saved, version 2").is_visible():
            break
    page.get_by_text("Saved, version 2").wait_for()
    page.wait_for_function("document.activeElement.id === 'undo'")
    assert page.locator("#offers").is_hidden()
    page.keyboard.press("Enter")
    page.get_by_text("Saved, version 1").wait_for()
