"""Signs are said in full. Names of metric units: the SI brochure (9th edition); pounds and feet: from memory."""

import pytest

from everyrung.cues.speech import number_words, speech_text


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("Hold 10 lb for 8-10 breaths.", "Hold 10 pounds for 8 to 10 breaths."),
        ("3x10 with 1 kg", "3 times 10 with 1 kilogram"),
        ("5–10 kg or a 12-lb ball", "5 to 10 kilograms or a 12 pound ball"),
        ("About 90% of it.", "About 90 per cent of it."),
        ("8 in a row, and/or hold 30 s", "8 in a row, or hold 30 seconds"),
        ("65cm, 1.5 m", "65 centimetres, 1.5 metres"),
    ],
)
def test_units_ranges_and_signs_are_said_in_full(written: str, said: str) -> None:
    assert speech_text(written) == said


@pytest.mark.parametrize("text", ["Push-up with a side-on turn.", "Call 112.", "Half 4-5-6 on 2026-11-26.", ""])
def test_what_has_no_such_sign_comes_back_as_it_is(text: str) -> None:
    assert speech_text(text) == text


@pytest.mark.parametrize(
    ("value", "said"), [(7, "seven"), (20, "twenty"), (45, "forty five"), (340, "three hundred forty")]
)
def test_a_number_is_said_without_blanks_to_spare(value: int, said: str) -> None:
    assert number_words(value) == said
