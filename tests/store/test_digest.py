"""A digest stands for content: the same for the same, another for anything that changes a result."""

import sys
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

import pytest

from everyrung.store.digest import byte_digest, canonical, code_digest, digest, file_digest, versions
from everyrung.terms.errors import Invalid


class Word(StrEnum):
    ONE = "one"


@dataclass(frozen=True)
class Term:
    name: str
    size_m: float


def test_digits_beyond_the_ninth_do_not_count() -> None:
    assert digest(1.65) == digest(1.65 + 1e-12)
    assert digest(1.65) != digest(1.65 + 1e-7)
    assert digest(0.1 + 0.2) == digest(0.3)


def test_kinds_are_told_apart() -> None:
    values = [1, 1.0, "1", True, None, [1], {"a": 1}, Word.ONE, "one", Term(name="1", size_m=1.0)]
    assert len({digest(value) for value in values}) == len(values)
    assert digest({"a": 1, "b": 2}) == digest({"b": 2, "a": 1})
    assert digest((1, 2)) == digest([1, 2])


@pytest.mark.parametrize("value", [float("nan"), float("inf"), object(), b"bytes", {1, 2}])
def test_what_has_no_one_form_is_refused(value: object) -> None:
    with pytest.raises(Invalid):
        canonical(value)


@pytest.fixture
def package(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "somepackage"
    folder.mkdir()
    (folder / "__init__.py").write_text("")
    (folder / "one.py").write_text('"""Says."""\nLIMIT = 3  # why\n')
    (folder / "table.csv").write_text("a,b\n1,2\n")
    monkeypatch.syspath_prepend(tmp_path)
    yield folder
    sys.modules.pop("somepackage", None)


def fresh() -> str:
    code_digest.cache_clear()
    return code_digest("somepackage")


def test_words_do_not_change_a_codes_digest_and_code_and_tables_do(package: Path) -> None:
    before = fresh()
    (package / "one.py").write_text('"""Says something else."""\n\n# a note\nLIMIT = 3\n')
    assert fresh() == before
    (package / "one.py").write_text('"""Says."""\nLIMIT = 4  # why\n')
    changed = fresh()
    assert changed != before
    (package / "table.csv").write_text("a,b\n1,3\n")
    assert fresh() not in (before, changed)
    (package / "two.py").write_text("")
    assert fresh() not in (before, changed)
    code_digest.cache_clear()


def test_to_the_byte_words_count_too(package: Path) -> None:
    byte_digest.cache_clear()
    before = byte_digest("somepackage")
    (package / "one.py").write_text('"""Says something else."""\nLIMIT = 3  # why\n')
    byte_digest.cache_clear()
    assert byte_digest("somepackage") != before
    byte_digest.cache_clear()


def test_a_data_file_counts_to_the_byte(tmp_path: Path) -> None:
    file = tmp_path / "a.toml"
    file.write_text("x = 1\n")
    before = file_digest(file)
    file.write_text("x = 1 \n")
    assert file_digest(file) != before


def test_a_librarys_version_is_part_of_it() -> None:
    numpy, missing = versions("numpy", "no-such-library")
    assert numpy.startswith("numpy ")
    assert missing == "no-such-library none"
