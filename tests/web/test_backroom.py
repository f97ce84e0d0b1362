"""The background: what is outdated is given up and never taken for current. Real computing, so these are slow."""

import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from everyrung.pipeline import AudienceSpec
from everyrung.web.backroom import Backroom
from everyrung.web.errands import Computed, Errand

TEXT = (Path(__file__).parents[1] / "cli" / "small.toml").read_text(encoding="utf-8")
pytestmark = pytest.mark.slow


@pytest.fixture
def backroom(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Backroom]:
    monkeypatch.setenv("EVERYRUNG_HOME", str(tmp_path))
    made = Backroom()
    yield made
    made.close()


def errand(dose: str) -> Errand:
    return Errand(text=TEXT.replace('dose = "8 reps"', f'dose = "{dose}"'), expected=AudienceSpec(count=200))


def waited(backroom: Backroom, key: str, most_s: float = 120) -> Computed:
    until = time.monotonic() + most_s
    while time.monotonic() < until:
        found = backroom.found(key)
        if found and found.finished:
            return found
        time.sleep(0.02)
    raise AssertionError("no answer")


def test_the_next_errand_of_a_place_replaces_the_one_before(backroom: Backroom) -> None:
    first, second = errand("8 reps"), errand("9 reps")
    backroom.want("here", first)
    time.sleep(1.0)
    backroom.want("here", second)
    answer = waited(backroom, second.key)
    assert answer.forecast
    assert answer.forecast.people == 200
    known = backroom.found(first.key)
    assert known is None or not known.finished  # given up, or not begun
    assert backroom.stand(second.key) is None


def test_a_plan_that_cannot_be_led_is_answered_in_words(backroom: Backroom) -> None:
    wrong = Errand(text='title = "x"', expected=AudienceSpec(count=10))
    backroom.want("here", wrong)
    assert "slot_minutes" in waited(backroom, wrong.key).problem


def test_a_background_that_was_killed_says_so_and_starts_again(backroom: Backroom) -> None:
    first, second = errand("8 reps"), errand("9 reps")
    backroom.want("here", first)
    time.sleep(1.0)
    backroom._process.kill()
    assert "stopped" in waited(backroom, first.key).problem
    backroom.want("here", second)
    assert waited(backroom, second.key).forecast
