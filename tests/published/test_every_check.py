"""Every row of checks.csv on electromyography and joint moments is asked, or said to be beyond the model, and why."""

import csv
from pathlib import Path

import pytest
from push_studies import BEYOND
from studies import NOT_EXPRESSIBLE
from two_choices import EVERY, TOPICS

PUBLISHED = Path(__file__).parents[3] / "shared" / "published"
CHECKS = [PUBLISHED / name for name in ("checks.csv", "checks2.csv")]
OF_ARMS = ("NU11", "NU12", "NU13")  # strengths, which tests/published/test_strength.py asks


@pytest.mark.skipif(not CHECKS[0].exists(), reason="the tables of checks lie beside the project, not in it")
def test_no_row_is_passed_over_and_none_is_left_out_of_its_halves() -> None:
    rows: dict[str, set[str]] = {name: set() for name in ("emg", "moments", "upper body", "push-up")}
    for path in CHECKS:
        with path.open(encoding="utf-8") as file:
            for row in csv.DictReader(file):
                rows.get(row["topic"], set()).add(row["id"])
    known = {one.key for one in EVERY} | set(NOT_EXPRESSIBLE) | set(BEYOND) | set(OF_ARMS)
    assert set().union(*rows.values()) - known == set()
    assert [set(ids) for ids in TOPICS] == list(rows.values())


def test_a_reason_is_given_for_what_the_model_cannot_express() -> None:
    assert all(len(why.split()) > 5 for why in NOT_EXPRESSIBLE.values())
    assert not set(NOT_EXPRESSIBLE) & {one.key for one in EVERY}


def test_the_page_of_accuracy_shows_every_check_with_the_numbers_of_now() -> None:
    page = (Path(__file__).parents[2] / "docs" / "accuracy-body.md").read_text(encoding="utf-8")
    for one in EVERY:
        found = one.ask()
        said = f"| {one.key} | {one.published} | {found.numbers} | {'yes' if found.met else '**no**'} |"
        assert said in page, f"write the table anew: python docs/accuracy/two_choices.py\n{said}"
