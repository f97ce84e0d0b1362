"""Numbers in what was said: how many repetitions were announced, how far they were counted, and counts after "one"."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import zip_longest

from everyrung.cues.speech import number_words
from everyrung.lookback.spoken_times import announced_time_ms
from everyrung.lookback.transcript import TimedWord
from everyrung.moves.trade_names import is_measure

MOST_REPS = 40  # chosen, because a larger number is a weight, a time or an age
FEWEST_REPS = 3  # chosen, because "one of these" counts nothing
RUN_MS = 12_000  # between two numbers of one count; chosen, because a repetition takes less
PAIR_MS = 500  # between the words of one number; chosen, because a count waits longer for the next repetition
DOSE_WORDS, LEAST_DOSE = 8, 5  # words after a name in which its dose is said; chosen, smaller numbers are counted
LEAST_RUN = 4  # numbers in a row that are a count: "three two one" comes before every set
_VALUES = {number_words(value).replace(" ", ""): value for value in range(1, MOST_REPS + 1)}
_TENS = {"twenty", "thirty"}
_UNITS_OF_TEN = {number_words(value) for value in range(1, 10)}
_UNITS = {"rep", "reps", "repetition", "repetitions", "times"}
_AFTER = {
    ("of", "these"),
    ("of", "them"),
    ("each", "side"),
    ("a", "side"),
    ("each", "leg"),
    ("a", "leg"),
    ("each", "arm"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Count:
    """Numbers in a row, one more or one less each time, with the moment of the first."""

    numbers: tuple[int, ...]
    at_ms: int
    end_ms: int

    @property
    def rises(self) -> bool:
        return len(self.numbers) > 1 and self.numbers[1] > self.numbers[0]


def number(word: str) -> int | None:
    """The value of a word for a whole number up to forty.

    >>> number("eight"), number("12"), number("lunge")
    (8, 12, None)
    """
    value = int(word) if word.isdecimal() and len(word) < 4 else _VALUES.get(word)
    return value if value is not None and 1 <= value <= MOST_REPS else None


def with_tens(words: Sequence[TimedWord]) -> list[TimedWord]:
    """Numbers of two words as one: "twenty", "one" is 21, unless there is a pause between, or "more" after it."""
    result: list[TimedWord] = []
    for word, after in zip_longest(words, words[1:]):
        last = result[-1] if result else None
        is_pair = last is not None and last.text in _TENS and word.text in _UNITS_OF_TEN
        if last and is_pair and word.at_ms - last.end_ms <= PAIR_MS and (after is None or after.text != "more"):
            result[-1] = replace(last, text=last.text + word.text, end_ms=word.end_ms)
        else:
            result.append(word)
    return result


def announced_reps(words: Sequence[TimedWord]) -> tuple[int, int] | None:
    """The first number from three that counts repetitions, "eight reps", "six a side", and when it is said."""
    words = with_tens(words)
    texts = [word.text for word in words]
    for at, word in enumerate(words):
        value = number(word.text)
        if (
            value is not None
            and value >= FEWEST_REPS
            and ((texts[at + 1 : at + 2] and texts[at + 1] in _UNITS) or tuple(texts[at + 1 : at + 3]) in _AFTER)
        ):
            return value, word.at_ms
    return None


def gives_dose(words: Sequence[TimedWord]) -> bool:
    """Whether a time or a number is said soon that is no part of a count and measures nothing else: "squats, twelve",
    but not "one two three" nor "ten pounds".
    """
    soon = with_tens(words[:DOSE_WORDS])
    numbers = [None, *(number(word.text) for word in soon), None]
    alone = [
        place
        for place, (before, value, after) in enumerate(zip(numbers, numbers[1:], numbers[2:], strict=False))
        if value is not None and value >= LEAST_DOSE and before is None and after is None
    ]
    is_amount = any(not (soon[place + 1 : place + 2] and is_measure(soon[place + 1].text)) for place in alone)
    return is_amount or announced_time_ms(words[:DOSE_WORDS]) is not None


def counts(words: Sequence[TimedWord]) -> Iterator[Count]:
    """Every run of numbers in order of time; a number that fits no run begins the next. "Ten pounds" is none."""
    words = with_tens(words)
    run: list[tuple[int, TimedWord]] = []
    for word, after in zip_longest(words, words[1:]):
        value = number(word.text)
        if value is None or (after is not None and is_measure(after.text)):
            continue
        if run and not _goes_on(run, value, word):
            yield _count(run)
            run = []
        run.append((value, word))
    if run:
        yield _count(run)


def _goes_on(run: Sequence[tuple[int, TimedWord]], value: int, word: TimedWord) -> bool:
    step = value - run[-1][0]
    same_way = abs(step) == 1 and (len(run) < 2 or step == run[-1][0] - run[-2][0])
    return same_way and word.at_ms - run[-1][1].at_ms <= RUN_MS


def _count(run: Sequence[tuple[int, TimedWord]]) -> Count:
    return Count(numbers=tuple(value for value, _ in run), at_ms=run[0][1].at_ms, end_ms=run[-1][1].end_ms)


def reps_counted(words: Sequence[TimedWord]) -> Count | None:
    """The longest count upwards from one or two; None where nobody counts."""
    up = [each for each in counts(words) if each.rises and each.numbers[0] <= 2 and len(each.numbers) >= LEAST_RUN]
    return max(up, key=lambda each: len(each.numbers), default=None)


def count_after_one(words: Sequence[TimedWord]) -> Count | None:
    """A count down that begins right after another has come to one: five four three two one, nine eight."""
    before: Count | None = None
    for each in counts(words):
        down = len(each.numbers) > 1 and not each.rises
        if down and before and each.at_ms - before.end_ms <= RUN_MS and each.numbers[0] > 2:
            return each
        before = each if down and each.numbers[-1] == 1 else None
    return None
