"""Health answers are in their own file, for the coach alone, and in no fault, listing or shared file."""

import os
import stat
from pathlib import Path

import pytest

from everyrung.people.health import health_path, split
from everyrung.people.read import people_from_text, read_people
from everyrung.people.write import write_people
from everyrung.store import files
from everyrung.terms.errors import Faults
from everyrung.terms.person import Health

EXAMPLE = Path(__file__).parents[2] / "examples" / "boathouse-people.csv"
SECRET = "sciatica"
PERSON = '[[person]]\nname = "Ada"\nstature = "165 cm"\n'


def mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def test_nothing_of_health_is_in_the_shared_file_and_the_other_is_for_one_pair_of_eyes(tmp_path: Path) -> None:
    people = read_people(EXAMPLE)
    shared, apart = write_people(people, tmp_path / "people.toml")
    text = shared.read_text(encoding="utf-8")
    for person in people:
        assert person.name in text
        assert not any(str(limit) in text for limit in person.health.limits)
    assert "limits" not in text
    assert "medicine" not in text
    assert apart == tmp_path / "people.health.toml"
    assert mode(apart) == 0o600
    assert read_people(shared) == people


def test_the_health_file_is_closed_to_others_before_anything_is_in_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[int] = []
    true_sync = os.fsync

    def sync(handle: int) -> None:
        seen.append(stat.S_IMODE(os.fstat(handle).st_mode))
        true_sync(handle)

    monkeypatch.setattr(files.os, "fsync", sync)
    health = tmp_path / "people.health.toml"
    health.write_text("[[person]]\nname = 'Old'\n")
    health.chmod(0o644)
    write_people(read_people(EXAMPLE), tmp_path / "people.toml")
    assert seen[0] == 0o600
    assert mode(health) == 0o600
    assert mode(tmp_path / "people.toml") == 0o644


def test_no_health_file_is_written_when_nobody_answered_and_an_old_one_goes(tmp_path: Path) -> None:
    path = tmp_path / "people.toml"
    people = read_people(EXAMPLE)
    write_people(people, path)
    shared, answers = split(people)
    assert set(answers) == {"Sunniva", "Bo"}
    assert all(person.health == Health() for person in shared)
    assert write_people(shared, path) == (path,)
    assert not health_path(path).exists()
    assert read_people(path) == shared


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("people.csv", f"name,stature,limits\nAda,165 cm,{SECRET}\n"),
        ("people.csv", f"name,stature,medicine\nAda,165 cm,{SECRET}\n"),
        ("people.csv", f"name,stature,limits\nAda,165 cm,overhead; {SECRET}\nBo,1,65 m,{SECRET}\n"),
        ("people.csv", f"Ada,165 cm,{SECRET}\nBo,180 cm,{SECRET}\n"),
        ("people.csv", f'name,stature,limits\nAda,165 cm,"{SECRET}\n'),
        ("people.csv", f'name,stature,limits\nAda,165 cm,"{SECRET}"x\n'),
        ("people.csv", f"name,stature,limits\nAda,165 cm,{SECRET} \xff\n"),
        ("people.toml", f'{PERSON}limits = ["{SECRET}"]\n'),
        ("people.toml", f'{PERSON}limits = "{SECRET}"\n'),
        ("people.toml", f'{PERSON}limits = {{ why = "{SECRET}" }}\n'),
        ("people.toml", f'{PERSON}medicine = "{SECRET}"\n'),
        ("people.toml", f'{PERSON}medicine = ["{SECRET}"]\n'),
        ("people.toml", f'{PERSON}limits = "{SECRET}\n'),
        ("people.toml", f"{PERSON}limits = {SECRET}\n"),
        ("people.toml", f'[person]\nname = "Ada"\nlimits = "{SECRET}"\n'),
        ("people.toml", f'person = ["{SECRET}"]\n'),
        ("people.toml", f'{PERSON}limits = "{SECRET} \xff"\n'),
        ("people.toml", f'{PERSON}limit = "{SECRET}"\n'),
    ],
)
def test_no_fault_shows_a_health_answer(tmp_path: Path, name: str, text: str) -> None:
    (tmp_path / name).write_bytes(text.encode("latin-1"))
    with pytest.raises(Faults) as caught:
        read_people(tmp_path / name)
    told = str(caught.value)
    assert SECRET not in told
    assert all(fault.where.line for fault in caught.value.faults)


def test_a_limit_that_is_not_known_has_line_field_and_what_was_expected() -> None:
    with pytest.raises(Faults) as caught:
        people_from_text("name;stature;limits\nAda;165 cm;overhead, overhaed\n", "people.csv")
    (fault,) = caught.value.faults
    assert (fault.where.line, fault.where.field) == (2, "limits[2]")
    assert "deep knee bend" in fault.expected
    assert fault.got == "not shown (health answer)"
    assert not fault.nearest


def test_no_fault_of_the_health_file_shows_an_answer(tmp_path: Path) -> None:
    (tmp_path / "people.toml").write_text(PERSON)
    lines = (f'limits = ["{SECRET}"]', f'medicine = "{SECRET}"', f"limits = {SECRET}", f'limits = ["{SECRET}"')
    for line in lines:
        (tmp_path / "people.health.toml").write_text(f'[[person]]\nname = "Ada"\n{line}\n')
        with pytest.raises(Faults) as caught:
            read_people(tmp_path / "people.toml")
        assert SECRET not in str(caught.value)
        assert "people.health.toml" in str(caught.value)
