"""How long words take: syllables as any dictionary divides words, and the rate that the clock states."""

import pytest

from everyrung.cues.speech import SYLLABLES_A_WORD, speech_ms, syllables, words

# Divisions as in any English dictionary; common words and those of the trade.
DIVIDED = {
    1: "squat lunge curl hinge press breathe heels knees toes raised pushed stopped floor pause side sides hands "
    "please raise leave rounds once one twelve weight straight through though squeeze spine spines used move moves "
    "moved shirt wall chair",
    2: "shoulder dumbbell dumbbells reverse apart slowly balance stretches lifted pointed table little middle gentle "
    "elbow forearm body easy harder lower ceiling hundred level quiet places houses inside outside people apple ankle "
    "ankles muscles circle circles ladder seated standing saying being doing seven twenty shoulders cheerful careful "
    "before behind equal dual breathing lightly travel something",
    3: "overhead together easier idea area rotated video radio everyone opposite usual manual",
    4: "comfortable everybody actually",
    5: "individual",
}


def test_syllables_are_as_the_dictionary_divides_them() -> None:
    wrong = {
        word: syllables(word) for count, line in DIVIDED.items() for word in line.split() if syllables(word) != count
    }
    assert not wrong


@pytest.mark.parametrize(
    ("number", "count"), [("7", 2), ("12", 1), ("18", 2), ("20", 2), ("25", 3), ("30", 2), ("110", 4)]
)
def test_numbers_are_said_as_words(number: str, count: int) -> None:
    assert syllables(number) == count


def test_at_its_rate_a_minute_holds_that_many_words_of_usual_length() -> None:
    usual = "body " * 9 + "floor " * 11  # 29 syllables in 20 words: 1.45 a word
    assert words(usual) == 20
    assert sum(map(syllables, usual.split())) == 20 * SYLLABLES_A_WORD
    assert speech_ms(usual * 7, 140) == pytest.approx(60_000, abs=1)


def test_no_words_take_no_time() -> None:
    assert speech_ms(" ... ", 140) == 0
