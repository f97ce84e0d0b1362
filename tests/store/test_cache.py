"""The cache is never needed: whatever happens to its file, a run goes on."""

import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from everyrung.store.cache import Cache


@pytest.fixture
def cache(tmp_path: Path) -> Cache:
    return Cache(tmp_path / "folder" / "computed.sqlite")


def test_what_was_put_is_got(cache: Cache) -> None:
    assert cache.get_many(["a"]) == {}
    cache.put_many({"a": "1", "b": "zwei – ü"})
    assert cache.get_many(["a", "b", "c"]) == {"a": "1", "b": "zwei – ü"}
    cache.put_many({"a": "2"})
    assert cache.get_many(["a"]) == {"a": "2"}


def test_more_keys_than_one_question_takes(cache: Cache) -> None:
    values = {str(number): str(number) for number in range(1300)}
    cache.put_many(values)
    assert cache.get_many(list(values)) == values


def test_a_spoilt_file_is_set_aside(cache: Cache) -> None:
    cache.path.parent.mkdir()
    cache.path.write_bytes(b"this is no database" * 100)
    assert cache.get_many(["a"]) == {}
    cache.put_many({"a": "1"})
    assert cache.get_many(["a"]) == {"a": "1"}


def test_a_spoilt_value_is_as_good_as_none(cache: Cache) -> None:
    cache.put_many({"a": "1"})
    with sqlite3.connect(cache.path) as file:
        file.execute("UPDATE result SET value = ?", (b"broken",))
    file.close()
    assert cache.get_many(["a"]) == {}
    cache.put_many({"a": "2"})
    assert cache.get_many(["a"]) == {"a": "2"}


def test_a_folder_in_its_place_and_a_file_for_its_folder_are_passed_over(tmp_path: Path) -> None:
    (tmp_path / "folder").mkdir()
    (tmp_path / "file").write_text("x")
    for path in (tmp_path / "folder", tmp_path / "file" / "computed.sqlite"):
        Cache(path).put_many({"a": "1"})
        assert Cache(path).get_many(["a"]) == {}


def test_a_locked_file_is_passed_over(cache: Cache, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("everyrung.store.cache.WAIT_S", 0.05)
    cache.put_many({"a": "1"})
    holder = sqlite3.connect(cache.path, isolation_level=None)
    holder.execute("BEGIN EXCLUSIVE")
    cache.put_many({"b": "2"})
    holder.execute("ROLLBACK")
    holder.close()
    assert cache.get_many(["a", "b"]) == {"a": "1"}


def test_the_longest_unused_go_when_there_is_no_room(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    clock = iter(range(1_000_000))
    monkeypatch.setattr("everyrung.store.cache._now_ms", lambda: next(clock))
    cache = Cache(tmp_path / "small.sqlite", most_bytes=600)
    noise = "".join(chr(33 + (number * 7919) % 90) for number in range(120))
    for number in range(4):
        cache.put_many({str(number): noise + str(number)})
    cache.get_many(["0"])
    for number in range(4, 9):
        cache.put_many({str(number): noise + str(number)})
        cache.get_many(["0"])
    left = set(cache.get_many([str(number) for number in range(9)]))
    assert {"0", "8"} <= left
    assert "1" not in left


def test_two_programs_write_at_once(cache: Cache) -> None:
    code = (
        "import sys\nfrom pathlib import Path\nfrom everyrung.store.cache import Cache\n"
        "cache = Cache(Path(sys.argv[1]))\n"
        "for number in range(60):\n    cache.put_many({sys.argv[2] + str(number): 'x'})\n"
    )
    writers = [subprocess.Popen([sys.executable, "-c", code, str(cache.path), name]) for name in ("a", "b")]
    assert [each.wait(60) for each in writers] == [0, 0]
    found = cache.get_many([f"{name}{number}" for name in ("a", "b") for number in range(60)])
    assert len(found) == 120
