"""A show beside its plan on a page: kept as it happens, whatever is killed; notes, files to take out, forgetting it."""

import csv
import io
import json
import os
import re
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import URL
from starlette.testclient import TestClient

from everyrung.lookback.stage_log import read_stage_log
from everyrung.store.database import open_database
from everyrung.store.session_log import SessionLog, SessionLogs
from everyrung.store.sessions import NotFound
from everyrung.web.studio import Studio

START = 1_790_000_000_000
EVENTS = [
    {"wall_ms": START, "at_ms": 0, "what": "start", "cell": ""},
    {"wall_ms": START, "at_ms": 0, "what": "go", "cell": "", "by": "stage"},
    {"wall_ms": START + 700_000, "at_ms": 700_000, "what": "skip", "cell": "", "to_ms": 900_000, "by": "remote"},
    {"wall_ms": START + 710_000, "at_ms": 910_000, "what": "pause", "cell": "", "by": "remote"},
]


@pytest.fixture
def led(post: Callable[..., Any], session: str) -> str:
    """The address of a show."""
    answer = post(f"/session/{session}/log", id="one-show", revision=1, log=json.dumps({"events": EVENTS}))
    assert answer.status_code == 204
    return f"/session/{session}/led/one-show"


def test_a_show_stands_beside_its_plan(client: TestClient, led: str) -> None:
    page = client.get(led).text
    assert page.count("<td>not led</td>") > 3
    assert f'href="{led}"' in client.get(led.replace("/led/one-show", "/lead")).text


def test_notes_are_kept_shown_as_text_and_taken_out(
    client: TestClient, post: Callable[..., Any], led: str, tmp_path: Path
) -> None:
    assert post(f"{led}/notes", part=False, notes="Cold hall <b>tonight</b>").status_code == 303
    page = client.get(led).text
    assert "Cold hall &lt;b&gt;tonight" in page
    path = tmp_path / "led.json"
    path.write_bytes(client.get(f"{led}/led.json").content)
    log = read_stage_log(path)
    assert log.notes == "Cold hall <b>tonight</b>"
    assert [each.what for each in log.events] == [each["what"] for each in EVENTS]
    rows = list(csv.DictReader(io.StringIO(client.get(f"{led}/led.csv").content.decode("utf-8-sig"))))
    assert len(rows) == page.count("<tr>") - 1
    assert client.get(f"{led}/led.exe").status_code == 404


def test_notes_outlive_what_the_stage_sends_afterwards(
    client: TestClient, post: Callable[..., Any], led: str, session: str
) -> None:
    post(f"{led}/notes", part=False, notes="Cold hall")
    post(f"/session/{session}/log", id="one-show", revision=1, log=json.dumps({"events": [*EVENTS, EVENTS[-1]]}))
    assert "Cold hall" in client.get(led).text


def test_an_older_state_that_comes_late_takes_nothing_away(
    post: Callable[..., Any], studio: Studio, led: str, session: str
) -> None:
    assert led
    post(f"/session/{session}/log", id="one-show", revision=1, log=json.dumps({"events": EVENTS[:2]}))
    (log,) = studio.session_logs.of(session)
    assert len(json.loads(log.log)["events"]) == len(EVENTS)


def test_a_forgotten_show_is_gone(client: TestClient, post: Callable[..., Any], studio: Studio, led: str) -> None:
    assert post(f"{led}/delete", part=False).status_code == 303
    assert client.get(led).status_code == 404
    with pytest.raises(NotFound):
        studio.session_logs.note(led.split("/")[2], "one-show", "x")


def test_a_show_of_another_version_says_so(client: TestClient, post: Callable[..., Any], session: str) -> None:
    events = [*EVENTS[:2], {"wall_ms": START + 5, "at_ms": 5, "what": "set", "cell": "Main/One/lunge"}]
    post(f"/session/{session}/log", id="other", revision=1, log=json.dumps({"events": events}))
    page = client.get(f"/session/{session}/led/other").text
    assert "the log of this version of the plan" in re.sub(r"\s+", " ", page)
    assert client.get(f"/session/{session}/led/other/led.json").status_code == 200


WRITER = """
import json, sys
from sqlalchemy import URL
from everyrung.store.database import open_database
from everyrung.store.session_log import SessionLog, SessionLogs
logs = SessionLogs(open_database(URL.create("sqlite", database=sys.argv[1])))
events = []
while True:
    events.append({"wall_ms": len(events), "at_ms": len(events), "what": "set", "cell": "x" * 50})
    logs.keep(SessionLog(id="one", session=sys.argv[2], revision=1, started_ms=1, log=json.dumps({"events": events})))
    print(len(events), flush=True)
"""


def test_what_was_answered_is_there_after_kill_9(studio: Studio, session: str, tmp_path: Path) -> None:
    """The studio's own writer in a process that is killed while it writes: nothing that it had answered is lost, and
    what is there can be read.
    """
    database = tmp_path / "studio.sqlite"
    with subprocess.Popen(
        [sys.executable, "-c", WRITER, str(database), session], stdout=subprocess.PIPE, text=True
    ) as writer:
        assert writer.stdout is not None
        last = 0
        while last < 40:
            last = int(writer.stdout.readline())
        os.kill(writer.pid, signal.SIGKILL)
        last = max([last, *(int(each) for each in writer.stdout.read().split("\n")[:-1])])
    assert writer.returncode == -signal.SIGKILL
    after = SessionLogs(open_database(URL.create("sqlite", database=str(database))))
    (log,) = after.of(session)
    assert len(json.loads(log.log)["events"]) >= last >= 40
    after.keep(SessionLog(id="one", session=session, revision=1, started_ms=1, log=log.log))
    assert studio.session_logs.of(session) == after.of(session)
