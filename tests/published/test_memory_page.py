"""docs/accuracy-memory.md shows what is from memory now, how much it moves the answers, and that it has become less."""

from pathlib import Path

import pytest
from sensitivity import BEFORE, TABLES, at_the_end, every_moved, flagged, hardest, moved

from everyrung.tables.strength import strength_rows

PAGE = (Path(__file__).parents[2] / "docs" / "accuracy-memory.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", TABLES)
def test_the_page_shows_the_tables_of_now(name: str) -> None:
    assert f"## {name}\n" in PAGE
    for line in TABLES[name]():
        assert line in PAGE, f"write it anew: python docs/accuracy/sensitivity.py\n{line}"


def test_half_of_what_was_from_memory_is_not_any_more_in_the_tables_of_then() -> None:
    left = {name: len(flagged().get(name, [])) for name in BEFORE}
    assert sum(left.values()) <= sum(BEFORE.values()) / 2


def test_a_strength_that_decides_nothing_moves_nothing() -> None:
    by_name = {row.motion: one for row, one in every_moved()}
    assert by_name["forearm_pronation"].mean < 1e-3 < by_name["hip_extension"].mean
    assert by_name["hip_extension"].most <= 0.17  # no more than its own error of 15 % makes


def test_a_stronger_joint_is_asked_for_less_of_itself() -> None:
    row = next(row for row in strength_rows() if row.motion == "knee_extension")
    assert moved(row).error == row.error_log_sd
    weaker, usual, stronger = (hardest({"knee_extension": factor}) for factor in (0.9, 1.0, 1.1))
    at = usual[1] == "knee_extension"
    assert at.any()
    assert (stronger[0][at] < usual[0][at]).all()
    assert (usual[0][at] < weaker[0][at]).all()


def test_ranges_are_met_by_some_poses_and_not_by_most() -> None:
    assert 0 < at_the_end("knee_flexion") < 0.9
