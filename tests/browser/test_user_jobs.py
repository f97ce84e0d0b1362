"""A coach's jobs in a finished session, done as she does them: each press and each field counted, the time said."""

import time
from typing import Any

import pytest
from waits import live

FEW = 12  # actions; of the client's own, for a job that a button does
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

    def done(self) -> None:
        seconds = time.monotonic() - self.begin_s
        print(f"\n{self.job}: {self.actions} actions, {seconds:.0f} s")
        assert self.actions <= FEW


@pytest.fixture
def demo(own_page: Any) -> Any:
    """The demo, opened, and ready for a press."""
    own_page.locator("a[href^='/session/']").first.click()
    own_page.wait_for_selector("#desk")
    live(own_page)
    assert own_page.locator(GRAVE).count() == 0
    return own_page


def take_first(hand: Hand) -> None:
    """The first way that is offered, as soon as it is; and until it is saved."""
    page = hand.page
    page.wait_for_selector("#way-1", timeout=300_000)
    hand.press(page.locator("#way-1"))
    page.wait_for_selector("text=Saved, version 2", timeout=300_000)


def test_a_move_is_swapped(demo: Any) -> None:
    hand = Hand(demo, "swap a move")
    hand.press(demo.locator("button.cell[data-ref='Main/One/curl']"))
    demo.wait_for_selector("#panel-head:focus")
    hand.press(demo.get_by_role("button", name="Another move in its place"))
    take_first(hand)
    assert demo.locator(GRAVE).count() == 0
    assert demo.locator("button.cell[data-ref='Main/One/curl']").count() == 0
    hand.done()


def test_it_is_cut_to_twenty_minutes(demo: Any) -> None:
    hand = Hand(demo, "cut to 20 minutes")
    hand.press(demo.get_by_text("Change it by one press"))
    hand.press(demo.get_by_role("button", name="Shorter lengths"))
    take_first(hand)
    assert demo.locator(".sum").inner_text().split("of ")[1].startswith("20:00")
    assert demo.locator(GRAVE).count() == 0
    hand.done()
