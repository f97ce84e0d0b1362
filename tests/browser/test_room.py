"""The outline of a room drawn: by keys alone, and by a finger; what is drawn stands in the fields and is kept."""

from typing import Any


def test_the_outline_is_drawn_by_keys_and_by_a_pointer(shared_page: Any) -> None:
    base = shared_page.url.split("/", 3)
    shared_page.goto("/".join([*base[:3], "rooms"]))
    shared_page.get_by_label("From").select_option("crew-room")
    shared_page.get_by_role("button", name="Begin").click()
    shared_page.wait_for_selector(".handle")
    over = "document.elementFromPoint(...(({x, y, width, height}) => [x + width / 2, y + height / 2])"
    over += (
        "(document.querySelector('.drawn.leader circle').getBoundingClientRect())).parentElement.getAttribute('class')"
    )
    assert shared_page.evaluate(over) == "drawn leader"  # the floor does not lie over who stands on it
    outline = shared_page.locator("#outline")
    first = outline.input_value()
    corners = first.split(", ")

    shared_page.locator(".handle").nth(1).focus()
    shared_page.keyboard.press("Shift+ArrowRight")
    x, y = corners[1].split()
    assert outline.input_value().split(", ")[1] == f"{float(x) + 1:g} {y}"
    shared_page.keyboard.press("Insert")
    assert len(outline.input_value().split(", ")) == len(corners) + 1
    shared_page.keyboard.press("Delete")
    shared_page.keyboard.press("Shift+ArrowLeft")
    assert shared_page.locator("#at").inner_text().startswith(("Point 2", "Point 3"))

    shared_page.get_by_label("Move the points of").select_option(label="the leader")
    handle = shared_page.locator(".handle")
    before = shared_page.locator("#leader").input_value()
    box = handle.bounding_box()
    shared_page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    shared_page.mouse.down()
    shared_page.mouse.move(box["x"] - 20, box["y"] + 20, steps=4)
    shared_page.mouse.up()
    moved = shared_page.locator("#leader").input_value()
    assert moved != before
    shared_page.locator("#outline").fill(first)
    shared_page.get_by_role("button", name="Keep the room").click()
    shared_page.wait_for_selector("text=The room is kept")
    assert shared_page.locator("#leader").input_value() == moved
