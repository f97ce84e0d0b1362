"""Every row of checks.csv on electromyography and joint moments is asked, or said to be beyond the model, and why."""

import csv
from pathlib import Path

import pytest
from studies import NOT_EXPRESSIBLE, STUDIES

CHECKS = Path(__file__).parents[3] / "shared" / "published" / "checks.csv"


@pytest.mark.skipif(not CHECKS.exists(), reason="the table of checks lies beside the project, not in it")
def test_no_row_is_passed_over() -> None:
    with CHECKS.open(encoding="utf-8") as file:
        rows = [row["id"] for row in csv.DictReader(file) if row["topic"] in ("emg", "moments")]
    asked = {one.key for one in STUDIES}
    assert len(rows) > 10
    assert [row for row in rows if row not in asked and row not in NOT_EXPRESSIBLE] == []


def test_a_reason_is_given_for_what_the_model_cannot_express() -> None:
    assert all(len(why.split()) > 5 for why in NOT_EXPRESSIBLE.values())
    assert not set(NOT_EXPRESSIBLE) & {one.key for one in STUDIES}


def test_the_page_of_accuracy_shows_every_check_with_the_numbers_of_now() -> None:
    page = (Path(__file__).parents[2] / "docs" / "accuracy-body.md").read_text(encoding="utf-8")
    for one in STUDIES:
        found = one.ask()
        said = f"| {one.key} | {one.published} | {found.numbers} | {'yes' if found.met else '**no**'} |"
        assert said in page, f"write the table anew: python docs/accuracy/two_choices.py\n{said}"
