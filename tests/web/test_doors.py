"""The doors: who is let in and for how long, what the log tells, and an answer in words when something breaks."""

import asyncio
import os
import re
import signal
import time
from concurrent.futures import Future
from concurrent.futures.process import BrokenProcessPool
from pathlib import Path
from typing import Any

import pytest
from anyio.from_thread import start_blocking_portal
from argon2 import PasswordHasher
from starlette.testclient import TestClient
from starlette.websockets import WebSocketDisconnect

from everyrung.cli import main
from everyrung.store.database import open_database
from everyrung.store.sessions import Sessions
from everyrung.terms.errors import Faults
from everyrung.web.app import app
from everyrung.web.log import log_line
from everyrung.web.passphrase import MOST_ADDRESSES, MOST_TRIES, LoginLimiter, Logins, network
from everyrung.web.security import HEADERS
from everyrung.web.settings import Settings, kept_cookie_key, kept_passphrase, passphrase_file
from everyrung.web.studio import Studio
from everyrung.web.tries import OwnTries
from everyrung.web.workers import ProcessWorkers

PASSPHRASE = "oars in the rack"
NETWORK = "http://192.168.0.7:8040"
HASH = PasswordHasher(time_cost=1, memory_cost=64).hash(PASSPHRASE)  # quick; right() takes the cost from the hash


@pytest.fixture
def guarded(studio: Studio, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Studio:
    """A studio on a network."""
    monkeypatch.setattr("everyrung.web.passphrase.SLOWER_S", 0)
    studio.settings = Settings(host="192.168.0.7", folder=tmp_path, passphrase_hash=HASH)
    return studio


def browser(studio: Studio, address: str = "192.168.0.20") -> TestClient:
    return TestClient(app(studio), base_url=NETWORK, follow_redirects=False, client=(address, 50_000))


def say(client: TestClient, passphrase: str = PASSPHRASE, **headers: str) -> int:
    found = re.search(r'name="token" value="([^"]+)"', client.get("/enter").text)
    assert found
    form = {"token": found[1], "passphrase": passphrase}
    return client.post("/enter", data=form, headers=headers).status_code


def copied(client: TestClient, studio: Studio) -> TestClient:
    """Another browser with a copy of this one's cookies."""
    other = browser(studio, "192.168.0.66")
    other.cookies.update(dict(client.cookies))
    return other


def test_leaving_ends_every_login_a_copied_one_too(guarded: Studio) -> None:
    coach, phone = browser(guarded), browser(guarded, "192.168.0.21")
    assert [say(coach), say(phone)] == [303, 303]
    thief = copied(coach, guarded)
    assert thief.get("/people").status_code == 200
    found = re.search(r'"X-Token": "([^"]+)"', coach.get("/").text)
    assert found
    assert coach.post("/leave", data={"token": found[1]}).status_code == 303
    assert [each.get("/people").headers.get("location") for each in (coach, phone, thief)] == ["/enter"] * 3
    assert say(coach) == 303
    assert coach.get("/people").status_code == 200


def test_another_passphrase_ends_every_login_and_holds_at_once(
    guarded: Studio, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    coach = browser(guarded)
    say(coach)
    thief = copied(coach, guarded)
    monkeypatch.setenv("EVERYRUNG_HOME", str(tmp_path))
    monkeypatch.setattr("getpass.getpass", lambda _: "another rack of oars")
    assert main(["studio", "--set-passphrase"]) == 0
    assert "everyone who was in before" in capsys.readouterr().out
    assert thief.get("/people").headers["location"] == "/enter"
    assert say(thief) == 401  # the old one, in the studio that still runs
    assert say(coach, "another rack of oars") == 303


def test_a_line_that_was_open_ends_with_its_login(guarded: Studio, session: str) -> None:
    coach = browser(guarded)
    say(coach)
    coach.get("/")
    with coach.websocket_connect(
        f"ws://192.168.0.7:8040/session/{session}/live?as=prompter", headers={"origin": NETWORK}
    ) as line:
        line.receive_text()
        Logins(guarded.settings.folder).end_all()
        line.send_text('{"do":"toggle"}')
        until = time.monotonic() + 60
        while guarded.shows.of(session).screens and time.monotonic() < until:
            time.sleep(0.01)
        assert not guarded.shows.of(session).screens


def test_wrong_passphrases_from_one_address_never_keep_another_one_out(guarded: Studio) -> None:
    guesser = browser(guarded, "192.168.0.66")
    assert [say(guesser, f"guess number {each}") for each in range(MOST_TRIES)] == [401] * MOST_TRIES
    assert say(guesser) == 429  # the right one too
    assert say(guesser, **{"X-Forwarded-For": "192.168.0.99"}) == 429  # what they say of themselves is not asked
    assert say(browser(guarded)) == 303


def test_a_hundred_guesses_at_once_are_counted_like_one_after_another() -> None:
    tries = LoginLimiter()

    async def every() -> list[bool | None]:
        return await asyncio.gather(*(tries.check("192.168.0.66", "wrong", "$argon2id$no") for _ in range(100)))

    begin = time.monotonic()
    with start_blocking_portal() as portal:  # a thread of its own: a browser's loop may be running in this one
        answers = portal.call(every)
    tries_s = time.monotonic() - begin
    assert answers.count(False) == MOST_TRIES
    assert answers.count(None) == 100 - MOST_TRIES
    assert tries_s >= 0.9  # the tenth wrong one waits a second


def test_what_is_remembered_of_addresses_is_bounded_and_ipv6_counts_by_machine() -> None:
    assert network("fe80::1%eth0") == network("fe80::2") != network("fe80:0:0:1::1")
    assert network("::ffff:192.168.0.7") == network("192.168.0.7")
    tries = OwnTries(MOST_ADDRESSES)
    for number in range(MOST_ADDRESSES + 10):
        tries.add(str(number), 0.0)
    assert tries.count() == MOST_ADDRESSES


def test_the_server_believes_nobody_about_their_address(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    asked: dict[str, Any] = {}
    monkeypatch.setenv("EVERYRUNG_HOME", str(tmp_path))
    monkeypatch.setattr("uvicorn.run", lambda _, **options: asked.update(options))
    assert main(["studio", "--no-browser", "--port", "8391"]) == 0
    assert asked["proxy_headers"] is False


def test_a_line_from_a_foreign_name_is_refused(client: TestClient, session: str) -> None:
    """As after DNS rebinding: the page's own name and the host agree, and the browser sends what it has."""
    client.get("/")
    cookie = f"everyrung={client.cookies['everyrung']}"

    def line(host: str) -> Any:
        headers = {"origin": f"http://{host}", "cookie": cookie}
        return client.websocket_connect(f"ws://{host}/session/{session}/live?as=stage", headers=headers)

    with line("localhost:8040") as own:
        assert own.receive_text()
    with pytest.raises(WebSocketDisconnect), line("evil.example:8040"):
        pass


def test_a_broken_page_has_the_headers_and_no_word_of_anybody_s_in_the_log(
    client: TestClient, session: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def broken(*_: object) -> None:
        raise KeyError("Sunniva")

    monkeypatch.setattr(Sessions, "head", broken)
    answer = client.get(f"/session/{session}")
    assert answer.status_code == 500
    assert "Nothing that was saved is lost" in answer.text
    assert all(answer.headers[name] == value for name, value in HEADERS.items())
    said = capsys.readouterr().err
    assert "KeyError at " in said
    assert "Sunniva" not in said


def test_the_database_s_own_complaint_is_logged_without_its_parameters(studio: Studio) -> None:
    from sqlalchemy.exc import OperationalError

    with studio.engine.connect() as connection, pytest.raises(OperationalError) as caught:
        connection.exec_driver_sql("INSERT INTO nowhere VALUES (?)", ("Sunniva",))
    assert "Sunniva" not in str(caught.value)
    assert log_line(caught.value).endswith("no such table: nowhere")


LONG = "9" * 5000


@pytest.mark.parametrize(
    "path",
    ["/people/{n}", "/cards/{s}/own/{n}.pdf", "/session/{s}/publish/file/{n}", "/session/{s}/stage/still/{n}",
     "/session/{s}/versions/compare?from={n}&to={n}", "/session/{s}/stage?speed={n}", "/session/{s}/rehearse?count={n}",
     "/moves/squat?stature={n}", "/session/{s}/stage?of={n}-00000000", "/session/{s}/publish?weeks={n}"],
)  # fmt: skip
def test_a_number_of_5000_digits_is_answered_in_words(path: str, client: TestClient, session: str) -> None:
    answer = client.get(path.format(n=LONG, s=session))
    assert answer.status_code < 500
    assert all(answer.headers[name] == value for name, value in HEADERS.items())


@pytest.mark.parametrize("name", ["cookies.key", "passphrase"])
def test_a_spoilt_key_is_said_with_its_file_and_what_to_do(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("EVERYRUNG_HOME", str(tmp_path))
    open_database_there(tmp_path)
    (tmp_path / name).write_bytes(b"\xff\xfe\x00\x80")
    assert main(["studio", "--no-browser", "--port", "8392"]) == 2
    said = capsys.readouterr().err
    assert str(tmp_path / name) in said
    assert "got something else" in said
    assert "--set-passphrase" in said or "Delete this file" in said


def test_a_passphrase_file_that_holds_no_hash_is_said(tmp_path: Path) -> None:
    passphrase_file(tmp_path).write_text("oars in the rack\n", encoding="ascii")
    with pytest.raises(Faults, match="the hash of the passphrase"):
        kept_passphrase(tmp_path)
    assert kept_cookie_key(tmp_path) == kept_cookie_key(tmp_path)


def open_database_there(folder: Path) -> None:
    from sqlalchemy import URL

    open_database(URL.create("sqlite", database=str(folder / "studio.sqlite"))).dispose()


def test_the_drawing_process_comes_back_after_it_was_ended() -> None:
    """Killed between two tasks, and within one: done once more by a new one; a task that ends it each time is told."""
    drawing = ProcessWorkers(again=1)
    try:
        first = drawing.submit(os.getpid).result(60)
        os.kill(first, signal.SIGKILL)
        second = drawing.submit(os.getpid).result(60)
        assert second != first
        with pytest.raises(BrokenProcessPool):
            drawing.submit(os._exit, 1).result(60)
        assert drawing.submit(os.getpid).result(60) not in (first, second)
    finally:
        drawing.close()


def test_a_page_whose_drawing_process_dies_twice_says_so(
    client: TestClient, studio: Studio, monkeypatch: pytest.MonkeyPatch
) -> None:
    def dead(*_: object) -> "Future[Any]":
        answer: Future[Any] = Future()
        answer.set_exception(BrokenProcessPool("Sunniva"))
        return answer

    monkeypatch.setattr(studio.drawing, "submit", dead)
    answer = client.get("/moves/squat/ladder")
    assert answer.status_code == 503
    assert "short of memory" in answer.text
