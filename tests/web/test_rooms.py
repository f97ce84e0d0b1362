"""Rooms in the studio: typed, kept, refused in sentences; a session held in one; the door of a session."""

import re
from collections.abc import Callable
from typing import Any

import pytest
from starlette.testclient import TestClient

from everyrung.pipeline import AudienceSpec
from everyrung.room.read import room_from_text
from everyrung.store.sessions import NotFound
from everyrung.terms.errors import Invalid
from everyrung.web.jobs import Job, do_job
from everyrung.web.plan_templates import room_start, room_starts
from everyrung.web.room_form import form_of_text, room_text
from everyrung.web.studio import Studio

FORM = {
    "name": "Hall", "unit": "m", "ceiling": "3", "light": "bright", "leader": "5 7", "demonstrator": "",
    "outline": "0 0, 10 0, 10 8, 0 8", "what-1": "door", "name-1": "Door", "points-1": "10 1, 10 2", "size-1": "",
    "help-number": "112", "help-phone": "by the door",
}  # fmt: skip


@pytest.fixture
def room(client: TestClient, token: str) -> str:
    answer = client.post("/rooms/new", data={"from": "empty", "token": token})
    return str(answer.headers["location"])


def keep(client: TestClient, token: str, room: str, **fields: str) -> Any:
    return client.post(room, data=FORM | fields | {"token": token})


@pytest.mark.parametrize("name", room_starts())
def test_a_room_through_the_form_is_the_same_room(name: str) -> None:
    text = room_start(name)
    assert room_from_text(room_text(form_of_text(text)), "again") == room_from_text(text, "first")


def test_what_is_typed_is_kept_and_comes_back(client: TestClient, token: str, room: str, studio: Studio) -> None:
    answer = keep(client, token, room, **{"what-2": "pillar", "points-2": "4 4", "size-2": "0.3", "name-2": ""})
    assert answer.status_code == 303, answer.text
    kept = room_from_text(studio.rooms.all()[0].text, "room")
    assert kept.outline == ((0, 0), (10, 0), (10, 8), (0, 8))
    assert kept.emergency is not None
    assert kept.emergency.phone == "by the door"
    assert len(kept.pillars) == 1
    page = client.get(room).text
    assert 'value="by the door"' in page
    assert "0 0, 10 0, 10 8, 0 8" in page
    assert client.get(f"{room}/room.toml").text == studio.rooms.all()[0].text


# What goes wrong with a tape and a keyboard: each is a sentence, and nothing typed is lost.
WRONG = [
    ({"outline": "0 0, 10 8, 10 0, 0 8"}, "sides that do not cross"),
    ({"outline": "0 0, 10 0"}, "3 corners or more"),
    ({"outline": "0,0, 10,0, 10,8"}, "points of two numbers each"),
    ({"outline": "0 0, 10 m, 10 8"}, "a number"),
    ({"ceiling": "0"}, "1.9 to 20 m"),
    ({"ceiling": "3", "unit": "ft"}, "looks like m"),
    ({"outline": "0 0, 300 0, 300 8, 0 8"}, "at most 150 m"),
    ({"points-1": "4 4, 5 4"}, "a stretch of the outline"),
    ({"what-1": ""}, "that leads out"),
    ({"leader": "50 7"}, "a place inside the outline"),
    ({"what-2": "pillar", "points-2": "4 4", "size-2": ""}, "a number"),
    ({"what-2": "floor", "points-2": "0 0, 1 0, 1 1", "size-2": "lava"}, "tiles or concrete"),
    ({"what-2": "lava", "points-2": "0 0"}, "door"),
]  # fmt: skip


def test_a_wrong_room_is_refused_in_a_sentence(client: TestClient, token: str, room: str, studio: Studio) -> None:
    before = studio.rooms.all()
    for fields, words in WRONG:
        answer = keep(client, token, room, **fields)
        assert answer.status_code == 422, fields
        said = re.sub(r"<[^>]+>", "", re.findall(r'<div class="notice".*?</div>', answer.text, re.S)[-1])
        assert words in said, fields
        assert "expected" in said
        assert all(value in answer.text for value in fields.values() if value != "lava"), fields
    assert studio.rooms.all() == before


def test_a_room_may_be_in_feet(client: TestClient, token: str, room: str, studio: Studio) -> None:
    feet = {"unit": "ft", "ceiling": "9.8", "outline": "0 0, 30 0, 30 25, 0 25", "leader": "15 22"}
    assert keep(client, token, room, **feet, **{"points-1": "30 2, 30 5"}).status_code == 303
    kept = room_from_text(studio.rooms.get(1).text, "room")
    assert kept.ceiling_m == pytest.approx(9.8 * 0.3048)  # the international foot, by definition


def test_two_rooms_have_two_names(client: TestClient, token: str, studio: Studio) -> None:
    for _ in range(3):
        client.post("/rooms/new", data={"from": "boat-bay", "token": token})
    assert [each.name for each in studio.rooms.all()] == ["Boat bay", "Boat bay 2", "Boat bay 3"]
    taken = keep(client, token, "/rooms/1", name="Boat bay 2")
    assert taken.status_code == 422
    assert "no room of yours has" in taken.text


def test_a_room_file_comes_in_or_is_refused_with_its_fault(client: TestClient, token: str, studio: Studio) -> None:
    def bring(name: str, text: str) -> Any:
        return client.post("/rooms/bring", data={"token": token}, files={"file": (name, text.encode())})

    assert bring("hall.toml", room_start("crew-room")).status_code == 303
    assert bring("hall.csv", "a,b").status_code == 422
    spoilt = bring("hall.toml", room_start("boat-bay").replace("ceiling = 3.4", "ceiling = 0"))
    assert spoilt.status_code == 422
    assert "1.9 to 20 m" in spoilt.text
    assert len(studio.rooms.all()) == 1


def test_a_session_is_held_in_a_room_until_that_is_gone(
    client: TestClient, token: str, room: str, session: str, studio: Studio
) -> None:
    at = f"/session/{session}/room"
    assert "Held in" in client.get(at).text
    assert client.post(at, data={"room": "1", "people": "9", "token": token}).status_code == 303
    venue = studio.rooms.venue(session)
    assert venue is not None
    assert (venue.room.id, venue.people) == (1, 9)
    crowd = client.post(at, data={"room": "1", "people": "10000", "token": token})
    assert crowd.status_code == 422
    assert "expected 1 to 2,000 people" in crowd.text
    assert studio.rooms.venue(session) == venue
    client.post(f"{room}/remove", data={"token": token})
    assert studio.rooms.venue(session) is None
    with pytest.raises(NotFound):
        studio.rooms.hold(session, 1, 9)


def test_the_screen_shows_places_sight_waves_and_findings(
    client: TestClient, token: str, session: str, studio: Studio
) -> None:
    client.post("/rooms/new", data={"from": "boat-bay", "token": token})
    client.post(f"/session/{session}/room", data={"room": "1", "people": "9", "token": token})
    at = f"/session/{session}/room"
    assert "Finding everyone a place" in client.get(at).text
    job: Job = studio.job(studio.sessions.head(session).text, AudienceSpec(), **studio.in_room(session))
    result = do_job(job, lambda _: None)
    studio.jobs.said(job, result)  # type: ignore[attr-defined]
    page = client.get(at).text
    view = result.room
    assert view is not None
    assert page.count('font-size="26"') == view.places == 9  # the number on each place
    assert "A: places 1 to 5" in page
    assert "each tried" in page
    assert "between the camera and the leader" in page


def test_what_the_room_says_stands_on_write_and_rehearse_too(
    client: TestClient, token: str, session: str, studio: Studio
) -> None:
    at = f"/session/{session}"
    client.post("/rooms/new", data={"from": "boat-bay", "token": token})
    client.post(f"{at}/room", data={"room": "1", "people": "12", "token": token})
    assert "being measured" in client.get(f"{at}/room/says").text
    job: Job = studio.job(studio.sessions.head(session).text, AudienceSpec(), **studio.in_room(session))
    result = do_job(job, lambda _: None)
    studio.jobs.said(job, result)  # type: ignore[attr-defined]
    full = [each.measured for each in result.findings or () if each.rule == "room-full"]
    assert full
    for path in (at, f"{at}/room/says"):
        text = client.get(path).text.casefold()
        assert all(words.casefold() in text for words in full), path


def test_help_here_stands_on_the_door(client: TestClient, token: str, session: str, studio: Studio) -> None:
    client.post("/rooms/new", data={"from": "boat-bay", "token": token})
    without = client.get(f"/session/{session}/door/door.html").text
    studio.rooms.hold(session, 1, 0)
    venue = client.get(f"/session/{session}/door/door.html")
    assert "outside the changing rooms" in venue.text
    assert "outside the changing rooms" not in without
    assert client.get(f"/session/{session}/door/door.pdf").content.startswith(b"%PDF")


def test_too_many_rooms_are_refused(studio: Studio, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("everyrung.store.rooms.MOST_ROOMS", 1)
    studio.rooms.add("One", room_start("empty"))
    with pytest.raises(Invalid, match="at most 1"):
        studio.rooms.add("Two", room_start("empty"))


def test_posts_keep_nothing_without_a_room(post: Callable[..., Any]) -> None:
    assert post("/rooms/99", **FORM).status_code == 404
    assert post("/rooms/99/remove").status_code == 404
