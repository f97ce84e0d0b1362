"""An answer brings only the parts that changed: put in their places they make the page that a whole answer would."""

import re
from typing import Any

import pytest
from lxml import html
from starlette.testclient import TestClient

from everyrung.web.parts import Part, digests_by_id

SQUAT = "Main/Two/squat"
NOTE = {"edit": "cell", "ref": SQUAT, "field": "note", "value": "Look at the knees"}
STEPS: list[dict[str, str]] = [
    NOTE,
    {"edit": "cell", "ref": SQUAT, "field": "dose", "value": "11 reps"},
    {"edit": "cell", "ref": "Main/One/lunge", "field": "dose", "value": "5 a side"},
    {"edit": "rung", "ref": SQUAT, "value": "base"},
    {"edit": "lever", "ref": "Main/Three", "value": '{"pause": "2 s", "at": "bottom"}'},
    {"edit": "add-round", "block": "Main"},
    {"edit": "skip", "ref": "Main/Two/hinge", "value": "yes"},
    {"edit": "shift-move", "block": "Main", "cell": "squat", "to": "2"},
    {"edit": "remove-move", "block": "Main", "cell": "hinge"},
    {"edit": "add-block", "kind": "announcement", "move": "squat"},
    {"edit": "part", "ref": "Main", "field": "say", "value": "Three rounds.\nBreathe."},
    {"edit": "head", "field": "title", "value": "Anew & <better>"},
    {
        "edit": "add-kit",
        "item": "chair",
        "count": "8",
        "each": "",
        "mass": "",
        "diameter": "",
        "rated": "",
        "grade": "",
    },
    {"edit": "head", "field": "slot_minutes", "value": "60"},
]
UNDO: dict[str, str] = {}


class Page:
    """What a browser does with the Write screen: it holds parts, says which, and puts those it is given in their
    places.
    """

    def __init__(self, client: TestClient, session: str, cell: str = "") -> None:
        self.client, self.session, self.cell = client, session, cell
        self.tree = html.fromstring(self.fresh())

    def fresh(self) -> str:
        return self.client.get(f"/session/{self.session}", params={"open": self.cell}).text

    def send(self, post: Any, fields: dict[str, str], *, base: str = "", way: str = "edit") -> Any:
        holds = " ".join(f"{each.get('id')}={each.get('data-digest')}" for each in self.tree.xpath("//*[@data-digest]"))
        base = base or self.tree.get_element_by_id("base").get("value")
        answer = post(f"/session/{self.session}/{way}", base=base, open=self.cell, holds=holds, **fields)
        new = html.fromstring(f"<div>{answer.text}</div>")
        if answer.headers.get("HX-Reswap") != "none":
            self.put(new.get_element_by_id("work"))
        for part in new.xpath("//*[@hx-swap-oob]"):
            del part.attrib["hx-swap-oob"]
            self.put(part)
        return answer

    def put(self, part: html.HtmlElement) -> None:
        old = self.tree.get_element_by_id(part.get("id"))
        part.tail = old.tail
        old.getparent().replace(old, part)

    @property
    def shown(self) -> dict[str, str]:
        return seen(self.tree)


def seen(tree: html.HtmlElement) -> dict[str, str]:
    """The four places that an answer is about; of white space only that there is some."""
    parts = ("work", "panel", "kit-list", "title")
    return {name: re.sub(r"\s+", " ", html.tostring(tree.get_element_by_id(name)).decode()) for name in parts}


def plain(shown: dict[str, str]) -> dict[str, str]:
    """Without the words that only the answer to this very edit has."""
    said = re.compile('; joined with what was changed elsewhere[^<]*|(?<=id="sums") data-digest="[^"]*"')
    return {name: said.sub("", words) for name, words in shown.items()}


@pytest.mark.parametrize("cell", ["", SQUAT])
def test_the_parts_of_answers_make_the_page_that_a_whole_one_is(
    cell: str, client: TestClient, post: Any, session: str
) -> None:
    page = Page(client, session, cell)
    for step in STEPS:
        assert page.send(post, step).status_code == 200
        assert page.shown == seen(html.fromstring(page.fresh())), step
    for way in ("undo", "undo", "redo"):
        page.send(post, UNDO, way=way)
        assert page.shown == seen(html.fromstring(page.fresh())), way


def test_time_and_score_come_first_and_what_the_checks_say_after_them(
    client: TestClient, post: Any, session: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    from everyrung.web import studio

    page, whole = Page(client, session, SQUAT), Page(client, session, SQUAT)
    checked: list[object] = []
    run_plan = studio.run_plan
    monkeypatch.setattr(studio, "run_plan", lambda *a, **more: checked.append(a) or run_plan(*a, **more))
    for step in STEPS[:3]:
        answer = page.send(post, step | {"first": "score"})
        assert answer.headers["HX-Trigger-After-Swap"] == "more-parts"
        assert not checked
        assert "findings" not in answer.text
        for place in ("sums", "score"):
            assert _words(page, place) == _words(Page(client, session, SQUAT), place)
        assert page.tree.xpath("//span[@class='dose']/text()") == Page(client, session).tree.xpath(
            "//span[@class='dose']/text()"
        )
        more = page.send(post, {}, way="parts")
        assert 'class="system"' not in more.text  # it is there already
        assert "HX-Trigger-After-Swap" not in more.headers
        assert page.shown == seen(html.fromstring(page.fresh())), step
        checked.clear()
    late = {"edit": "cell", "ref": "Main/Three/curl", "field": "note", "value": "Slower", "first": "score"}
    answer = whole.send(post, late)
    assert "joined with" in answer.text
    assert "HX-Trigger-After-Swap" not in answer.headers  # whole, for it has words that no other answer has


def _words(page: Page, place: str) -> str:
    return html.tostring(page.tree.get_element_by_id(place)).decode()


def test_a_clash_is_shown_and_is_gone_with_the_next_edit(client: TestClient, post: Any, session: str) -> None:
    mine, theirs = Page(client, session), Page(client, session)
    theirs.send(post, STEPS[1])
    assert mine.send(post, STEPS[1] | {"value": "12 reps"}).status_code == 409
    assert mine.tree.get_element_by_id("clash").get("hidden") is None
    assert "12 reps" in mine.shown["work"]
    assert mine.send(post, NOTE).status_code == 200
    assert mine.tree.get_element_by_id("clash").get("hidden") is not None
    assert mine.shown == seen(html.fromstring(mine.fresh()))


def test_who_missed_what_others_changed_is_given_that_too(client: TestClient, post: Any, session: str) -> None:
    mine, theirs = Page(client, session), Page(client, session)
    for step in STEPS[1:8]:
        theirs.send(post, step)
    assert client.get(f"/session/{session}/head").text == theirs.tree.get_element_by_id("base").get("value") != "1"
    assert mine.tree.get_element_by_id("base").get("value") == "1"
    mine.send(post, {}, way="parts")
    assert mine.shown == theirs.shown
    theirs.send(post, STEPS[8])
    mine.send(post, NOTE)
    assert plain(mine.shown) == plain(seen(html.fromstring(mine.fresh())))


def test_an_edit_that_takes_no_time_brings_neither_the_score_nor_other_sets(
    client: TestClient, post: Any, session: str
) -> None:
    page = Page(client, session)
    whole = len(page.fresh())
    answer = page.send(post, NOTE)
    assert "<svg" not in answer.text
    assert "data-ref" not in answer.text  # a cell of the grid has one
    assert len(answer.text) < whole / 20


def test_a_page_that_holds_nothing_or_something_else_is_given_everything(post: Any, session: str) -> None:
    for holds in ("", "work=0123456789", "no sense at all = ="):
        answer = post(f"/session/{session}/edit", base=1, holds=holds, **NOTE)
        assert answer.status_code == 200
        assert 'id="work"' in answer.text
        assert 'class="score wide"' in answer.text
        assert "HX-Reswap" not in answer.headers


def test_what_the_background_brings_is_held_like_the_rest(client: TestClient, session: str) -> None:
    answer = client.get(f"/session/{session}/computed", params={"base": 1, "seen": "other"})
    assert 'id="findings" data-digest="' in answer.text
    assert answer.headers["HX-Retarget"] == "#findings"


def test_a_part_is_told_from_the_parts_within_it() -> None:
    was, now = (
        Part(id="outer", pieces=('<p id="outer">', Part(id="inner", pieces=(f'<b id="inner">{said}</b>',)), "</p>"))
        for said in ("one", "two")
    )
    assert was.digest == now.digest
    holds = dict(re.findall(r'id="(\w+)" data-digest="(\w+)"', was.whole()))
    assert [each.id for each in now.news(holds)] == ["inner"]
    assert [each.id for each in now.news({})] == ["outer"]
    assert digests_by_id(" ".join(f"{name}={digest}" for name, digest in holds.items())) == holds
