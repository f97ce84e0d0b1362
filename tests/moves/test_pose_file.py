"""Poses as written: what an entry means, how layers lie over each other, and how bad ones are refused."""

import tomllib
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from everyrung.moves.library import standard_library
from everyrung.moves.pose_file import length, read_pose, span
from everyrung.moves.poses import pose_layer
from everyrung.parsing.table_reader import FileFaults, Skip, Table
from everyrung.terms.enums import MoveKind
from everyrung.terms.errors import Faults, Invalid
from everyrung.terms.pose import Layer, PoseText, Span


def read(text: str) -> PoseText:
    reading = FileFaults("own.toml", text)
    values: dict[str, Any] = tomllib.loads(text)
    try:
        found = read_pose(Table(reading, values))
    except Skip:
        raise Faults(reading.faults) from None
    reading.finish()
    return found


def test_one_number_holds_all_through_and_two_go_from_rest_to_full_depth() -> None:
    assert span(30) == Span(rest=30, full=30)
    assert span([0, 90]).at(0.5) == 45
    assert span([0, 90]).at(1.25) == 112.5  # by hand: a quarter beyond


def test_lengths_are_shares_of_the_stature_unless_a_unit_is_written() -> None:
    assert length(0.5).metres(0, 1.60) == pytest.approx(0.80)
    assert length("45 cm").metres(0, 1.60) == pytest.approx(0.45)
    assert length(["0 cm", "0.2 m"]).metres(0.5, 1.90) == pytest.approx(0.10)


def test_a_sided_name_changes_one_side_of_a_bare_one_and_a_bare_one_both() -> None:
    below = Layer(angles={"knee_flexion": Span(rest=0, full=90)})
    one = below.under(Layer(angles={"knee_flexion_other": Span(rest=0, full=10)}))
    assert {name: each.full for name, each in one.angles.items() if each} == {
        "knee_flexion_working": 90,
        "knee_flexion_other": 10,
    }
    both = one.under(Layer(angles={"knee_flexion": Span(rest=5, full=5)}))
    assert list(both.angles) == ["knee_flexion"]


def test_false_takes_away_what_an_earlier_layer_asked_for() -> None:
    text = read('lines = { arm = 180 }\n[[case]]\ncarry = "at the chest"\nlines = { arm_other = false }\n')
    found = text.layer.under(text.cases[0].layer).without_removals()
    assert list(found.lines) == ["arm_working"]


def test_a_case_holds_only_for_its_words() -> None:
    text = read('[[case]]\nsurface = ["chair", "step"]\nhold = "hand on the wall"\n')
    library = standard_library()
    assert not text.cases[0].holds(library.rung("squat", "chair").form)
    assert not text.cases[0].holds(library.rung("squat", "half-wall").form)


@pytest.mark.parametrize(
    ("text", "field", "expected"),
    [
        ("angels = { knee_flexion = 3 }", "angels", "a known field"),
        ("angles = { knee_flexion = [1, 2, 3, 4] }", "angles.knee_flexion", "a number, or two"),
        ('angles = { knee_flexion = "much" }', "angles.knee_flexion", "a number"),
        ("angles = 3", "angles", "a table"),
        ('rests = "low"', "rests", "'top' or 'bottom'"),
        ('touch = { foot = "lava" }', "touch.foot", "floor"),
        ('touch = { foot = { on = "floor", sharre = 0.5 } }', "touch.foot", "only on, push"),
        ("lines = { trunk = { pich = 3 } }", "lines.trunk", "only pitch, out"),
        ('apart = { "heel to toe" = 3 }', "apart.heel to toe", "a table such as"),
        ("apart = { heel = { up = 0.1 } }", "apart.heel", "two points"),
        ('height = { seat = "45 feet" }', "height.seat", "a share of the stature"),
        ("height = { seat = 7 }", "height.seat", "at most"),
        ('[[case]]\nsupport = "two feets"', "case[1].support", "two feet"),
        ('[[self_check]]\nsay = "Look."', "self_check[1]", "one of angle"),
        ('[[self_check]]\nsay = "Look."\nangle = "hip knee"', "self_check[1].angle", "3 points"),
    ],
)
def test_a_bad_entry_is_refused_with_its_place_and_what_was_expected(text: str, field: str, expected: str) -> None:
    with pytest.raises(Faults) as refused:
        read(text)
    fault = refused.value.faults[0]
    assert fault.where.file == "own.toml"
    assert fault.where.line >= 1
    assert field in fault.where.field
    assert expected in fault.expected


VALUES = st.recursive(
    st.none() | st.booleans() | st.integers(-500, 500) | st.floats(-1e9, 1e9) | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=10), inner, max_size=3),
    max_leaves=8,
)
KEYS = st.sampled_from(["angles", "lines", "apart", "touch", "over", "case", "self_check", "rests", "seen", "height"])


@settings(max_examples=300, deadline=None)
@given(st.dictionaries(KEYS, VALUES, max_size=4))
def test_no_nonsense_ends_in_a_traceback(values: dict[str, Any]) -> None:
    reading = FileFaults("own.toml", "")
    try:
        read_pose(Table(reading, values))
    except (Skip, Faults):
        assert reading.faults


def strength_rungs() -> list[tuple[str, str]]:
    library = standard_library()
    moves = [library.move(key) for key in library.keys]
    return [
        (move.key, rung.key)
        for move in moves
        for rung in move.versions
        if move.kind is MoveKind.STRENGTH or rung.form.move == move.key
    ]


def test_every_rung_of_the_library_has_a_pose() -> None:
    library = standard_library()
    asked = [library.rung(*name) for name in strength_rungs()]
    assert len(asked) > 250
    for rung in asked:
        layer = library.pose(rung.form)
        assert layer.touch, rung.address
        assert rung.form.tempo.is_hold or layer.rests in ("top", "bottom"), rung.address


SHAPED = ("support", "surface", "hold", "carry", "reach", "press", "rotation")


def test_a_lever_of_shape_changes_the_pose_and_not_a_number_behind_the_scenes() -> None:
    library, alike = standard_library(), []
    for move_key, rung_key in strength_rungs():
        rung = library.rung(move_key, rung_key)
        base = library.move(rung.form.move).base
        shaped = [name for name in SHAPED if name != "carry" or rung.form.load.pieces]
        if all(getattr(rung.form, name) == getattr(base, name) for name in shaped):
            continue
        if library.pose(rung.form) == library.pose(base) and rung.form.move == move_key:
            alike.append(rung.address)
    assert not alike


def test_the_shared_rules_lie_below_and_above_a_moves_own_pose() -> None:
    library = standard_library()
    form = library.rung("squat", "goblet").form
    layer = pose_layer(PoseText(layer=Layer(lines={})), form)
    assert "foot" in layer.touch
    assert "grip" in layer.hangs


def test_a_move_without_a_pose_says_so() -> None:
    library = standard_library()
    form = replace(library.rung("squat", "base").form, move="no-such-move")
    with pytest.raises(Invalid, match="move"):
        library.pose(form)


@pytest.mark.parametrize(("several", "deep"), [([1, 5], 6.0), ([1, 5, 5], 5.0), ([5, 1, 0.5], 0.5), ([5, 1], 0.0)])
def test_a_third_number_is_where_a_value_ends_however_deep_a_rung_goes(several: list[float], deep: float) -> None:
    value = span(several)
    assert (value.at(0), value.at(1)) == tuple(several[:2])
    assert value.at(1.25) == deep


def test_a_kept_layer_is_the_one_that_the_form_asks_for() -> None:
    """The library keeps one for all forms alike in what layers go by; each is compared with its own, made anew."""
    library = standard_library()
    for key in library.keys:
        text = library.source(key)[1].pose
        for rung in library.move(key).ladder:
            assert text
            assert library.pose(rung.form) == pose_layer(text, rung.form), rung.name
