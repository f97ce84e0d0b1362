"""What rungs sweep and what a room holds: beside body proportions, and by what must change when the room changes."""

from dataclasses import replace
from pathlib import Path

import pytest

from everyrung import place
from everyrung.body.mechanics import Job
from everyrung.body.rung_motion import rung_motion
from everyrung.moves.library import standard_library
from everyrung.room.capacity import RoomUse, room_use
from everyrung.room.draw import room_svg
from everyrung.room.envelope import FLESH_M, MARGIN_M, Envelope, envelope, largest_body
from everyrung.room.findings import room_findings
from everyrung.room.read import read_room
from everyrung.terms.errors import Invalid

EXAMPLES = Path(__file__).parents[2] / "examples"
BAY = EXAMPLES / "rooms" / "boat-bay.toml"
PLAN = EXAMPLES / "office-20.toml"
AROUND_M = 2 * (FLESH_M + MARGIN_M)


def swept(move: str, rung: str) -> Envelope:
    library = standard_library()
    one = library.rung(move, rung)
    return envelope(one, rung_motion(Job(form=one.form, layer=library.pose(one.form), size=largest_body())))


def test_arms_out_are_as_wide_as_a_span() -> None:
    """The span of the arms is 1.02 to 1.07 of the stature in adults (from memory: surveys of the US army)."""
    share = (swept("arm-circles", "base").side_m - AROUND_M) / largest_body().stature_m
    assert 0.98 <= share <= 1.10


def test_arms_overhead_reach_as_high_as_people_do() -> None:
    """Overhead fingertip reach is 1.20 to 1.30 of the stature (from memory: surveys of the US army)."""
    share = (swept("squat-and-reach", "base").height_m - FLESH_M) / largest_body().stature_m
    assert 1.15 <= share <= 1.35


def test_facing_matters_and_a_wall_is_taken_only_where_one_is_used() -> None:
    curl = swept("ball-leg-curl", "base")
    assert curl.on_floor
    assert curl.depth_m > 1.5 * curl.side_m
    assert curl.roll_m > 0.1
    assert not curl.wall_m
    assert swept("ball-wall-squat", "base").wall_m == pytest.approx(swept("ball-wall-squat", "base").side_m)


def test_who_may_fall_has_room_to_catch_it() -> None:
    assert swept("split-squat", "base").falls == "side"
    assert swept("hip-hinge", "base").falls == ""


@pytest.fixture(scope="module")
def use() -> RoomUse:
    return place(PLAN, BAY, people=30)


def test_the_worst_round_decides(use: RoomUse) -> None:
    assert use.people == min(each.people for each in use.rounds) == use.worst.people
    assert all(len(each.layout.places) <= each.layout.bound for each in use.rounds)
    assert use.by_area == int(use.area_m2 / 3.25)
    assert use.people < use.by_area


def test_a_small_room_has_findings_with_numbers(use: RoomUse) -> None:
    by_rule = {one.rule: one for one in room_findings(use)}
    assert f"places for {len(use.layout.places)}" in by_rule["room-full"].measured
    assert "room-ceiling" not in by_rule


def test_a_low_ceiling_names_the_rung(use: RoomUse) -> None:
    low = replace(use, room=replace(use.room, ceiling_m=1.95))
    finding = next(one for one in room_findings(low) if one.rule == "room-ceiling")
    assert max(one.height_m for each in use.rounds for one in each.cells) > 1.8
    assert "1.80 m under a ceiling of 1.95 m" in finding.limit


def test_a_seat_in_the_way_out_is_an_error(use: RoomUse) -> None:
    assert not [one for one in room_findings(use) if one.rule == "room-way-out"]
    blocked = replace(use, room=replace(use.room, seats=((11.5, 2.0),)))
    assert [one.measured for one in room_findings(blocked) if one.rule == "room-way-out"] == [
        "1 of 1 seats stand in the aisle"
    ]


def test_a_wider_room_holds_more(use: RoomUse) -> None:
    room = read_room(BAY)
    wider = replace(room, outline=((0, -8), (12, -8), (12, 8), (0, 8)))
    more = room_use(use.session, wider, standard_library(), people=30)
    assert len(more.tightest.layout.places) > len(use.tightest.layout.places)


@pytest.mark.parametrize("people", [0, 10_000])
def test_crowds_are_refused(people: int) -> None:
    with pytest.raises(Invalid, match="2,000"):
        place(PLAN, BAY, people=people)


def test_the_drawing_has_a_number_for_everybody_and_names(use: RoomUse) -> None:
    svg = room_svg(use)
    assert svg.count('font-size="26"') == len(use.layout.places)
    for words in ("Big door: way out", "Oar rack", "leader", "camera", "seat"):
        assert words in svg
