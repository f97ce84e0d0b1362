"""A coach's jobs, from nothing and in a finished session, done as she does them: each press and each field counted, the
time said.
"""

import time
from typing import Any

import pytest
from waits import live, until

FEW, MANY = 12, 60  # actions at most; of the client's own: for a job that a button does, and from nothing
GRAVE = ".finding.is-error, .finding.is-warning"
pytestmark = pytest.mark.slow  # each has a studio of its own, and waits for what is tried in the background


class Hand:
    """Presses and fills, and counts them; seconds are said, never judged."""

    def __init__(self, page: Any, job: str) -> None:
        self.page, self.job, self.actions, self.begin_s = page, job, 0, time.monotonic()

    def press(self, place: Any) -> None:
        place.click()
        self.actions += 1

    def fill(self, place: Any, words: str) -> None:
        place.fill(words)
        self.actions += 1

    def choose(self, place: Any, value: str) -> None:
        place.select_option(value)
        self.actions += 1

    def saved(self, place: Any) -> None:
        """A press that changes the session, until that is saved."""
        before = int(self.page.locator("#base").input_value())
        self.press(place)
        self.page.wait_for_selector(f"text=Saved, version {before + 1}", timeout=300_000)

    def done(self, most: int = FEW) -> None:
        seconds = time.monotonic() - self.begin_s
        print(f"\n{self.job}: {self.actions} actions, {seconds:.0f} s")
        assert self.actions <= most


def grave(page: Any) -> set[str]:
    """What is wrong, once bodies and people are computed too."""
    page.wait_for_selector("text=can finish every set", timeout=300_000)
    return {each.split("\n")[0] for each in page.locator(GRAVE).all_inner_texts()}


@pytest.fixture
def demo(own_page: Any) -> Any:
    """The demo, opened, and ready for a press; its page keeps what is wrong with it from the start."""
    own_page.locator("a[href^='/session/']").first.click()
    own_page.wait_for_selector("#desk")
    live(own_page)
    own_page.wrong = grave(own_page)
    return own_page


def take_first(hand: Hand) -> bool:
    """The first way that bodies and people find nothing new in, else the first; until it is saved. Whether it was said
    beforehand that something new is found.
    """
    page = hand.page
    page.wait_for_selector("#offers:not([hx-get]) #way-1", timeout=300_000)
    clean = page.locator(".ways > li:not(:has(.brings)) > button")
    hand.press(clean.first if clean.count() else page.locator("#way-1"))
    is_told = not clean.count()
    page.wait_for_selector("text=Saved, version 2", timeout=300_000)
    return is_told


def test_a_move_is_swapped(demo: Any) -> None:
    hand = Hand(demo, "swap a move")
    hand.press(demo.locator("button.cell[data-ref='Main/One/curl']"))
    demo.wait_for_selector("#panel-head:focus")
    hand.press(demo.get_by_role("button", name="Another move in its place"))
    is_told = take_first(hand)
    assert demo.locator("button.cell[data-ref='Main/One/curl']").count() == 0
    hand.done()
    assert not is_told
    assert grave(demo) <= demo.wrong


def test_it_is_cut_to_twenty_minutes(demo: Any) -> None:
    hand = Hand(demo, "cut to 20 minutes")
    hand.press(demo.get_by_text("Change it by one press"))
    hand.press(demo.get_by_role("button", name="Shorter lengths"))
    is_told = take_first(hand)
    assert demo.locator(".sum").inner_text().split("of ")[1].startswith("20:00")
    hand.done()
    assert bool(grave(demo) - demo.wrong) == is_told  # two rounds are light for many, which is said beforehand


def way(hand: Hand, *places: Any) -> None:
    """Presses up to the first way that is offered, that one too, until it is saved."""
    for place in places:
        hand.press(place)
    hand.page.wait_for_selector("#way-1", timeout=300_000)
    hand.saved(hand.page.locator("#way-1"))


def begun(hand: Hand, minutes: int) -> None:
    """An empty session of so many minutes."""
    page = hand.page
    hand.choose(page.get_by_label("From"), "empty")
    hand.press(page.get_by_role("button", name="Start it"))
    page.wait_for_selector("#desk")
    live(page)
    hand.press(page.get_by_text("About this session"))
    hand.fill(page.get_by_label("Slot, minutes"), str(minutes))
    hand.saved(page.get_by_text("About this session"))


def add(hand: Hand, move: str) -> None:
    """A move found by its name, its picture pressed."""
    page = hand.page
    hand.press(page.get_by_role("button", name="Add a move to Main"))
    page.wait_for_selector("#panel-head:focus")  # its script knows the new fields then
    called = page.get_by_label("Called")
    hand.fill(called, move)
    with page.expect_response("**/choose?*words=*"):
        called.press("Enter")
    until(page, "!document.querySelector('.htmx-request')")  # a field that is typed in is left as it is
    hand.saved(page.locator("#panel .pictured button", has=page.get_by_text(move, exact=True)).first)


def menu(page: Any) -> Any:
    return page.get_by_text("Change it by one press")


@pytest.mark.parametrize(
    ("minutes", "moves", "rounds"),
    [
        (20, ("Bent-over row", "Push-up", "Hip hinge", "Calf raise"), ("Two", "Three")),
        (25, ("Push-up", "Shadow row", "Dead bug", "Reverse lunge", "Bridge"), ("Two",)),
    ],
)
def test_a_session_is_written_from_nothing(
    own_page: Any, minutes: int, moves: tuple[str, ...], rounds: tuple[str, ...]
) -> None:
    page, hand = own_page, Hand(own_page, f"{minutes} minutes from nothing")
    begun(hand, minutes)
    for move in moves:
        add(hand, move)
    hand.saved(page.get_by_role("button", name="Add a warm-up"))
    hand.saved(page.get_by_role("button", name="Add a cool-down"))
    hand.saved(page.get_by_role("button", name="Add an announcement"))
    main = page.locator("section.block", has=page.get_by_role("heading", name="Main", exact=True))
    hand.press(main.locator(".part > summary"))  # stays open from then on
    for _ in rounds:
        hand.saved(page.get_by_role("button", name="Add a round"))
    for name in rounds:
        harder = page.locator("tr", has=page.get_by_label(f"Change round {name}"))
        way(hand, page.get_by_label(f"Change round {name}"), harder.get_by_role("button", name="Make it a step harder"))
    way(hand, menu(page), page.get_by_role("button", name="Mend all that can be mended"))
    hand.press(menu(page))
    hand.fill(page.get_by_label("Fit to minutes"), str(minutes))
    way(hand, page.get_by_role("button", name="Fit it"))
    assert page.locator(GRAVE).count() == 0
    total, slot = page.locator(".sum").inner_text().split(" of ")[0], f"{minutes}:00"
    assert total <= slot
    hand.done(MANY)


def test_a_proposal_is_taken(own_page: Any) -> None:
    page, hand = own_page, Hand(own_page, "by proposal")
    hand.fill(page.locator("#say"), "20 minutes, push and pull, two 2.5 kg")
    hand.page.keyboard.press("Enter")
    hand.actions += 1
    page.wait_for_selector("#take-1", timeout=300_000)
    hand.press(page.locator("#take-1"))
    page.wait_for_selector("#desk")
    assert page.locator(GRAVE).count() == 0
    hand.done()
