"""Sight lines on a plan small enough to see by eye: a pillar, a person before another, a seat, and a camera."""

from dataclasses import replace
from pathlib import Path

import pytest

from everyrung import place
from everyrung.room.capacity import RoomUse
from everyrung.room.findings import room_findings
from everyrung.room.sight import frame, sight
from everyrung.terms.room import Area, Camera, Stretch

EXAMPLES = Path(__file__).parents[2] / "examples"
PILLAR = Area(corners=((4.9, 3.9), (5.1, 3.9), (5.1, 4.1), (4.9, 4.1)), name="pillar")


@pytest.fixture(scope="module")
def use() -> RoomUse:
    """Four places before a leader at [5, 8]: 1 and 2 in front, 3 behind the pillar, 4 straight behind 2."""
    one = place(EXAMPLES / "office-20.toml", EXAMPLES / "rooms" / "boat-bay.toml", people=4)
    room = replace(
        one.room,
        leader=(5.0, 8.0),
        demonstrator=None,
        pillars=(PILLAR,),
        seats=((2.0, 6.0),),
        screen=Stretch(start=(8, 8), end=(10, 8)),
        camera=Camera(at=(5.0, 0.5), height_m=1.5, toward=(5.0, 8.0), angle_deg=60.0),
    )
    places = ((3.0, 6.0), (7.0, 6.0), (5.0, 2.0), (9.0, 4.0))
    return replace(one, room=room, layout=replace(one.layout, places=places))


def test_a_pillar_hides_the_leader_from_the_place_behind_it(use: RoomUse) -> None:
    assert sight(use).behind_pillar == {3: ("leader",)}
    assert not sight(replace(use, room=replace(use.room, pillars=()))).behind_pillar


def test_who_stands_straight_behind_another(use: RoomUse) -> None:
    assert sight(use).behind_person == {4: (2,)}  # [9, 4], [7, 6] and [5, 8] lie on one line


def test_a_seat_at_the_front_side_is_free_and_one_at_the_back_is_not(use: RoomUse) -> None:
    assert not sight(use).seats_hidden
    behind = replace(use, room=replace(use.room, seats=((1.0, 4.0),)))
    assert sight(behind).seats_hidden == {1: (1,)}  # [1, 4], [3, 6] and [5, 8] lie on one line


def test_what_the_camera_has_before_its_lens(use: RoomUse) -> None:
    view = frame(use)
    assert view
    assert (view.leader_in, view.pillars_before, view.places_before) == (True, 1, (3,))
    away = replace(use, room=replace(use.room, camera=Camera(at=(5, 0.5), height_m=1, toward=(12, 0.5), angle_deg=60)))
    turned = frame(away)
    assert turned
    assert turned.leader_off_deg == pytest.approx(90)
    assert not turned.leader_in


def test_all_of_it_stands_in_the_findings(use: RoomUse) -> None:
    rules = {one.rule: one.measured for one in room_findings(use)}
    assert "places 3 (leader)" in rules["room-blind"]
    assert "4 behind 2" in rules["room-behind"]
    assert "place 3, a pillar" in rules["room-lens"]
