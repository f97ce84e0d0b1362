"""Limits are ticks on every screen; plain words lead to a question, and neither they nor a reason is kept or logged."""

import re
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from everyrung.plan.read import plan_from_text
from everyrung.terms.enums import Caution
from everyrung.web.person_form import participants
from everyrung.web.studio import Studio

ADA = {"name": "Ada", "stature": "165 cm"}


@pytest.mark.parametrize("address", ["/session/{session}", "/people"])
def test_every_limit_is_a_tick_on_every_screen_that_asks(address: str, client: TestClient, session: str) -> None:
    page = client.get(address.format(session=session)).text
    assert re.findall(r'type="checkbox" name="limit\.([^"]+)"', page) == [str(each) for each in Caution]
    assert page.count('name="said"') == 1


def test_ticks_of_a_session_are_its_limits(post: Any, session: str, studio: Studio) -> None:
    ticks = {"limit.deep knee bend": "on", "limit.overhead": "on"}
    for number, fields in enumerate((ticks, {}), start=1):
        answer = post(f"/session/{session}/edit", edit="head", field="who.limits", base=number, **fields)
        assert answer.status_code == 200, answer.text
        limits = plan_from_text(studio.sessions.head(session).text, "plan.toml").who.limits
        assert {f"limit.{each}" for each in limits} == set(fields)


def test_plain_words_are_answered_with_a_question_and_its_tick(post: Any) -> None:
    answer = post("/limits", said="sore knee").text
    assert "Sore knee: is a deep knee bend to be avoided?" in answer
    assert 'name="limit.deep knee bend"' in answer


def test_what_is_ticked_already_is_not_asked_again(post: Any) -> None:
    ticks = {"limit.deep knee bend": "on", "limit.kneeling": "on", "limit.impact": "on"}
    assert "ticked already" in post("/limits", said="sore knee", **ticks).text
    assert "Sore knee" not in post("/limits", said="sore knee, bad shoulder", **ticks).text


def test_one_tick_says_yes_to_all_that_is_asked_and_a_professional_has_the_last_word(post: Any, studio: Studio) -> None:
    answer = post("/limits", said="osteoporosis").text
    (several,) = re.findall(r'name="limit.all" value="([^"]+)"', answer)
    assert several == "back bending or twisting under load|fall risk|impact"
    assert "Let them ask a doctor or physiotherapist first" in answer
    post("/people", part=False, **ADA, **{"limit.all": several})
    (ada,) = participants(studio.people)
    assert {str(each) for each in ada.health.limits} == set(several.split("|"))


def test_words_that_mean_no_limit_are_refused_without_being_repeated(post: Any) -> None:
    answer = post("/limits", said="narcolepsy")
    assert answer.status_code == 422
    assert "In their own words" in answer.text
    assert "narcolepsy" not in answer.text


def test_somebody_is_not_saved_before_the_question_is_answered_and_then_without_the_reason(
    post: Any, studio: Studio, tmp_path: Path, capfd: Any
) -> None:
    asked = post("/people", part=False, **ADA, said="pregnancy").text
    assert "Pregnant: is lying on the front to be avoided?" in asked
    assert 'value="Ada"' in asked
    assert studio.people.all() == ()
    post("/people", part=False, **ADA, **{"limit.lying on the front": "on"})
    (ada,) = participants(studio.people)
    assert ada.health.limits == (Caution.LYING_FRONT,)
    kept = b"".join(path.read_bytes() for path in tmp_path.rglob("*") if path.is_file())
    assert b"regnan" not in kept
    assert "regnan" not in "".join(capfd.readouterr())


def test_a_list_that_names_a_reason_leads_to_the_ticks(client: TestClient, token: str, studio: Studio) -> None:
    files = {"file": ("people.csv", b"name,stature,limits\nAda,165 cm,bad shoulder\n", "text/csv")}
    page = client.post("/people/bring", data={"token": token}, files=files).text
    assert "Probably meant: overhead" in page
    assert "bad shoulder" not in page
    assert 'name="limit.overhead"' in page
    assert studio.people.all() == ()
