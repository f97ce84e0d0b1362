"""The page of people files: its examples are read, and its tables name every field, form and word there is."""

import re
from pathlib import Path

import pytest

from everyrung.parsing.body_size import body_mass, stature
from everyrung.people.kit_parsing import own
from everyrung.people.person import FIELDS
from everyrung.people.read import people_from_text, read_people
from everyrung.terms import person
from everyrung.terms.enums import BandGrade, Caution, KitItem
from everyrung.terms.person import Experience

PAGE = (Path(__file__).parents[2] / "docs" / "people-file.md").read_text(encoding="utf-8")
EXAMPLES = dict(re.findall(r"^```(csv|toml|toml health)\n(.*?)^```$", PAGE, re.MULTILINE | re.DOTALL))


def row(section: str, first: str) -> list[str]:
    """The code spans of one table row."""
    text = PAGE.split(f"## {section}")[1].split("\n## ")[0]
    (line,) = [line for line in text.splitlines() if line.startswith(f"| {first}")]
    return re.findall(r"`([^`]+)`", line)


def test_there_is_an_example_of_every_kind_and_no_other() -> None:
    assert set(EXAMPLES) == {"csv", "toml", "toml health"}
    assert len(re.findall(r"^```\w", PAGE, re.MULTILINE)) == len(EXAMPLES)


def test_the_spreadsheet_is_read() -> None:
    wilma, odd, pim = people_from_text(EXAMPLES["csv"], "page.csv")
    assert (wilma.stature_m, wilma.mass_kg, len(wilma.kit)) == (1.65, 62.5, 3)
    assert odd.stature_m == pytest.approx(1.8034)  # 71 in of 2.54 cm
    assert odd.mass_kg == pytest.approx(82.554, abs=1e-3)  # 13 st of 14 lb of 0.45359237 kg
    assert (pim.stature_m, pim.mass_kg, pim.kit) == (1.69, None, ())


def test_the_text_file_is_read_with_the_health_file(tmp_path: Path) -> None:
    (tmp_path / "people.toml").write_text(EXAMPLES["toml"], encoding="utf-8")
    (tmp_path / "people.health.toml").write_text(EXAMPLES["toml health"], encoding="utf-8")
    wilma, pim = read_people(tmp_path / "people.toml")
    assert wilma.health.limits == (Caution.DEEP_KNEE, Caution.WRIST_LOAD)
    assert pim.health.rate_limiting
    assert pim.stature_m == pytest.approx(1.6891)  # 66.5 in of 2.54 cm


def test_every_field_is_in_the_table() -> None:
    table = PAGE.split("## 3")[1].split("\n## ")[0]
    firsts = [line.split("|")[1] for line in table.splitlines() if line.startswith("| `")]
    assert re.findall(r"`(\w+)`", " ".join(firsts)) == list(FIELDS)
    assert row("3", "`level`")[1:] == [each.value for each in Experience]
    assert f"{person.MIN_STATURE_M * 100:g} to {person.MAX_STATURE_M * 100:g} cm" in PAGE
    assert f"{person.MIN_MASS_KG:g} to {person.MAX_MASS_KG:g} kg" in PAGE
    assert f"{person.MIN_AGE} to {person.MAX_AGE}" in PAGE
    assert f"{person.MIN_BMI:g} to {person.MAX_BMI:g} kg" in PAGE


def test_every_form_of_a_unit_is_read() -> None:
    assert [stature(form) for form in row("4", "stature")] == pytest.approx(
        [1.65, 1.65, 1.65, 1.651, 1.651, 1.6637, 1.651]
    )
    assert [body_mass(form) for form in row("4", "mass")] == pytest.approx([62, 62.5, 62.142, 62.142, 57.153], abs=1e-3)


def test_every_kit_word_is_read_and_every_item_is_there() -> None:
    table = PAGE.split("## 5")[1].split("\n## ")[0]
    firsts = [line.split("|")[1] for line in table.splitlines() if line.startswith("| `")][:-1]
    things = [own(entry) for entry in re.findall(r"`([^`]+)`", " ".join(firsts))]
    assert {thing.item for thing in things} == set(KitItem)
    assert {thing.grade for thing in things if thing.grade} == set(BandGrade)


def test_every_limit_is_named() -> None:
    last = PAGE.split("`limits` are any of")[1].split(", with")[0]
    assert re.findall(r"`([^`]+)`", last) == [each.value for each in Caution]
