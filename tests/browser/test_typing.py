"""Nothing typed is lost: letters arrive whole while the background answers, and while another edit is answered."""

import re
from collections.abc import Callable, Iterator
from itertools import count
from typing import Any

import pytest
from waits import live, until, until_there

TEXT = "The quick heron lifts one foot, waits, and sets it down without a sound; nobody in the boathouse looks up. "
FIELDS = "input:not([type=hidden], [type=checkbox], [type=radio], [type=file], [type=datetime-local]), textarea"
SQUAT = "button.cell[data-ref='Main/Two/squat']"
PENDING = """`<div id="status" aria-live="polite" hx-get="${location.pathname}/computed?base=${
    document.querySelector('#base').value}&amp;seen=" hx-trigger="load delay:700ms, again" hx-swap="outerHTML">
</div>`"""
# Not while the one that is there is being answered: its answer would look for the page's parts from outside the page.
SET_PENDING = """html => {
    const status = document.querySelector('#status');
    if (status.matches('.htmx-request')) return false;
    status.outerHTML = html;
    htmx.process(document.querySelector('#status'));
    return true;
}"""
KEY_MS = 30  # a fast typist's keys; the brief's pace
EDIT_MS = 1500  # an edit is answered by then, if it is sent at all


@pytest.fixture
def write(shared_page: Any, shared: Any) -> Iterator[Any]:
    """A new session on the Write screen, whose background never ends and answers in full every second time."""
    page = shared_page
    page.goto(shared.address)
    page.get_by_label("From").select_option("boathouse-30")
    page.get_by_role("button", name="Start it").click()
    page.wait_for_selector("#desk")
    live(page)
    pending = page.evaluate(PENDING)  # its own, for a background that another test began may have ended by now
    until(page, SET_PENDING, pending)
    asked = count()

    def answer(route: Any) -> None:
        again = re.sub(r"base=\d+", f"base={page.locator('#base').input_value()}", pending)
        if next(asked) % 2:
            route.fulfill(body=again, content_type="text/html")
            return
        found = route.fetch(url=re.sub(r"seen=\w*", "seen=other", route.request.url))
        route.fulfill(response=found, body=re.sub(r'<div id="status".*?\n</div>', again, found.text(), flags=re.DOTALL))

    page.route("**/computed?*", answer)
    yield page
    page.unroute_all(behavior="ignoreErrors")


def typed(page: Any, field: Any, text: str, key_ms: int = KEY_MS) -> str:
    """What stands in a field after `text` was typed into it, emptied before."""
    field.focus()
    page.keyboard.press("Control+A")
    page.keyboard.press("Delete")
    page.keyboard.type(text, delay=key_ms)
    return str(field.input_value())


@pytest.mark.parametrize("name", ["For a coach who stands in", "What you say first, a sentence a line"])
def test_letters_typed_while_the_background_answers_all_arrive(name: str, write: Any) -> None:
    write.locator(SQUAT).click()
    write.wait_for_selector("ol.ladder")
    write.evaluate("for (const each of document.querySelectorAll('details:not(.menu)')) each.open = true")
    field = write.get_by_label(name).first
    if not field.is_visible():
        write.get_by_text("Change this part").first.click()
    assert typed(write, field, TEXT[:70]) == TEXT[:70]


@pytest.mark.parametrize("moves", [True, pytest.param(False, marks=pytest.mark.slow)], ids=["moved", "put back"])
def test_letters_typed_while_another_fields_edit_is_answered_all_arrive_and_are_saved(moves: bool, write: Any) -> None:
    if not moves:  # browsers that can't move a node without taking it out first
        write.evaluate("delete Element.prototype.moveBefore")
    write.locator(SQUAT).click()
    write.wait_for_selector("ol.ladder")
    write.get_by_text("Name, entry test, note, sides").click()
    write.get_by_label("Name of this rung").fill("A squat like a heron")
    note = write.get_by_label("Note to yourself")
    assert typed(write, note, TEXT[:60], key_ms=15) == TEXT[:60]
    write.wait_for_selector("text=Saved, version 2")
    assert note.input_value() == TEXT[:60]
    write.locator(SQUAT).focus()
    write.wait_for_selector("text=Saved, version 3")
    write.reload()
    write.locator(SQUAT).click()
    write.get_by_text("Name, entry test, note, sides").click()
    assert write.get_by_label("Note to yourself").input_value() == TEXT[:60].strip()
    assert write.get_by_label("Name of this rung").input_value() == "A squat like a heron"


@pytest.mark.parametrize("answered", ["amid the letters", "before them"])
def test_a_refusal_does_not_pull_the_letters_into_another_field(answered: str, write: Any) -> None:
    write.locator(SQUAT).click()
    write.wait_for_selector("ol.ladder")
    panel = write.locator("#panel")
    panel.get_by_label("Dose").fill("banana")
    panel.get_by_label("Dose").press("Tab")
    load = panel.get_by_label("Load")
    if answered == "before them":
        write.wait_for_selector("#trouble .notice")
    write.keyboard.type("2 x 10 lb, as light as feathers", delay=15)
    write.wait_for_selector("#trouble .notice")
    write.keyboard.type(" and rowing", delay=15)
    assert load.input_value() == "2 x 10 lb, as light as feathers and rowing"
    assert panel.get_by_label("Dose").input_value() == "banana"


def test_kit_just_added_is_seen_at_once_and_its_form_is_empty_again(write: Any) -> None:
    write.get_by_text("About this session").click()
    write.get_by_label("What", exact=True).select_option("step")
    write.get_by_label("How many in the room").fill("7")
    write.get_by_role("button", name="Add it").click()
    write.wait_for_selector("#kit-list >> text=7 × step")
    assert write.get_by_label("How many in the room").input_value() == ""
    assert write.locator("#kit-list >> text=7 × step").count() == 1


def test_an_open_menu_closes_when_one_goes_elsewhere(write: Any) -> None:
    menu = write.locator("details.menu").filter(has=write.get_by_label("Change round Two"))
    menu.locator("summary").click()
    write.locator(SQUAT).focus()
    assert menu.get_attribute("open") is None
    menu.locator("summary").click()
    write.keyboard.press("Escape")
    assert menu.get_attribute("open") is None


def test_an_edit_above_the_grid_waits_for_the_background_s_answer_and_both_arrive(write: Any) -> None:
    """Else the answer would come for a part that the edit has replaced, and no press after it would count."""
    asked: list[Any] = []
    write.route("**/computed?*", lambda route: route.continue_() if asked else asked.append(route))
    until_there(write, asked)
    answer = asked[0].fetch(url=re.sub(r"seen=\w*", "seen=other", asked[0].request.url))
    write.get_by_text("About this session").click()
    write.get_by_label("In the room", exact=True).fill("9")
    write.get_by_label("In the room", exact=True).press("Tab")
    write.wait_for_timeout(EDIT_MS)
    asked[0].fulfill(response=answer)
    write.wait_for_selector("text=Saved, version 2")
    write.locator(SQUAT).click()
    write.wait_for_selector("ol.ladder")


def _every_field(page: Any, wrong: dict[str, str], where: str) -> int:
    page.evaluate("for (const each of document.querySelectorAll('details:not(.menu)')) each.open = true")
    names = page.locator(FIELDS).evaluate_all("fields => fields.map((each) => each.id)")
    for name in names:
        field = page.locator(f"[id='{name}']")
        if not field.is_visible():
            field.evaluate("field => { field.closest('details').open = true }")
        number = field.get_attribute("type") == "number" or field.get_attribute("inputmode") == "numeric"
        text = ("1234567890" * 20 if number else TEXT * 2)[: int(field.get_attribute("maxlength") or 200)]
        found = typed(page, field, text)
        if found != text:
            wrong[f"{where} {name}"] = found
        page.keyboard.press("Escape")
    return len(names)


@pytest.mark.slow
def test_200_letters_in_every_field_of_every_screen_arrive_while_bodies_are_computed(
    chromium: Any, served_anew: Any
) -> None:
    context = chromium.new_context(viewport={"width": 1280, "height": 900}, reduced_motion="reduce")
    page, served = context.new_page(), served_anew
    wrong: dict[str, str] = {}
    page.goto(served.address)
    page.get_by_label("From").select_option("whole-body-45")
    page.get_by_role("button", name="Start it").click()
    page.wait_for_selector("#status[hx-get]")
    at = page.url
    page.locator("button.cell[data-ref]").nth(8).click()
    page.wait_for_selector("ol.ladder")
    fields = _every_field(page, wrong, "Write")
    screens: dict[str, Callable[[str], str]] = {
        "Sessions": lambda _: served.address,
        "Rehearse": lambda at: f"{at}/rehearse?open=Main/Two/squat",
        "Publish": lambda at: f"{at}/publish?go=yes",
        "Text": lambda at: f"{at}/text",
        "People": lambda _: f"{served.address}/people",
        "Moves": lambda _: f"{served.address}/moves",
        "Move": lambda _: f"{served.address}/moves/squat",
        "Remote": lambda at: f"{at}/remote",
    }
    for name, address in screens.items():
        page.goto(address(at))
        fields += _every_field(page, wrong, name)
    assert fields > 40  # as many as there were when this was written
    assert wrong == {}
    context.close()


def test_plain_words_for_a_limit_lead_to_its_tick_and_are_gone(write: Any) -> None:
    write.get_by_text("About this session").click()
    said = write.get_by_label("Or in their own words")
    said.fill("sore knee")
    said.press("Tab")
    write.get_by_label("Sore knee: is a deep knee bend to be avoided?").check()
    write.wait_for_selector("text=Saved, version 2")
    assert said.input_value() == ""
    write.reload()
    write.get_by_text("About this session").click()
    assert write.get_by_label("avoids deep knee bend").is_checked()
