"""What a coach is told of a session: sides, counts, versions, warm-up; the gravest first, ten at most."""

from functools import cache

import pytest
from spoken import lay, lines_of, sets_of

from everyrung.cues.speech import number_words
from everyrung.lookback.counts import announced_reps, count_after_one, counts, reps_counted
from everyrung.lookback.notes import MOST_NOTES, Note, notes
from everyrung.lookback.plan_sets import PlanSet
from everyrung.lookback.report import report_lines, report_values
from everyrung.lookback.transcript import TimedWord, spread_words

NUMBERS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


@cache
def boathouse() -> tuple[PlanSet, ...]:
    return sets_of("boathouse-30")


def words(text: str) -> list[TimedWord]:
    return list(spread_words(text, 0, 1000 * len(text.split())))


def said(*extra: tuple[int, float, str], without: range = range(0)) -> tuple[Note, ...]:
    """Notes on the plain session, with lines at so many seconds into some of its sets."""
    sets = boathouse()
    lines, _ = lines_of(sets, [at for at in range(len(sets)) if at not in without])
    return notes(lay(sets, [*lines, *((sets[at].at_ms / 1000 + after_s, text) for at, after_s, text in extra)]))


def lunge() -> int:
    return next(at for at, each in enumerate(boathouse()) if each.ref == "Main/One/lunge")


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("eight reps", 8),
        ("now 12 repetitions please", 12),
        ("six a side", 6),
        ("ten of these", 10),
        ("ten pounds in each hand", None),
        ("one of these days", None),
        ("thirty seconds", None),
    ],
)
def test_a_number_of_repetitions_is_known_from_its_unit(text: str, expected: int | None) -> None:
    promise = announced_reps(words(text))
    assert (promise and promise[0]) == expected


def test_runs_of_numbers_are_parted_where_they_turn() -> None:
    runs = [each.numbers for each in counts(words("three two one go one good two three four five"))]
    assert runs == [(3, 2, 1), (1, 2, 3, 4, 5)]
    count = reps_counted(words("three two one go one good two three four five"))
    assert count is not None
    assert count.numbers[-1] == 5


def test_numbers_above_twenty_are_said_in_two_words() -> None:
    """Case H01 of our cases has about 25 on one side; "five reps" of "twenty five reps" is no five."""
    count = reps_counted(words(" ".join(map(number_words, range(1, 26)))))
    assert count is not None
    assert count.numbers[-1] == 25
    assert announced_reps(words("twenty five reps on the right")) == (25, 0)
    last = reps_counted(words(" ".join([*map(number_words, range(1, 21)), "one more"])))
    assert last is not None
    assert last.numbers[-1] == 20


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("five four three two one nine eight", True),  # case H03 of our cases
        ("three two one go one two three four", False),
        ("four three two one and rest", False),
    ],
)
def test_a_count_that_begins_again_after_one_is_seen(text: str, expected: bool) -> None:
    assert (count_after_one(words(text)) is not None) == expected


def test_more_on_one_side_is_the_gravest_note() -> None:
    """Case H01 of our cases: 18 on the left, about 25 on the right."""
    left = lunge()
    right_s = (boathouse()[left + 1].at_ms - boathouse()[left].at_ms) / 1000
    result = said((left, right_s - 26, " ".join(NUMBERS[:6])), (left + 1, 8, " ".join(NUMBERS[:9])))
    assert "counted to 6 left and to 9 right" in result[0].text
    assert result[0].is_sure


def test_a_promise_that_was_not_kept_is_noted() -> None:
    lines = (lunge(), 5, "four reps"), (6, 30, "five four three two one nine eight seven")
    result = [note.text for note in said(*lines)]
    assert any("4 repetitions were announced; the plan has 6." in text for text in result)
    assert any("it began again at 9" in text for text in result)


def test_versions_that_nobody_offered_are_named_once() -> None:
    offers = [note for note in said((6, 5, "easier a hand on the wall")) if "was offered" in note.text]
    assert len(offers) == 1
    assert "Split squat" in offers[0].text
    assert "Ball wall squat" not in offers[0].text


def test_a_warm_up_that_is_not_heard_is_noted() -> None:
    texts = [note.text for note in said(without=range(6))]
    assert "No warm-up is heard on this recording." in texts


def test_the_report_has_ten_notes_at_most_and_every_set() -> None:
    sets = boathouse()
    lines, _ = lines_of(sets, range(0, len(sets), 2))
    outcome = lay(sets, lines)
    every, short = list(report_lines(outcome, every=True)), list(report_lines(outcome))
    assert sum(line.startswith("- ") for line in short) == MOST_NOTES < sum(line.startswith("- ") for line in every)
    assert len(report_values(outcome)["sets"]) == len(outcome.steps)  # type: ignore[arg-type]
