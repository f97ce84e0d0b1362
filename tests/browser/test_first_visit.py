"""What a first visit brings: few requests, few bytes, and nothing large that nobody opened."""

from collections.abc import Iterator
from typing import Any

import pytest

MOST_REQUESTS, MOST_BYTES = 20, 500_000  # the client's own bounds for a first visit of Write
SHOWN = "[...document.querySelectorAll('img[data-figure]')].every((each) => each.complete && each.naturalWidth)"


class Visit:
    """A browser that was never here before, and what it is sent."""

    def __init__(self, chromium: Any) -> None:
        self.page = chromium.new_context(viewport={"width": 1280, "height": 900}).new_page()
        self.requests: list[Any] = []
        self.page.on("requestfinished", lambda request: self.requests.append(request))

    @property
    def size(self) -> int:
        return sum(each.sizes()["responseBodySize"] for each in self.requests)

    def asked_for(self, name: str) -> bool:
        return any(name in each.url for each in self.requests)


@pytest.fixture
def visit(chromium: Any) -> Iterator[Visit]:
    made = Visit(chromium)
    yield made
    made.page.context.close()


def shown(page: Any) -> None:
    """Waits for every picture."""
    for _ in range(600):
        if page.evaluate(SHOWN):
            return
        page.wait_for_timeout(100)
    raise AssertionError("pictures are missing")


def test_the_first_visit_of_write_is_small(chromium: Any, shared: Any, visit: Visit) -> None:
    before = chromium.new_context().new_page()  # so that the pictures have been drawn once
    before.goto(shared.address)
    before.get_by_role("link", name="Boathouse thirty: legs and shoulders").first.click()
    shown(before)
    visit.page.goto(before.url)
    before.context.close()
    shown(visit.page)
    assert visit.page.locator("img[data-figure]").count() > 20
    assert len(visit.requests) <= MOST_REQUESTS
    assert visit.size <= MOST_BYTES


def test_a_picture_of_a_rung_that_is_new_comes_too(shared: Any, visit: Visit) -> None:
    visit.page.goto(shared.address)
    visit.page.get_by_role("link", name="Boathouse thirty: legs and shoulders").first.click()
    visit.page.locator("button.cell[data-ref='Main/Two/squat']").click()
    visit.page.wait_for_selector("ol.ladder")
    shown(visit.page)


def test_the_script_for_walking_round_a_figure_comes_when_that_is_opened(shared: Any, visit: Visit) -> None:
    visit.page.goto(f"{shared.address}/moves/squat", wait_until="networkidle")
    assert visit.asked_for("figure.js")
    assert not visit.asked_for("three.module")
    visit.page.get_by_text("Seen from all sides").click()
    visit.page.wait_for_selector("canvas.orbit-canvas")
    assert visit.asked_for("three.module")
