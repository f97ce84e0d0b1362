"""A stage opened at one studio and followed at another, on SQLite and on a real PostgreSQL server."""

import json
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Engine, update
from sqlalchemy.orm import Session as Work
from starlette.testclient import TestClient, WebSocketTestSession
from starlette.websockets import WebSocketDisconnect

from everyrung.store.database import open_database
from everyrung.store.stages import Letter, Post, Stages
from everyrung.store.studios import GONE_S, Studios
from everyrung.store.tables import StudioTable
from everyrung.web import stage_relay
from everyrung.web.app import app
from everyrung.web.plan_templates import DEMO, start
from everyrung.web.routes.lead import REFUSED
from everyrung.web.save import draft
from everyrung.web.settings import Settings
from everyrung.web.sharing import shared_studio
from everyrung.web.stage_relay import AGAIN

HERE = "http://localhost:8040"


@pytest.fixture
def two(engine: Engine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[tuple[TestClient, TestClient]]:
    """Browsers of two studios with one folder."""
    monkeypatch.setattr(stage_relay, "BEAT_S", 0.1)
    settings = Settings(folder=tmp_path)
    studios = [shared_studio(settings, open_database(engine.url)) for _ in range(2)]
    with TestClient(app(studios[0]), base_url=HERE) as here, TestClient(app(studios[1]), base_url=HERE) as there:
        for each in (here, there):
            each.get("/")
        yield here, there


@pytest.fixture
def session(two: tuple[TestClient, TestClient]) -> str:
    sessions = two[0].app.state.studio.sessions  # type: ignore[attr-defined]
    return str(sessions.create(draft(start(DEMO), "The evening")).id)


@contextmanager
def line(client: TestClient, session: str, role: str, stands: str = "new") -> Iterator[Any]:
    address = f"ws://localhost:8040/session/{session}/live?as={role}&stands={stands}"
    with client.websocket_connect(address, headers={"origin": HERE}) as made:
        made.here = heard(made)  # type: ignore[attr-defined]
        yield made


def heard(screen: WebSocketTestSession) -> Any:
    return json.loads(screen.receive_text())


def closed_with(screen: WebSocketTestSession) -> int:
    """The code with which it is closed, after whatever it is told before."""
    try:
        for _ in range(10):
            screen.receive_text()
    except WebSocketDisconnect as closed:
        return closed.code
    raise AssertionError


def say(screen: WebSocketTestSession, **message: Any) -> None:
    screen.send_text(json.dumps(message))


def test_a_stage_here_is_followed_and_steered_there(two: tuple[TestClient, TestClient], session: str) -> None:
    here, there = two
    pairings = here.app.state.studio.pairings  # type: ignore[attr-defined]
    with line(here, session, "stage") as stage:
        assert stage.here["lead"]
        say(stage, **{"is": "state", "name": "Lunge", "begun": True})
        with line(there, session, "prompter") as prompter, line(there, session, "stage") as second:
            assert not second.here["lead"]
            assert heard(prompter)["name"] == heard(second)["name"] == "Lunge"
            say(stage, **{"is": "state", "name": "Squat", "begun": True})
            assert heard(prompter)["name"] == heard(second)["name"] == "Squat"
            say(second, do="lead")
            assert heard(stage) == {"do": "rest"}
            say(second, **{"is": "state", "name": "Bridge", "begun": True})
            assert heard(stage)["name"] == heard(prompter)["name"] == "Bridge"
            token = there.get("/").text.split('"X-Token": "')[1].split('"')[0]
            form = {"code": pairings.code(session)}
            assert there.post(f"/session/{session}/remote", data=form, headers={"X-Token": token}).status_code == 204
            with line(there, session, "remote") as phone:
                assert heard(phone)["name"] == "Bridge"
                say(phone, do="pause")
                assert heard(second) == {"do": "pause", "by": "remote"}
                headers = {"X-Token": here.get("/").text.split('"X-Token": "')[1].split('"')[0]}
                here.post(f"/session/{session}/lead/unpair", headers=headers)
                with pytest.raises(WebSocketDisconnect) as sent_away:
                    phone.receive_text()
                assert sent_away.value.code == REFUSED
            second.close()
            assert heard(stage) == {"is": "free"}


def test_many_letters_come_in_order(two: tuple[TestClient, TestClient], session: str) -> None:
    here, there = two
    with line(here, session, "stage") as stage, line(there, session, "prompter") as prompter:
        for number in range(200):
            say(stage, **{"is": "state", "number": number, "words": "ä" * 3000 * (number % 50 == 0)})
        assert [heard(prompter)["number"] for _ in range(200)] == list(range(200))


def test_when_the_one_that_holds_it_is_killed_the_others_screens_come_back(
    two: tuple[TestClient, TestClient], session: str, engine: Engine
) -> None:
    here, there = two
    shows = here.app.state.studio.shows  # type: ignore[attr-defined]
    with line(here, session, "prompter") as near, line(there, session, "stage") as stage:
        say(stage, **{"is": "state", "name": "Lunge", "begun": True})
        with Work(engine.execution_options(writes=True)) as work, work.begin():
            gone = time.time_ns() // 1_000_000 - int(1000 * GONE_S) - 1000
            name = shows._studios.name
            work.execute(update(StudioTable).where(StudioTable.id == name).values(beat_ms=gone))
        assert closed_with(stage) == AGAIN
        with line(there, session, "stage", "leads") as back:
            assert back.here["lead"]
            say(back, **{"is": "state", "name": "Squat", "begun": True})
            with line(there, session, "prompter") as prompter:
                assert heard(prompter)["name"] == "Squat"
            assert closed_with(near) == AGAIN  # it was only slow: its own screens follow


def test_a_screen_of_a_studio_that_ended_leaves(
    two: tuple[TestClient, TestClient], session: str, engine: Engine
) -> None:
    here, _ = two
    ended = Studios(engine)
    post, shows = Post(engine, ended), here.app.state.studio.shows  # type: ignore[attr-defined]
    with line(here, session, "stage") as stage:
        join = {"do": "join", "role": "stage", "stands": "looks", "screen": "far", "from": ended.name}
        post.send([Letter(shows._studios.name, json.dumps({"session": session, **join}))])
        post.wait(5.0)
        say(stage, do="lead")  # it leads already: nothing
        say(stage, **{"is": "state", "name": "Lunge"})
        end_s = time.monotonic() + 60
        while len(shows.of(session).screens) < 2 and time.monotonic() < end_s:
            time.sleep(0.02)
        assert len(shows.of(session).screens) == 2
        ended.leave()
        while len(shows.of(session).screens) > 1 and time.monotonic() < end_s:
            time.sleep(0.02)
        assert len(shows.of(session).screens) == 1
    post.close()


def test_letters_to_nobody_do_not_stay(engine: Engine) -> None:
    one, other = Studios(engine), Studios(engine)
    post = Post(engine, one)
    post.send([Letter(other.name, "{}"), Letter("nobody", "{}")])
    other.leave()
    post.tidy()
    assert Post(engine, other).take() == []
    with pytest.raises(LookupError):
        Stages(engine, one).holder("no-such-session")
