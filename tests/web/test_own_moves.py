"""A coach's own move on the Moves screen: copied, changed by angles and levers, checked, kept, used, taken away."""

import re
from collections.abc import Callable
from concurrent.futures import Future
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from everyrung.moves.library import standard_library
from everyrung.web.studio import Studio
from everyrung.web.workers import Workers

WIDE = '{"base": "wide feet"}'


@pytest.fixture(autouse=True)
def own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, share_results: Callable[[Path], None]) -> Path:
    """A home of its own, with the results that all tests share."""
    monkeypatch.setenv("EVERYRUNG_HOME", str(tmp_path))
    share_results(tmp_path)
    return tmp_path


class Here(Workers):
    """Does at once, in this process, what it is given."""

    def submit(self, task: Callable[..., Any], *arguments: Any) -> Future[Any]:
        future: Future[Any] = Future()
        try:
            future.set_result(task(*arguments))
        except Exception as error:
            future.set_exception(error)
        return future

    def close(self) -> None:
        """Nothing to end."""


@pytest.fixture(autouse=True)
def drawing(studio: Studio) -> None:
    studio.drawing = Here()


def form(client: TestClient, move: str = "squat") -> str:
    return client.get(f"/moves/{move}/copy").text


def posted(client: TestClient, token: str, **fields: str) -> Any:
    names = {"knee": "angles.knee_flexion.1", "lever": "lever-1"}
    said = {names.get(name, name): value for name, value in fields.items()}
    return client.post("/moves/squat/copy", data={"token": token} | said)


def test_the_form_has_a_slider_for_each_angle_of_the_pose_and_levers_for_its_base(client: TestClient) -> None:
    page = form(client)
    assert re.findall(r'<input type="range"[^>]* name="([^"]+)"', page) == [
        *("angles.knee_flexion.0", "angles.knee_flexion.1"),
        *("lines.trunk.0", "lines.trunk.1", "lines.arm.0", "lines.arm.1"),
    ]  # fmt: skip
    assert "Knee flexion, at full depth" in page
    assert "wide feet" in page
    assert "half depth" not in page  # a range makes a rung, and no base has it


def test_the_figure_is_drawn_anew_with_every_change(client: TestClient) -> None:
    address = "/moves/squat/copy/drawn"
    usual = client.get(address).text
    deeper = client.get(f"{address}?angles.knee_flexion.1=115").text
    assert "<svg" in usual
    assert "<svg" in deeper
    assert usual != deeper
    assert "Caution: deep knee bend." in deeper
    loaded = client.get(address, params={"lever-1": '{"load": "one"}'}).text
    assert "dumbbells" in loaded
    assert loaded.count("<path") > usual.count("<path")  # the dumbbell is in the picture, at the chest
    assert "are left out" in loaded
    assert "Squat, half depth, hand on the wall" in loaded


@pytest.mark.parametrize(
    ("query", "words"),
    [
        ({"angles.knee_flexion.1": "300"}, "expected 55 to 145 degrees"),
        ({"angles.knee_flexion.1": "deep"}, "expected 55 to 145 degrees"),
        ({"lever-1": "nonsense"}, "expected a lever"),
        ({"lever-1": '{"swap": "lunge/base"}'}, "Copy the other move instead"),
        ({"lever-1": '{"pulse": 3}'}, "put them on a rung of the new move"),
    ],
)
def test_what_cannot_be_drawn_is_a_sentence(client: TestClient, query: dict[str, str], words: str) -> None:
    answer = client.get("/moves/squat/copy/drawn", params=query)
    assert answer.status_code == 200
    assert words in answer.text.replace("&#39;", "'")


def test_a_copy_is_kept_listed_used_in_a_session_and_taken_away(
    client: TestClient, token: str, own_home: Path, studio: Studio
) -> None:
    answer = posted(client, token, name="Lake squat", knee="90", lever=WIDE)
    assert (answer.status_code, answer.headers["location"]) == (303, "/moves/lake-squat")
    text = (own_home / "moves" / "lake-squat.toml").read_text(encoding="utf-8")
    assert "knee_flexion = [4, 90]" in text
    assert 'support = "wide feet"' in text
    listed = client.get("/moves").text
    assert "Lake squat" in listed
    assert "your move" in listed
    page = client.get("/moves/lake-squat").text
    assert "Caution: deep knee bend." in page
    assert "Take it away" in page
    rung = studio.library.rung("lake-squat", "base")
    assert (rung.name, str(rung.form.support)) == ("Lake squat", "wide feet")
    plan = '[[block]]\nkind = "main"\n[[block.move]]\nmove = "lake-squat"\ndose = "8 reps"\n'
    head = 'title = "A"\nslot_minutes = 5\n[who]\nin_room = 2\n'
    assert next(iter(studio.run(head + plan).session.cells)).rung.name == "Lake squat"
    assert client.post("/moves/lake-squat/remove", data={"token": token}).status_code == 303
    assert "lake-squat" not in standard_library().keys
    assert (own_home / "moves" / "lake-squat.toml.removed").read_text(encoding="utf-8") == text


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"name": ""}, "a name on one line"),
        ({"name": "Split squat"}, "a name that no other move has"),
        ({"name": "!!!"}, "a name that begins with a plain letter"),
        ({"name": "Deep one", "knee": "300"}, "55 to 145 degrees"),
        ({"name": "Two ways", "lever": '{"pulse": 3}'}, "levers that a move"),
    ],
)
def test_what_cannot_be_kept_comes_back_as_it_was_written(
    client: TestClient, token: str, own_home: Path, fields: dict[str, str], words: str
) -> None:
    answer = posted(client, token, **fields)
    assert answer.status_code == 422
    assert words in answer.text.replace("&#39;", "'")
    assert "Not saved:" in answer.text
    assert f'name="name" value="{fields["name"]}"' in answer.text
    if "knee" in fields:
        assert f'value="{fields["knee"]}"' in answer.text
    assert list((own_home / "moves").glob("*")) == []


def test_a_pose_that_no_body_takes_is_refused(client: TestClient, token: str, own_home: Path) -> None:
    answer = posted(client, token, name="Folded squat", knee="140", **{"lines.trunk.1": "77"})
    assert answer.status_code == 422
    assert "one that a body can be put into and hold" in answer.text
    assert not (own_home / "moves" / "folded-squat.toml").exists()


def test_a_file_of_hers_that_is_spoilt_is_said_with_its_line_and_nothing_else_suffers(
    client: TestClient, own_home: Path, session: str
) -> None:
    (own_home / "moves").mkdir()
    text = standard_library().source("squat")[0].replace('kind = "strength"', 'kind = "strenght"')
    (own_home / "moves" / "lake-squat.toml").write_text(text, encoding="utf-8")
    page = client.get("/moves")
    assert page.status_code == 200
    assert "lake-squat.toml:2: kind" in page.text
    assert "Nearest: strength" in page.text
    assert client.get(f"/session/{session}").status_code == 200
