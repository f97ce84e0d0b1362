"""Plain words lead to questions about limits (common practice, no source); no reason is kept, and none is repeated."""

import pytest

from everyrung.effort.mix import read_mix
from everyrung.moves.limit_words import questions
from everyrung.people.read import people_from_text
from everyrung.plan.read import plan_from_text
from everyrung.terms.enums import Caution
from everyrung.terms.errors import Faults
from everyrung.web.plan_templates import EMPTY

MEANT = {
    "pregnant": {Caution.LYING_BACK, Caution.LYING_FRONT, Caution.HELD_BREATH, Caution.FALL_RISK},
    "osteoporosis": {Caution.BACK_LOAD, Caution.FALL_RISK, Caution.IMPACT},
    "Pregnancy, 24 weeks": {Caution.LYING_BACK},
    "sore knee": {Caution.DEEP_KNEE, Caution.KNEELING},
    "bad left knee": {Caution.DEEP_KNEE},
    "my KNEES hurt": {Caution.DEEP_KNEE},
    "high blood pressure": {Caution.HELD_BREATH},
    "hypertension": {Caution.HELD_BREATH},
    "bad shoulder": {Caution.OVERHEAD, Caution.SHOULDER_LOAD},
    "rotator cuff": {Caution.OVERHEAD},
    "fall": {Caution.FALL_RISK},
    "afraid of falling": {Caution.FALL_RISK},
    "dizzy at times": {Caution.FALL_RISK},
    "carpal tunnel": {Caution.WRIST_LOAD},
}


@pytest.mark.parametrize("said", MEANT)
def test_plain_words_lead_to_the_limits_that_a_coach_would_ask_about(said: str) -> None:
    assert {each.limit for each in questions(said)} >= MEANT[said]


def test_a_question_can_be_read_aloud() -> None:
    assert [str(each) for each in questions("sore knee")] == [
        "Sore knee: is a deep knee bend to be avoided?",
        "Sore knee: is kneeling to be avoided?",
        "Sore knee: is jumping and landing to be avoided?",
    ]


@pytest.mark.parametrize("said", ["", "rowing", "feedback", "kneeling chair", "waterfall", "deep knee bend"])
def test_other_words_and_a_limit_itself_lead_to_no_question(said: str) -> None:
    assert questions(said) == ()


def test_every_limit_is_reached_by_some_word() -> None:
    said = "pregnant knee shoulder blood pressure fall wrist back"
    assert {each.limit for each in questions(said)} >= set(Caution)


def test_a_plan_says_which_limits_are_probably_meant() -> None:
    with pytest.raises(Faults) as caught:
        plan_from_text(EMPTY.replace("in_room = 10", 'in_room = 10\nlimits = ["sore knee"]'), "plan.toml")
    (fault,) = caught.value.faults
    assert fault.where.field == "who.limits[1]"
    assert "Probably meant: deep knee bend, kneeling or impact. Ask" in fault.remedy
    assert fault.remedy.endswith("Who is not sure asks a doctor or physiotherapist first.")


def test_a_list_of_people_says_so_without_repeating_the_reason() -> None:
    with pytest.raises(Faults) as caught:
        people_from_text("name,stature,limits\nAda,165 cm,high blood pressure\n", "people.csv")
    told = str(caught.value)
    assert "held breath" in caught.value.faults[0].remedy
    assert "blood" not in told
    assert "pressure" not in told


def test_a_mix_says_so_too(tmp_path) -> None:
    from importlib.resources import files

    text = (files("everyrung.effort") / "mixes" / "boathouse.toml").read_text(encoding="utf-8")
    path = tmp_path / "mine.toml"
    path.write_text(text.replace("[limits]\n", '[limits]\n"sore knee" = 0.1\n'), encoding="utf-8")
    with pytest.raises(Faults) as caught:
        read_mix(str(path))
    (fault,) = caught.value.faults
    assert "deep knee bend" in fault.remedy
