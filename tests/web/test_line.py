"""The line between screens: who leads, who looks on, and which phone may steer."""

import json
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import text
from starlette.testclient import TestClient, WebSocketTestSession
from starlette.websockets import WebSocketDisconnect

from everyrung.store.sessions import NotFound
from everyrung.web.app import app
from everyrung.web.pairing import FORGOTTEN_S, LONGEST_S, MOST_ADDRESSES, WrongCodes
from everyrung.web.passphrase import hash_passphrase
from everyrung.web.routes.lead import REFUSED
from everyrung.web.settings import Settings
from everyrung.web.stage_hub import ORDERS
from everyrung.web.studio import Studio
from everyrung.web.tries import OwnTries

HERE = {"origin": "http://localhost:8040"}


@pytest.fixture
def client(studio: Studio) -> Iterator[TestClient]:
    """One loop for all of its lines, as a studio has it; a browser of the stage's."""
    with TestClient(app(studio), base_url="http://localhost:8040", follow_redirects=False) as made:
        made.get("/")
        yield made


def address(session: str, role: str, stands: str = "new") -> str:
    return f"ws://localhost:8040/session/{session}/live?as={role}&stands={stands}"


@contextmanager
def line(
    client: TestClient, session: str, role: str, stands: str = "new", headers: dict[str, str] = HERE
) -> Iterator[WebSocketTestSession]:
    """A screen that the show knows of."""
    with client.websocket_connect(address(session, role, stands), headers=headers) as made:
        made.here = json.loads(made.receive_text())  # type: ignore[attr-defined]
        assert made.here["is"] == "here"  # type: ignore[attr-defined]
        yield made


def heard(screen: WebSocketTestSession) -> Any:
    return json.loads(screen.receive_text())


def tells(stage: WebSocketTestSession, **state: Any) -> None:
    stage.send_text(json.dumps({"is": "state", **state}))


# Who leads


def test_a_prompter_that_comes_later_is_told_where_the_stage_is(client: TestClient, session: str) -> None:
    with line(client, session, "stage") as stage:
        tells(stage, name="Lunge")
        with line(client, session, "prompter") as prompter:
            assert heard(prompter)["name"] == "Lunge"


def test_a_second_stage_looks_on_until_it_asks_for_the_lead(client: TestClient, session: str) -> None:
    with line(client, session, "stage") as first, line(client, session, "stage") as second:
        assert first.here["lead"]
        assert not second.here["lead"]
        tells(first, name="Lunge")
        assert heard(second)["name"] == "Lunge"
        tells(second, name="Squat")  # nobody hears it
        second.send_text(json.dumps({"do": "lead"}))
        assert heard(first) == {"do": "rest"}
        tells(second, name="Bridge")
        assert heard(first)["name"] == "Bridge"


def test_those_that_look_on_hear_when_nobody_leads_any_more(client: TestClient, session: str) -> None:
    with line(client, session, "stage") as first, line(client, session, "stage") as second:
        second.send_text(json.dumps({"do": "lead"}))
        assert heard(first) == {"do": "rest"}
        second.close()
        assert heard(first) == {"is": "free"}


def test_whoever_led_before_its_line_was_lost_goes_on_leading(client: TestClient, session: str) -> None:
    """A tab opened meanwhile has not begun; one that has begun keeps the lead; one that looks on gets none."""
    with line(client, session, "stage", "looks") as onlooker:
        assert not onlooker.here["lead"]
        with line(client, session, "stage") as opened:
            assert opened.here["lead"]
            tells(opened, name="", begun=False)
            with line(client, session, "stage", "leads") as back:
                assert back.here["lead"]
                assert heard(opened) == {"do": "rest"}
                tells(back, name="Squat", begun=True)
                with line(client, session, "stage", "leads") as third:
                    assert not third.here["lead"]


def test_nonsense_on_the_line_moves_nothing(client: TestClient, session: str) -> None:
    with line(client, session, "stage") as stage, line(client, session, "prompter") as prompter:
        for said in (
            "",
            "[1, 2]",
            "{",
            '{"do": "explode"}',
            '{"do": "lead"}',
            '{"is": "state"',
            "x" * 50_000,
            '"' * 10,
        ):
            prompter.send_text(said)
        prompter.send_text(json.dumps({"do": "pause"}))
        assert heard(stage) == {"do": "pause", "by": "prompter"}


@pytest.mark.parametrize(
    ("role", "headers"),
    [("remote", HERE), ("stage", {"origin": "http://elsewhere.example"}), ("queen", HERE), ("stage", {})],
)
def test_no_one_else_gets_a_line(role: str, headers: dict[str, str], client: TestClient, session: str) -> None:
    with pytest.raises(WebSocketDisconnect), line(client, session, role, headers=headers):
        pass


def test_on_a_network_there_is_no_line_without_the_passphrase(studio: Studio, session: str, tmp_path: Path) -> None:
    settings = Settings(host="192.0.2.7", passphrase_hash=hash_passphrase("twelve signs and more"), folder=tmp_path)
    guarded = Studio(settings=settings, engine=studio.engine, jobs=studio.jobs, trials=studio.trials)
    with TestClient(app(guarded), base_url="http://localhost:8040") as outside:
        outside.get("/enter")
        for role in ("stage", "remote"):
            with pytest.raises(WebSocketDisconnect), line(outside, session, role):
                pass


# Phones


def pair(phone: TestClient, session: str, code: str) -> Any:
    page = phone.get(f"/session/{session}/remote").text
    token = page.split('data-token="')[1].split('"')[0]
    return phone.post(f"/session/{session}/remote", data={"code": code}, headers={"X-Token": token})


def test_a_phone_with_the_code_steers_and_sees(client: TestClient, studio: Studio, session: str) -> None:
    assert pair(client, session, studio.pairings.code(session)).status_code == 204
    with line(client, session, "stage") as stage, line(client, session, "remote") as remote:
        tells(stage, name="Squat")
        assert heard(remote)["name"] == "Squat"
        for order in ORDERS:
            remote.send_text(json.dumps({"do": order}))
            assert heard(stage) == {"do": order, "by": "remote"}


def test_code_and_phones_outlive_the_studio(client: TestClient, studio: Studio, session: str) -> None:
    code = studio.pairings.code(session)
    pair(client, session, code)
    again = Studio(settings=studio.settings, engine=studio.engine, jobs=studio.jobs, trials=studio.trials)
    with TestClient(app(again), base_url="http://localhost:8040", cookies=client.cookies) as phone:
        assert again.pairings.code(session) == code
        with line(phone, session, "remote"):
            pass
        assert 'data-paired="yes"' in phone.get(f"/session/{session}/remote").text


def test_unpairing_ends_every_phone_and_changes_the_code(
    client: TestClient, post: Any, studio: Studio, session: str
) -> None:
    code = studio.pairings.code(session)
    pair(client, session, code)
    with line(client, session, "remote") as remote:
        assert "new code" not in post(f"/session/{session}/lead/unpair").text
        with pytest.raises(WebSocketDisconnect) as ended:
            remote.receive_text()
        assert ended.value.code == REFUSED
    with client.websocket_connect(address(session, "remote"), headers=HERE) as refused:
        with pytest.raises(WebSocketDisconnect) as ended:
            refused.receive_text()
        assert ended.value.code == REFUSED
    assert not studio.pairings.count(session)
    assert studio.pairings.code(session) != code  # but once in a million


def test_a_token_is_kept_as_its_digest_alone(studio: Studio, session: str) -> None:
    studio.pairings.pair(session, "the phone's own token")
    assert studio.pairings.is_paired(session, "the phone's own token")
    assert not studio.pairings.is_paired(session, "another token")
    with studio.engine.connect() as connection:
        (kept,) = connection.execute(text("SELECT digest FROM phone")).scalars()
    assert len(kept) == 64
    assert "token" not in kept


def test_a_wrong_code_slows_its_address_down_and_changes_nothing_for_the_right_phone(
    client: TestClient, studio: Studio, session: str
) -> None:
    code = studio.pairings.code(session)
    wrong = "000000" if code != "000000" else "000001"
    assert pair(client, session, wrong).status_code == 403
    for _ in range(20):
        answer = pair(client, session, code)  # from the same address: not even looked at
        assert (answer.status_code, answer.headers["Retry-After"]) == (429, "1")
    assert studio.pairings.code(session) == code
    with TestClient(app(studio), base_url="http://localhost:8040", client=("192.0.2.9", 1)) as phone:
        assert pair(phone, session, code).status_code == 204


def test_each_wrong_code_doubles_the_wait_of_its_address_alone() -> None:
    now = [0.0]
    tries = OwnTries(MOST_ADDRESSES, lambda: now[0])
    codes = WrongCodes(tries)
    waits = []
    for _ in range(9):
        assert not codes.right("here", "1", "2")
        waits.append(codes.wait_s("here"))
        now[0] += waits[-1]
        assert codes.wait_s("here") == 0
    assert waits == [1, 2, 4, 8, 16, 32, LONGEST_S, LONGEST_S, LONGEST_S]
    assert codes.wait_s("there") == 0
    assert codes.right("here", "2", "2")
    assert not codes.right("here", "1", "2")
    assert codes.wait_s("here") == 1
    now[0] += FORGOTTEN_S + 1
    assert codes.wait_s("here") == 0
    for number in range(2 * MOST_ADDRESSES):
        codes.right(str(number), "1", "2")
    assert tries.count() == MOST_ADDRESSES


def test_a_session_that_is_not_has_no_code_and_one_that_is_keeps_its_own(studio: Studio, session: str) -> None:
    with pytest.raises(NotFound):
        studio.pairings.code("no-such-session")
    assert studio.pairings.code(session) == studio.pairings.code(session)
