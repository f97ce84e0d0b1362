"""Every lever on every move is posed or refused with the reason; none is accepted that changes nothing."""

from functools import cache

import pytest
from every_lever import Tried, singles, timing, tried

from everyrung.moves.library import standard_library
from everyrung.moves.poses import in_hand
from everyrung.terms.enums import Sidedness, Surface
from everyrung.terms.move import MAX_ENTRY_TEST_WORDS
from everyrung.terms.pose import Ground, Layer

LIBRARY = standard_library()
ON_BALLS = {
    Surface.BALL_WALL: Ground.BALL_AT_WALL,
    Surface.BALL_HEELS: Ground.BALL_UNDER,
    Surface.BALL_FOOT: Ground.BALL_UNDER,
    Surface.BALL_HANDS: Ground.BALL_UNDER,
    Surface.BALL_BELLY: Ground.BALL_UNDER,
    Surface.BALL_SEAT: Ground.BALL_UNDER,
}
IN_HANDS = {Surface.BALL_FRONT, Surface.BALL_OVERHEAD}


@cache
def walked() -> tuple[Tried, ...]:
    return tuple(singles(LIBRARY, LIBRARY.keys))


def test_the_walk_meets_every_move_and_both_answers() -> None:
    assert {one.move for one in walked()} == set(LIBRARY.keys)
    accepted = sum(one.rung is not None for one in walked())
    assert accepted > 1000
    assert len(walked()) - accepted > 1000


def test_an_accepted_lever_changes_pose_load_time_or_sides() -> None:
    for one in walked():
        if one.rung is None:
            continue
        base, form = LIBRARY.move(one.move).base, in_hand(one.rung.form)
        posed = LIBRARY.pose(form) != LIBRARY.pose(base)
        assert posed or timing(form) != timing(base), one.name
        if form.sides is not base.sides and form.sides is not Sidedness.BOTH:
            assert sided(LIBRARY.pose(form)), one.name


def sided(layer: Layer) -> bool:
    said = [name for entry in ("angles", "lines", "touch", "over", "hangs") for name in getattr(layer, entry)]
    return any(name.endswith(("_working", "_other")) or name in ("trunk_turn", "trunk_bend") for name in said)


def test_a_ball_stands_in_the_pose_where_the_words_say_and_nowhere_else() -> None:
    for one in walked():
        if one.rung is None:
            continue
        form = in_hand(one.rung.form)
        layer = LIBRARY.pose(form)
        touched = {touch.on for touch in layer.touch.values() if touch}
        balls = touched & {Ground.BALL_AT_WALL, Ground.BALL_UNDER}
        assert balls == ({ON_BALLS[form.surface]} if form.surface in ON_BALLS else set()), one.name
        if form.surface in IN_HANDS:
            assert any(point in layer.hangs for point in ("palm", "grip")), one.name


def test_a_load_that_is_accepted_hangs_somewhere_and_a_band_is_stretched() -> None:
    for one in walked():
        if one.rung is None:
            continue
        form = in_hand(one.rung.form)
        layer = LIBRARY.pose(form)
        assert form.load not in ("one", "pair") or layer.hangs, one.name
        assert not form.load.is_band or layer.stretched or layer.tethered, one.name


def test_what_is_held_hangs_once_in_every_rung() -> None:
    """A slam's ball once hung on the palms and on the fists, and weighed twice what it does."""
    for key in LIBRARY.keys:
        for rung in LIBRARY.move(key).versions:
            shares = [share for share in LIBRARY.pose(rung.form).hangs.values() if share]
            assert sum(share.at(1.0) for share in shares) <= 1.0, rung.address


def test_every_refusal_says_what_was_expected_and_what_to_do() -> None:
    for one in walked():
        if one.why is not None and one.levers:
            assert one.why.expected, one.name
            assert one.why.got, one.name
            assert one.why.remedy, f"{one.name}: {one.why}"


def test_every_rung_made_of_levers_has_an_entry_test_that_can_be_said() -> None:
    for one in walked():
        if one.rung is not None:
            assert 0 < len(one.rung.entry_test.split()) <= MAX_ENTRY_TEST_WORDS, one.name
            assert one.rung.entry_test.endswith("?"), one.name


@pytest.mark.parametrize(
    ("move", "table", "lever"),
    [
        ("hip-hinge", {"surface": "ball under the foot"}, "surface"),
        ("front-plank", {"press": "overhead"}, "press"),
        ("squat", {"surface": "ball between the knees"}, "surface"),
        ("squat", {"unilateral": "one side"}, "unilateral"),
        ("front-plank", {"range": 0.5}, "range"),
        ("floor-press", {"surface": "step"}, "surface"),
    ],
)
def test_a_lever_without_a_pose_is_refused_under_its_name(move: str, table: dict[str, object], lever: str) -> None:
    why = tried(LIBRARY, move, (table,)).why
    assert why is not None
    assert why.field == lever


def test_a_refusal_names_the_moves_that_can_take_the_lever() -> None:
    why = tried(LIBRARY, "hip-hinge", ({"surface": "ball under the foot"},)).why
    assert why is not None
    assert "one-leg-hinge" in why.remedy


def test_every_rung_of_the_library_is_posed_as_its_levers_say() -> None:
    for key in LIBRARY.keys:
        for rung in LIBRARY.move(key).versions:
            LIBRARY.require_pose(rung.form)


def test_a_lever_that_a_rung_has_already_is_refused() -> None:
    why = tried(LIBRARY, "split-squat", ({"surface": "floor"},)).why
    assert why is not None
    assert why.got == "surface as it is already"
