"""Captions that can be read: guidance of two bodies holds for any cues, and two other readers see what was written."""

import html
import io
import re
from collections.abc import Callable
from itertools import pairwise

import pysubs2
import pytest
import webvtt
from hypothesis import given
from hypothesis import strategies as st

from everyrung.publish.captions.fit import CaptionsMade, break_lines, captions, plain_words
from everyrung.publish.captions.format import Caption, srt, vtt, without_tags
from everyrung.publish.captions.read import read_captions
from everyrung.terms.enums import CueKind
from everyrung.terms.errors import Invalid
from everyrung.terms.timeline import CueTrack, SaidCue, Track

BBC_LINES, BBC_SIGNS, BBC_SHIFT_MS = 2, 37, 1500  # BBC subtitle guidelines: lines, width, early or late
DCMP_WPM, DCMP_LEAST_MS = 160, 2000  # DCMP Captioning Key: presentation rate for adults, least time on screen

WORD = st.text(alphabet="abcdefghäöéß0123456789,.!?&<>-'→", min_size=1, max_size=50).filter(
    lambda word: word not in ("-", "<", ">") and "-->" not in word
)
SAID = st.lists(
    st.tuples(
        st.integers(min_value=0, max_value=9_000),  # silence before, ms
        st.integers(min_value=150, max_value=20_000),  # said for, ms
        st.lists(WORD, min_size=1, max_size=30).map(" ".join),
    ),
    min_size=1,
    max_size=12,
)


def track(*said: tuple[int, int, str]) -> CueTrack:
    """Cues from (silence before, said for, text)."""
    cues: list[SaidCue] = []
    at_ms = 0
    for silence_ms, said_ms, text in said:
        at_ms += silence_ms
        cues.append(SaidCue(at_ms=at_ms, end_ms=at_ms + said_ms, kind=CueKind.FORM, text=text, ref=None))
        at_ms += said_ms
    return CueTrack(track=Track.FIRST, said=tuple(cues))


Claim = Callable[[list[tuple[int, int, str]]], None]
CLAIMS: list[Claim] = []


def of_any_cues(claim: Claim) -> Claim:
    """Held by the test at the end of this file: to make up cues takes longer than to look at what becomes of them."""
    CLAIMS.append(claim)
    return claim


def spoken(of: CueTrack) -> list[str]:
    return [word for cue in of.said for word in plain_words(cue.text)]


def shown(made: CaptionsMade) -> list[str]:
    return [word for caption in made.captions for line in caption.lines for word in line.split()]


@of_any_cues
def every_word_is_shown_once_and_in_order(said: list[tuple[int, int, str]]) -> None:
    of = track(*said)
    assert shown(captions(of)) == spoken(of)


@of_any_cues
def lines_and_width_of_the_bbc_hold_for_any_cues(said: list[tuple[int, int, str]]) -> None:
    for caption in captions(track(*said)).captions:
        assert len(caption.lines) <= BBC_LINES
        assert max(map(len, caption.lines)) <= BBC_SIGNS


@of_any_cues
def captions_are_in_order_and_never_two_at_once(said: list[tuple[int, int, str]]) -> None:
    made = captions(track(*said)).captions
    assert all(caption.at_ms < caption.end_ms for caption in made)
    assert all(before.end_ms <= after.at_ms for before, after in pairwise(made))


@of_any_cues
def rate_and_least_time_of_the_dcmp_hold_or_are_told(said: list[tuple[int, int, str]]) -> None:
    made = captions(track(*said))
    short = 0
    for caption in made.captions:
        shown_ms = caption.end_ms - caption.at_ms
        short += shown_ms < DCMP_LEAST_MS or caption.words * 60_000 > DCMP_WPM * shown_ms
    assert len(made.problems) == short


@of_any_cues
def a_caption_begins_within_the_shift_of_the_bbc(said: list[tuple[int, int, str]]) -> None:
    """Where its first word is said is at its share of the cue's signs, as far as a text can tell."""
    of = track(*said)
    told_ms: list[float] = []
    for cue in of.said:
        words = plain_words(cue.text)
        total = sum(len(word) + 1 for word in words)
        so_far = 0
        for word in words:
            told_ms.append(cue.at_ms + (cue.end_ms - cue.at_ms) * so_far / total)
            so_far += len(word) + 1
    at = 0
    for caption in captions(of).captions:
        assert abs(caption.at_ms - told_ms[at]) <= BBC_SHIFT_MS + 1  # 1 ms: times are whole
        at += caption.words


@of_any_cues
def slow_speech_has_no_problem(said: list[tuple[int, int, str]]) -> None:
    slow = [(silence, len(plain_words(text)) * 500 + 2000, text) for silence, _, text in said]
    assert not captions(track(*slow)).problems


def test_a_cue_with_room_begins_on_time_and_ends_with_its_words() -> None:
    made = captions(track((5_000, 3_000, "Feet under the knees"), (6_000, 2_500, "Sit back and down")))
    assert [(each.at_ms, each.end_ms) for each in made.captions] == [(5_000, 8_000), (14_000, 16_500)]


def test_a_short_cue_stays_after_its_words() -> None:
    (caption,) = captions(track((5_000, 600, "Pulse"))).captions
    assert (caption.at_ms, caption.end_ms) == (5_000, 7_000)


def test_a_cue_without_room_after_it_begins_early() -> None:
    made = captions(track((5_000, 1_000, "Ready"), (0, 4_000, "and down, slowly, for three")))
    assert [each.at_ms for each in made.captions] == [4_000, 6_000]
    assert not made.problems


def test_a_count_faster_than_captions_is_joined_so_that_its_last_word_is_on_time() -> None:
    made = captions(
        track(*((0 if at else 9_000, 1_000, word) for at, word in enumerate(["four", "three", "two", "lunge"])))
    )
    assert [each.lines for each in made.captions] == [("four three",), ("two",), ("lunge",)]
    assert made.captions[-1].at_ms == 12_000
    assert not made.problems


def test_words_on_both_sides_of_a_silence_are_not_joined() -> None:
    made = captions(track((0, 1_000, "Down"), (1_501, 1_000, "Up")))
    assert [each.lines for each in made.captions] == [("Down",), ("Up",)]


@pytest.mark.parametrize(("silence_ms", "together"), [(1_500, True), (1_600, False)])
def test_words_too_quick_to_read_are_joined_over_a_second_and_a_half_and_no_longer(
    silence_ms: int, together: bool
) -> None:
    said = track((2_000, 400, "One."), (100, 400, "Two."), (silence_ms, 400, "Three."), (100, 200, "Four five six"),
                 (100, 200, "seven eight nine"))  # fmt: skip
    texts = [" ".join(each.lines) for each in captions(said).captions]
    assert any("Two." in text and "Three." in text for text in texts) is together


def test_a_count_with_short_silences_in_it_may_be_joined() -> None:
    # BBC: up to 1.5 s away from its words; here a second of silence between numbers said in a third of one
    made = captions(track((9_000, 300, "four"), (1_000, 300, "three"), (1_000, 300, "two"), (1_000, 300, "one")))
    assert len(made.captions) < 4
    assert not made.problems


def test_a_caption_is_never_more_than_a_second_and_a_half_from_its_words() -> None:
    made = captions(track((9_000, 500, "Ready"), (0, 500, "set"), (0, 500, "and"), (0, 9_000, "down slowly")))
    assert made.captions[-1].at_ms <= 10_500 + BBC_SHIFT_MS
    assert made.captions[0].at_ms >= 9_000 - BBC_SHIFT_MS


def test_speech_that_nobody_can_read_is_told_with_what_to_do() -> None:
    made = captions(track((60_000, 6_000, "one two three four five six seven eight " * 6), (0, 1_000, "Go")))
    assert made.problems
    first = made.problems[0]
    assert re.match(r"(0:5|1:0)\d\S* one two three", first)
    assert "words at 160 a minute" in first
    assert "Say less here, or leave" in first


def test_a_long_cue_is_parted_at_its_full_stops() -> None:
    text = (
        "Ball in both hands, back to the wall, feet a step away. Slide down until the thighs are level with the floor."
    )
    made = captions(track((0, 12_000, text)))
    assert " ".join(made.captions[0].lines).endswith("step away.")


def test_lines_are_balanced() -> None:
    top, bottom = break_lines(["hold", "the", "ball", "with", "both", "hands", "under", "the", "chin"])
    assert abs(len(top) - len(bottom)) <= 6


@pytest.mark.parametrize(
    "word", ["Donau" * 12, "knees-over-toes-split-squat-with-a-pause-at-the-bottom", "e\u0301" * 40]
)
def test_a_word_longer_than_a_line_is_parted_without_losing_a_letter(word: str) -> None:
    parts = plain_words(word)
    assert max(map(len, parts)) <= BBC_SIGNS
    assert "".join(parts).replace("-", "") == word.replace("-", "")
    assert not any(part.startswith("\u0301") for part in parts)


def test_no_text_holds_an_arrow_of_times_or_a_line_break() -> None:
    made = captions(track((0, 5_000, "hips --> heels\nall\x00 the way\u2028up")))
    assert made.captions[0].lines == ("hips → heels all the way up",)


@pytest.mark.parametrize("line", ["hips --> heels", "two\nlines", "end\n", "a\u2028b"])
def test_a_caption_refuses_what_files_cannot_hold(line: str) -> None:
    with pytest.raises(Invalid):
        Caption(at_ms=0, end_ms=1, lines=(line,))


def test_a_number_is_never_alone_on_the_last_line() -> None:
    """pysubs2 takes such a line for the next caption's index."""
    assert break_lines(["a" * 37, "8"]) == ()


def times_and_lines(of: tuple[Caption, ...]) -> list[tuple[int, int, str]]:
    return [(each.at_ms, each.end_ms, "\n".join(each.lines)) for each in of]


def by_webvtt(text: str, form: str) -> list[tuple[int, int, str]]:
    """What webvtt-py reads; it leaves WebVTT's named signs as they are, so Python puts them in."""
    read = webvtt.from_buffer(io.BytesIO(text.encode()), format=form)
    words = html.unescape if form == "vtt" else str
    return [(_ms(each.start), _ms(each.end), words(each.text)) for each in read]


def _ms(stamp: str) -> int:
    hours, minutes, seconds = stamp.split(":")
    return round((int(hours) * 3600 + int(minutes) * 60 + float(seconds)) * 1000)


def by_pysubs2(text: str, form: str) -> list[tuple[int, int, str]]:
    """What pysubs2 reads; likewise."""
    read = pysubs2.SSAFile.from_string(text, format_=form)
    lines = [(each.start, each.end, each.text.replace("\\N", "\n")) for each in read]
    return [(*times, html.unescape(words) if form == "vtt" else words) for *times, words in lines]


@of_any_cues
def two_other_readers_see_our_webvtt_as_written(said: list[tuple[int, int, str]]) -> None:
    made = captions(track(*said)).captions
    assert by_webvtt(vtt(made), "vtt") == times_and_lines(made)
    assert by_pysubs2(vtt(made), "vtt") == times_and_lines(made)


@of_any_cues
def two_other_readers_see_our_srt_as_written(said: list[tuple[int, int, str]]) -> None:
    made = captions(track(*said)).captions
    ours = srt(made)
    written = [(*times, without_tags(words)) for *times, words in times_and_lines(made)]
    assert by_webvtt(ours, "srt") == written
    assert by_pysubs2(ours, "srt") == written


@of_any_cues
def our_own_reader_finds_nothing_but_pace_to_say_about_our_files(said: list[tuple[int, int, str]]) -> None:
    made = captions(track(*said)).captions
    read = read_captions(vtt(made).encode(), "own.vtt")
    assert read.captions == made
    assert {problem.what for problem in read.problems} <= {"pace", "time on screen"}


def test_webvtt_has_hours_of_two_digits_and_a_full_stop() -> None:
    caption = Caption(at_ms=71_913, end_ms=3_673_346, lines=("reps < 12 & more",))
    assert vtt([caption]) == "WEBVTT\n\n1\n00:01:11.913 --> 01:01:13.346\nreps &lt; 12 &amp; more\n"


def test_srt_has_a_comma_and_no_escapes() -> None:
    caption = Caption(at_ms=71_913, end_ms=73_346, lines=("reps < 12 & more",))
    assert srt([caption]) == "1\n00:01:11,913 --> 00:01:13,346\nreps < 12 & more\n"
    assert without_tags("<b>Go") == "‹b›Go"


def test_no_captions_are_a_file_with_a_header_only() -> None:
    assert vtt([]) == "WEBVTT\n"
    assert srt([]) == ""


@given(SAID)
def test_what_holds_of_any_cues_holds(said: list[tuple[int, int, str]]) -> None:
    assert len(CLAIMS) == 9
    for claim in CLAIMS:
        claim(said)
