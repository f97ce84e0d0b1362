"""The coach's own words on the Moves screen: kept, shown, said, taken along, let go."""

import tomllib
from html import escape
from typing import Any

import pytest
from starlette.testclient import TestClient

from everyrung.pipeline import AudienceSpec
from everyrung.terms.enums import CueKind
from everyrung.terms.timeline import OwnCue
from everyrung.web.studio import Studio

MAST = {"move": "split-squat", "kind": "form", "text": "Tall as a <mast>."}


def test_words_are_kept_shown_and_said_in_every_session(
    post: Any, client: TestClient, studio: Studio, session: str
) -> None:
    before = studio.run(studio.sessions.head(session).text)
    assert post("/own-cues", part=False, **MAST).headers["location"] == "/moves/split-squat#words"
    assert "Tall as a &lt;mast&gt;." in client.get("/moves/split-squat").text
    assert "mast" not in client.get("/moves/squat").text
    after = studio.run(studio.sessions.head(session).text)
    for run, there in ((before, False), (after, True)):
        lunges = [cell.rung for cell in run.session.cells if cell.move.key == "split-squat"]
        assert lunges
        assert all((MAST["text"] in [cue.text for cue in rung.cues]) == there for rung in lunges)


def test_other_words_are_another_job(post: Any, studio: Studio) -> None:
    before = studio.job("text", AudienceSpec()).key
    post("/own-cues", part=False, kind="form", text="Easy.")
    assert studio.job("text", AudienceSpec()).key != before


def test_words_for_every_set_are_kept_on_the_list_of_moves(post: Any, client: TestClient, studio: Studio) -> None:
    assert post("/own-cues", part=False, kind="encouragement", text="Well rowed.").headers["location"] == "/moves#words"
    assert "Well rowed." in client.get("/moves").text
    (key,) = studio.own_cues.by_id()
    post("/own-cues/remove", part=False, own=key)
    assert not studio.own_cues.all()
    assert "Well rowed." not in client.get("/moves").text


def test_the_file_is_what_the_command_takes(post: Any, client: TestClient) -> None:
    post("/own-cues", part=False, **MAST)
    post("/own-cues", part=False, kind="encouragement", text="Well rowed.")
    answer = client.get("/own-cues.toml")
    assert "attachment" in answer.headers["content-disposition"]
    found = [OwnCue(**each | {"kind": CueKind(each["kind"])}) for each in tomllib.loads(answer.text)["cue"]]
    assert [(each.move, each.text) for each in found] == [("split-squat", MAST["text"]), ("", "Well rowed.")]


def test_words_that_urge_are_marked_in_the_session(post: Any, client: TestClient, session: str) -> None:
    assert "words-urging" not in client.get(f"/session/{session}").text
    post("/own-cues", part=False, move="split-squat", kind="form", text="Faster, push through!")
    page = client.get(f"/session/{session}").text
    assert "Faster, push through!" in page
    assert "Ask for quality" in page


@pytest.mark.parametrize(
    "wrong",
    [
        {"kind": "count"}, {"kind": ""}, {"move": "squatt"}, {"rung": "none"}, {"move": "", "rung": "base"},
        {"move": "../people"},
    ],
)  # fmt: skip
def test_words_that_are_none_are_refused(wrong: dict[str, str], post: Any, studio: Studio) -> None:
    assert post("/own-cues", part=False, **MAST | wrong).status_code == 422
    assert not studio.own_cues.all()


@pytest.mark.parametrize(
    ("kind", "text"), [("safety", ""), ("safety", " "), ("breathing", "x" * 121), ("form", MAST["text"])]
)
def test_words_that_cannot_be_kept_come_back_into_the_form_with_what_is_wrong(
    kind: str, text: str, post: Any, client: TestClient, studio: Studio
) -> None:
    post("/own-cues", part=False, **MAST)
    client.get("/moves")
    answer = post("/own-cues", part=False, **MAST | {"text": text, "kind": kind})
    assert answer.headers["location"] == "/moves/split-squat#words"
    page = client.get("/moves/split-squat").text
    assert "Not kept: it takes" in page
    assert f'value="{escape(text.strip())}" aria-invalid' in page
    assert f"<option selected>{kind}" in page
    assert "Not kept" not in client.get("/moves/split-squat").text
    assert len(studio.own_cues.all()) == 1


def test_removing_what_is_not_there_is_told(post: Any) -> None:
    assert post("/own-cues/remove", part=False, own="7").status_code == 404
    assert post("/own-cues/remove", part=False, own="x").status_code == 404
