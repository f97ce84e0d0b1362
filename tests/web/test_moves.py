"""The Moves screen: finding a move, a ladder on a body, and a rung of the coach's own that her sessions can use."""

import json
from typing import Any

import pytest
from starlette.testclient import TestClient

from everyrung.moves.library import standard_library
from everyrung.terms.errors import Invalid
from everyrung.web import render_tasks
from everyrung.web.lever_choices import lever_choices
from everyrung.web.move_library_view import MoveFilter, body, choices, compare, draft_rung, filter_moves, step
from everyrung.web.plan_templates import DEMO, start
from everyrung.web.save import draft
from everyrung.web.studio import Studio

LIBRARY = standard_library()
PAUSE = json.dumps({"pause": "3 s"})


def test_what_is_found_fits_what_is_looked_for() -> None:
    for wanted in (
        MoveFilter(focus="calf"),
        MoveFilter(kit="none"),
        MoveFilter(kit="ball", position="lying on the back"),
    ):
        moves = filter_moves(LIBRARY, wanted)
        assert moves, wanted
        assert len(moves) < len(LIBRARY.keys)
        for move in moves:
            kits = {rung.key: {str(need.item) for need in rung.kit if need.item.counts_as_kit} for rung in move.ladder}
            assert not wanted.focus or wanted.focus in move.focus
            assert wanted.kit != "none" or not kits["base"]
            assert wanted.kit in ("", "none") or any(wanted.kit in kit for kit in kits.values())


def test_everything_that_can_be_looked_for_is_found_somewhere() -> None:
    for name, words in choices(LIBRARY).items():
        for word in words:
            assert filter_moves(LIBRARY, MoveFilter(**{name: word})), (name, word)


def test_a_body_is_refused_in_words(client: TestClient) -> None:
    assert body({"stature": "5 ft 5 in", "mass": "137 lb"}).stature_m == pytest.approx(1.651)
    with pytest.raises(Invalid):
        body({"mass": "500 kg"})
    page = client.get("/moves/squat?stature=tall")
    assert page.status_code == 422
    assert "Shown is the usual body" in page.text


def test_a_longer_pause_at_the_bottom_is_longer_under_load() -> None:
    """A fact of the trade: the same squat, paused where it is hardest, costs more of the muscle's time."""
    bench = draft_rung(LIBRARY, "squat", "base", [PAUSE])
    before, after = render_tasks.demands_of([bench.start, bench.rung], body({}))
    verdicts = {measure.name: verdict for verdict, measure in compare(before, after)}
    assert verdicts["time under load"] == "harder"
    assert verdicts["trunk moment"] == "the same"


def test_a_heavier_body_needs_a_greater_part_of_its_strength() -> None:
    """More mass on the same bones and muscles: the squat takes more of them (mechanics, no source needed)."""
    rung = LIBRARY.rung("squat", "base")
    (light,), (heavy,) = (render_tasks.demands_of([rung], body({"mass": mass})) for mass in ("55 kg", "85 kg"))
    parts = [step(rung, "", one).part for one in (light, heavy)]
    assert parts[0] < parts[1]  # type: ignore[operator]


@pytest.mark.parametrize(
    "levers",
    [
        ["nonsense"],
        ["{}"],
        ['{"pause": "x"}'],
        [PAUSE] * 9,
        ['{"rotation": "nowhere"}'],
        ["[" * 5000],
        ['{"swap": "x/y"}'],
    ],
)
def test_levers_that_do_not_go_on_are_said_to(levers: list[str], client: TestClient) -> None:
    page = client.get("/moves/squat", params={"lever": levers})
    assert page.status_code == 422
    assert "expected" in page.text


def test_an_own_rung_is_kept_and_offered_where_its_move_is_led(
    client: TestClient, post: Any, studio: Studio, session: str
) -> None:
    fields = {"rung": "base", "levers": f"[{PAUSE}]", "name": "Slow boat squat", "entry_test": "Ten without a wobble?"}
    assert post("/moves/ball-wall-squat/own", part=False, **fields).status_code == 303
    assert "Slow boat squat" in client.get("/moves/ball-wall-squat").text
    panel = client.get(f"/session/{session}/cell?ref=Main/Two/squat").text
    assert "Yours: Slow boat squat" in panel
    own = studio.own_rungs.of("ball-wall-squat")[0]
    value = json.dumps(
        {"rung": own.rung, "levers": json.loads(own.levers), "name": own.name, "entry_test": own.entry_test}
    )
    post(f"/session/{session}/edit", base=1, edit="rung", ref="Main/Two/squat", value=value)
    cells = {str(cell.ref): cell for cell in studio.run(studio.sessions.head(session).text).session.cells}
    assert cells["Main/Two/squat"].rung.name == "Slow boat squat"
    post("/moves/ball-wall-squat/own/remove", part=False, own=own.id)
    assert not studio.own_rungs.all()
    assert "Slow boat squat" in studio.sessions.head(session).text


@pytest.mark.parametrize(
    ("field", "value", "word"),
    [
        ("name", "", "a name on one line"),
        ("entry_test", "one two three four five six seven eight nine ten?", "at most 9 words"),
        ("levers", "[]", "a lever at least"),
        ("levers", "{}", "a list of levers"),
        ("rung", "bas", "base"),
    ],
)
def test_an_own_rung_without_name_test_or_lever_is_refused(field: str, value: str, word: str, post: Any) -> None:
    fields = {"rung": "base", "levers": f"[{PAUSE}]", "name": "Mine", "entry_test": "Ten of them?"} | {field: value}
    answer = post("/moves/squat/own", part=False, **fields)
    assert answer.status_code == 422
    assert word in answer.text


def test_a_motion_is_given_only_to_whoever_saw_its_name(client: TestClient, studio: Studio) -> None:
    name = studio.figure(LIBRARY.rung("squat", "base"))
    found = client.get(f"/motion/{name}.json").json()
    assert found["title"] == "Squat"
    assert found["loop_ms"] == LIBRARY.rung("squat", "base").form.rep_ms
    assert client.get("/motion/unknown.json").status_code == 404


def test_a_rung_that_its_move_has_no_pose_for_is_not_kept(post: Any, studio: Studio) -> None:
    """A split squat on hands and knees."""
    lever = json.dumps({"base": "hands and knees"})
    fields = {"rung": "base", "levers": f"[{lever}]", "name": "Crawl", "entry_test": "Really?"}
    answer = post("/moves/split-squat/own", part=False, **fields)
    assert answer.status_code == 422
    assert "a lever that the pose of" in answer.text
    assert not studio.own_rungs.all()


def test_levers_that_lead_to_another_position_are_not_offered() -> None:
    offered = dict(lever_choices(LIBRARY.rung("squat", "base").form))
    words = [words for words, _ in offered["base"]]
    assert "feet together" in words
    assert "hands and knees" not in words


def test_a_move_is_put_into_a_session_in_a_version_that_fits(client: Any, post: Any, studio: Any) -> None:
    text = start(DEMO).replace('limits = ["lying on the back", "overhead"]', 'limits = ["getting down to the floor"]')
    session = studio.sessions.create(draft(text, "Office")).id
    page = client.get("/moves/push-up").text
    assert "Put it into this session" in page
    answer = post("/moves/push-up/put", part=False, session=session)
    assert answer.headers["location"] == f"/session/{session}"
    run = studio.run(studio.sessions.head(session).text)
    rungs = [cell.rung for cell in run.session.cells if cell.move.key == "push-up"]
    assert rungs
    assert not any(rung.form.position.on_floor for rung in rungs)
    post("/moves/push-up/put", part=False, session=session, rung="knees")
    run = studio.run(studio.sessions.head(session).text)
    assert "knees" in {cell.rung.key for cell in run.session.cells}
