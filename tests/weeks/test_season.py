"""Seasons of simulated people: the promises of DESIGN 15 are checked on the log of what happened, not on the rule."""

import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from everyrung import library
from everyrung.terms.errors import Invalid
from everyrung.weeks.crowd import answers, draw_crowd
from everyrung.weeks.lines import library_lines
from everyrung.weeks.night import Policy
from everyrung.weeks.season import Calendar, season
from everyrung.weeks.season_tally import SeasonTally, season_tally, tally_of

SCRIPT = Path(__file__).parents[2] / "docs" / "accuracy" / "weeks.py"


@pytest.fixture(scope="module")
def lines() -> Any:
    return library_lines(("overhead-press", "bent-row"), library())


@pytest.fixture(scope="module")
def logs(lines: Any) -> Any:
    crowd = draw_crowd(lines.motions, 40, 1)
    calendar = Calendar(weeks=8, attendance=0.75)
    return {
        policy: list(season(lines, crowd, policy, calendar, 1).evenings())
        for policy in (Policy.CARD, Policy.ASKED, Policy.FIXED)
    }


@pytest.fixture(scope="module")
def tallies(lines: Any, logs: Any) -> dict[Policy, SeasonTally]:
    return {policy: tally_of(lines, log) for policy, log in logs.items()}


def test_no_step_is_unearned_and_nobody_comes_back_to_more(tallies: dict[Policy, SeasonTally]) -> None:
    for policy in (Policy.CARD, Policy.ASKED):
        one = tallies[policy]
        assert one.leaps > 0
        assert one.leaps_too_soon == 0
        assert one.comebacks > 0
        assert one.heavier_comebacks == 0
        assert one.easier_setbacks == one.setbacks


def test_ours_leaves_two_to_four_far_more_often_than_a_plan_that_never_changes(
    tallies: dict[Policy, SeasonTally],
) -> None:
    card, fixed = (tallies[policy].shares for policy in (Policy.CARD, Policy.FIXED))
    assert card[0] > 3 * fixed[0]
    assert card[2] < fixed[2] / 5


def test_an_answer_that_counts_at_once_tells_the_day_to_the_sets_that_follow(logs: Any, tallies: Any) -> None:
    """grgic2020: a day is 4 % off, two repetitions of twelve; from the second move on it is known."""
    for policy, least in ((Policy.CARD, 0.0), (Policy.ASKED, 0.05)):
        later = [np.concatenate([one.left[:, line] for one in logs[policy] if one.week >= 4]) for line in (0, 1)]
        first, second = (float(((left >= 2) & (left <= 4)).mean()) for left in later)
        assert second > first + least
    assert tallies[Policy.ASKED].shares[0] > tallies[Policy.CARD].shares[0] + 0.05


def test_the_same_seed_is_the_same_season(lines: Any, logs: Any) -> None:
    crowd = draw_crowd(lines.motions, 40, 1)
    again = season(lines, crowd, Policy.CARD, Calendar(weeks=8, attendance=0.75), 1).evenings()
    for one, other in zip(again, logs[Policy.CARD], strict=False):
        assert np.array_equal(one.entry, other.entry)
        assert np.array_equal(one.answer, other.answer)
        if one.week >= 1:
            break


def test_a_season_is_the_sum_of_its_blocks_of_people(lines: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever computes a block: people, days, absences and answers go by the seed and the block alone."""
    monkeypatch.setattr("everyrung.effort.audience.BLOCK", 12)
    monkeypatch.setattr("everyrung.executors.tasks.cpu_count", lambda: 1)  # other processes have blocks as they are
    calendar = Calendar(weeks=5, evenings=1)
    whole = season_tally(lines, Policy.CARD, calendar, 20, 3)
    crowds = [draw_crowd(lines.motions, 20, 3, at) for at in (0, 1)]
    seasons = [season(lines, crowd, Policy.CARD, calendar, 3, at) for at, crowd in enumerate(crowds)]
    each = [tally_of(lines, list(one.evenings())) for one in seasons]
    assert whole == each[0] + each[1]
    assert whole.first_sets < 20 * len(lines.lines) * 3
    assert each[0].shares != each[1].shares


def test_nobody_has_no_season(lines: Any) -> None:
    with pytest.raises(Invalid, match="people"):
        season_tally(lines, Policy.CARD, Calendar(), 0, 1)


def test_people_misjudge_as_found_and_never_a_set_that_ended() -> None:
    """Hackett 2017: about one repetition off with 0 to 5 left, more than two with 7 to 10."""
    random = np.random.default_rng(1)
    for left, low, high in ((3.0, 0.8, 1.2), (8.0, 2.4, 3.9)):
        replies = answers(np.full(4000, left), np.zeros(4000, dtype=bool), random)
        assert low < np.abs(replies - left).std() + abs(replies.mean() - left) < high or low < replies.std() < high
    assert not answers(np.full(9, 3.0), np.ones(9, dtype=bool), random).any()


@pytest.mark.slow
def test_load_falls_for_people_who_always_say_that_nothing_was_left(
    lines: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("everyrung.weeks.night.answers", lambda left, *_: np.zeros_like(left))
    crowd = draw_crowd(lines.motions, 20, 2)
    log = list(season(lines, crowd, Policy.CARD, Calendar(weeks=6, attendance=1.0), 2).evenings())
    first, last = (
        np.stack([lines.lines[at].load_kg[one.entry[:, at, 0]] for at in range(2)]) for one in (log[0], log[-1])
    )
    assert (last <= first).all()
    assert (last < first).any()


@pytest.mark.slow
def test_the_page_has_what_its_script_prints() -> None:
    """Some twelve minutes of a processor."""
    printed = subprocess.run([sys.executable, SCRIPT], capture_output=True, text=True, check=True).stdout
    page = (SCRIPT.parents[1] / "accuracy-weeks.md").read_text(encoding="utf-8")
    for table in printed.strip().split("\n\n"):
        assert table in page
