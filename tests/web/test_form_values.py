"""Numbers that need a unit have it from their field; a unit that is typed is kept."""

from typing import Any

import pytest
from starlette.testclient import TestClient

from everyrung.plan.read import plan_from_text
from everyrung.web.form_values import plain_number, with_unit
from everyrung.web.person_form import participants
from everyrung.web.studio import Studio


@pytest.mark.parametrize(
    ("field", "said", "meant"),
    [
        ("load", "2.5", "2.5 kg"),
        ("load", "2,5", "2.5 kg"),
        ("load", "2 x 4", "2 x 4 kg"),
        ("load", "10 lb", "10 lb"),
        ("load", "medium band", "medium band"),
        ("leader.stature", "170", "170 cm"),
        ("rest", "20", "20 s"),
        ("rest", "0:20", "0:20"),
        ("tempo", "3", "3"),
        ("name", "2.5", "2.5"),
    ],
)
def test_a_bare_number_has_the_unit_of_its_field(field: str, said: str, meant: str) -> None:
    assert with_unit(field, said) == meant


def test_a_number_alone_is_a_dose_a_load_and_kit(post: Any, client: TestClient, session: str, studio: Studio) -> None:
    panel = client.get(f"/session/{session}/cell?ref=Main/Two/squat").text
    assert "&#34;unit&#34;: &#34;reps&#34;" in panel
    assert ">reps; or 6 a side, 0:40<" in panel
    at = {"edit": "cell", "ref": "Main/Two/squat"}
    sent: tuple[dict[str, str], ...] = (
        {**at, "field": "dose", "value": "9", "unit": "reps"},
        {"edit": "add-kit", "item": "dumbbells", "mass": "2.5", "as": "pairs", "count": "6"},
        {"edit": "head", "field": "leader.stature", "value": "170"},
    )
    for number, each in enumerate(sent, start=1):
        answer = post(f"/session/{session}/edit", base=number, **each)
        assert answer.status_code == 200, answer.text
    plan = plan_from_text(studio.sessions.head(session).text, "plan.toml")
    main = next(block for block in plan.blocks if block.name == "Main")
    assert str(main.rounds[1].cells["squat"].dose) == "9 reps"
    assert str(plan.kit[-1].mass) == "2.5 kg"
    assert plan.leader.stature_m == pytest.approx(1.70)


def test_somebody_is_165_tall_and_weighs_62(post: Any, studio: Studio) -> None:
    assert post("/people", part=False, name="Ada", stature="165", mass="62").status_code == 303
    (ada,) = participants(studio.people)
    assert (ada.stature_m, ada.mass_kg) == (pytest.approx(1.65), pytest.approx(62))


@pytest.mark.parametrize(("said", "meant"), [("128", 128.0), ("128,5", 128.5), ("fast", "fast"), ("-3", "-3")])
def test_beats_are_a_number_where_one_was_typed(said: str, meant: float | str) -> None:
    assert plain_number(said) == meant


def test_music_is_put_to_a_set_and_its_repetitions_keep_time(post: Any, session: str, studio: Studio) -> None:
    at = {"edit": "cell", "ref": "Main/Two/squat", "field": "beats_a_minute"}
    refused = post(f"/session/{session}/edit", base=1, value="300", **at)
    assert refused.status_code == 422
    assert "Music, beats a minute: expected beats a minute, 40 to 220" in refused.text
    post(f"/session/{session}/edit", base=1, value="120", **at)
    run = studio.run(studio.sessions.head(session).text)
    (cell,) = [each for each in run.session.cells if str(each.ref) == "Main/Two/squat"]
    assert cell.beats_a_minute == 120
    assert cell.bouts[0].tempo.rep_ms in (1000, 2000, 4000, 8000)
