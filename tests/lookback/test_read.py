"""Transcripts of every kind: the same words at the same times, and bad input refused in one sentence."""

import json
from pathlib import Path

import pytest

from everyrung.lookback.read import read_transcript
from everyrung.terms.errors import Faults

WORDS = ["next", "the", "squat", "then", "right"]
ROLLING = "\n".join(  # a line that is still empty, or empty again, has one blank
    (
        "WEBVTT\n",
        "00:00:05.000 --> 00:00:06.200\n \nnext the squat\n",
        "00:00:06.200 --> 00:00:06.210\nnext the squat\n \n",
        "00:00:12.000 --> 00:00:12.800\nnext the squat\nthen right\n",
        "00:00:12.800 --> 00:00:12.810\nthen right\n \n",
    )
)
INNER = """WEBVTT

00:00:05.000 --> 00:00:12.000
next<00:00:05.400><c> the</c><00:00:05.800><c> squat</c>

00:00:12.000 --> 00:00:13.000
next the squat
then<00:00:12.400><c> right</c>
"""
FORMS = {
    "captions.vtt": "WEBVTT\n\n00:05.000 --> 00:06.200\nNext: the squat.\n\n00:12.000 --> 00:12.800\nThen right.\n",
    "captions.srt": "1\n00:00:05,000 --> 00:00:06,200\nNext: the squat\n\n2\n00:00:12,000 --> 00:00:12,800\nThen right",
    "rolling.vtt": ROLLING,
    "inner.vtt": INNER,
    "marks.txt": "[0:05] Next: the squat.\n[0:12] Then right.",
    "bare.txt": "0:05\nNext: the squat.\n0:12\nThen right.",
    "line.txt": "0:05 next the squat\n0:12 then right [Music]",
    "words.json": json.dumps(
        [{"word": word, "start": start} for word, start in zip(WORDS, (5, 5.4, 5.8, 12, 12.4), strict=True)]
    ),
    "lines.json": json.dumps(
        {"lines": [{"text": "Next, the squat", "start": 5, "end": 6.2}, {"text": "then right", "start": 12}]}
    ),
}


def write(folder: Path, name: str, content: str | bytes) -> Path:
    path = folder / name
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    return path


@pytest.mark.parametrize("name", FORMS)
def test_each_kind_gives_the_same_words_at_the_same_times(name: str, tmp_path: Path) -> None:
    read = read_transcript(write(tmp_path, name, FORMS[name]))
    assert [word.text for word in read.words] == WORDS
    assert [word.at_ms for word in read.words if word.text in ("next", "then")] == [5000, 12000]
    assert all(abs(word.at_ms - at_ms) < 400 for word, at_ms in zip(read.words[1:3], (5400, 5800), strict=True))
    assert read.resolution_ms == 5000


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252"])
def test_usual_encodings_are_read(encoding: str, tmp_path: Path) -> None:
    text = "[0:05] Développé à gauche\r\n[0:12] then right"
    read = read_transcript(write(tmp_path, "talk.txt", text.encode(encoding)))
    assert [word.text for word in read.words] == ["développé", "à", "gauche", "then", "right"]
    assert bool(read.problems) == (encoding == "cp1252")  # a guess is reported


def test_words_said_twice_stay_and_rolled_lines_go(tmp_path: Path) -> None:
    """Case F06 of our cases: counts repeat in a session that is led."""
    text = ROLLING.replace("then right", "three more three more")
    assert [word.text for word in read_transcript(write(tmp_path, "a.vtt", text)).words][3:] == ["three", "more"] * 2


def test_marks_at_even_distances_claim_no_second(tmp_path: Path) -> None:
    text = "\n".join(f"[{at // 60}:{at % 60:02d}] some words here" for at in range(0, 400, 40))
    read = read_transcript(write(tmp_path, "a.txt", text))
    assert read.resolution_ms == 20_000
    assert [word.at_ms for word in read.words[:2]] == [0, 12_500]  # spread over all of the 40 s


def test_a_mark_that_goes_back_keeps_its_words(tmp_path: Path) -> None:
    read = read_transcript(write(tmp_path, "a.txt", "Title\n[0:30] one\n[0:10] two\n[0:50] three"))
    assert [word.text for word in read.words] == ["one", "two", "three"]
    assert [problem.line for problem in read.problems] == [1, 3]


@pytest.mark.parametrize(
    ("name", "content", "expected"),
    [
        ("a.txt", "no times at all", "a.txt:1: transcript: expected WebVTT"),
        ("a.txt", "", "a file without a single time"),
        ("a.mp4", bytes(range(256)) * 40, "bytes that are no text"),
        ("a.json", '{"words": [}', "a.json:1: transcript: expected JSON"),
        ("a.json", "[" * 100_000, "expected a list of words"),
        ("a.json", '[{"word": "a"}]', "none such"),
        ("a.json", '[{"word": "a", "start": -1}]', "start of entry 1"),
        ("a.json", '[{"word": "a", "start": NaN}]', "start of entry 1"),
        ("a.json", '[{"word": "a", "start": 90000}]', "expected times within 6 hours; got a word at 90000 s"),
        ("a.vtt", "WEBVTT\n\n00:01.000 --> 00:02.000\n", "expected words with times; got none"),
        ("a.vtt", "WEBVTT\n\n00:0x.000 --> soon\nsquat\n", "expected words with times; got none"),
    ],
)
def test_what_is_no_transcript_is_refused_in_a_sentence(
    name: str, content: str | bytes, expected: str, tmp_path: Path
) -> None:
    with pytest.raises(Faults) as refusal:
        read_transcript(write(tmp_path, name, content))
    assert expected in str(refusal.value)
    assert "\n" not in str(refusal.value)
