"""Caption files from elsewhere: each real-life case of files by its number; inputs made for the project."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from everyrung.publish.captions.read import Read, read_captions

PLAIN = {"pace", "time on screen"}  # what most small inputs also break


def vtt(content: bytes) -> Read:
    return read_captions(content, "some.vtt")


def srt(content: bytes) -> Read:
    return read_captions(content, "some.srt")


def words(read: Read) -> list[str]:
    return [" / ".join(each.lines) for each in read.captions]


def times(read: Read) -> list[tuple[int, int]]:
    return [(each.at_ms, each.end_ms) for each in read.captions]


def told(read: Read) -> list[tuple[int, str, bool]]:
    return [(each.line, each.what, each.put_right) for each in read.problems if each.what not in PLAIN]


def test_f01_times_without_hours_are_read_exactly() -> None:
    read = vtt(b"WEBVTT\n\n00:03.000 --> 00:05.500\nHeels on the ball\n\n01:11.913 --> 01:13.346\nPull the ball in\n")
    assert times(read) == [(3_000, 5_500), (71_913, 73_346)]
    assert told(read) == []


F02 = b"WEBVTT\n\n1\n00:00:01.000 --> 00:00:03.000\nSplit squat\n\n2\n00:00:03.000 --> 00:00:05.000\nPause\n"


@pytest.mark.parametrize("end", [b"\r\n", b"\r", b"\n"])
@pytest.mark.parametrize("mark", [b"\xef\xbb\xbf", b""])
def test_f02_a_mark_and_other_line_ends_change_nothing(mark: bytes, end: bytes) -> None:
    assert vtt(mark + F02.replace(b"\n", end)) == vtt(F02)
    assert words(vtt(F02)) == ["Split squat", "Pause"]


def test_f02_srt_with_a_mark() -> None:
    read = srt(
        b"\xef\xbb\xbf1\r\n00:00:01,000 --> 00:00:03,000\r\nWarm-up\r\n\r\n"
        b"2\r\n00:00:03,000 --> 00:00:05,000\r\nMarch\r\n"
    )
    assert words(read) == ["Warm-up", "March"]
    assert told(read) == []


def test_f02_utf_16_with_its_mark_is_read() -> None:
    assert words(vtt(F02.decode().encode("utf-16"))) == ["Split squat", "Pause"]


def test_f04_words_after_a_blank_line_are_kept_and_told() -> None:
    read = vtt(
        b"WEBVTT\n\n00:00:15.640 --> 00:00:16.760 line:91%\nReverse lunge\n\n00:00:16.960 --> 00:00:20.600 line:79%\n\n"
        b"Hold the weight overhead\nor leave it on the floor\n\n00:00:20.920 --> 00:00:22.040\nThree, two, and switch\n"
    )
    assert words(read)[1] == "Hold the weight overhead / or leave it on the floor"
    assert len(read.captions) == 3
    assert told(read) == [(8, "blank line inside a cue", True)]


def test_f04_srt_words_after_a_blank_line_are_kept_and_told() -> None:
    read = srt(
        b"1\n00:22:10,440 --> 00:22:15,195\nWide stance,\n\nball at the wall\n\n"
        b"2\n00:22:15,960 --> 00:22:19,157\nSit back\n"
    )
    assert words(read) == ["Wide stance, / ball at the wall", "Sit back"]
    assert told(read) == [(5, "blank line inside a cue", True)]


def test_names_of_cues_comments_and_styles_are_no_words() -> None:
    read = vtt(
        b"WEBVTT - a title\nKind: captions\n\nNOTE\nnot shown\nnor this\n\nSTYLE\n::cue { color: red }\n\n"
        b"intro\n00:01.000 --> 00:03.000\nHello\n\nNOTE one line\n\nsecond name\n00:03.000 --> 00:05.000\nMarch\n"
    )
    assert words(read) == ["Hello", "March"]
    assert told(read) == []


def test_the_only_words_of_a_cue_are_not_taken_for_the_next_ones_name() -> None:
    read = vtt(b"WEBVTT\n\n00:01.000 --> 00:03.000\n\nknees out\n00:03.000 --> 00:05.000\nMarch\n")
    assert words(read) == ["knees out", "March"]


def test_words_that_are_a_number_are_kept() -> None:
    read = srt(
        b"1\n00:00:01,000 --> 00:00:03,000\n8\n\n2\n00:00:03,000 --> 00:00:05,000\n7\n\n"
        b"3\n00:00:05,000 --> 00:00:07,000\n6"
    )
    assert words(read) == ["8", "7", "6"]
    assert told(read) == []


def test_empty_cues_are_left_out_and_told() -> None:
    read = srt(
        b"1\n00:00:01,00 --> 00:00:02,83\nPulse\n\n2\n00:00:00,00 --> 00:00:00,00\n\n3\n00:00:00,00 --> 00:00:00,00\n"
    )
    assert times(read) == [(1_000, 2_830)]
    assert [each for each in told(read) if each[1] != "times"] == [(6, "empty cue", True), (9, "empty cue", True)]
    assert (2, "times", True) in told(read)


def test_f06_rolling_captions_once_with_true_repetition_kept() -> None:
    read = vtt(
        b"WEBVTT\nKind: captions\nLanguage: en\n\n00:00:00.030 --> 00:00:02.000 align:start position:0%\n \n"
        b"four<00:00:00.500><c> more</c><00:00:00.900><c> on</c>"
        b"<00:00:01.200><c> the</c><00:00:01.500><c> right</c>\n\n"
        b"00:00:02.000 --> 00:00:02.010 align:start position:0%\nfour more on the right\n \n\n"
        b"00:00:02.010 --> 00:00:04.000 align:start position:0%\nfour more on the right\n"
        b"three<00:00:02.500><c> more</c><00:00:03.000><c> three</c><00:00:03.300><c> more</c>\n\n"
        b"00:00:04.000 --> 00:00:04.010 align:start position:0%\nthree more three more\n \n"
    )
    assert words(read) == ["four more on the right", "three more three more"]
    assert times(read) == [(30, 2_000), (2_010, 4_000)]
    assert told(read) == [(9, "rolling captions", True)]


def test_f06_a_line_said_twice_in_rolling_captions_stays_twice() -> None:
    read = vtt(
        b"WEBVTT\n\n00:00.000 --> 00:02.000\n \nthree<00:00.500><c> more</c>\n\n"
        b"00:02.000 --> 00:02.010\nthree more\n \n\n"
        b"00:02.010 --> 00:04.000\nthree more\nthree<00:02.500><c> more</c>\n\n00:04.000 --> 00:04.010\nthree more\n \n"
    )
    assert words(read) == ["three more", "three more"]


def test_f06_counts_that_repeat_without_rolling_are_all_kept() -> None:
    read = srt(
        b"1\n00:00:00,000 --> 00:00:02,000\nand down\n\n2\n00:00:02,000 --> 00:00:04,000\nand down\n\n"
        b"3\n00:00:04,000 --> 00:00:06,000\nand down\nand up\n"
    )
    assert words(read) == ["and down", "and down", "and down / and up"]
    assert told(read) == []


def test_f08_an_end_not_after_its_start_is_repaired_up_to_the_next_cue() -> None:
    read = vtt(
        b"WEBVTT\n\n00:00:10.000 --> 00:00:10.000\nzero length\n\n00:00:12.000 --> 00:00:11.000\nbackwards\n\n"
        b"00:00:13.000 --> 00:00:15.000\nfine\n"
    )
    assert times(read) == [(10_000, 12_000), (12_000, 13_000), (13_000, 15_000)]
    assert told(read) == [(3, "end not after start", True), (6, "end not after start", True)]


def test_f09_an_arrow_in_the_words_is_kept_as_a_sign() -> None:
    read = vtt(
        b"WEBVTT\n\n00:00:01.000 --> 00:00:05.000\nhips --> heels, all the way up\n\n"
        b"00:00:05.000 --> 00:00:07.000\nnext\n"
    )
    assert words(read) == ["hips → heels, all the way up", "next"]
    assert told(read) == [(4, "arrow in the words", True)]


@pytest.mark.parametrize("line", ["10 --> 12 reps", "1:30 --> 2:00 plank today", "--> heels", "a --&gt; b"])
def test_an_arrow_between_numbers_is_words_too(line: str) -> None:
    read = vtt(f"WEBVTT\n\n00:01.000 --> 00:05.000\n{line}\n".encode())
    assert len(read.captions) == 1
    assert told(read) == [(4, "arrow in the words", True)]


def test_the_clock_of_a_live_stream_is_told() -> None:
    read = vtt(
        b"WEBVTT\nX-TIMESTAMP-MAP=LOCAL:00:00:00.000,MPEGTS:900000\n\n"
        b"00:00.300 --> 00:02.889\nthis is the live recording\n"
    )
    assert times(read) == [(300, 2_889)]
    assert told(read) == [(2, "clock", False)]


def test_a_last_line_without_an_end_is_read() -> None:
    assert words(vtt(b"WEBVTT\n\n00:00:01.000 --> 00:00:04.000\nlast cue has no line end")) == [
        "last cue has no line end"
    ]


def test_named_signs_become_signs() -> None:
    read = vtt(b"WEBVTT\n\n00:00:01.000 --> 00:00:04.000\nreps &lt; 12 &amp; pause 2&nbsp;s\n")
    assert words(read) == ["reps < 12 & pause 2\u00a0s"]


def test_tags_go_and_words_stay() -> None:
    read = srt(
        b'1\n00:00:05,000 --> 00:00:10,000\n<font color="#ffff00">{\\an8}Easier: hands on hips</font>\n\n'
        b"2\n00:00:12,000 --> 00:00:15,000\n<i>Harder: add the load, <12 kg>\n"
    )
    assert words(read) == ["Easier: hands on hips", "Harder: add the load, <12 kg>"]
    assert told(read) == [(3, "tag", True)]


def test_f11_western_european_bytes_are_told_with_a_sample() -> None:
    read = srt("1\r\n00:00:01,000 --> 00:00:04,000\r\nDéveloppé – côté gauche\r\n".encode("cp1252"))
    assert words(read) == ["Développé – côté gauche"]
    assert told(read) == [(3, "encoding", True)]
    (problem,) = read.problems
    assert "Développé – côté gauche" in problem.got
    assert "save the file as UTF-8" in problem.remedy


def test_each_rule_is_told_by_the_line_of_its_times_and_nothing_is_changed() -> None:
    wide = "w" * 38
    read = vtt(
        f"WEBVTT\n\n00:10.000 --> 00:14.000\na\nb\nc\n\n00:13.000 --> 00:17.000\n{wide}\n\n"
        "00:05.000 --> 00:06.000\nfar too many words for one second\n".encode()
    )
    assert [(each.line, each.what) for each in read.problems] == [
        (3, "lines"),
        (8, "width"),
        (8, "overlap"),
        (11, "time on screen"),
        (11, "pace"),
        (11, "order"),
    ]
    assert not any(each.put_right for each in read.problems)
    assert times(read) == [(10_000, 14_000), (13_000, 17_000), (5_000, 6_000)]


def test_broken_times_are_told_with_the_words_that_are_lost() -> None:
    read = vtt(b"WEBVTT\n\n00:00:01.000 --> 00\nwatch your back\n\n00:03.000 --> 00:05.000\nMarch\n")
    assert words(read) == ["March"]
    assert told(read) == [(3, "times", False)]
    assert "watch your back" in read.problems[0].remedy


def test_a_file_without_captions_or_header_is_told() -> None:
    assert told(vtt(b"")) == [(0, "captions", False), (1, "header", True)]
    assert told(srt(b"hello\n")) == [(0, "captions", False)]


def test_a_problem_says_where_what_and_what_to_do() -> None:
    (problem,) = vtt(b"WEBVTT\n\n00:00:01.000 --> 00:00:02.000\nUp\n").problems
    assert str(problem) == (
        "line 3: time on screen: expected at least 2 s; got 1 s; "
        "Let it stay until the next one, or join it with a neighbour."
    )


@given(st.binary(max_size=200), st.sampled_from(["a.vtt", "a.srt"]))
def test_no_bytes_stop_the_reader(content: bytes, name: str) -> None:
    read_captions(content, name)


PIECES = st.sampled_from(
    [
        "WEBVTT",
        "",
        "1",
        "00:01.000 --> 00:02.000",
        "00:00:03,000 --> 00:00:01,000",
        "NOTE x",
        "hips",
        "a --> b",
        "8",
        " ",
    ]
)


@given(st.lists(PIECES, max_size=14), st.sampled_from(["a.vtt", "a.srt"]))
def test_no_order_of_lines_loses_words_silently(lines: list[str], name: str) -> None:
    """Words below the first times are in a caption, in a comment, or in a problem."""
    read = read_captions("\n".join(lines).encode(), name)
    first = next((at for at, line in enumerate(lines) if line[:1] == "0"), len(lines))
    below = lines[first:].count("hips") if "NOTE x" not in lines else 0
    as_names = sum(
        before == "hips" and line[:1] == "0" for before, line in zip(lines[first:], lines[first + 1 :], strict=False)
    )
    kept = sum(line == "hips" for caption in read.captions for line in caption.lines)
    assert kept >= below - as_names
