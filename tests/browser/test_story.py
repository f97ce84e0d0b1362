"""From a new session to a rehearsed one, as docs/studio.md tells it, and from a brief to a session, as docs/tutorial.md
does: every step is done here, every picture taken here.

`pytest tests/browser/test_story.py --pictures` writes the pictures anew; without it they are held against those there.
"""

import base64
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from waits import live

ROOT = Path(__file__).parents[2]
PICTURES = ROOT / "docs" / "pictures"
LAST = {"studio-8-people": "studio", "tutorial-3-session": "tutorial"}  # the last picture of a page
MOST_OFF = 0.04  # of full white, in the mean over a picture; chosen, because a moved column is more
pytestmark = pytest.mark.slow
DIFFERENCE = """async ([one, other]) => {
  const read = async (data) => {
    const image = new Image();
    image.src = `data:image/png;base64,${data}`;
    await image.decode();
    const canvas = Object.assign(document.createElement("canvas"), { width: image.width, height: image.height });
    const context = canvas.getContext("2d");
    context.drawImage(image, 0, 0);
    return context.getImageData(0, 0, image.width, image.height);
  };
  const [before, now] = [await read(one), await read(other)];
  if (before.width !== now.width || before.height !== now.height) return 1;
  let sum = 0;
  for (let at = 0; at < before.data.length; at++) sum += Math.abs(before.data[at] - now.data[at]);
  return sum / before.data.length / 255;
}"""


@pytest.fixture
def taken(request: pytest.FixtureRequest) -> Iterator[Callable[[Any, str], None]]:
    """Takes a picture of what is seen, after axe has found nothing in it; holds it against the one in docs."""
    names: list[str] = []

    def take(page: Any, name: str) -> None:
        page.wait_for_timeout(400)
        found = Axe().run(page).response["violations"]
        assert not [(each["id"], [node["target"] for node in each["nodes"]]) for each in found]
        picture = page.screenshot(animations="disabled")
        names.append(f"{name}.png")
        path = PICTURES / names[-1]
        if request.config.getoption("--pictures"):
            path.write_bytes(picture)
        elif page.evaluate("location.protocol") == "http:":
            blank = page.context.browser.new_page()  # a page of its own, which no policy keeps from reading pictures
            both = [base64.b64encode(each).decode() for each in (path.read_bytes(), picture)]
            off = blank.evaluate(DIFFERENCE, both)
            blank.close()
            assert off < MOST_OFF, f"{path.name} is {off:.1%} off: look, then take the pictures anew with --pictures"

    yield take
    if names and (page_name := LAST.get(names[-1].removesuffix(".png"))):
        page = (ROOT / "docs" / f"{page_name}.md").read_text(encoding="utf-8")
        assert names == re.findall(rf"\]\(pictures/({page_name}-[^)]+)\)", page)


def in_panel(page: Any, label: str, value: str) -> None:
    field = page.locator("#panel").get_by_label(label)
    field.fill(value)
    field.press("Tab")


def saved(page: Any, number: int) -> None:
    page.wait_for_selector(f"text=Saved, version {number}")


def add(page: Any, block: str, move: str) -> None:
    pressed(page, f"Add a move to {block}")
    page.wait_for_selector("#panel-head:focus")  # its script knows the new fields then
    called = page.locator("#panel").get_by_label("Called")
    called.fill(move)
    called.press("Tab")
    page.locator("#panel .pictured button", has=page.get_by_text(move, exact=True)).first.click()


def pressed(page: Any, words: str) -> None:
    page.get_by_role("button", name=words).first.click()


def by_keys(page: Any, place: Any) -> None:
    """Without a pointer."""
    place.focus()
    page.keyboard.press("Enter")


def version(page: Any) -> int:
    return int(page.locator("#base").input_value())


def then(page: Any, do: Callable[[], None]) -> None:
    """Does it, and waits until it is saved."""
    before = version(page)
    do()
    saved(page, before + 1)


def test_from_a_new_session_to_a_rehearsed_one(own_page: Any, taken: Callable[[Any, str], None]) -> None:
    page = own_page
    page.set_viewport_size({"width": 1100, "height": 780})
    page.evaluate("for (const each of document.querySelectorAll('time')) each.textContent = ''")
    taken(page, "studio-1-sessions")
    page.get_by_label("From").select_option("empty")
    page.get_by_role("button", name="Start it").click()
    page.wait_for_selector("#desk")
    write(page, taken)
    rehearse(page, taken)
    build(page, taken)
    people(page, taken)


def test_from_a_brief_to_a_session(own_page: Any, taken: Callable[[Any, str], None]) -> None:
    """The sentence of the tutorial's page, word for word."""
    page = own_page
    page.set_viewport_size({"width": 1100, "height": 780})
    tutorial = (ROOT / "docs" / "tutorial.md").read_text(encoding="utf-8")
    [sentence] = re.findall(r'everyrung propose "([^"]+)"', tutorial)
    page.get_by_role("link", name="Or field by field").click()
    page.wait_for_selector("#brief-say")
    live(page)
    page.locator("#brief-say").press_sequentially(sentence)
    page.wait_for_selector("#understood li >> text=20 minutes")
    page.wait_for_selector("#understood li >> text=5 at home")
    taken(page, "tutorial-1-brief")
    by_keys(page, page.get_by_role("button", name="Propose sessions"))
    page.wait_for_selector("#take-3", timeout=300_000)
    page.locator("#proposals-head").evaluate("head => head.scrollIntoView()")
    taken(page, "tutorial-2-proposals")
    gives_up = "It gives up" in page.locator("#proposal-1").inner_text()
    by_keys(page, page.locator("#take-1"))
    page.wait_for_selector("#desk")
    page.wait_for_selector("text=can finish every set", timeout=300_000)
    assert page.locator(".finding.is-error").count() == 0
    assert gives_up or page.locator(".finding.is-warning").count() == 0
    page.evaluate("scrollTo(0, document.querySelector('.grids').offsetTop - 80)")
    taken(page, "tutorial-3-session")


def write(page: Any, taken: Callable[[Any, str], None]) -> None:
    page.locator(".about > summary").click()
    then(page, lambda: page.get_by_label("Slot, minutes").fill("15") or page.get_by_label("Slot, minutes").press("Tab"))
    page.locator(".about > summary").click()
    then(page, lambda: pressed(page, "Add a warm-up"))
    then(page, lambda: pressed(page, "Add a cool-down"))
    for move in ("Hip hinge", "Push-up"):
        then(page, lambda move=move: add(page, "Main", move))
    main = page.locator("section.block", has=page.get_by_role("heading", name="Main", exact=True))
    main.locator(".part > summary").click()
    then(page, lambda: pressed(page, "Add a round"))
    main.locator(".part > summary").click()
    page.locator("th", has_text="Two").locator("summary").click()
    then(page, lambda: page.get_by_label("One step for the whole round").last.select_option(label="+2 reps"))
    page.locator("th", has_text="Two").locator("summary").click()
    page.locator("button.cell[data-ref='Main/Two/squat']").click()
    page.wait_for_selector("ol.ladder")
    page.wait_for_selector("text=can finish every set", timeout=180_000)
    page.evaluate("scrollTo(0, document.querySelector('.grids').offsetTop - 80)")
    taken(page, "studio-2-write")


def rehearse(page: Any, taken: Callable[[Any, str], None]) -> None:
    by_keys(page, page.get_by_role("link", name="Rehearse", exact=True))
    page.wait_for_selector("#rehearsal:not([hx-get]) .finish-table", timeout=180_000)
    page.evaluate("scrollTo(0, document.querySelector('.effort-figure').offsetTop - 60)")
    taken(page, "studio-3-rehearse")
    by_keys(page, page.locator(".finish-table a", has_text="Hip hinge").last)
    page.wait_for_selector("#set")
    page.locator("#set-dose").focus()
    page.keyboard.press("Control+A")
    page.keyboard.type("20 reps")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.wait_for_selector("text=before the same people", timeout=180_000)
    page.wait_for_selector("td >> text=was")
    page.wait_for_selector("#rehearsal:not([hx-get])", timeout=180_000)  # bands come after shares
    page.locator(".finish-table").evaluate("table => table.scrollIntoView()")
    taken(page, "studio-4-before-and-after")
    by_keys(page, page.get_by_role("button", name="Undo the change"))
    page.wait_for_selector(".finish-table", timeout=180_000)
    assert page.locator("text=before the same people").count() == 0


def build(page: Any, taken: Callable[[Any, str], None]) -> None:
    page.get_by_role("link", name="Moves", exact=True).click()
    page.get_by_label("Works").select_option("buttocks")
    page.get_by_role("button", name="Look").click()
    page.wait_for_timeout(1500)
    taken(page, "studio-5-moves")
    page.get_by_role("link", name="Split squat", exact=True).click()
    page.wait_for_selector("ol.ladder")
    taken(page, "studio-6-ladder")
    page.get_by_label("Add a lever").select_option(label="2-second pause")
    page.get_by_role("button", name="Put it on").click()
    page.get_by_label("Add a lever").select_option(label="4 seconds down, 2 up")
    page.get_by_role("button", name="Put it on").click()
    page.wait_for_selector("text=repetition for repetition")
    page.get_by_label("Its name").fill("Slow split squat")
    page.locator("#bench").scroll_into_view_if_needed()
    taken(page, "studio-7-own-rung")
    page.get_by_role("button", name="Keep it as yours").click()
    page.wait_for_selector("#own >> text=Slow split squat")


def people(page: Any, taken: Callable[[Any, str], None]) -> None:
    by_keys(page, page.get_by_role("link", name="People", exact=True))
    page.get_by_label("A spreadsheet saved as CSV").set_input_files(ROOT / "examples" / "boathouse-people.csv")
    page.get_by_role("button", name="Bring it in").click()
    page.wait_for_selector("text=8 added")
    taken(page, "studio-8-people")
    page.get_by_label("Session", exact=True).select_option(label="A new session")
    by_keys(page, page.get_by_role("button", name="Make the cards"))
    page.wait_for_selector("text=All of them, to print", timeout=180_000)
    with page.expect_download() as coming:
        page.get_by_role("link", name="Card of Wilma, to send").click()
    card = Path(coming.value.path()).read_text(encoding="utf-8")
    assert "Wilma" in card
    assert "deep knee bend" not in card
