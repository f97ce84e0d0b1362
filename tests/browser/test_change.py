"""A change by one press: asked for, tried, done, undone by the next press; no press is lost, and none counts twice."""

from collections.abc import Iterator
from typing import Any

import pytest
from waits import live, until, until_there


@pytest.fixture
def offers(shared_page: Any) -> Iterator[Any]:
    """What is offered for one person more, asked for by keys alone, in a session just begun."""
    page = shared_page
    page.goto(page.url.split("/session")[0])
    page.locator("#from").select_option("first-evening-30")  # four in five of its demands are shipped
    page.get_by_role("button", name="Start it").click()
    page.wait_for_selector("#desk")
    live(page)
    menu = page.get_by_text("Change it by one press")
    menu.focus()
    page.keyboard.press("Enter")
    page.locator("#press-one-person-more").focus()
    page.keyboard.press("Enter")
    page.wait_for_selector("#way-1")
    yield page
    page.unroute_all(behavior="ignoreErrors")


def keep_asking(page: Any) -> None:
    """What is offered goes on to be asked for, whether its people are in or not."""
    page.evaluate("""() => {
        const offers = document.querySelector('#offers');
        htmx.trigger(offers, 'htmx:abort');  // what was asked already would come in its place, and ask no more
        offers.setAttribute('hx-get', `${location.pathname}/offers?kind=one+person+more&at=1`);
        offers.setAttribute('hx-trigger', 'load delay:100ms, again');
        offers.setAttribute('hx-swap', 'outerHTML');
        htmx.process(offers);
    }""")


def test_one_press_changes_it_and_the_next_undoes_it(offers: Any) -> None:
    page = offers
    assert "For 11 in the room." in page.locator("#offers").inner_text()
    page.locator("#way-1").focus()
    page.keyboard.press("Enter")
    page.get_by_text("Saved, version 2").wait_for()
    until(page, "document.activeElement.id === 'undo'")
    assert page.locator("#offers").is_hidden()
    page.keyboard.press("Enter")
    page.get_by_text("Saved, version 1").wait_for()


OVERLAP = """() => {
  const [offers, score] = ["offers", "score"].map((name) => document.getElementById(name).getBoundingClientRect());
  return Math.max(0, offers.bottom - score.top);
}"""


def test_what_is_offered_lies_under_nothing(offers: Any) -> None:
    """The score, which stays in sight at the bottom, once lay over the last ways of five."""
    page = offers
    page.set_viewport_size({"width": 1280, "height": 645})  # in less the score doesn't stay in sight anyway
    page.evaluate("document.querySelector('.ways').append(...Array.from({length: 4}, () => "
                  "document.querySelector('.ways > li').cloneNode(true)))")  # as where there are five  # fmt: skip
    assert page.evaluate("document.querySelector('#offers').getBoundingClientRect().bottom") > 500
    assert page.evaluate(OVERLAP) == 0
    page.locator("#offers-close").click()
    page.locator("#offers[hidden]").wait_for(state="attached")
    assert page.evaluate("getComputedStyle(document.querySelector('#score')).position") == "sticky"
    page.set_viewport_size({"width": 1280, "height": 900})


def test_a_press_counts_though_an_answer_replaces_its_button_before_its_turn(offers: Any) -> None:
    page = offers
    held: list[Any] = []
    page.route("**/offers?*", lambda route: route.continue_() if held else held.append(route))
    keep_asking(page)
    with page.expect_request("**/offers?*"):
        pass
    page.evaluate("document.querySelector('#way-1').click()")
    until_there(page, held)
    page.evaluate("window.before = document.querySelector('#way-1')")
    held[0].continue_()
    page.get_by_text("Saved, version 2").wait_for()
    assert not page.evaluate("document.contains(window.before)")


def test_three_presses_of_one_offer_change_it_once(offers: Any) -> None:
    page = offers
    for _ in range(3):
        page.evaluate("document.querySelector('#way-1').click()")
    page.get_by_text("Saved, version 2").wait_for()
    until(page, "!document.querySelector('.htmx-request')")
    assert page.locator("#base").input_value() == "2"
    assert page.locator("#offers").is_hidden()


def test_an_answer_does_not_take_the_button_from_under_the_finger(offers: Any) -> None:
    page = offers
    held: list[Any] = []
    answered: list[str] = []
    page.on("response", lambda each: answered.append(each.url) if "/offers?" in each.url else None)
    page.locator("#way-1").scroll_into_view_if_needed()
    page.locator("#way-1").hover()
    page.route("**/offers?*", lambda route: route.continue_() if held else held.append(route))
    keep_asking(page)
    until_there(page, held)
    page.mouse.down()
    held[0].continue_()
    until_there(page, answered)
    page.wait_for_timeout(200)
    page.mouse.up()
    page.get_by_text("Saved, version 2").wait_for()
