"""The page of accuracy shows what is computed now: every table, every miss, every number in words."""

import csv
import re
from pathlib import Path

import pytest
from audience_page import TABLES, misses
from endurance_studies import (
    FRIEND_WITHIN,
    HOLD_WITHIN,
    JUDGED_LOADS,
    LOOFT_R,
    NSCA_BETWEEN,
    REP_S,
    REPS_WITHIN,
    WOLFE_WITHIN,
)
from rating_studies import WITHIN as RATING_WITHIN
from set_studies import PEOPLE as SET_PEOPLE
from set_studies import REPEATED_AFTER_S, SETS_WITHIN
from whole_tests import FALL_WITHIN, MET_WITHIN, PEOPLE, SORENSEN_SD

from everyrung.effort.heart import constants as heart
from everyrung.effort.perform_set import LEAST_BMI, MOST_BMI
from everyrung.effort.person_fit import FAR_LEFT, FAR_SD, GUESS_LEFT, GUESS_PART, GUESS_SD, NEAR_LEFT, NEAR_SD
from everyrung.effort.rates import constant
from everyrung.effort.uncertainty import ASSUMPTIONS

ROOT = Path(__file__).parents[2]
CHECKS = ROOT.parent / "shared" / "published" / "checks.csv"
PAGE = (ROOT / "docs" / "accuracy-audience.md").read_text(encoding="utf-8")
ANEW = "write it anew: python docs/accuracy/audience_page.py"


def plain(text: str) -> str:
    return " ".join(text.split())


def miss_list() -> str:
    return plain(PAGE.split("## Misses first\n")[1].split("\n## ")[0])


@pytest.mark.parametrize("name", list(TABLES))
def test_each_table_is_as_it_is_computed(name: str) -> None:
    assert "\n".join(TABLES[name]()) + "\n" in PAGE, ANEW


def test_no_table_is_there_that_nobody_computes() -> None:
    heads = {rows()[0] for rows in TABLES.values()}
    found = re.findall(r"^(\|.*\|)\n\|---", PAGE, flags=re.MULTILINE)
    assert set(found) == heads
    assert len(found) == len(TABLES)


def test_the_misses_are_those_of_now_and_stand_first() -> None:
    told = miss_list()
    for miss in misses():
        assert f"- {plain(miss)}" in told, f"{ANEW}\n{miss}"
    assert told.count(" - **") + 1 == len(misses())
    assert re.findall(r"^## (.*)$", PAGE, flags=re.MULTILINE)[0] == "Misses first"


# Tables with a row that is not met, and the words by which the list of misses tells of it.
TOLD = {
    "Repetitions": ("table of repetitions",),
    "Repeated sets": (
        "Bench sets",
        "Light sets",
        "Older women's",
        "Women's three sets",
        "An hour's recovery",
        "Effort over 12-9-6",
    ),
    "Ratings": ("Ratings of effort",),
    "Strength": ("decline of men's knees", "Men over women"),
    "Whole tests": ("The back held level",),
    "What is left at 65": ("What is left at 65",),
    "Capacity": ("Middle-aged women's capacity",),
}


def test_every_table_with_a_miss_is_told_of_in_the_list() -> None:
    missing = {name for name, rows in TABLES.items() if any("**no**" in row for row in rows())}
    bold = re.findall(r"\*\*(.*?)\*\*", miss_list())
    assert missing == set(TOLD)
    assert [word for words in TOLD.values() for word in words if not any(word in each for each in bold)] == []


def _learned() -> str:
    return (
        f"{NEAR_SD:g} repetition up to {NEAR_LEFT:g} left, {FAR_SD:g} at {FAR_LEFT:g} (Hackett 2017, V), "
        f"{GUESS_SD:g} at {GUESS_LEFT:g}"
    )


# What the words say in numbers, made from the constants; each has to stand there.
FROM_CONSTANTS = (
    f"usual repetition of {REP_S:g} s costs K = {constant('repetition', 'all', 'rep_fatigue')} of its load",
    f"for a usual repetition of {REP_S:g} s, recovery included",
    f"within {100 * HOLD_WITHIN:.0f} % from {100 * JUDGED_LOADS[0]:.0f} to {100 * JUDGED_LOADS[-1]:.0f} %",
    f"within half a repetition from {NSCA_BETWEEN[0]} to {NSCA_BETWEEN[1]} %",
    f"medians of {PEOPLE:,} untrained people",
    f"a ratio of {MET_WITHIN[0]} to {MET_WITHIN[1]}, set before looking",
    f"within one standard deviation, {SORENSEN_SD} s",
    f"here {SET_PEOPLE:,} people with loads",
    f"{SETS_WITHIN} of a ratio otherwise, set before looking",
    "makes anything from {:g} to {:g} s of it".format(
        *(constant("rest", case, "quick_s") for case in ("quick", "slow"))
    ),
    f"a hold repeated after {REPEATED_AFTER_S:g} s, was held back, and is met",
    f"Theirs is {LOOFT_R}, of the grip 30",
    f"off by {constant('rating', 'all', 'line_error')} points on the half",
    f"by {constant('rating', 'all', 'set_sd')} points over a set and {constant('rating', 'all', 'session_sd')} over",
    f"Met within {RATING_WITHIN:g} point, set before looking",
    f"about {constant('rating', 'all', 'all_done'):.0f} even after sets to failure",
    f"met within {FALL_WITHIN}:",
    f"met within {100 * FRIEND_WITHIN:.0f} %:",
    f"and {100 * heart()['strength_extra']:.0f} % of the reserve more upwards",
    f"body-mass index ({LEAST_BMI:.0f} to {MOST_BMI:.0f})",
    "with 10 % less and more strength, and with a tempo 15 % slower and quicker",
    _learned(),
)
# What other tests hold: the words, the test's file, and how the numbers stand there.
HELD_ELSEWHERE = (
    ("all of 120,000 random sets", "effort/test_three_compartment.py", "random_cases(120_000"),
    ("no more than 3 of 60", "effort/test_three_compartment.py", "(reps != other).sum() <= 3"),
    ("controller speed 10/s", "effort/test_three_compartment.py", "finite speed (10/s)"),
    ("Of 120 numbers of 60 simulated people", "effort/test_person_fit.py", "default_rng(5), 0, 0, 60"),
    ("at least 104 lie", "effort/test_person_fit.py", "inside >= 104"),
    ("from 1.30 to 2.20 m", "published/test_ball.py", "range(1300, 2201)"),
    ("in 20 published results", "published/test_field_tests.py", "len(logs) == MEDIANS"),
    ("are typically 23 % off", "published/test_field_tests.py", "say_the_same_in_one_sentence"),
)  # fmt: skip
# What only describes a study or its conditions here.
CONDITIONS = (
    "u + m > 1", "(2.7 to 11.2 s)", "the 63 studies", "too short at 90 %", "sets at 75 %", "FA02",
    "from 0, nothing at all, to 10, the most there is", "ends at 10 by definition", "by 0.95 on the average", "NU47",
    "CN38",
    "a body-mass index of 24", "1 s down and 1 s up", "slope of 10 degrees", "Rehabil 12(3):199", "25th percentile",
    "at 45 years", "of 25 at 65", "1RM", "from 65 to 95 %", "V2",
)  # fmt: skip


def _words() -> str:
    """The page without its tables and the list of misses, in one line."""
    before, after = PAGE.split("## Misses first\n")
    rest = after.split("\n\n", 1)[1]
    return plain("\n".join(line for line in (before + rest).splitlines() if not line.startswith("|")))


@pytest.mark.parametrize("words", FROM_CONSTANTS)
def test_what_is_made_from_constants_is_there(words: str) -> None:
    assert words in _words()


@pytest.mark.parametrize(("words", "file", "code"), HELD_ELSEWHERE)
def test_what_other_tests_hold_stands_in_them(words: str, file: str, code: str) -> None:
    assert words in _words()
    assert code in (ROOT / "tests" / file).read_text(encoding="utf-8")


def test_no_other_number_is_on_the_page() -> None:
    left = _words()
    for words in sorted((*FROM_CONSTANTS, *(each[0] for each in HELD_ELSEWHERE), *CONDITIONS), key=len, reverse=True):
        left = left.replace(words, "")
    left = re.sub(r"`[^`]*`|\]\([^)]*\)|(?<=[A-Za-zé] )(?:19|20)\d\d\b", "", left)  # code, links, years of papers
    assert re.findall(r"\S*\d\S*", left) == []


def test_the_assumptions_that_the_page_names_are_those_of_a_rehearsal() -> None:
    names = " ".join(one.name for one in ASSUMPTIONS)
    for said in (
        "slow",
        "quick",
        "half",
        "half as much again",
        "10 % less",
        "10 % more",
        "15 % slower",
        "15 % quicker",
    ):
        assert said in names


def test_a_quarter_and_a_half_are_said_in_words() -> None:
    assert WOLFE_WITHIN == 0.25
    assert REPS_WITHIN == GUESS_PART == 0.5


NOT_ASKED = {
    "FA03": "the errors with and without r need the 63 studies, which are not at hand",
    "GU01": "a rule for the next load, held with the rules of the audience, not a value of this page",
    "GU02": "a range of doses, held with the rules of a plan: tests/checks/test_each_rule_alone.py",
    "GU03": "minutes of a week: nothing here adds up weeks yet",
    "GU04": "a definition of the scale in use, not a value that could be missed",
    "GU05": "the error of answers, held with learning: tests/effort/test_person_fit.py",
    "GU07": "the moving centre of mass, held with the body: tests/body/test_inverse_dynamics.py",
    "GU08": "a test of balls by their makers; here only the rated load is compared",
}


@pytest.mark.skipif(not CHECKS.exists(), reason="the table of checks lies beside the project, not in it")
def test_no_row_of_the_checks_is_passed_over() -> None:
    with CHECKS.open(encoding="utf-8") as file:
        rows = [row["id"] for row in csv.DictReader(file) if row["id"][:2] in ("FA", "ST", "HR", "GU")]
    files = [*(ROOT / "tests" / "published").glob("*.py"), *(ROOT / "docs" / "accuracy").glob("*_studies.py")]
    said = " ".join(each.read_text(encoding="utf-8") for each in files if each != Path(__file__)).casefold()
    assert len(rows) > 25
    assert [row for row in rows if row.casefold() not in said] == list(NOT_ASKED)
    assert all(len(why.split()) > 5 for why in NOT_ASKED.values())
