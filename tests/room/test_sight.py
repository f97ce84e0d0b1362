"""Sight lines on a plan small enough to see by eye: a pillar, a person before another, a seat, and a camera."""

import math
from dataclasses import replace
from pathlib import Path

import pytest

from everyrung import place
from everyrung.room.capacity import RoomUse
from everyrung.room.findings import room_findings
from everyrung.room.in_frame import frame
from everyrung.room.lips import lips, places_for
from everyrung.room.sight import sight
from everyrung.terms.enums import Severity, View
from everyrung.terms.room import Area, Camera, Light, Stretch

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


def filmed(use: RoomUse, camera: Camera) -> RoomUse:
    session = replace(use.session, view=View.FILMED)
    room = replace(use.room, camera=camera, pillars=())
    return replace(use, session=session, room=room, layout=replace(use.layout, places=()))


def test_a_lens_that_is_too_narrow_by_a_known_angle_loses_the_hands(use: RoomUse) -> None:
    """Worked by hand: a figure upright on the lens's line, its head h over the aim at d metres, needs atan(h / d)."""
    address = next(cell.rung.address for cell in use.session.cells if use.envelopes[cell.rung.address].height_m > 1.8)
    at = Camera(at=(5.0, 2.0), height_m=use.body.stature_m / 2, toward=(5.0, 8.0), angle_deg=60.0)
    (one,) = [each for each in frame(filmed(use, at)).rungs if each.address == address] or [None]  # type: ignore[union-attr]
    assert one
    wide = frame(filmed(use, replace(at, angle_deg=one.angle_deg + 0.1)))
    narrow = frame(filmed(use, replace(at, angle_deg=one.angle_deg - 0.1)))
    assert wide
    assert narrow
    assert not next(each for each in wide.rungs if each.address == address).out
    assert next(each for each in narrow.rungs if each.address == address).out
    points = [(part, spot) for pose in use.envelopes[address].view.poses for part, spot in pose]
    needed = 0.0
    for _, (right, front, up) in points:  # the leader at [5, 8] faces the lens six metres away
        depth = 6.0 - front
        needed = max(needed, abs(right) / depth, abs(up - use.body.stature_m / 2) / depth * 16 / 9)
    assert one.angle_deg == pytest.approx(2 * math.degrees(math.atan(needed)), abs=0.01)


def test_a_person_before_the_lens_hides_the_feet_and_not_the_head_of_who_is_filmed_from_above(use: RoomUse) -> None:
    camera = Camera(at=(5.0, 2.0), height_m=2.6, toward=(5.0, 8.0), angle_deg=70.0)
    room = replace(use.room, camera=camera, pillars=())
    view = frame(replace(use, room=room, layout=replace(use.layout, places=((5.0, 6.0),))))
    assert view
    upright = [each for each in view.rungs if use.envelopes[each.address].height_m > 1.8]
    assert upright
    for each in upright:
        assert "feet" in each.hides
        assert "head" not in each.hides
        assert each.places == (1,)


def test_lips_are_seen_from_before_and_by_nobody_where_the_leader_turns_the_back(use: RoomUse) -> None:
    """The leader at [5, 8] faces the class's middle, [6, 4.5]: place 1 lies 61 degrees off that, 2 and 4 29, 3 16."""
    facing = lips(use)
    assert facing.by_place[1] == 0
    assert min(facing.by_place[at] for at in (2, 3, 4)) > facing.sets / 2
    behind = replace(use, session=replace(use.session, view=View.BACK_TURNED))
    assert set(lips(behind).by_place.values()) == {0}
    assert "room-lips" in [each.rule for each in room_findings(behind)]


def test_places_for_lip_readers_are_clear_and_see_the_face_most_often(use: RoomUse) -> None:
    one = lips(use)
    suits = places_for(use, sight(use), one)
    assert 3 not in suits.lip_readers  # behind the pillar
    assert 4 not in suits.poor_sight  # behind 2
    assert suits.lip_readers[0] == 2


def test_a_dim_room_is_graver_where_somebody_reads_lips(use: RoomUse) -> None:
    severities = []
    for lip_readers in (False, True):
        who = replace(use.session.who, lip_readers=lip_readers)
        dim = replace(use, session=replace(use.session, who=who), room=replace(use.room, light=Light.DIM))
        severities += [each.severity for each in room_findings(dim) if each.rule == "room-light"]
    assert severities == [Severity.NOTE, Severity.WARNING]


def test_all_of_it_stands_in_the_findings(use: RoomUse) -> None:
    rules = {one.rule: one.measured for one in room_findings(use)}
    assert "places 3 (leader)" in rules["room-blind"]
    assert "4 behind 2" in rules["room-behind"]
    assert "place 3, a pillar" in rules["room-lens"]
