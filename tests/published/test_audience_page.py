"""The page of accuracy shows what is computed now."""

import re
from pathlib import Path

import pytest
from endurance_studies import TABLES

from everyrung.effort.rates import constant as rate
from everyrung.effort.strength import constant

PAGE = (Path(__file__).parents[2] / "docs" / "accuracy-audience.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", [name for name, _ in TABLES])
def test_each_table_is_as_it_is_computed(name: str) -> None:
    rows = dict(TABLES)[name]()
    missing = [row for row in rows if row not in PAGE]
    assert not missing, "write the table anew: python docs/accuracy/endurance_studies.py"


def test_the_constants_in_words_are_those_of_the_tables() -> None:
    words = " ".join(PAGE.split())
    assert f"K = {rate('repetition', 'all', 'rep_fatigue')}" in words
    assert f"(1 new, {constant('training_regular'):.2f} regular, {constant('training_strong'):.2f} strong)" in words
    assert f"to {constant('age_male_at_75')} and {constant('age_female_at_75'):.2f} at 75" in words
    assert f"log-SD {constant('scatter_log_sd'):.2f}, of which {constant('shared_part'):.2f} is shared" in words
    assert f"field factor: {constant('field_all'):.2f}, and {constant('field_ankle'):.2f} for the ankle" in words
    assert f"log-SD {rate('people', 'all', 'endurance_log_sd')} on F" in words


def test_every_miss_among_the_tests_is_told_among_the_misses() -> None:
    misses = PAGE.split("## Misses first")[1].split("\n## ")[0]
    for word in ("side plank", "Women do more", "older women", "80 %", "elbow", "Men's strengths", "leaps"):
        assert word.casefold() in misses.casefold()
    failing = sum(len(re.findall(r"xfail", path.read_text(encoding="utf-8"))) for path in _published())
    assert failing >= 7  # the tests do have misses to tell of


def _published() -> list[Path]:
    names = ("endurance", "reps_at_load", "field_tests", "strength_people")
    return [Path(__file__).parent / f"test_{name}.py" for name in names]
