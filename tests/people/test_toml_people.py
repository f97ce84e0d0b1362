"""TOML files of people: read, refused with lines, and joined with the health answers kept beside them."""

from pathlib import Path

import pytest

from everyrung.people.read import people_from_text, read_people
from everyrung.terms.enums import Caution
from everyrung.terms.errors import Faults
from everyrung.terms.person import Health

TWO = '[[person]]\nname = "Ada"\nstature = "165 cm"\n\n[[person]]\nname = "Bo"\nstature = "1,80 m"\n'
APART = '[[person]]\nname = "Bo"\nlimits = ["overhead"]\nmedicine = true\n'


def refused(text: str) -> list[tuple[int, str, str]]:
    with pytest.raises(Faults) as caught:
        people_from_text(text, "people.toml")
    return [(fault.where.line, fault.where.field, str(fault)) for fault in caught.value.faults]


def written(folder: Path, people: str, health: str = "") -> Path:
    (folder / "people.toml").write_text(people, encoding="utf-8")
    if health:
        (folder / "people.health.toml").write_text(health, encoding="utf-8")
    return folder / "people.toml"


def test_kit_and_limits_are_a_list_or_one_text() -> None:
    fields = ('kit = ["2 x 10 lb", "chair"]', 'limits = ["overhead", "fall risk"]', "medicine = true")
    texts = ('kit = "2 x 10 lb; chair"', 'limits = "overhead | fall risk"', 'medicine = "yes"')
    (listed,) = people_from_text(TWO.split("\n\n")[0] + "\n" + "\n".join(fields), "people.toml")
    (told,) = people_from_text(TWO.split("\n\n")[0] + "\n" + "\n".join(texts), "people.toml")
    assert listed == told
    assert len(listed.kit) == 2
    assert listed.health == Health(limits=(Caution.OVERHEAD, Caution.FALL_RISK), rate_limiting=True)


@pytest.mark.parametrize(
    ("text", "line", "field", "words"),
    [
        ("", 0, "file", "at least one [[person]]"),
        ("person = []\n", 0, "file", "at least one [[person]]"),
        ('[person]\nname = "Ada"\nlimits = ["overhead"]\n', 1, "person", "two brackets"),
        ('persons = "Ada"\n' + TWO, 1, "persons", "Nearest: person"),
        ('[[person]]\nname = "Ada"\nmass = "62 kg"\n', 1, "person[1].stature", "Add `stature"),
        (TWO + "stature_cm = 180\n", 8, "person[2].stature_cm", "Nearest: stature"),
        (TWO + "mass = 62\n", 8, "person[2].mass", '"62 kg" or "62 lb"'),
        ('[[person]]\nstature = "165 cm"\nmass = "62 kg"\n', 1, "person[1].name", "Add `name"),
        (TWO + "age = 7\n", 8, "person[2].age", "16 to 100"),
        (TWO + 'kit = [\n  "chair",\n  "mta",\n]\n', 10, "person[2].kit[2]", "Nearest: mat"),
        (TWO + "kit = 3\n", 8, "person[2].kit", "text in quotes"),
        (TWO + "sex = true\n", 8, "person[2].sex", "text in quotes"),
        (TWO.replace("Bo", "ADA"), 6, "person[2].name", "on line 2 and on line 6"),
        (TWO + 'limits = ["overhead"\n', 9, "file", "TOML"),
    ],
)
def test_a_fault_has_its_line_and_its_remedy(text: str, line: int, field: str, words: str) -> None:
    (found,) = refused(text)
    assert found[:2] == (line, field)
    assert words in found[2]


def test_two_of_a_name_on_one_line_are_still_two() -> None:
    (found,) = refused('person = [{name="A", stature="2 m"}, {name="A", stature="2 m"}]\n')
    assert "a name of its own" in found[2]


def test_the_health_file_beside_is_read_with_the_people(tmp_path: Path) -> None:
    ada, bo = read_people(written(tmp_path, TWO, APART))
    assert ada.health == Health()
    assert bo.health == Health(limits=(Caution.OVERHEAD,), rate_limiting=True)


@pytest.mark.parametrize(
    ("health", "line", "words"),
    [
        (APART.replace("Bo", "Boo"), 2, "Nearest: Bo"),
        (APART.replace("limits", "limit"), 3, "Nearest: limits"),
        (APART + "age = 50\n", 5, "a known field"),
        (APART + APART.replace("true", "false"), 6, "one set of health answers"),
        ('[[persons]]\nname = "Bo"\n', 1, "Nearest: person"),
        ('[person]\nname = "Bo"\n', 1, "two brackets"),
    ],
)
def test_a_fault_of_the_health_file_names_that_file(tmp_path: Path, health: str, line: int, words: str) -> None:
    with pytest.raises(Faults) as caught:
        read_people(written(tmp_path, TWO, health))
    (fault,) = caught.value.faults
    assert Path(fault.where.file).name == "people.health.toml"
    assert fault.where.line == line
    assert words in str(fault)


def test_answers_that_differ_between_the_two_files_are_a_fault_and_equal_ones_are_not(tmp_path: Path) -> None:
    same = TWO + 'limits = "overhead"\nmedicine = true\n'
    assert len(read_people(written(tmp_path, same, APART))) == 2
    with pytest.raises(Faults, match="one set of health answers"):
        read_people(written(tmp_path, same.replace("true", "false"), APART))


def test_faults_of_both_files_are_told_at_once(tmp_path: Path) -> None:
    with pytest.raises(Faults) as caught:
        read_people(written(tmp_path, TWO + "age = 7\n", APART.replace("true", "3")))
    assert [Path(fault.where.file).name for fault in caught.value.faults] == ["people.toml", "people.health.toml"]
