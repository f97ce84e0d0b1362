"""Chapters: rules of hosts and of WebVTT hold for every example, and each broken rule is told by its line."""

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
import webvtt

from everyrung.pipeline import run
from everyrung.publish.chapters import Chapter, chapters, chapters_text, chapters_vtt, check_chapters
from everyrung.results.analysis import Analysis
from everyrung.terms.enums import BlockKind, SpanKind
from everyrung.terms.errors import Invalid
from everyrung.terms.timeline import Span, Timeline

EXAMPLES = Path(__file__).parents[2] / "examples"

# Made for this project's cases: F12, chapters in ffmpeg's own form.
F12 = r""";FFMETADATA1
[CHAPTER]
TIMEBASE=1/1000
START=0
END=5000
title=Warm-up
[CHAPTER]
TIMEBASE=1/1000
START=5000
END=9000
[CHAPTER]
TIMEBASE=1/1000
START=9000
END=20000
title=Round 2; ball \= wall #2
[CHAPTER]
TIMEBASE=1/1000
START=15000
END=60000
title=Cool-down past the end
"""
LIST = "0:00 Welcome\n0:54 Warm-up\n6:10 Round one\n1:02:05 Cool-down\n"


@pytest.fixture(scope="module", params=["boathouse-30", "first-evening-30", "whole-body-45"])
def done(request: pytest.FixtureRequest) -> Analysis:
    return run(EXAMPLES / f"{request.param}.toml")


def told(content: str, length_ms: int | None = None) -> list[tuple[int, str]]:
    return [(each.line, each.what) for each in check_chapters(content, length_ms)]


def test_chapters_follow_each_other_from_0_to_the_end(done: Analysis) -> None:
    made = chapters(done.timeline)
    assert made[0].at_ms == 0
    assert made[-1].end_ms == done.timeline.total_ms
    assert all(before.end_ms == after.at_ms for before, after in pairwise(made))


def test_each_set_of_the_main_part_has_a_chapter_and_each_other_block(done: Analysis) -> None:
    made = chapters(done.timeline)
    titles = [each.title for each in made]
    for block in done.session.blocks:
        if block.kind is BlockKind.MAIN:
            for cell in block.cells:
                name = cell.rung.name if len(block.rounds) == 1 else f"{cell.ref.round}: {cell.rung.name}"
                assert titles.count(name) == 1
        else:
            assert block.name in titles


def test_within_its_chapter_a_set_is_worked(done: Analysis) -> None:
    made = {each.title: each for each in chapters(done.timeline)}
    works = [span for span in done.timeline.spans if span.kind is SpanKind.WORK and span.block.kind is BlockKind.MAIN]
    assert works
    for span in works:
        assert span.cell is not None
        chapter = made.get(f"{span.cell.ref.round}: {span.cell.rung.name}") or made[span.cell.rung.name]
        assert chapter.at_ms <= span.at_ms < span.end_ms <= chapter.end_ms


def test_a_host_finds_nothing_wrong_in_either_form(done: Analysis) -> None:
    made = chapters(done.timeline)
    assert not told(chapters_text(made), done.timeline.total_ms)
    assert not told(chapters_vtt(made), done.timeline.total_ms)


def test_another_reader_sees_the_chapter_file_as_written(done: Analysis) -> None:
    """webvtt-py is the outside reader."""
    made = chapters(done.timeline)
    read = webvtt.from_string(chapters_vtt(made))
    assert [each.text for each in read] == [each.title for each in made]


def test_a_short_part_joins_its_neighbour_under_the_longer_title(done: Analysis) -> None:
    spans = done.timeline.spans
    first = [span for span in spans if span.block is spans[0].block]
    rest = [span for span in spans if span.block is not spans[0].block]
    cut = Timeline(spans=tuple(_moved([first[0]], first[0].end_ms - 4_000) + _moved(rest, rest[0].at_ms - 4_000)))
    made = chapters(cut)
    assert made[0].title == done.session.blocks[1].name
    assert made[0].at_ms == 0


def _moved(spans: list[Span], by_ms: int) -> list[Span]:
    """The spans `by_ms` earlier, cut off at 0."""
    return [replace(each, at_ms=max(0, each.at_ms - by_ms), end_ms=each.end_ms - by_ms) for each in spans]


def test_a_session_of_one_block_has_a_chapter_for_each_move(done: Analysis) -> None:
    block = done.session.blocks[1]
    spans = [span for span in done.timeline.spans if span.block is block]
    made = chapters(Timeline(spans=tuple(_moved(spans, spans[0].at_ms))))
    assert len(made) >= 3
    assert {each.title for each in made} <= {cell.rung.name for cell in block.cells} | {block.name}


def test_a_timeline_too_short_for_3_chapters_has_none(done: Analysis) -> None:
    span = done.timeline.spans[0]
    assert chapters(Timeline(spans=(span,))) == ()
    assert chapters(Timeline(spans=())) == ()


def test_titles_are_plain_and_escaped() -> None:
    made = [Chapter(at_ms=0, end_ms=10_000, title="Ball & wall <one>")]
    assert chapters_vtt(made) == "WEBVTT\n\n00:00:00.000 --> 00:00:10.000\nBall &amp; wall &lt;one&gt;\n"
    with pytest.raises(Invalid):
        Chapter(at_ms=0, end_ms=1, title="hips --> heels")


def test_a_list_has_hours_beyond_the_first_only() -> None:
    made = [Chapter(at_ms=at_ms, end_ms=at_ms + 10_000, title="x") for at_ms in (0, 59_999, 3_599_000, 3_725_000)]
    assert chapters_text(made).split(" x\n")[:4] == ["0:00", "0:59", "59:59", "1:02:05"]


def test_a_good_list_has_no_problem() -> None:
    assert told(LIST) == []
    assert told("What we do today:\n\n" + LIST + "\nBring 2.5 kg.\n", 3_800_000) == []


def test_f12_every_chapter_that_a_host_would_drop_is_told() -> None:
    assert told(F12, 20_000) == [
        (2, "length"),
        (7, "title"),
        (7, "length"),
        (16, "overlap"),
        (16, "past the end"),
    ]


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        ("0:00 One\n1:00 Two\n", (0, "count")),
        ("0:05 One\n1:00 Two\n2:00 Three\n", (1, "first chapter")),
        ("0:00 One\n1:00 Two\n1:09 Three\n", (2, "length")),
        ("0:00 One\n2:00 Two\n1:00 Three\n", (3, "order")),
        ("0:00 One\n1:00\n2:00 Three\n", (2, "title")),
        ("0:00 One\n1:00 Two\n2:00 Three\n3:00.5 Four\n", (4, "time")),
        ("0:00 One\n1:00 Two\n2:00 Three\n", (3, "length")),  # the video ends at 2:05
    ],
)
def test_each_rule_of_a_list_is_told_by_its_line(content: str, expected: tuple[int, str]) -> None:
    assert told(content, 125_000 if expected == (3, "length") else None) == [expected]


def test_chapters_may_nest_in_webvtt_but_not_overlap() -> None:
    """W3C WebVTT: chapters are nested-only."""
    head = "WEBVTT\n\n00:00.000 --> 01:00.000\nAll\n\n"
    nested = head + "00:20.000 --> 00:50.000\nPart\n\n01:00.000 --> 02:00.000\nEnd\n"
    assert told(nested) == []
    assert told(nested.replace("00:50.000", "01:10.000")) == [(6, "overlap"), (9, "overlap")]
