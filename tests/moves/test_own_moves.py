"""A coach's own move in a file: read, checked and used like the library's, by every part that asks for moves."""

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from everyrung.cli import main
from everyrung.interface import analyze
from everyrung.moves.library import standard_library
from everyrung.moves.own_moves import keep_move, key_of, remove_move
from everyrung.terms.errors import Faults, Invalid

LIBRARY = Path(__file__).parents[2] / "src/everyrung/moves/library"
SQUAT = (LIBRARY / "squat.toml").read_text(encoding="utf-8")
LAKE = SQUAT.replace('name = "Squat"', 'name = "Lake squat"').replace("[[rung]]", "[[rung]]\ngrade = 2")
PLAN = {
    "title": "By the lake", "slot_minutes": 5, "who": {"in_room": 2},
    "block": [{"kind": "main", "move": [{"move": "lake-squat", "rung": "goblet", "dose": "8 reps"}]}],
    "kit": [{"item": "dumbbells", "mass": "5 kg", "as": "pairs", "count": 2}],
}  # fmt: skip


@pytest.fixture(autouse=True)
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, share_results: Callable[[Path], None]) -> Path:
    """The folder of her own moves, empty."""
    monkeypatch.setenv("EVERYRUNG_HOME", str(tmp_path))
    share_results(tmp_path)
    (tmp_path / "moves").mkdir()
    return tmp_path / "moves"


def test_a_file_in_the_folder_is_a_move_of_plans_at_once(own: Path) -> None:
    assert "lake-squat" not in standard_library().keys
    (own / "lake-squat.toml").write_text(LAKE, encoding="utf-8")
    assert standard_library().own_keys == ("lake-squat",)
    (cell,) = analyze(PLAN).session.cells
    assert (cell.move.name, cell.rung.address) == ("Lake squat", "lake-squat/goblet")
    assert {str(caution) for caution in cell.rung.cautions} == {"deep knee bend"}


def test_a_changed_file_is_read_anew_and_an_unchanged_one_is_not(own: Path) -> None:
    path = own / "lake-squat.toml"
    path.write_text(LAKE, encoding="utf-8")
    first = standard_library()
    assert standard_library() is first
    path.write_text(LAKE.replace("Lake squat", "Lake squat, low"), encoding="utf-8")
    assert standard_library().move("lake-squat").name == "Lake squat, low"


def test_two_moves_of_hers_may_lead_to_each_other(own: Path) -> None:
    swap = 'levers = [{ swap = "b-move/base" }]'
    (own / "a-move.toml").write_text(
        LAKE.replace('levers = [{ swap = "seated-knee-extension/small" }]', swap).replace("Lake", "A"), encoding="utf-8"
    )
    (own / "b-move.toml").write_text(LAKE.replace("Lake", "B"), encoding="utf-8")
    library = standard_library()
    assert library.own_keys == ("a-move", "b-move")
    assert library.rung("a-move", "seated").form.move == "b-move"


@pytest.mark.parametrize(
    ("name", "old", "new", "words"),
    [
        ("lake-squat", "knee-dominant", "knee-dominent", ":3: pattern: expected 'knee-dominant'"),
        ("lake-squat", "angles = { knee_flexion = [4, 100] }", "angles = { knee_flexion = [] }", "pose.angles"),
        ("lake-squat", "Lift one foot, sitting: knees and hips pain-free?", "a b c d e f g h i j k", "at most 9 words"),
        ("lake-squat", "seated-knee-extension/small", "seated-knee-extensoin/small", "Nearest: seated-knee-extension"),
        ("lake-squat", '{ load = "one" }', '{ laod = "one" }', "Nearest: load"),
        ("squat", "Lake", "Lake", "a name that no move of the library has"),
        ("Lake squat", "Lake", "Lake", "small letters, digits and dashes"),
    ],
)
def test_a_file_that_is_no_move_is_said_with_its_place_and_all_others_are_there(
    name: str, old: str, new: str, words: str, own: Path
) -> None:
    text = SQUAT.replace('name = "Squat"', 'name = "Lake squat"')
    assert old in text
    (own / f"{name}.toml").write_text(text.replace(old, new), encoding="utf-8")
    library = standard_library()
    (problem,) = library.problems
    assert words in str(problem)
    assert f"{name}.toml" in str(problem)
    assert library.own_keys == ()
    assert library.move("squat").name == "Squat"
    if name == "lake-squat":
        with pytest.raises(Faults) as told:
            analyze(PLAN)
        assert words in str(told.value)  # whoever plans with it is told what is wrong with it, not that it is not there


def test_a_name_is_a_key_and_a_key_leads_out_of_no_folder() -> None:
    assert key_of("Lake squat, low!") == "lake-squat-low"
    for name in ("", "!!!", "42 squats"):
        with pytest.raises(Invalid):
            key_of(name)
    for key in ("../squat", "a/b", "", "squat"):
        with pytest.raises(Invalid):
            keep_move(key, LAKE, standard_library().standard_keys)
        with pytest.raises(Invalid):
            remove_move(key)


def test_the_command_keeps_a_good_move_and_lists_it(
    own: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "lake-squat.toml"
    path.write_text(LAKE, encoding="utf-8")
    assert main(["moves", "--keep", str(path)]) == 0
    assert "Plans name it 'lake-squat'" in capsys.readouterr().out
    assert (own / "lake-squat.toml").read_text(encoding="utf-8") == LAKE
    assert main(["moves"]) == 0
    assert "lake-squat: Lake squat (yours)" in capsys.readouterr().out


def test_the_command_keeps_no_move_whose_pose_no_body_takes(
    own: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "folded-squat.toml"
    folded = LAKE.replace("trunk = [0, 32]", "trunk = [0, 100]")
    head, _, ladder = folded.partition("[[rung]]")
    rungs = [f"[[rung]]{each}" for each in f"{ladder}".split("[[rung]]")]
    path.write_text(head + "".join(each for each in rungs if '"base"' in each), encoding="utf-8")  # one rung: quick
    assert main(["moves", "--keep", str(path)]) == 1
    said = capsys.readouterr().out
    assert "bodies can't be put into its pose" in said
    assert "warning: a rung easier than its own form, and one that is harder" in said
    assert os.listdir(own) == []


def test_the_command_says_what_a_file_is_wrong_about(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "lake-squat.toml"
    path.write_text(LAKE.replace("knee-dominant", "knee-dominent"), encoding="utf-8")
    assert main(["moves", "--check", str(path)]) == 2
    assert f"{path}:3: pattern: expected" in capsys.readouterr().err
