"""Files that took long to make: the same bytes come back or none at all, within a bound, for the coach alone."""

import os
from pathlib import Path

from everyrung.store.kept_files import KeptFiles


def test_what_was_kept_comes_back_and_nothing_else(tmp_path: Path) -> None:
    kept = KeptFiles(tmp_path / "sounds")
    assert kept.get("one") is None
    kept.put("one", b"beeps")
    kept.put("none", b"")
    assert (kept.get("one"), kept.get("none"), kept.get("two")) == (b"beeps", b"", None)
    assert (tmp_path / "sounds" / "one").stat().st_mode & 0o777 == 0o600
    assert (tmp_path / "sounds").stat().st_mode & 0o777 == 0o700


def test_a_file_that_is_spoilt_or_cut_short_is_no_answer(tmp_path: Path) -> None:
    kept = KeptFiles(tmp_path)
    kept.put("one", b"beeps and a voice")
    whole = (tmp_path / "one").read_bytes()
    for spoilt in (whole[:-1], whole[:5], b"", whole[:-1] + b"?", b"?" + whole[1:]):
        (tmp_path / "one").write_bytes(spoilt)
        assert kept.get("one") is None
    kept.put("one", b"beeps and a voice")
    assert kept.get("one") == b"beeps and a voice"


def test_there_is_a_bound_and_what_is_unused_for_longest_goes(tmp_path: Path) -> None:
    kept = KeptFiles(tmp_path, most_bytes=1_000)
    for number, key in enumerate(("a", "b", "c")):
        kept.put(key, bytes(250))
        os.utime(tmp_path / key, (number, number))
    assert kept.get("a") is not None  # and so it was used just now
    kept.put("d", bytes(250))
    assert [key for key in "abcd" if kept.get(key) is not None] == ["a", "d"]
    kept.put("large", bytes(501))
    assert kept.get("large") is None


def test_a_folder_where_nothing_can_be_written_is_passed_over(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("no folder")
    kept = KeptFiles(tmp_path / "file" / "sounds")
    kept.put("one", b"beeps")
    assert kept.get("one") is None
