"""Captions of two who speak, and notes: kept when read, counted together, written again.

Source: W3C, WebVTT (w3c_webvtt): a voice span names who speaks until its end tag or the cue's end; a comment block
begins with NOTE and ends at a blank line; cues may overlap. What FFmpeg reads in a file is the outside check.
"""

from pathlib import Path

import av
import pytest
from hypothesis import given
from hypothesis import strategies as st

from everyrung.cli import main
from everyrung.lookback.read import transcript_from_bytes
from everyrung.publish.captions.format import Caption, Note, srt, vtt
from everyrung.publish.captions.read import Read, read_captions
from everyrung.publish.inspect import inspect, write_again
from everyrung.terms.errors import Invalid

TWO = b"""WEBVTT

NOTE
Take 2, read by Ida
second line

1
00:00:01.000 --> 00:00:05.000
<v Ida>Lower slowly</v>
<v.loud.far Tarek &amp; Bo>Mine is the wall

NOTE one line

2
00:00:05.000 --> 00:00:08.000
Both of you, up

NOTE at the end
"""


def read(text: str | bytes) -> Read:
    return read_captions(text.encode() if isinstance(text, str) else text, "some.vtt")


def what(result: Read) -> list[tuple[int, str]]:
    return [(each.line, each.what) for each in result.problems]


def at_once(first: str, second: str) -> Read:
    """Two captions of four seconds, the second a second later."""
    return read(f"WEBVTT\n\n00:00.000 --> 00:04.000\n{first}\n\n00:01.000 --> 00:05.000\n{second}\n")


def test_who_speaks_is_kept_line_by_line_with_classes_closed_or_not() -> None:
    result = read(TWO)
    assert [(each.lines, each.speakers) for each in result.captions] == [
        (("Lower slowly", "Mine is the wall"), ("Ida", "Tarek & Bo")),
        (("Both of you, up",), ()),
    ]
    assert result.problems == ()


def test_a_voice_lasts_over_lines_until_it_ends_and_two_on_one_line_are_two() -> None:
    result = read(
        "WEBVTT\n\n00:00.000 --> 00:09.000\n<v Ida>Lower\nslowly</v> all\n\n"
        "00:09.000 --> 00:19.000\n<v Ida>Now up</v> <v Bo>And down\n"
    )
    assert [list(zip(each.speakers, each.lines, strict=True)) for each in result.captions] == [
        [("Ida", "Lower"), ("Ida", "slowly"), ("", "all")],
        [("Ida", "Now up"), ("Bo", "And down")],
    ]


def test_notes_are_kept_with_their_lines() -> None:
    assert [(note.line, note.text, note.after) for note in read(TWO).notes] == [
        (3, "Take 2, read by Ida\nsecond line", 0),
        (12, "one line", 1),
        (18, "at the end", 2),
    ]


def test_two_voices_may_overlap_and_one_may_not() -> None:
    assert what(at_once("<v Ida>Lower slowly", "<v Bo>Wall here")) == []
    for first, second in (("<v Ida>Lower", "<v Ida>Up"), ("Lower", "<v Bo>Up"), ("Lower", "Up")):
        assert what(at_once(first, second)) == [(6, "overlap")]


def test_a_voice_that_overlaps_itself_is_found_behind_anothers_caption() -> None:
    result = read(
        "WEBVTT\n\n00:00.000 --> 00:09.000\n<v Ida>Lower\n\n00:01.000 --> 00:03.000\n<v Bo>Wall\n\n"
        "00:04.000 --> 00:07.000\n<v Ida>Up\n"
    )
    assert what(result) == [(9, "overlap")]


def test_lines_and_words_of_two_who_speak_at_once_are_counted_together() -> None:
    """Eight words in 4 s are 120 a minute (DCMP: up to 160); three quarters of the other's with them 210."""
    eight = "a b c d e f g h"
    result = at_once(f"<v Ida>{eight}", f"<v Bo>{eight}")
    assert what(result) == [(3, "pace"), (6, "pace")]
    assert "210 words a minute of 2 speakers at once" in str(result.problems[0])
    (lines,) = at_once("<v Ida>Lower\nslowly", "<v Bo>Wall").problems
    assert (lines.line, lines.what, lines.got) == (7, "lines", "3 lines of 2 speakers at once")


def test_what_is_written_again_is_read_the_same() -> None:
    result = read(TWO)
    again = read(vtt(result.captions, result.notes))
    assert again.captions == result.captions
    assert [(note.text, note.after) for note in again.notes] == [(note.text, note.after) for note in result.notes]


WORDS = (
    st.text(st.sampled_from("ab <>&-1"), min_size=1, max_size=9).map(str.strip).filter(lambda each: "-->" not in each)
)
NAMES = st.sampled_from(["", "Ida", "Tarek & Bo", "<b>"])


@given(st.lists(st.tuples(NAMES, WORDS.filter(str.strip)), min_size=1, max_size=3))
def test_speakers_of_any_lines_come_back(rows: list[tuple[str, str]]) -> None:
    speakers, lines = tuple(name for name, _ in rows), tuple(" ".join(line.split()) for _, line in rows)
    caption = Caption(at_ms=0, end_ms=9_000, lines=lines, speakers=speakers if any(speakers) else ())
    (again,) = read(vtt([caption])).captions
    assert (again.speakers, [" ".join(line.split()) for line in again.lines]) == (caption.speakers, list(lines))


def test_a_player_finds_the_words_without_the_names(tmp_path: Path) -> None:
    """FFmpeg's demuxer and decoder of WebVTT: as many cues, our words, no note and no tag among them."""
    path = tmp_path / "two.vtt"
    path.write_text(vtt(read(TWO).captions, read(TWO).notes), encoding="utf-8")
    with av.open(str(path)) as container:
        cues = [each for packet in container.demux(subtitles=0) for each in packet.decode()]
    dialogue = [rect.dialogue.decode() for rect in cues]  # type: ignore[attr-defined]
    assert [text.replace("\\N", "\n") for text in dialogue] == ["Lower slowly\nMine is the wall", "Both of you, up"]


def test_subrip_names_who_speaks_where_it_changes() -> None:
    """DCMP Captioning Key: the name in round brackets."""
    captions = [
        Caption(at_ms=0, end_ms=4_000, lines=("Lower", "slowly"), speakers=("Ida", "Ida")),
        Caption(at_ms=4_000, end_ms=8_000, lines=("and up", "Wall"), speakers=("Ida", "Bo")),
    ]
    first = "1\n00:00:00,000 --> 00:00:04,000\n(Ida) Lower\nslowly\n"
    assert srt(captions) == first + "\n2\n00:00:04,000 --> 00:00:08,000\nand up\n(Bo) Wall\n"


def test_names_are_no_words_of_a_transcript() -> None:
    assert [word.text for word in transcript_from_bytes(TWO, "two.vtt").words][:4] == ["lower", "slowly", "mine", "is"]


def test_speakers_are_one_for_each_line() -> None:
    with pytest.raises(Invalid, match="speakers"):
        Caption(at_ms=0, end_ms=1, lines=("a", "b"), speakers=("Ida",))
    with pytest.raises(Invalid, match="speakers"):
        Caption(at_ms=0, end_ms=1, lines=("a",), speakers=("Ida\nBo",))


def test_inspect_lists_speakers_and_notes_and_writes_again(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path, again = tmp_path / "two.vtt", tmp_path / "again.vtt"
    path.write_bytes(TWO.replace(b"00:00:01.000", b"00:00:01,000"))
    assert main(["inspect", str(path), "--into", str(again)]) == 1
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == f"{path}: 2 captions of Ida, Tarek & Bo, 1 problem"
    assert [line.strip() for line in lines[2:]] == [
        "line 3: note: Take 2, read by Ida / second line",
        "line 12: note: one line",
        "line 18: note: at the end",
    ]
    assert inspect(again).problems == ()
    assert read(again.read_bytes()).captions == read(TWO).captions
    with pytest.raises(Invalid, match="file"):
        write_again(path, tmp_path / "again.txt")


def test_a_note_of_several_lines_keeps_them() -> None:
    caption = Caption(at_ms=0, end_ms=2_000, lines=("Up",))
    assert vtt([caption], [Note(line=3, text="a --> b\n\nc", after=0)]).startswith("WEBVTT\n\nNOTE\na → b\nc\n\n1\n")
