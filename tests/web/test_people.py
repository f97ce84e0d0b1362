"""The People screen: a list in and out; what was said in confidence apart, sealed, left out or deleted at once."""

from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from everyrung.people.read import people_from_text
from everyrung.terms.enums import Caution
from everyrung.terms.person import Estimate
from everyrung.web.person_form import add, participants
from everyrung.web.studio import Studio

CSV = (Path(__file__).parents[2] / "examples" / "boathouse-people.csv").read_text(encoding="utf-8")
ANSWERS = (b"deep knee bend", b"wrist load", b"medicine")


def brought(client: TestClient, token: str, content: bytes, name: str = "people.csv", **fields: str) -> Any:
    files = {"file": (name, content, "text/csv")}
    return client.post("/people/bring", data={"token": token, **fields}, files=files)


def kept(folder: Path) -> bytes:
    """All that the database's files hold."""
    return b"".join(path.read_bytes() for path in folder.glob("studio.sqlite*"))


def test_a_spreadsheet_becomes_the_list(client: TestClient, token: str, studio: Studio) -> None:
    assert brought(client, token, CSV.encode()).status_code == 303
    people = {one.name: one for one in participants(studio.people)}
    assert len(people) == 8
    assert people["Odd"].stature_m == pytest.approx(1.8034)  # 5 ft 11 in of 0.3048 m and 0.0254 m, exact by definition
    assert people["Sunniva"].health.limits == (Caution.DEEP_KNEE, Caution.WRIST_LOAD)
    assert people["Bo"].health.rate_limiting
    assert "Sunniva" in client.get("/people").text


def test_what_was_said_in_confidence_is_nowhere_in_the_open(client: TestClient, token: str, tmp_path: Path) -> None:
    brought(client, token, CSV.encode())
    assert not any(answer in kept(tmp_path) for answer in ANSWERS)
    out = client.get("/people/people.toml").content
    assert b"Sunniva" in out
    assert not any(answer in out for answer in ANSWERS)
    assert len(people_from_text(out.decode(), "people.toml")) == 8


def test_health_answers_can_be_left_out(client: TestClient, token: str, studio: Studio, tmp_path: Path) -> None:
    brought(client, token, CSV.encode(), health="leave")
    assert not any(one.health.limits for one in participants(studio.people))
    assert not (tmp_path / "health.key").exists()


def test_one_action_deletes_every_health_answer_and_its_key(
    client: TestClient, token: str, post: Any, studio: Studio, tmp_path: Path
) -> None:
    brought(client, token, CSV.encode())
    assert (tmp_path / "health.key").exists()
    assert post("/people/health/remove", part=False).status_code == 303
    assert "The health answers of 2 people were deleted" in client.get("/people").text
    assert not (tmp_path / "health.key").exists()
    assert len(participants(studio.people)) == 8
    assert not any(one.health.limits or one.health.rate_limiting for one in participants(studio.people))


def test_without_its_key_the_answers_stay_shut_and_can_still_be_deleted(
    client: TestClient, token: str, post: Any, tmp_path: Path
) -> None:
    brought(client, token, CSV.encode())
    (tmp_path / "health.key").unlink()
    page = client.get("/people")
    assert page.status_code == 200
    assert "can&#39;t be opened" in page.text or "can't be opened" in page.text
    assert "Delete all health answers" in page.text
    post("/people/health/remove", part=False)
    assert "Sunniva" in client.get("/people").text


def test_a_slip_in_the_form_is_named_and_nothing_typed_is_lost(post: Any, studio: Studio) -> None:
    answer = post("/people", part=False, name="Edda", stature="tall", kit="2 x 4 kg")
    assert answer.status_code == 422
    assert "Stature: expected" in answer.text
    assert 'value="Edda"' in answer.text
    assert 'value="2 x 4 kg"' in answer.text
    assert studio.people.count() == 0


def test_a_name_is_given_once(post: Any, studio: Studio) -> None:
    assert post("/people", part=False, name="Edda", stature="165 cm").status_code == 303
    answer = post("/people", part=False, name="edda", stature="170 cm")
    assert answer.status_code == 422
    assert "a name of its own" in answer.text
    assert studio.people.count() == 1


def test_a_changed_person_keeps_what_was_learned_of_them(post: Any, studio: Studio) -> None:
    from dataclasses import replace

    person = people_from_text('[[person]]\nname = "Edda"\nstature = "165 cm"\n', "people.toml")[0]
    learned = Estimate(factor=1.2, log_sd=0.1)
    key = add(studio.people, replace(person, strength=learned, endurance=learned))
    answer = post(f"/people/{key}", part=False, name="Edda", stature="166 cm", medicine="on")
    assert answer.status_code == 303
    one = participants(studio.people)[0]
    assert (one.stature_m, one.strength, one.endurance, one.health.rate_limiting) == (1.66, learned, learned, True)
    post(f"/people/{key}", part=False, name="Edda", stature="166 cm")  # nothing ticked
    assert not participants(studio.people)[0].health.rate_limiting


def test_a_list_without_answers_takes_nobody_s_away(client: TestClient, token: str, studio: Studio) -> None:
    brought(client, token, CSV.encode())
    brought(client, token, b"name,stature\nSunniva,163 cm\nNew one,170 cm\n")
    people = {one.name: one for one in participants(studio.people)}
    assert len(people) == 9
    assert people["Sunniva"].stature_m == 1.63
    assert people["Sunniva"].health.limits


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("people.csv", b"name,stature\nEdda,tall\nIlka,170 cm\n"),
        ("people.csv", b"\xff\xfe\x00"),
        ("people.xlsx", b"PK\x03\x04"),
        ("people.health.toml", b'[[person]]\nname = "Edda"\n'),
        ("people.toml", b"[[person]\n"),
        ("people.csv", b""),
    ],
)
def test_a_list_with_a_fault_changes_nothing(
    name: str, content: bytes, client: TestClient, token: str, studio: Studio
) -> None:
    answer = brought(client, token, content, name)
    assert answer.status_code == 422
    assert "expected" in answer.text or "not text in UTF-8" in answer.text
    assert studio.people.count() == 0


def test_a_deleted_person_is_gone_with_all_that_was_kept(
    client: TestClient, token: str, post: Any, studio: Studio
) -> None:
    brought(client, token, CSV.encode())
    key = next(row.id for row in studio.people.all() if row.name == "Sunniva")
    post(f"/people/{key}/remove", part=False)
    assert "Sunniva" not in [one.name for one in participants(studio.people)]
    assert client.get(f"/people/{key}").status_code == 404


def test_a_page_that_waits_for_cards_does_not_read_all_that_people_ever_did(
    client: TestClient, token: str, session: str, studio: Studio, monkeypatch: pytest.MonkeyPatch
) -> None:
    brought(client, token, CSV.encode())
    reads: list[Any] = []
    every = studio.history.all
    monkeypatch.setattr(type(studio.history), "all", lambda _self, *day: reads.append(day) or every(*day))
    client.get(f"/cards?session={session}")
    assert len(reads) == 1
    for _ in range(3):
        part = client.get(f"/cards?session={session}", headers={"HX-Request": "true"})
        assert "The cards are being made" in part.text
    assert len(reads) == 1


def test_cards_that_were_not_made_are_not_there(client: TestClient, token: str, session: str) -> None:
    assert client.get(f"/cards?session={session}").status_code == 422  # nobody is on the list
    brought(client, token, CSV.encode())
    assert "The cards are being made" in client.get(f"/cards?session={session}").text
    for address in ("0.pdf", "0.exe", "all.zip", "99.html"):
        assert client.get(f"/cards/{session}/own/{address}").status_code == 404
