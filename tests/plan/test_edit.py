"""Edits of a plan's text: what was asked is there, everything else is as it was, comments too."""

import difflib
from pathlib import Path
from typing import Any

import pytest

from everyrung.moves.library import standard_library
from everyrung.plan.diff import changes, clashes, leaves
from everyrung.plan.edit import apply_edit, next_round, write_edit
from everyrung.plan.read import plan_from_text
from everyrung.plan.resolve import resolve
from everyrung.plan.serialize import option_value
from everyrung.terms import edit as edits
from everyrung.terms.edit import Edit
from everyrung.terms.enums import BlockKind, OptionKind
from everyrung.terms.errors import Faults, Invalid
from everyrung.terms.plan import Plan, Ref
from everyrung.terms.session import Cell

ROOT = Path(__file__).parents[2]
TEXT = (ROOT / "examples" / "boathouse-30.toml").read_text(encoding="utf-8")
LIBRARY = standard_library()
SQUAT = Ref(block="Main", round="Two", cell="squat")


def plan(text: str) -> Plan:
    return plan_from_text(text, "plan.toml")


def done(edit: Edit, text: str = TEXT) -> str:
    return apply_edit(text, edit, LIBRARY)


def cells(text: str) -> dict[str, Cell]:
    session = resolve(plan(text), LIBRARY)
    return {str(cell.ref): cell for block in (*session.blocks, *session.reserve) for cell in block.cells}


def comments(text: str) -> list[str]:
    return [line.partition("#")[2] for line in text.splitlines() if "#" in line]


def removed(text: str) -> list[str]:
    lines = difflib.ndiff(TEXT.splitlines(), text.splitlines())
    return [line[2:].strip() for line in lines if line.startswith("- ") and line[2:].strip()]


ONE_LINE: list[tuple[Edit, str, str]] = [
    (edits.SetHead(field="title", value="Anew"), "title", "Anew"),
    (edits.SetHead(field="who.at_home", value=20), "who/at_home", "20"),
    (edits.SetCell(ref=SQUAT, field="dose", value="10 reps"), "Main/Two/squat/dose", "10 reps"),
    (edits.SetCell(ref=SQUAT, field="options.easier", value="part"), "Main/Two/squat/options/easier", "part"),
    (edits.SetCell(ref=SQUAT, field="dose", value="9 reps", column=True), "Main/squat/dose", "9 reps"),
    (edits.SetPart(ref=Ref(block="Main"), field="rest", value="20 s"), "Main/rest", "0:20"),
    (edits.SetPart(ref=Ref(block="Main", round="Two"), field="rest", value="40 s"), "Main/Two/rest", "0:40"),
]


@pytest.mark.parametrize(("edit", "place", "now"), ONE_LINE, ids=[place for _, place, _ in ONE_LINE])
def test_one_field_changes_one_place_and_no_comment(edit: Edit, place: str, now: str) -> None:
    text = done(edit)
    assert [(each.place, each.now) for each in changes(plan(TEXT), plan(text))] == [(place, now)]
    assert comments(text) == comments(TEXT)
    assert len(removed(text)) <= 1


def test_a_change_in_every_round_reaches_those_with_words_of_their_own() -> None:
    text = done(edits.SetCell(ref=SQUAT, field="dose", value="10 reps"))
    text = done(
        edits.SetCell(ref=Ref(block="Main", round="One", cell="squat"), field="dose", value="7 reps", column=True), text
    )
    assert {str(cells(text)[f"Main/{name}/squat"].dose) for name in ("One", "Two", "Three")} == {"7 reps"}
    text = done(edits.TakeRung(ref=SQUAT, rung="part", column=True), text)
    assert {cells(text)[f"Main/{name}/squat"].rung.key.split("+")[0] for name in ("One", "Two", "Three")} == {"part"}
    text = done(edits.SetCell(ref=SQUAT, field="options.easier", value="half-wall", column=True), text)
    easier = [cells(text)[f"Main/{name}/squat"].option(OptionKind.EASIER) for name in ("One", "Two", "Three")]
    assert {option.rung.key for option in easier if option} == {"half-wall"}


def test_a_new_field_stands_above_the_comment_on_what_comes_next() -> None:
    hinge = Ref(block="Main", round="Two", cell="hinge")
    lines = done(edits.SetCell(ref=hinge, field="rest", value="20 s")).splitlines()
    assert lines.index('  rest = "20 s"') < next(at for at, line in enumerate(lines) if "# Round Three" in line)


def test_own_points_are_written_read_and_taken_back() -> None:
    text = done(edits.SetCell(ref=SQUAT, field="cues", value=["Tall as a mast.", "Slow."]))
    assert [cue.text for cue in cells(text)["Main/Two/squat"].rung.cues[:2]] == ["Tall as a mast.", "Slow."]
    assert leaves(plan(done(edits.SetCell(ref=SQUAT, field="cues", value=None), text))) == leaves(plan(TEXT))


def test_a_field_left_open_is_taken_out() -> None:
    assert "level" not in leaves(plan(done(edits.SetHead(field="level", value=None))))


def test_another_rung_drops_what_was_on_top_of_the_old_one() -> None:
    lift = Ref(block="Main", round="Two", cell="lift")
    assert "pause" in cells(TEXT)["Main/Two/lift"].rung.key
    text = done(edits.TakeRung(ref=lift, rung="slow"))
    assert cells(text)["Main/Two/lift"].rung.key == "slow"
    own = edits.TakeRung(ref=lift, rung="base", levers=[{"pause": "3 s", "at": "top"}], name="Mine", entry_test="Easy?")
    made = cells(done(own))["Main/Two/lift"].rung
    assert (made.name, made.entry_test, made.form.tempo.top_ms) == ("Mine", "Easy?", 3000)


def test_a_lever_added_and_dropped_again_is_no_change() -> None:
    curl = Ref(block="Main", round="Two", cell="curl")
    text = done(edits.AddLever(ref=curl, lever={"pause": "2 s", "at": "top"}))
    assert cells(text)["Main/Two/curl"].rung.form.tempo.top_ms == 2000
    assert leaves(plan(done(edits.DropLever(ref=curl), text))) == leaves(plan(TEXT))


def test_only_the_lever_that_was_added_last_is_dropped() -> None:
    curl = Ref(block="Main", round="Two", cell="curl")
    one = done(edits.AddLever(ref=curl, lever={"pause": "2 s", "at": "top"}))
    two = done(edits.AddLever(ref=curl, lever={"reps": 2}), one)
    assert leaves(plan(done(edits.DropLever(ref=curl), two))) == leaves(plan(one))


def test_a_lever_for_a_round_goes_to_every_move_that_can_take_it() -> None:
    before, after = cells(TEXT), cells(done(edits.AddLever(ref=Ref(block="Main", round="Two"), lever={"reps": 2})))
    two = [name for name in before if name.startswith("Main/Two/")]
    assert all(after[name].bouts[0].reps == before[name].bouts[0].reps + 2 for name in two)
    with pytest.raises(Invalid, match="a move in Main / Two that can take it"):
        done(edits.AddLever(ref=Ref(block="Main", round="Two"), lever={"surface": "sliding on the ball"}))


def test_a_new_round_is_like_the_last_one() -> None:
    found = cells(done(edits.AddRound(block="Main")))
    assert {name for name in found if name.startswith("Main/Four/")}
    assert all(
        found[name].rung.form == found[name.replace("Four", "Three")].rung.form
        for name in found
        if name.startswith("Main/Four/")
    )


def test_a_round_taken_out_leaves_those_that_build_on_it_as_they_were() -> None:
    before, after = cells(TEXT), cells(done(edits.RemoveRound(ref=Ref(block="Main", round="Two"))))
    assert not [name for name in after if name.startswith("Main/Two/")]
    for name in after:
        one, two = before[name], after[name]
        assert (one.rung.form, one.dose, one.bouts[0].load) == (two.rung.form, two.dose, two.bouts[0].load)
        for kind in OptionKind:
            was, now = one.option(kind), two.option(kind)
            assert (was and was.rung.name) == (now and now.rung.name)


@pytest.mark.parametrize("cell", ["squat", "lift", "curl", "lunge", "hinge"])
def test_a_move_taken_out_is_nowhere_any_more(cell: str) -> None:
    found = leaves(plan(done(edits.RemoveMove(block="Main", cell=cell))))
    assert not [place for place in found if cell in place.split("/")]
    assert cell not in found.get("cut_order", "")


@pytest.mark.parametrize("to", range(5))
def test_a_move_comes_to_the_place_it_is_brought_to_with_its_words(to: int) -> None:
    text = done(edits.ShiftMove(block="Main", cell="hinge", to=to))
    assert list(plan(text).blocks[2].columns)[to] == "hinge"
    assert sorted(comments(text)) == sorted(comments(TEXT))
    before, after = leaves(plan(TEXT)), leaves(plan(text))
    assert {name: said for name, said in before.items() if not name.endswith("order")} == {
        name: said for name, said in after.items() if not name.endswith("order")
    }


def test_a_set_is_left_out_and_taken_in_again() -> None:
    hinge = Ref(block="Main", round="Two", cell="hinge")
    out = done(edits.SkipCell(ref=hinge, skip=True))
    assert str(hinge) not in cells(out)
    assert str(hinge) in cells(done(edits.SkipCell(ref=hinge, skip=False), out))


def test_a_set_taken_in_again_leaves_out_the_others_that_were_left_out() -> None:
    hinge, lunge = (Ref(block="Main", round="Two", cell=name) for name in ("hinge", "lunge"))
    out = done(edits.SkipCell(ref=lunge, skip=True), done(edits.SkipCell(ref=hinge, skip=True)))
    again = cells(done(edits.SkipCell(ref=hinge, skip=False), out))
    assert (str(hinge) in again, str(lunge) in again) == (True, False)


@pytest.mark.parametrize(
    "value",
    [
        {"rung": "part", "name": "Half way"},
        {"rung": "part", "entry_test": "Can you sit down slowly?"},
        {"rung": "part", "levers": [{"pause": "2 s"}]},
    ],
    ids=["name", "entry test", "lever"],
)
def test_an_option_with_one_thing_of_its_own_is_written_with_it(value: dict[str, Any]) -> None:
    block = plan(done(edits.SetCell(ref=SQUAT, field="options.easier", value=value))).blocks[2]
    (two,) = [each for each in block.rounds if each.name == "Two"]
    written = option_value(two.cells["squat"].options[OptionKind.EASIER])
    assert isinstance(written, dict)
    assert {key: written[key] for key in value} == value


def test_rounds_beyond_the_names_there_are_get_numbers_that_are_free() -> None:
    known: list[str] = []
    for _ in range(14):
        known.append(next_round(known))
    assert known[:2] == ["One", "Two"]
    assert known[11:] == ["Round 12", "Round 13", "Round 14"]
    assert next_round([*known[:12], "Round 14"]) == "Round 15"  # a name is for one round


def test_a_move_taken_out_leaves_out_the_others_that_were_left_out() -> None:
    hinge, lunge = (Ref(block="Main", round="Two", cell=name) for name in ("hinge", "lunge"))
    out = done(edits.SkipCell(ref=lunge, skip=True), done(edits.SkipCell(ref=hinge, skip=True)))
    (two,) = [each for each in plan(out).blocks[2].rounds if each.name == "Two"]
    assert two.skip == ("hinge", "lunge")
    (two,) = [
        each
        for each in plan(done(edits.RemoveMove(block="Main", cell="hinge"), out)).blocks[2].rounds
        if each.name == "Two"
    ]
    assert two.skip == ("lunge",)


def test_a_set_left_out_takes_no_other_from_the_cut_order() -> None:
    text = TEXT.replace('as = "hinge"', 'as = "lunge-2"').replace("cell.hinge", "cell.lunge-2")
    order = '["Main/Two/lunge-2", "Main/Two/lunge"]'
    text = done(edits.SetHead(field="cut_order", value=["Main/Two/lunge-2", "Main/Two/lunge"]), text)
    assert order in text
    left = plan(done(edits.SkipCell(ref=Ref(block="Main", round="Two", cell="lunge"), skip=True), text)).cut_order
    assert [str(each) for each in left] == ["Main/Two/lunge-2"]


def test_parts_and_kit_come_and_go() -> None:
    text = done(edits.AddBlock(kind=BlockKind.MAIN, move="squat"))
    assert [block.name for block in plan(text).blocks][3] == "Main 2"
    assert leaves(plan(done(edits.RemoveBlock(block="Main 2"), text))) == leaves(plan(TEXT))
    band: dict[str, Any] = {"item": "band", "grade": "light band", "each": 1}
    more = done(edits.AddKit(stock=band))
    assert len(plan(more).kit) == len(plan(TEXT).kit) + 1
    assert leaves(plan(done(edits.RemoveKit(at=len(plan(TEXT).kit)), more))) == leaves(plan(TEXT))


WRONG: list[Edit] = [
    edits.SetCell(ref=Ref(block="Main", round="Two", cell="sqat"), field="dose", value="8 reps"),
    edits.SetCell(ref=SQUAT, field="dose", value="many"),
    edits.SetCell(ref=SQUAT, field="options.easier", value="nonsuch"),
    edits.AddMove(block="Main", move="nonsuch"),
    edits.RemoveBlock(block="Mein"),
    edits.RemoveKit(at=99),
    edits.AddKit(stock={"item": "ball"}),
    edits.SetHead(field="slot_minutes", value="long"),
    edits.SetCell(ref=SQUAT, field="dose", value={"a": None}),
    edits.SetPart(ref=Ref(block="Main", round="Two", cell=""), field="rest", value={"a": [None]}),
    edits.AddLever(ref=SQUAT, lever={"a": None}),
    edits.SetPart(ref=Ref(block="Main", round="Nine", cell=""), field="rest", value="40 s"),
]


@pytest.mark.parametrize("edit", WRONG, ids=map(str, WRONG))
def test_what_cannot_be_done_is_refused_in_words(edit: Edit) -> None:
    with pytest.raises((Invalid, Faults), match="expected"):
        done(edit)


def test_a_block_without_written_rounds_is_its_own_only_one() -> None:
    text = done(edits.AddBlock(kind=BlockKind.MAIN, move="squat"))
    alone = done(edits.SetPart(ref=Ref(block="Main 2", round="Main 2", cell=""), field="rest", value="41 s"), text)
    assert plan(alone).blocks[3].rest_ms == 41_000
    with pytest.raises(Invalid, match="round"):
        done(edits.SetPart(ref=Ref(block="Main 2", round="Two", cell=""), field="rest", value="41 s"), text)


def test_two_who_change_different_places_do_not_clash_and_two_at_one_place_do() -> None:
    def change(edit: Edit) -> Any:
        return changes(plan(TEXT), plan(done(edit)))

    dose = change(edits.SetCell(ref=SQUAT, field="dose", value="10 reps"))
    other = change(edits.SetCell(ref=SQUAT, field="dose", value="12 reps"))
    option = change(edits.SetCell(ref=SQUAT, field="options.easier", value="part"))
    assert not clashes(dose, option)
    assert clashes(dose, other)
    assert not clashes(dose, dose)  # both wanted the same


@pytest.mark.parametrize("path", sorted((ROOT / "examples").glob("*-[0-9][0-9].toml")), ids=lambda path: path.stem)
@pytest.mark.parametrize("step", [6, pytest.param(1, marks=pytest.mark.slow)])
def test_every_cell_of_every_example_can_be_edited(path: Path, step: int) -> None:
    text = path.read_text(encoding="utf-8")
    for name, cell in list(cells(text).items())[::step]:
        note = edits.SetCell(ref=cell.ref, field="note", value="Look here")
        assert cells(done(note, text))[name].note == "Look here"


@pytest.mark.parametrize("path", sorted((ROOT / "examples").glob("*-[0-9][0-9].toml")), ids=lambda path: path.stem)
@pytest.mark.parametrize("step", [6, pytest.param(1, marks=pytest.mark.slow)])
def test_a_cell_edited_in_its_part_of_the_text_is_as_in_the_whole_text(path: Path, step: int) -> None:
    """One edit that is `Several` reads the whole document; letter for letter, comments and empty lines too."""
    text = path.read_text(encoding="utf-8")
    for number, cell in enumerate(list(cells(text).values())[::step]):
        column, ref = bool(number % 2), cell.ref
        for edit in (
            edits.SetCell(ref=ref, field="dose", value="9 reps", column=column),
            edits.SetCell(ref=ref, field="note", value="[[block]]\n[[block.round]]", column=column),
            edits.SetCell(ref=ref, field="options.easier", value="base", column=column),
            edits.TakeRung(ref=ref, rung="base", column=column),
            edits.AddLever(ref=ref, lever={"pause": "2 s", "at": "bottom"}),
        ):
            try:
                made = write_edit(text, edit)
            except Invalid:
                continue  # a round that cannot take it
            assert made == write_edit(text, edits.Several(edits=(edit,), words=""))
            text = made if number % 3 == 0 else text


@pytest.mark.parametrize(
    ("field", "value"),
    [("dose", "7 reps"), ("options.easier", "half-wall"), ("options.easier", {"levers": [{"range": 0.5}]})],
)
def test_a_cell_is_written_beside_one_in_short_form(field: str, value: object) -> None:
    """`cell.plank = { … }` in a round, and then something said of another cell of it."""
    text = (ROOT / "examples" / "faulty.toml").read_text(encoding="utf-8")
    ref = Ref(block="Main", round="One", cell="squat")
    made = done(edits.SetCell(ref=ref, field=field, value=value), text)
    (block,) = (each for each in plan(made).blocks if each.name == "Main")
    own = block.rounds[0].cells
    assert str(own["squat"].dose) == value or own["squat"].options
    assert str(own["plank"].sides) == "left only"
    assert block.rounds[1:] == plan(text).blocks[2].rounds[1:]


def test_several_edits_are_one_step() -> None:
    ref = Ref(block="Main", round="Three", cell="squat")
    both = edits.Several(
        edits=(
            edits.SkipCell(ref=ref, skip=True),
            edits.AddRound(block="Main"),
            edits.SetCell(ref=Ref(block="Main", round="Four", cell="hinge"), field="dose", value="9 reps"),
        ),
        words="A round more",
    )
    made = cells(done(both))
    assert "Main/Three/squat" not in made
    assert str(made["Main/Four/hinge"].dose) == "9 reps"
    assert str(both) == "A round more"


def test_a_rung_of_another_move_is_taken_in_one_cell() -> None:
    text = (ROOT / "examples" / "faulty.toml").read_text(encoding="utf-8")
    ref = Ref(block="Main", round="Two", cell="stand")
    made = cells(done(edits.TakeRung(ref=ref, rung="half-wall", move="squat"), text))
    assert (made[str(ref)].move.key, made[str(ref)].rung.key) == ("squat", "half-wall")
    assert made["Main/One/stand"].move.key == "chair-stand"


def test_a_new_key_of_the_head_leaves_every_comment_where_it_was() -> None:
    for name, key, value in (("boathouse-30", "view", "filmed"), ("seated-30", "level", "gentle")):
        text = (ROOT / "examples" / f"{name}.toml").read_text(encoding="utf-8")
        lines = [line for line in text.splitlines() if not line.startswith(f"{key} = ")]
        after = done(edits.SetHead(field=key, value=value), "\n".join(lines)).splitlines()
        new = [line for line in difflib.ndiff(lines, after) if line[0] in "+-"]
        assert new == [f'+ {key} = "{value}"']
