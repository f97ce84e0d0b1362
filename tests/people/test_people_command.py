"""`everyrung people`: a listing without health answers, two files written apart, nothing overwritten unasked."""

from pathlib import Path

import pytest

from everyrung.cli import load, parser
from everyrung.people.read import read_people
from everyrung.terms.errors import Faults, Invalid

EXAMPLE = Path(__file__).parents[2] / "examples" / "boathouse-people.csv"
MIXED = '# crew\n[[person]]\nname = "Ada" # stroke\nstature = "165 cm"\nlimits = ["overhead"]\n'


def people(*arguments: object) -> int:
    command = load("people")
    return int(command.run(parser("people", command).parse_args([str(each) for each in arguments])))


def test_everyone_is_listed_and_what_was_not_given(capsys: pytest.CaptureFixture[str]) -> None:
    assert people(EXAMPLE) == 0
    out = capsys.readouterr().out
    rows = out.split("\n\n")[0].splitlines()
    assert [row.split()[0] for row in rows] == ["name", *(person.name for person in read_people(EXAMPLE))]
    assert "2 x water bottle 1.5 kg; chair; wall" in rows[6]
    assert "62.1 kg" in rows[3]  # 9 st 11 lb, by hand
    assert "180.3 cm" in rows[2]  # 5 ft 11 in, by hand
    assert "8 people." in out
    assert "Not given for Pim: mass, age, sex, level." in out


def test_health_answers_are_counted_and_never_printed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "people.toml"
    for arguments in ([EXAMPLE], [EXAMPLE, "--out", out], [out]):
        assert people(*arguments) == 0
        printed = "".join(capsys.readouterr())
        assert "Health answers of 2 people are kept in" in printed
        assert not [word for word in ("deep knee", "wrist", "medicine", "yes") if word in printed]
    assert str(tmp_path / "people.health.toml") in printed
    assert "Keep them apart" not in printed


def test_health_answers_in_the_shared_file_are_told_and_moved_out(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "people.toml"
    path.write_text(MIXED)
    people(path)
    assert f"of 1 person are kept in {path}. Keep them apart" in capsys.readouterr().out
    before = read_people(path)
    assert people(path, "--out", path) == 0
    assert path.read_text() == MIXED.replace('limits = ["overhead"]\n', "")
    assert read_people(path) == before


def test_another_file_is_not_written_over_unasked(tmp_path: Path) -> None:
    out, health = tmp_path / "people.toml", tmp_path / "people.health.toml"
    for there in (out, health):
        there.write_text("mine")
        with pytest.raises(Invalid, match="not there yet") as caught:
            people(EXAMPLE, "--out", out)
        assert "--replace" in caught.value.remedy
        assert there.read_text() == "mine"
        there.unlink()
    out.write_text("mine")
    assert people(EXAMPLE, "--out", out, "--replace") == 0
    assert read_people(out) == read_people(EXAMPLE)


def test_people_are_written_as_toml_only(tmp_path: Path) -> None:
    with pytest.raises(Invalid) as caught:
        people(EXAMPLE, "--out", tmp_path / "new.csv")
    assert caught.value.remedy == "Write new.toml."
    with pytest.raises(Faults):
        people(EXAMPLE, "--out", tmp_path / "new.health.toml")
    assert not list(tmp_path.iterdir())


def test_a_faulty_file_writes_nothing(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_text("name,stature\nAda,16 cm\n")
    with pytest.raises(Faults, match="130 to 220 cm"):
        people(path, "--out", tmp_path / "people.toml")
    assert list(tmp_path.iterdir()) == [path]
