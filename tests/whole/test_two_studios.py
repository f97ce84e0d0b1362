"""Two studios as processes on one database and one folder: what one does is there at the other, and one is killed."""

import http.cookiejar
import json
import os
import re
import socket
import subprocess
import sys
import time
import urllib.parse
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import URL, Engine, select
from sqlalchemy.orm import Session as Work
from websockets.exceptions import ConnectionClosed
from websockets.sync.client import ClientConnection, connect

from everyrung.store.database import VARIABLE, open_database
from everyrung.store.tables import Base, JobTable
from everyrung.web.stage_relay import AGAIN

BEGIN_S, COMPUTE_S = 60.0, 240.0  # on a busy machine


class Browser:
    """What a coach's browser does at one studio."""

    def __init__(self, port: int) -> None:
        self._at = f"http://localhost:{port}"
        self._jar = http.cookiejar.CookieJar()
        self._opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(self._jar))

    def get(self, path: str) -> str:
        with self._opener.open(self._at + path, timeout=30) as answer:
            return str(answer.read().decode())

    def line(self, session: str, role: str, stands: str = "new") -> ClientConnection:
        """A screen of a show."""
        cookie = "; ".join(f"{each.name}={each.value}" for each in self._jar)
        address = f"{self._at.replace('http', 'ws')}/session/{session}/live?as={role}&stands={stands}"
        return connect(address, additional_headers={"Origin": self._at, "Cookie": cookie})

    def post(self, path: str, **fields: object) -> str:
        token = re.search(r'"X-Token": "([^"]+)"', self.get("/"))
        assert token
        data = urllib.parse.urlencode({name: str(value) for name, value in fields.items()}).encode()
        asked = urllib.request.Request(self._at + path, data, {"X-Token": token[1]})
        with self._opener.open(asked, timeout=30) as answer:
            return str(answer.geturl())


@contextmanager
def studio(home: Path, *options: str, **more: str) -> Iterator[tuple[subprocess.Popen[bytes], Browser]]:
    """One that answers."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-m", "everyrung.cli", "studio", "--no-browser", "--port", str(port), *options]
    process = subprocess.Popen(command, env=os.environ | {"EVERYRUNG_HOME": str(home)} | more)
    try:
        browser = Browser(port)
        until(lambda: answers(browser), BEGIN_S)
        yield process, browser
    finally:
        process.terminate()
        process.wait(30)


def answers(browser: Browser) -> bool:
    try:
        return bool(browser.get("/"))
    except OSError:
        return False


def until(holds: Callable[[], Any], within_s: float) -> Any:
    end_s = time.monotonic() + within_s
    while time.monotonic() < end_s:
        if found := holds():
            return found
        time.sleep(0.3)
    raise AssertionError(f"not within {within_s:g} s")


def jobs(engine: Engine) -> dict[str, tuple[str, bool]]:
    """The studio that computes or has computed each job, and whether it is finished."""
    with Work(engine) as work:
        return {row.key: (row.studio_id, row.finished) for row in work.scalars(select(JobTable))}


@pytest.mark.slow
@pytest.mark.parametrize("kind", ["postgresql", "sqlite"])
def test_two_studios_do_as_one_and_one_is_killed(
    kind: str, tmp_path: Path, request: pytest.FixtureRequest, share_results: Callable[[Path], None]
) -> None:
    share_results(tmp_path)
    url = request.getfixturevalue("postgresql") if kind == "postgresql" else None
    given = {VARIABLE: url.render_as_string(hide_password=False)} if url else {}
    engine = open_database(url or URL.create("sqlite", database=str(tmp_path / "studio.sqlite")))
    with engine.begin() as connection:
        for table in reversed(Base.metadata.sorted_tables):
            connection.execute(table.delete())
    options = () if url else ("--shared",)
    with studio(tmp_path, *options, **given) as (first, here), studio(tmp_path, *options, **given) as (_, there):
        address = here.post("/new", **{"from": "boathouse-30"})
        session = re.search(r"/session/([\w-]+)", address)
        assert session
        path = f"/session/{session[1]}"
        picture = re.search(r'data-figure="(\w+)"', here.get(path))
        assert picture
        assert "<svg" in there.get(f"/figure/{picture[1]}.svg")  # a name that only the other one gave
        begun = until(lambda: jobs(engine), BEGIN_S)
        there.get(path)
        (dead,) = {owner for owner, _ in begun.values()}
        now = jobs(engine)
        assert {owner for owner, _ in now.values()} == {dead}  # asked for at both, and all computed by the first
        assert not all(finished for _, finished in now.values())
        with here.line(session[1], "stage") as stage, there.line(session[1], "prompter") as prompter:
            assert json.loads(stage.recv(timeout=10))["lead"]
            stage.send(json.dumps({"is": "state", "name": "Lunge", "begun": True}))
            assert json.loads(prompter.recv(timeout=10))["is"] == "here"
            assert json.loads(prompter.recv(timeout=10))["name"] == "Lunge"
            first.kill()
            first.wait()
            with pytest.raises(ConnectionClosed) as closed:
                prompter.recv(timeout=30)
        assert closed.value.rcvd
        assert closed.value.rcvd.code == AGAIN  # a browser comes back by itself
        with there.line(session[1], "prompter") as prompter, there.line(session[1], "stage", "leads") as stage:
            assert json.loads(stage.recv(timeout=10))["lead"]
            stage.send(json.dumps({"is": "state", "name": "Squat", "begun": True}))
            assert json.loads(prompter.recv(timeout=10))["is"] == "here"
            assert json.loads(prompter.recv(timeout=10))["name"] == "Squat"
        until(lambda: "can finish every set" in there.get(f"{path}/computed?base=1&seen="), COMPUTE_S)
        assert {owner for owner, finished in jobs(engine).values() if finished} - {dead}
        assert set(begun) <= set(jobs(engine))
        assert "title = " in there.get(f"{path}/plan.toml")
    engine.dispose()
