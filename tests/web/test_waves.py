"""Waves of a part on the Write screen: who begins with what is shown, set, refused in words, and undone."""

import re
from pathlib import Path
from typing import Any

import pytest

from everyrung.plan.read import plan_from_text
from everyrung.terms.errors import Invalid
from everyrung.web.wave_form import wave_fields, waves_from

PLAN = (Path(__file__).parents[2] / "examples" / "boathouse-30.toml").read_text(encoding="utf-8")
SET = {"edit": "waves", "ref": "Main"}


def main_of(text: str) -> Any:
    return next(each for each in plan_from_text(text, "plan.toml").blocks if each.name == "Main")


def test_waves_are_set_by_who_begins_with_what_shown_and_undone(post: Any, studio: Any, session: str) -> None:
    before = studio.sessions.head(session).text
    fields = {
        **SET,
        "begins-squat": "1A",
        "begins-lunge": "1B",
        "begins-lift": "2A",
        "begins-curl": "",
        "begins-hinge": "",
    }
    answer = post(f"/session/{session}/edit", base=1, **fields)
    assert answer.status_code == 200
    head = studio.sessions.head(session)
    assert main_of(head.text).waves == (("squat", "lunge"), ("lift", "rest"))
    shown = re.sub(r"<[^>]+>", "", answer.text)
    assert "A: places 1 to 6: ball wall squat, then split squat" in shown
    assert "B: places 7 to 12: split squat, then ball wall squat" in shown
    assert studio.run(head.text).timeline.total_ms > studio.run(before).timeline.total_ms
    post(f"/session/{session}/undo", base=head.number)
    assert studio.sessions.head(session).text == before


def test_two_moves_that_one_wave_begins_with_are_refused_in_words(post: Any, studio: Any, session: str) -> None:
    answer = post(f"/session/{session}/edit", base=1, **SET, **{"begins-squat": "1A", "begins-lunge": "1A"})
    assert answer.status_code == 422
    assert "one move that A begins with in group 1" in answer.text
    assert studio.sessions.head(session).number == 1


@pytest.mark.parametrize("waves", [[], [["squat", "lunge"]], [["lunge", "squat"], ["lift", "rest", "rest"]],
                                   [["rest", "squat", "hinge", "rest"]]])  # fmt: skip
def test_what_the_form_shows_is_what_it_sends(waves: list[list[str]]) -> None:
    text = PLAN.replace('kind = "main"\n', f'kind = "main"\nwaves = {waves}\n'.replace("'", '"'), 1)
    fields = wave_fields(main_of(text), {}, 15)
    form = {f"begins-{each.key}": each.slot for each in fields.moves}
    form |= {f"waves-{each.number}": str(each.waves) for each in fields.groups}
    assert waves_from(form) == (waves or None)


@pytest.mark.parametrize("slot", ["1", "A", "1E", "xA", "1a", "999999A"])
def test_a_slot_that_is_none_is_refused(slot: str) -> None:
    with pytest.raises(Invalid):
        waves_from({"begins-squat": slot})
