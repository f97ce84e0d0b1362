"""docs/accuracy-rows.md has every row on bodies of the published tables, met or missed, and a cause for each miss."""

import csv
import re
from collections.abc import Callable
from pathlib import Path

import every_row
import fit_field
import pytest

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "accuracy-rows.md").read_text(encoding="utf-8")
PUBLISHED = ROOT.parent / "shared" / "published"
CHECKS = [PUBLISHED / name for name in ("checks.csv", "checks2.csv")]
BODIES = (
    "anthropometry", "emg", "moments", "strength", "upper body", "push-up", "trunk", "fatigue", "RPE", "energy",
    "heart", "balance", "chair stand",
)  # fmt: skip
ROW = re.compile(r"^\| (\w+) \|.*\| (deciding|held back|nothing was fitted) \| (yes|\*\*no\*\*) \|$", re.MULTILINE)
SHOWN = {key: (half, met == "yes") for key, half, met in ROW.findall(PAGE)}


@pytest.mark.skipif(not CHECKS[0].exists(), reason="the tables of checks lie beside the project, not in it")
def test_every_row_on_bodies_is_shown_or_has_the_reason_why_not() -> None:
    rows = set()
    for path in CHECKS:
        with path.open(encoding="utf-8") as file:
            rows |= {row["id"] for row in csv.DictReader(file) if row["topic"] in BODIES}
    assert set(SHOWN) | set(every_row.NOT_COUNTED) == rows
    assert not set(SHOWN) & set(every_row.NOT_COUNTED)


def test_each_row_is_in_the_half_that_its_id_gives() -> None:
    words = {True: "deciding", False: "held back", None: "nothing was fitted"}
    assert {key: half for key, (half, _) in SHOWN.items()} == {
        key: words[every_row.HALVES.get(key)] for key in SHOWN
    }  # fmt: skip


def test_the_sentence_counts_what_the_table_shows() -> None:
    rows = [every_row.RowFound(key=key, said="", model="", met=met) for key, (_, met) in SHOWN.items()]
    assert every_row.sentence(rows) in PAGE


def test_every_miss_has_its_cause_and_nothing_else_has_one() -> None:
    causes = PAGE.split("## Why rows are missed")[1].split("\n## ")[0]
    said = {key for line in causes.splitlines() for key in re.findall(r"\b[A-Z]{2}\d\d\b", line.split(" | ")[0])}
    assert said == {key for key, (_, met) in SHOWN.items() if not met}


@pytest.mark.parametrize(
    "ask",
    [one for one in every_row.ASK if one not in (every_row.of_studies, every_row.of_energy)],
    ids=lambda ask: ask.__name__,
)
def test_rows_of_no_other_page_are_what_the_model_says_now(ask: Callable) -> None:
    for row in every_row.listed(ask):
        assert every_row.line(row) in PAGE, f"write the table anew: python docs/accuracy/every_row.py\n{row}"


@pytest.mark.slow
def test_every_row_is_what_the_model_says_now() -> None:
    rows = every_row.every_row()
    for text in [every_row.sentence(rows), *map(every_row.line, rows)]:
        assert text in PAGE, f"write the table anew: python docs/accuracy/every_row.py\n{text}"


@pytest.mark.slow
def test_the_field_factors_of_each_half_are_as_shown() -> None:
    models = {"used": fit_field.used(), "deciding half": fit_field.fit(fit_field.DECIDING)}
    for name, factors in models.items():
        off = [f"{fit_field.error(factors, half):.3f}" for half in (fit_field.DECIDING, fit_field.HELD_BACK)]
        assert f"| {name} | {factors[0]:.3f} | {factors[1]:.3f} | {' | '.join(off)} |" in PAGE
