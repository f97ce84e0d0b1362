"""Leading: what the stage reads, and what is kept of what was really done."""

import json
import os
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from everyrung.room import paths
from everyrung.terms.enums import Caution
from everyrung.terms.person import Health, Person
from everyrung.web.jobs import clear_stages
from everyrung.web.person_form import add
from everyrung.web.routes.lead import setting_of
from everyrung.web.studio import Studio


def log(*what: str) -> str:
    events = [
        {"wall_ms": 1000 * place + 1, "at_ms": place, "what": each, "cell": ""} for place, each in enumerate(what)
    ]
    return json.dumps({"events": events})


def test_what_was_done_is_kept_and_shown(post: Any, client: TestClient, studio: Studio, session: str) -> None:
    for text in (log("start", "pause"), log("start", "pause", "go", "skip", "end")):
        answer = post(f"/session/{session}/log", id="one-show", revision=1, log=text)
        assert answer.status_code == 204
    (led,) = studio.session_logs.of(session)
    assert [each["what"] for each in json.loads(led.log)["events"]] == ["start", "pause", "go", "skip", "end"]
    page = client.get(f"/session/{session}/lead").text
    assert "Led before" in page
    assert "<td>1 ×</td><td>1</td>" in page


def test_each_persons_way_is_seen_before_it_begins_by_initials(
    client: TestClient, studio: Studio, session: str
) -> None:
    """The same ways as `path` finds; nobody's name stands there, and who avoids nothing is left out."""
    avoid = (Caution.LYING_BACK, Caution.TO_FLOOR)
    add(studio.people, Person(name="Edda Quist", stature_m=1.65, health=Health(limits=avoid)))
    add(studio.people, Person(name="Oskar", stature_m=1.8))
    text = client.get(f"/session/{session}/lead").text
    part = text[text.index('id="ways"') : text.index('id="keys-head"')]
    led = studio.on_clock(studio.sessions.head(session).text).session
    steps = paths.path(led, studio.library, avoid)
    others = [step for step in steps if step.source is not paths.Source.LED]
    assert f"<b>EQ</b>: {len(others)} of {len(steps)} sets" in part
    assert others
    assert all(step.rung and step.rung.name in part for step in others)
    assert "Edda" not in part
    assert "Os" not in part


def test_a_show_took_no_time_while_no_stage_was_open_and_a_cut_that_was_undone_is_none(
    post: Any, client: TestClient, session: str
) -> None:
    said = [
        (0, "start"), (60, "skip"), (70, "cut"), (80, "undo"), (90, "cut"), (100, "left"), (4000, "again"),
        (4020, "end"),
    ]  # fmt: skip
    events = [{"wall_ms": 1000 * at + 1, "at_ms": at, "what": what, "cell": ""} for at, what in said]
    post(f"/session/{session}/log", id="one-show", revision=1, log=json.dumps({"events": events}))
    page = client.get(f"/session/{session}/lead").text
    assert "<td>2:00</td><td>0 ×</td><td>1</td><td>1 ×</td><td>yes</td>" in page


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("one", "{}"), ("one", "nonsense"), ("one", '{"events": []}'), ("", log("start")), ("../x", log("start")),
        ("one", '{"events": [{"wall_ms": -5, "at_ms": 0, "what": "go"}]}'), ("one", '{"events": 5}'),
        ("one", '{"events": [{"wall_ms": 1e400, "at_ms": 0, "what": "go"}]}'),
    ],
)  # fmt: skip
def test_a_log_that_is_none_is_refused(name: str, text: str, post: Any, studio: Studio, session: str) -> None:
    assert post(f"/session/{session}/log", id=name, revision=1, log=text).status_code == 422
    assert not studio.session_logs.of(session)


def test_a_stage_that_is_not_set_is_not_opened(client: TestClient, session: str) -> None:
    for path in ("stage", "stage/run-sheet.json", "stage/looks.json", "stage/still/0"):
        answer = client.get(f"/session/{session}/{path}")
        assert answer.status_code == 404
        assert "The stage is not ready" in answer.text


def test_pictures_are_asked_for_by_key_or_number_alone(
    client: TestClient, tmp_path: Path, studio: Studio, session: str, forecast: Callable[..., Any]
) -> None:
    del forecast
    folder = tmp_path / "stage" / session / setting_of(studio, studio.sessions.head(session)) / "1"
    folder.mkdir(parents=True)
    (folder / "run-sheet.json").write_text("{}")
    (folder / "still-0af1.svg").write_text("<svg/>")
    assert client.get(f"/session/{session}/stage/still/0af1").text == "<svg/>"
    assert client.get(f"/session/{session}/stage/still/0af1").headers["content-type"] == "image/svg+xml"
    for path in ("still/1", "run/0", "../run-sheet.json", "still/0af1.svg", "still/-1", "still/0AF1"):
        assert client.get(f"/session/{session}/stage/{path}").status_code == 404
    assert studio.sessions.head(session).number == 1


def set_by_hand(studio: Studio, session: str) -> str:
    """A stage as if it had been set; its name."""
    name = setting_of(studio, studio.sessions.head(session))
    folder = studio.settings.folder / "stage" / session / name / "1"
    folder.mkdir(parents=True)
    (folder / "run-sheet.json").write_text("{}")
    (folder / "motion-0.json").write_text("[1]")
    return name


def test_an_edit_meanwhile_takes_nothing_from_a_show(
    post: Any, client: TestClient, studio: Studio, session: str
) -> None:
    name = set_by_hand(studio, session)
    shown = client.get(f"/session/{session}/stage").text
    assert f'data-setting="{name}"' in shown
    post(f"/session/{session}/edit", base=1, edit="head", field="title", value="Anew")
    assert client.get(f"/session/{session}/stage/motion/0").status_code == 404  # of the new version there is none yet
    assert client.get(f"/session/{session}/stage/motion/0?of={name}").json() == [1]
    assert client.get(f"/session/{session}/stage/run-sheet.json?of={name}").status_code == 200
    assert client.get(f"/session/{session}/prompter").status_code == 200
    for other in ("99-00000000", "1-00000000", f"../{name}"):
        assert client.get(f"/session/{session}/stage/run-sheet.json?of={other}").status_code == 404


def test_new_words_of_hers_are_another_stage(post: Any, client: TestClient, studio: Studio, session: str) -> None:
    name = set_by_hand(studio, session)
    assert client.get(f"/session/{session}/stage").status_code == 200
    post("/own-cues", part=False, kind="form", text="Tall as a mast.")
    assert client.get(f"/session/{session}/stage").status_code == 404
    assert client.get(f"/session/{session}/stage?of={name}").status_code == 200


def test_stages_of_yesterday_are_cleared_away_and_today_s_stay(tmp_path: Path) -> None:
    for name, age_s in (("1-a", 2 * 86_400), ("2-b", 3600), ("3-c", 2 * 86_400)):
        (tmp_path / name).mkdir()
        then = time.time() - age_s
        os.utime(tmp_path / name, (then, then))
    clear_stages(tmp_path / "3-c")
    assert sorted(each.name for each in tmp_path.iterdir()) == ["2-b", "3-c"]


def test_setting_the_stage_can_be_stopped(post: Any, client: TestClient, studio: Studio, session: str) -> None:
    assert "lead/stop" in client.get(f"/session/{session}/lead").text
    (waiting,) = studio.jobs._waiting.values()
    assert studio.jobs.progress(waiting.key)
    assert "Stopped" in post(f"/session/{session}/lead/stop").text
    assert studio.jobs.progress(waiting.key) is None
