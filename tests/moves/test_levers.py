"""Levers are pure, and levers that contradict are refused with the reason."""

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from everyrung.moves.lever_words import read_lever, write_lever
from everyrung.moves.levers import compose, usual_carry
from everyrung.moves.library import Library, standard_library
from everyrung.terms.enums import Carry, LoadNeed
from everyrung.terms.errors import Invalid
from everyrung.terms.lever import LEVER_WORDS, Lever
from everyrung.terms.move import Form

BASE = standard_library().move("split-squat").base
SQUAT = standard_library().move("squat").base


def levers(*tables: dict[str, object]) -> tuple[Lever, ...]:
    return tuple(read_lever(table) for table in tables)


def test_a_rung_is_its_base_plus_levers() -> None:
    form = compose(BASE, levers({"pause": "2 s"}, {"load": "one"}, {"carry": "opposite hand"}))
    assert form.tempo.bottom_ms == 2000
    assert (form.load, form.carry) == (LoadNeed.ONE, Carry.OPPOSITE_HAND)
    assert BASE.tempo.bottom_ms == 0, "the base is untouched"


@pytest.mark.parametrize(
    ("tables", "reason"),
    [
        ([{"pause": "2 s"}, {"pause": "3 s"}], "pause set twice"),
        ([{"unilateral": "one side"}], "a move that is worked one side already"),
        ([{"load": "pair"}, {"base": "hand on the wall"}], "3 hands' worth to hold"),
        ([{"surface": "ball held overhead"}, {"load": "one"}], "3 hands' worth to hold"),
        ([{"carry": "at the sides"}], "carrying at the sides with nothing to carry"),
        ([{"load": "pair"}, {"carry": "opposite hand"}], "a pair carried opposite hand"),
        ([{"surface": "ball under the heels"}], "ball under the heels while standing"),
        ([{"pause": "1 s"}, {"swap": "squat"}], "a swap to 'squat' after other levers"),
        ([{"load": "one"}, {"press": "overhead"}, {"reach": "forward"}], "a press and a reach of the same arms"),
        ([{"press": "overhead"}, {"base": "hand on the wall"}], "a press while one hand holds on"),
    ],
)
def test_contradictory_levers_are_refused_with_the_reason(tables: list[dict[str, object]], reason: str) -> None:
    with pytest.raises(Invalid) as caught:
        compose(BASE, levers(*tables))
    assert caught.value.got == reason


def test_one_piece_for_both_sides_fills_both_hands_though_nobody_says_so() -> None:
    squat = standard_library().move("squat").base
    with pytest.raises(Invalid) as caught:
        compose(squat, levers({"load": "one"}, {"base": "hand on the wall"}))
    assert caught.value.got == "3 hands' worth to hold"


def test_one_foot_ahead_asks_for_both_sides_in_turn() -> None:
    squat = standard_library().move("squat").base
    with pytest.raises(Invalid) as caught:
        compose(squat, levers({"base": "staggered feet"}))
    assert "one side at a time" in caught.value.remedy
    form = compose(squat, levers({"base": "staggered feet"}, {"unilateral": "one side"}))
    assert form.sides == "one side"


def test_the_two_ends_of_a_repetition_can_both_be_paused() -> None:
    form = compose(BASE, levers({"pause": "2 s"}, {"pause": "1 s", "at": "top"}))
    assert (form.tempo.bottom_ms, form.tempo.top_ms) == (2000, 1000)


def test_pulses_come_after_a_pause() -> None:
    form = compose(BASE, levers({"pause": "2 s"}, {"pulse": 3}))
    assert (form.tempo.bottom_ms, form.pulses, form.rep_ms) == (2000, 3, BASE.tempo.rep_ms + 3500)


def test_a_turn_to_one_side_asks_for_sides_in_turn() -> None:
    squat = standard_library().move("squat").base
    with pytest.raises(Invalid) as caught:
        compose(squat, levers({"rotation": "toward the working side"}))
    assert "alternating" in caught.value.remedy
    assert compose(squat, levers({"rotation": "both ways"})).rotation == "both ways"


def test_a_held_move_takes_no_lever_of_repetitions() -> None:
    plank = standard_library().move("front-plank").base
    for table in ({"pause": "2 s"}, {"tempo": "3-0-1-0"}, {"reps": 2}, {"pulse": 2}, {"extra": "floor tap"}):
        with pytest.raises(Invalid):
            compose(plank, levers(table))


def test_there_are_fifteen_levers_and_no_more() -> None:
    assert len(LEVER_WORDS) == 15
    with pytest.raises(Invalid) as caught:
        read_lever({"paus": "2 s"})
    assert caught.value.nearest == "pause"


def test_one_lever_a_table() -> None:
    with pytest.raises(Invalid):
        read_lever({"pause": "2 s", "reps": 2})


SOME = st.sampled_from(
    [
        {"range": 0.5},
        {"pause": "2 s"},
        {"pause": "1 s", "at": "top"},
        {"tempo": "4-0-2-0"},
        {"reps": 2},
        {"load": "one"},
        {"load": "12 lb"},
        {"load": "pair"},
        {"load": "heavy band"},
        {"carry": "at the chest"},
        {"reach": "forward"},
        {"press": "overhead"},
        {"rotation": "toward the working side"},
        {"base": "back foot raised"},
        {"base": "hand on the wall"},
        {"pulse": 3},
        {"surface": "ball under the foot"},
        {"extra": "leg lift"},
    ]
)


@given(st.lists(SOME, max_size=5))
def test_composing_either_refuses_or_gives_the_same_form_again(tables: list[dict[str, object]]) -> None:
    changes = levers(*tables)
    assert tuple(read_lever(write_lever(change)) for change in changes) == changes
    before = replace(BASE)
    assert _composed(changes) == _composed(changes)
    assert before == BASE


def _composed(changes: tuple[Lever, ...]) -> Form | str:
    """The form, or the reason why there is none."""
    try:
        return compose(BASE, changes)
    except Invalid as refused:
        return str(refused)


def test_a_coachs_own_rung_that_the_ladder_has_is_that_rung() -> None:
    library = standard_library()
    made = library.custom_rung("split-squat", "base", levers({"pause": "2 s"}))
    assert made.key == "pause"
    assert made.entry_test == library.rung("split-squat", "pause").entry_test


def test_swaps_in_a_circle_are_refused(tmp_path: Path) -> None:
    folder = standard_library()._files["bridge"].parent
    for one, other in (("bridge", "hip-hinge"), ("hip-hinge", "bridge")):
        text = (folder / f"{one}.toml").read_text()
        circle = f'[[rung]]\nkey = "circle"\nname = "x"\nlevers = [{{ swap = "{other}/circle" }}]\n'
        (tmp_path / f"{one}.toml").write_text(text + circle + 'entry_test = "Round and round?"\ngrade = 5\n')
    with pytest.raises(Invalid) as caught:
        Library(tmp_path).rung("bridge", "circle")
    assert "bridge/circle -> hip-hinge/circle -> bridge/circle" in str(caught.value.got)


def test_arms_that_reach_take_what_they_hold_with_them() -> None:
    """Common practice, no source: a hand is in one place at a time."""
    pair = compose(SQUAT, levers({"load": "pair"}, {"reach": "overhead"}))
    assert usual_carry(pair)[0] is Carry.BOTH_HANDS
    for wrong in ("at the sides", "at the shoulders"):
        with pytest.raises(Invalid, match="while the arms reach"):
            compose(SQUAT, levers({"load": "pair"}, {"reach": "overhead"}, {"carry": wrong}))
    with pytest.raises(Invalid, match="arms apart with one piece"):
        compose(SQUAT, levers({"load": "one"}, {"reach": "to the side"}))


def test_a_load_carried_overhead_by_arms_that_reach_there_says_the_same_twice() -> None:
    with pytest.raises(Invalid, match="overhead by arms that reach there already") as refused:
        compose(SQUAT, levers({"load": "pair"}, {"reach": "overhead"}, {"carry": "overhead"}))
    assert "Leave the carry out" in refused.value.remedy


def test_a_load_is_not_in_the_hand_that_holds_on() -> None:
    one_leg = standard_library().move("one-leg-hinge").base
    held = compose(one_leg, levers({"load": "one"}, {"base": "hand on a chair"}))
    assert usual_carry(held)[0] is Carry.WORKING_HAND
    with pytest.raises(Invalid, match="the hand that holds on"):
        compose(one_leg, levers({"load": "one"}, {"base": "hand on a chair"}, {"carry": "opposite hand"}))


@pytest.mark.parametrize("grade", ["light", "medium", "heavy"])
def test_a_band_of_another_strength_is_the_version_with_that_band(grade: str) -> None:
    """A fact: who is asked for a heavy band is not to hear of a light one."""
    made = standard_library().custom_rung("seated-row", "base", (read_lever({"load": f"{grade} band"}),))
    assert str(made.form.band) == f"{grade} band"
    assert all(each not in made.name for each in {"light", "heavy"} - {grade})
