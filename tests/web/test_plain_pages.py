"""No file language on any screen: every page, part and refusal is read as a coach reads it."""

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import URL
from starlette.testclient import TestClient

from everyrung.people.read import read_people
from everyrung.pipeline import AudienceSpec
from everyrung.store.database import open_database
from everyrung.terms.forecast import USUAL_PEOPLE
from everyrung.web.app import ROUTES, app
from everyrung.web.job_queue import JobQueue
from everyrung.web.jobs import Job, JobResult, do_job
from everyrung.web.person_form import bring
from everyrung.web.save import draft
from everyrung.web.settings import Settings
from everyrung.web.studio import Studio

EXAMPLES = Path(__file__).parents[2] / "examples"
SMALL = Path(__file__).parents[1] / "cli" / "small.toml"
FAULTY = (EXAMPLES / "faulty.toml").read_text(encoding="utf-8")
# Pictures, files to keep, Help (which explains files), answers for scripts, and the page that asks
# for the passphrase (tests/web/test_doors.py).
NO_SCREENS = (
    r"/static/|/figures?|/motion/|/head$|\.toml$|/all\.zip|/stage/|/publish/file/"
    r"|/enter$|^/help|/ladder$|/weighed$|/computed$|\.csv$|/who\.json$|\.ics$|\.pdf$|/members\.|/(led|review)\.\{kind\}$|/film/file/|/door/\{file\}$"
)
FEW = 100  # people
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


class AtOnce(JobQueue):
    """A queue that has everything done before the page is made; with fewer people than asked for, for the words are
    the same.
    """

    def submit(self, _slot: str, job: Job, **_when: bool) -> None:
        if self.board.result(job.key) is None:
            few = replace(job.audience, count=min(job.audience.count, FEW))
            self.board.tell(job.key, do_job(replace(job, audience=few), lambda _: None))


def found(page: str, file_language: Callable[[str], list[str]]) -> list[str]:
    return [f"{bad}: {words[:150]}" for words in Read(page).words for bad in file_language(words)]


def screens(session: str, block: str = "none") -> Iterator[str]:
    yield from ("/", "/?shown=away", "/people", "/people/1", "/moves", "/moves/squat", "/moves/hip-hinge?lever=%7B%7D")
    yield from (
        "/propose",
        "/propose?minutes=25&kit.0=%7B%22item%22%3A%22step%22%2C%22each%22%3A1%7D",
        "/propose/progress",
    )
    yield "/moves/squat/copy"
    parts = ("", "/rehearse", "/lead", "/publish", "/versions", "/prompter", "/remote", "/versions/compare?from=1&to=1")
    yield from (
        "/weeks",
        f"/weeks/{block}",
        f"/weeks/{block}/planning",
        f"/weeks/{block}/cards?week=1",
        "/weeks/none/sheet",
    )
    yield from ("/rooms", "/rooms/1", f"/session/{session}/room", f"/session/{session}/room/says")
    yield from (f"/session/{session}/led{part}" for part in ("", "/none", "/none/review", "/none/film"))
    yield from (f"/session/{session}/answers", f"/session/{session}/choose?block=Main")
    yield from (f"/session/{session}{part}" for part in parts)
    yield from (f"/session/{session}/cell?ref=Main/Two/{cell}" for cell in ("squat", "lift", "curl", "lunge", "hinge"))
    yield from ("/session/none", "/cards?session=none", "/nowhere", f"/session/{session}/cell?ref=Main/Two/nothing")


@pytest.mark.parametrize("start", ["demo", "faulty"])
def test_no_screen_speaks_as_a_file_does(
    start: str,
    client: TestClient,
    session: str,
    studio: Studio,
    keep_winter: Callable[[], str],
    file_language: Callable[[str], list[str]],
) -> None:
    if start == "faulty":
        session = studio.sessions.create(draft(FAULTY, "A start")).id
    wrong = {
        each: bad for each in screens(session, keep_winter()) if (bad := found(client.get(each).text, file_language))
    }
    assert wrong == {}


def test_what_is_computed_is_said_in_plain_words_too(
    client: TestClient, session: str, studio: Studio, forecast: Any, file_language: Callable[[str], list[str]]
) -> None:
    from everyrung.checks.registry import check

    head = studio.sessions.head(session)
    run = studio.run(head.text)
    made = forecast(run, part=0.02)
    findings = check(run.session, run.timeline, forecast=made)
    assert {"rung-for-nobody", "limit-without-path"} <= {each.rule for each in findings}
    job = studio.job(head.text, AudienceSpec(count=USUAL_PEOPLE))
    studio.jobs.said(job, JobResult(findings=findings, forecast=made, finished=True))  # type: ignore[attr-defined]
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


def test_every_route_with_a_screen_is_read() -> None:
    routes = [each for each in ROUTES if "GET" in (each.methods or ()) and not re.search(NO_SCREENS, each.path)]
    read = [address.partition("?")[0] for address in (*screens("x"), *ready("x"))]
    assert [each.path for each in routes if not any(each.path_regex.match(address) for address in read)] == []


def ready(session: str) -> Iterator[str]:
    """What shows something that has been computed."""
    yield from (f"/session/{session}{part}" for part in ("", "/rehearse", "/rehearse?known=own", "/lead", "/stage"))
    yield from (f"/session/{session}/prompter", f"/session/{session}/text")
    yield f"/session/{session}/offers?kind=another+move&ref=Main/Two/squat"
    yield from (f"/cards?session={session}&kit={kit}" for kit in ("own", "room"))
    yield from (f"/cards/{session}/room/{at}.html" for at in range(3))
    yield from ("/moves/squat/copy/drawn", "/moves/squat/held")


@pytest.mark.parametrize("plan", [SMALL, *(pytest.param(EXAMPLES / name, marks=pytest.mark.slow) for name in (
    "boathouse-30.toml", "faulty.toml"))], ids=lambda each: each.stem)  # fmt: skip
def test_no_screen_with_everything_computed_speaks_as_a_file_does(
    plan: Path, tmp_path: Path, file_language: Callable[[str], list[str]]
) -> None:
    """Bodies, people, remedies, cards and stage are really computed."""
    engine = open_database(URL.create("sqlite", database=str(tmp_path / "studio.sqlite")))
    studio = Studio(settings=Settings(folder=tmp_path), engine=engine, jobs=AtOnce(), trials=AtOnce())
    client = TestClient(app(studio), base_url="http://localhost:8040")
    session = studio.sessions.create(draft(plan.read_text(encoding="utf-8"), "A start")).id
    bring(studio.people, read_people(EXAMPLES / "boathouse-people.csv")[:3])
    if plan != SMALL:
        client.get(f"/session/{session}")  # the next look shows the remedies of what this one computes
    pages = {each: client.get(each) for each in ready(session) if not each.endswith("/text")}
    assert {each: page.status_code for each, page in pages.items() if page.status_code != 200} == {}
    wrong = {each: bad for each, page in pages.items() if (bad := found(page.text, file_language))}
    assert wrong == {}
    studio.close()
