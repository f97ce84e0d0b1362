"""Bad input is named: where, what was expected, what was got, the nearest name, what to do. Never a traceback."""

from pathlib import Path

import pytest

from everyrung.moves.library import standard_library
from everyrung.plan.read import plan_from_text, read_plan
from everyrung.plan.resolve import resolve
from everyrung.terms.errors import Fault, Faults
from everyrung.timing.timeline import build_timeline

PLAN = """\
title = "Evening"
slot_minutes = 30
[who]
in_room = 8
[[kit]]
item = "dumbbells"
mass = "10 lb"
as = "pairs"
count = 8
[[block]]
kind = "main"
[[block.move]]
move = "split-squat"
as = "lunge"
dose = "8 a side"
tempo = "2-0-2-0"
[[block.move]]
move = "hip-hinge"
dose = "10 reps"
[[block.round]]
name = "One"
[[block.round]]
name = "Two"
like = "One"
cell.lunge = { add = [{ pause = "2 s" }] }
"""


def faults_of(text: str) -> tuple[Fault, ...]:
    with pytest.raises(Faults) as caught:
        build_timeline(resolve(plan_from_text(text, "evening.toml"), standard_library()))
    return caught.value.faults


def test_the_plan_itself_is_fine() -> None:
    assert build_timeline(resolve(plan_from_text(PLAN, "evening.toml"), standard_library())).total_ms > 0


@pytest.mark.parametrize(
    ("old", "new", "line", "field", "got", "nearest", "remedy"),
    [
        ('move = "split-squat"', 'move = "split-squad"', 13, "move", "split-squad", "split-squat", ""),
        ("in_room = 8", "in_rom = 8", 4, "who.in_rom", "in_rom", "in_room", "Known here"),
        ("in_room = 8", "in_room = 8.5", 4, "who.in_room", "8.5", "", ""),
        ("in_room = 8", "in_room = 0", 4, "who.in_room", "0", "", ""),
        ("slot_minutes = 30", 'slot_minutes = "30"', 2, "slot_minutes", "30", "", ""),
        ("slot_minutes = 30", "slot_minutes = 1e99", 2, "slot_minutes", "1e+99", "", ""),
        ('kind = "main"', 'kind = "mian"', 11, "block[1].kind", "mian", "main", ""),
        ('"8 a side"', '"8 aside"', 15, "dose", "8 aside", "", ""),
        ('"8 a side"', '"8 reps"', 15, "dose", "8 reps", "", '"8 a side"'),
        ('"10 reps"', '"10 a side"', 19, "dose", "10 a side", "", '"10 reps"'),
        ('"10 reps"', '"8-12"', 19, "dose", "8-12", "", "choose a number"),
        ('"10 reps"', '"0 reps"', 19, "dose", "0", "", ""),
        ('"10 reps"', '"-4 reps"', 19, "dose", "-4 reps", "", ""),
        ('"10 reps"', '"99999 reps"', 19, "dose", "99999", "", ""),
        ('"10 reps"', '"1 s"', 19, "dose", "0:01", "", ""),
        ('"2-0-2-0"', '"2020"', 16, "tempo", "2020", "", '"2-0-2-0"'),
        ('"2-0-2-0"', "2020", 16, "tempo", "2020", "", '"2-0-2-0"'),
        ('"2-0-2-0"', '"0-0-0-0"', 16, "tempo", "0-0-0-0", "", ""),
        ('mass = "10 lb"', "mass = 10", 7, "kit[1].mass", "10", "", '"10 kg" or "10 lb"'),
        ('mass = "10 lb"', 'mass = "4,5 kg"', 7, "kit[1].mass", "4,5 kg", "", "decimal point"),
        ('as = "pairs"', 'as = "paris"', 8, "kit[1].as", "paris", "", ""),
        ('like = "One"', 'like = "Onee"', 24, "like", "Onee", "One", ""),
        ("cell.lunge =", "cell.lung =", 25, "cell.lung", "lung", "lunge", ""),
        ('pause = "2 s"', 'paus = "2 s"', 25, "add[1]", "paus", "pause", ""),
        (
            '{ pause = "2 s" }',
            '{ unilateral = "one side" }',
            25,
            "add",
            "a move that is worked",
            "",
            "Leave this lever",
        ),
        ('add = [{ pause = "2 s" }]', 'rung = "wal"', 25, "rung", "wal", "wall", ""),
        ('add = [{ pause = "2 s" }]', 'load = "2 x 10 lb", rung = "opposite"', 25, "load", "2 x 10 lb", "", "rung"),
        ('add = [{ pause = "2 s" }]', 'carry = "overhead"', 25, "carry", "overhead with no load", "", ""),
        ('add = [{ pause = "2 s" }]', 'options = { harder = "pare" }', 25, "options", "pare", "pair", ""),
        ('add = [{ pause = "2 s" }]', 'options = { hardest = "pair" }', 25, "options.hardest", "hardest", "harder", ""),
        ('add = [{ pause = "2 s" }]', 'left = { load = "10 lb" }', 25, "left", "10 lb", "", ""),
        ('name = "Two"', 'name = "One"', 23, "name", "One", "", ""),
        ('as = "lunge"', 'as = "hip-hinge"', 17, "move[2]", "hip-hinge", "", "`as`"),
        ('title = "Evening"', 'title = "Even\\u202eing"', 1, "title", "hides or turns text", "", "Type the words"),
        ('name = "Two"', 'name = "a/b"', 23, "name", "a/b", "", ""),
    ],
)
def test_each_fault_says_where_what_and_what_to_do(
    old: str, new: str, line: int, field: str, got: str, nearest: str, remedy: str
) -> None:
    assert PLAN.count(old) >= 1
    faults = faults_of(PLAN.replace(old, new, 1))
    said = [str(fault) for fault in faults]
    fault = faults[0]
    assert fault.where.line == line, said
    assert field in fault.where.field, said
    assert got in fault.got, said
    assert fault.nearest == nearest, said
    assert remedy in fault.remedy, said
    assert fault.expected


@pytest.mark.parametrize(
    ("line", "written", "hint"),
    [
        (15, "dose = 8 a side", "quotes"),
        (16, "tempo = 0310", 'tempo = "3-1-2-0"'),
        (16, "tempo = 3-1-2-0", "quotes"),
        (16, "rest = 1:30", 'rest = "1:30"'),
        (16, "load = 2,5", "decimal point"),
        (16, "rest: 40", "`name = value`"),
        (16, "rest = yes", "Write true or false"),
        (16, "dose = \u201c8 a side\u201d", "straight quotes"),
        (16, 'dose = "8 a side', "closing quote"),
        (16, 'dose = "9 a side"', "keep one of the two"),
    ],
)
def test_what_is_not_toml_is_named_with_its_line_and_a_way_out(line: int, written: str, hint: str) -> None:
    lines = PLAN.splitlines()
    lines[line - 1] = written
    (fault,) = faults_of("\n".join(lines))
    assert (fault.where.line, fault.expected) == (line, "TOML")
    assert hint in fault.remedy


def test_all_faults_of_a_file_are_told_at_once() -> None:
    text = PLAN.replace('"8 a side"', '"8 aside"').replace('"10 lb"', '"10"').replace('kind = "main"', 'kind = "mian"')
    assert len(faults_of(text)) == 3


def test_rounds_like_each_other_in_a_circle_are_refused() -> None:
    text = PLAN.replace('name = "One"', 'name = "One"\nlike = "Two"')
    (fault,) = faults_of(text)
    assert fault.got == "One -> Two -> One"


def test_an_option_given_from_another_moves_ladder_is_taken() -> None:
    text = PLAN.replace('add = [{ pause = "2 s" }]', 'options = { easier = "chair-stand/held" }')
    session = resolve(plan_from_text(text, "evening.toml"), standard_library())
    assert "chair-stand/held" in [option.rung.address for cell in session.cells for option in cell.options]


@pytest.mark.parametrize(
    ("written", "remedy"),
    [
        ("8 per side", '"8 a side"'),
        ("8 each side", '"8 a side"'),
        ("8x", '"8 a side"'),
        ("0:75", '"1:15"'),
        ("1m30", '"1:30"'),
    ],
)
def test_the_commonest_slips_in_a_dose_come_with_what_to_write(written: str, remedy: str) -> None:
    (fault,) = faults_of(PLAN.replace("8 a side", written))
    assert remedy in fault.remedy


def test_single_brackets_where_several_may_stand_are_told_to_be_two() -> None:
    fault = faults_of('title = "x"\nslot_minutes = 20\n[who]\nin_room = 1\n[block]\nkind = "main"\n')[0]
    assert (fault.where.line, "[[block]]" in fault.remedy) == (5, True)


def test_a_load_on_a_band_rung_is_refused() -> None:
    body = PLAN.replace('move = "hip-hinge"', 'move = "one-arm-row"\nload = "10 lb"').replace('"10 reps"', '"8 a side"')
    (fault,) = faults_of(body)
    assert fault.got == "a load on a rung that works with a band"


def test_what_is_said_of_one_side_is_refused_where_both_work() -> None:
    for said in ('left = { dose = "8 reps" }', 'sides = "left only"'):
        (fault,) = faults_of(PLAN.replace('dose = "10 reps"', f'dose = "10 reps"\n{said}'))
        assert "one side works at a time" in fault.expected


@pytest.mark.parametrize("depth", [50, 5_000, 100_000])
def test_deep_nesting_is_refused_not_followed(depth: int) -> None:
    assert faults_of(f"{'a.' * depth}b = 1\n{PLAN}")
    assert faults_of(f"{PLAN}cover_notes = {'[' * depth}{']' * depth}\n")
    assert faults_of(f"{'[' * depth}")


def test_a_number_too_long_to_be_one_is_refused() -> None:
    assert faults_of(PLAN.replace("in_room = 8", f"in_room = {'9' * 5000}"))


@pytest.mark.parametrize(
    ("raw", "expected"),
    [
        (PLAN.replace("Evening", "Soirée").encode("cp1252"), "UTF-8 text"),
        (b"\xff\xfe" + PLAN.encode("utf-16-le"), "UTF-8 text"),
        (b"title = 'x'\x00", "TOML"),
        (b"#" * 5_000_000, "at most 4,000,000 bytes"),
        (b"", "this field"),
    ],
)
def test_files_that_are_no_plans_are_refused(tmp_path: Path, raw: bytes, expected: str) -> None:
    path = tmp_path / "plan.toml"
    path.write_bytes(raw)
    with pytest.raises(Faults) as caught:
        read_plan(path)
    assert caught.value.faults[0].expected in (expected, "at least one [[block]]")
    assert path.read_bytes() == raw


def test_a_mark_and_crlf_are_read_as_if_they_were_not_there(tmp_path: Path) -> None:
    path = tmp_path / "plan.toml"
    path.write_bytes(b"\xef\xbb\xbf" + PLAN.replace("\n", "\r\n").encode())
    assert read_plan(path) == plan_from_text(PLAN, "evening.toml")


def test_a_folder_and_a_missing_file_are_refused(tmp_path: Path) -> None:
    for path in (tmp_path, tmp_path / "none.toml"):
        with pytest.raises(Faults):
            read_plan(path)
