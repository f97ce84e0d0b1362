"""No file language on any screen: every page, part and refusal is read as a coach reads it."""

from collections.abc import Callable, Iterator
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from everyrung.pipeline import Expected
from everyrung.terms.forecast import USUAL_PEOPLE
from everyrung.web.changing import draft
from everyrung.web.errands import Computed
from everyrung.web.studio import Studio

FAULTY = (Path(__file__).parents[2] / "examples" / "faulty.toml").read_text(encoding="utf-8")
SAID_ALOUD = ("aria-label", "placeholder", "alt", "title")
EXEMPT = ("/text",)  # shows the plan file's own text on purpose
EDITS: tuple[dict[str, str], ...] = (
    {"edit": "cell", "ref": "Main/Two/squat", "field": "dose", "value": "12 reps"},
    {"edit": "cell", "ref": "Main/Two/squat", "field": "options.easier", "value": "half-wall"},
    {"edit": "rung", "ref": "Main/Two/hinge", "value": "base"},
    {"edit": "lever", "ref": "Main/Two/hinge", "value": '{"pause": "2 s"}'},
    {"edit": "head", "field": "who.limits", "limit.overhead": "on"},
    {"edit": "head", "field": "cut_order", "value": "Main/Three"},
    {"edit": "head", "field": "newcomer_rounds", "value": "1"},
    {"edit": "part", "ref": "Main", "field": "say", "value": "Three rounds."},
    {"edit": "add-kit", "item": "step", "count": "4"},
    {"edit": "remove-kit", "at": "4"},
    {"edit": "shift-move", "block": "Main", "cell": "hinge", "to": "0"},
    {"edit": "skip", "ref": "Main/Two/hinge", "value": "yes"},
    {"edit": "add-round", "block": "Main"},
    {"edit": "remove-move", "block": "Main", "cell": "hinge"},
    {"edit": "add-block", "kind": "main", "move": "squat"},
)
REFUSED: tuple[dict[str, str], ...] = (
    {"edit": "cell", "ref": "Main/Two/squat", "field": "dose", "value": "banana"},
    {"edit": "cell", "ref": "Main/Two/squat", "field": "load", "value": "heavy"},
    {"edit": "cell", "ref": "Main/Two/squat", "field": "options.no_kit", "value": "nowhere"},
    {"edit": "cell", "ref": "Main/Two/sqat", "field": "dose", "value": "12 reps"},
    {"edit": "head", "field": "slot_minutes", "value": "2"},
    {"edit": "head", "field": "title", "value": "x" * 121},
    {"edit": "head", "field": "who.in_room", "value": "many"},
    {"edit": "head", "field": "cut_order", "value": "Main/Nine"},
    {"edit": "add-kit", "item": "dumbbells", "count": "2"},
    {"edit": "add-kit", "item": "ball"},
    {"edit": "lever", "ref": "Main/Two", "value": '{"surface": "sliders"}'},
    {"edit": "drop-lever", "ref": "Main/One/squat"},
    {"edit": "remove-round", "ref": "Main/Nine"},
)


class Read(HTMLParser):
    """What of a page is seen, or read aloud."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.words: list[str] = []
        self._silent = 0
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._silent += tag in ("script", "style", "code", "textarea")
        self.words += [value for name, value in attrs if name in SAID_ALOUD and value]

    def handle_endtag(self, tag: str) -> None:
        self._silent -= tag in ("script", "style", "code", "textarea")

    def handle_data(self, data: str) -> None:
        if not self._silent and data.strip():
            self.words.append(" ".join(data.split()))


def found(page: str, file_language: Callable[[str], list[str]]) -> list[str]:
    return [f"{bad}: {words[:150]}" for words in Read(page).words for bad in file_language(words)]


def screens(session: str) -> Iterator[str]:
    yield from ("/", "/?shown=away", "/people", "/moves", "/moves/squat", "/moves/hip-hinge?lever=%7B%7D")
    parts = ("", "/rehearse", "/lead", "/publish", "/versions", "/prompter", "/remote", "/versions/compare?from=1&to=1")
    yield from (f"/session/{session}{part}" for part in parts)
    yield from (f"/session/{session}/cell?ref=Main/Two/{cell}" for cell in ("squat", "lift", "curl", "lunge", "hinge"))
    yield from ("/session/none", "/cards?session=none", "/nowhere", f"/session/{session}/cell?ref=Main/Two/nothing")


@pytest.mark.parametrize("start", ["demo", "faulty"])
def test_no_screen_speaks_as_a_file_does(
    start: str, client: TestClient, session: str, studio: Studio, file_language: Callable[[str], list[str]]
) -> None:
    if start == "faulty":
        session = studio.sessions.create(draft(FAULTY, "A start")).id
    wrong = {each: bad for each in screens(session) if (bad := found(client.get(each).text, file_language))}
    assert wrong == {}


def test_what_is_computed_is_said_in_plain_words_too(
    client: TestClient, session: str, studio: Studio, forecast: Any, file_language: Callable[[str], list[str]]
) -> None:
    from everyrung.checks.every import check

    head = studio.sessions.head(session)
    run = studio.run(head.text)
    made = forecast(run, part=0.02)
    findings = check(run.session, run.timeline, forecast=made)
    assert {"rung-for-nobody", "limit-without-path"} <= {each.rule for each in findings}
    errand = studio.errand(head.text, Expected(count=USUAL_PEOPLE))
    studio.backroom.said(errand, Computed(findings=findings, forecast=made, finished=True))  # type: ignore[attr-defined]
    assert found(client.get(f"/session/{session}").text, file_language) == []


def test_no_edit_and_no_list_of_versions_speaks_as_a_file_does(
    client: TestClient, post: Any, session: str, studio: Studio, file_language: Callable[[str], list[str]]
) -> None:
    wrong = {}
    for each in EDITS:
        answer = post(f"/session/{session}/edit", base=studio.sessions.head(session).number, **each)
        assert answer.status_code == 200, (each, answer.text)
        if bad := found(answer.text, file_language):
            wrong[str(each)] = bad
    for address in ("versions", f"versions/compare?from=1&to={studio.sessions.head(session).number}"):
        if bad := found(client.get(f"/session/{session}/{address}").text, file_language):
            wrong[address] = bad
    assert wrong == {}


@pytest.mark.parametrize("edit", REFUSED, ids=[" ".join(each.values())[:50] for each in REFUSED])
def test_no_refusal_speaks_as_a_file_does(
    edit: dict[str, str], post: Any, session: str, file_language: Callable[[str], list[str]]
) -> None:
    answer = post(f"/session/{session}/edit", base=1, **edit)
    assert answer.status_code == 422, answer.text
    assert found(answer.text, file_language) == []
