"""Plan and what was, one above the other; what there is to know of it; a page and a print of all that."""

import io
import json
import re
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest
from led_evening import DEMO, GAP_S, STOOD_S, as_planned, demo, log_of, otherwise, review_of, sets, squat, whole
from pypdf import PdfReader
from spoken import lines_of

from everyrung.cli import main
from everyrung.lookback.beep_clock import ClockStretch, RecordingClock
from everyrung.lookback.notes import MOST_NOTES, UNEVEN
from everyrung.lookback.read import transcript_from_bytes
from everyrung.lookback.recording_report import OnRecording, RecordedSet
from everyrung.lookback.review import Review
from everyrung.lookback.review_sheet import review_html, review_pdf
from everyrung.lookback.review_values import ReviewView
from everyrung.lookback.review_view import review_view
from everyrung.lookback.show_notes import kind_sums
from everyrung.lookback.stage_log import stage_log_text
from everyrung.score.layout import NARROW, WIDE


@pytest.fixture(scope="module")
def view() -> ReviewView:
    return review_view(whole())


def work_boxes(svg: str) -> list[tuple[str, float, float]]:
    """Side, place and width of each stretch of work, in the order in which it is drawn."""
    rows = re.findall(r'class="span work[^>]*data-side="(\w+)" data-x="([\d.]+)" data-width="([\d.]+)"', svg)
    return [(side, float(x), float(width)) for side, x, width in rows]


def test_the_picture_is_xml(view: ReviewView) -> None:
    for svg in (view.wide, view.narrow, *view.pages):
        assert ElementTree.fromstring(svg).tag.endswith("svg")


def test_what_went_as_planned_is_drawn_twice_alike() -> None:
    svg = review_view(review_of(as_planned())).wide
    for system in svg.split('class="system"')[1:]:
        boxes = work_boxes(system)
        half = len(boxes) // 2
        assert half
        assert boxes[:half] == boxes[half:]


def test_sets_left_out_a_side_owed_and_a_standstill_are_marked_by_shape(view: ReviewView) -> None:
    for svg in (view.wide, view.narrow):
        assert len(set(re.findall(r">([^<]*): not done<", svg))) == 4
        assert 'class="debt open"' in svg
        assert 'class="standstill"' in svg
    assert f"stood {STOOD_S // 60}:{STOOD_S % 60:02d}" in view.wide


def test_work_stands_where_it_was_and_nowhere_else(view: ReviewView) -> None:
    """Each repetition begins within its set's own stretch; a set that was not done has no repetition above."""
    groups = re.findall(
        r'<g class="span work[^>]*data-x="([\d.]+)" data-width="([\d.]+)"><path d="M([\d.]+)', view.wide
    )
    assert groups
    for x, width, first in groups:
        assert float(x) - 0.1 <= float(first) <= float(x) + float(width) + 0.1
    pieces = sum(len(row.bouts) for row in (whole().show or pytest.fail("no show")).rows) + 1  # the hinge in two
    above = len(sets()) - 4
    across = 2 * (view.wide.count('class="system"') - 1)  # of either staff, which the end of a line cuts in two
    assert above + pieces <= len(groups) <= above + pieces + across


def test_a_heavy_line_stands_where_time_was_lost_or_won(view: ReviewView) -> None:
    heavy = re.findall(r'stroke-width="1.8" class="shift"', view.wide)
    plain = re.findall(r'stroke-width="1.8" class="shift"', review_view(review_of(as_planned())).wide)
    assert heavy
    assert not plain


def test_both_are_on_one_scale(view: ReviewView) -> None:
    """A repetition that was led as planned is as wide below as above: the first set's work."""
    first = work_boxes(view.wide.split('class="system"')[1])
    above, below = first[0], first[len(first) // 2]
    assert above == below


def test_the_heart_s_line_has_a_gap_where_nothing_was_measured(view: ReviewView) -> None:
    first = view.wide.split('class="system"')[1]
    (path,) = re.findall(r'<path d="([^"]*)"[^>]*class="rate"', first)
    assert path.count("M") == 2
    scale = WIDE.inner / (10 * 60)
    points = [float(each) for each in re.findall(r"[ML]([\d.]+)", path)]
    widest = max(after - before for before, after in pairwise(points))
    assert widest == pytest.approx(scale * (GAP_S[1] - GAP_S[0] + 1), abs=1.0)


def test_no_line_is_drawn_and_no_rate_shown_on_medicine(view: ReviewView) -> None:
    """Case H32 of our cases: on a beta-blocker the rate stays low however hard the work is."""
    assert "medicine limits this rate: not drawn" in view.wide
    _, odd = view.hearts
    assert all(row[2] == row[3] == "-" for row in odd.rows)
    assert any(row[2] != "-" for row in view.hearts[0].rows)


def test_the_log_says_what_is_grave_first(view: ReviewView) -> None:
    assert "right: still owed, " in view.tellings[0].text
    assert view.tellings[0].is_sure
    assert any("It stood still for 1:37" in each.text for each in view.tellings)
    assert view.first_count == MOST_NOTES


def test_sides_counted_unequal_are_told() -> None:
    """Case H01 of our cases, by the stage's own count: the right side broken off after two repetitions."""
    left, right = (each for each in sets() if each.ref == "Main/One/lunge")
    end_ms = right.work_at_ms + 2 * right.bout.rep_ms
    after_ms = next(each.at_ms for each in sets() if each.work_at_ms > right.work_at_ms)
    total_ms = demo().timeline.total_ms
    log = log_of(
        (0, "start", 0, {}), (0, "go", 0, {}), (end_ms, "skip", end_ms, {"to_ms": after_ms}),
        (total_ms - (after_ms - end_ms), "end", total_ms, {}),
    )  # fmt: skip
    notes = review_of(log).notes
    assert notes[0].gravity == UNEVEN
    assert notes[0].text == f"{left.cell.rung.name}: the stage counted {left.bout.reps} left and 2 right."


def test_the_kinds_of_time_add_up_to_what_it_took() -> None:
    review = whole()
    assert review.show is not None
    total_ms = sum(each.real_ms for each in kind_sums(review.show, review.analysis))
    assert total_ms == pytest.approx(review.show.took_ms, abs=50)


def test_words_alone_are_drawn_as_boxes_and_a_stray_with_two_outlines() -> None:
    rows = sets()
    lines, _ = lines_of(rows, range(len(rows)))
    at_s = rows[14].at_ms / 1000
    late = [(when + 60 if when >= at_s else when, text) for when, text in lines]
    talk = sorted([*late, (at_s, "next some burpees"), (at_s + 10, "burpees go on")])
    text = "\n".join(f"[{int(when) // 60}:{int(when) % 60:02d}] {words}" for when, words in talk)
    review = review_of(transcript=transcript_from_bytes(text.encode(), "talk.txt"))
    svg = review_view(review).wide
    assert svg.count('class="heard"') >= len(rows) - 2
    assert not re.search(r'class="rate"|class="standstill"', svg)
    assert review.real is not None
    assert review.real.by == "the transcript"


def test_words_are_laid_on_the_log_s_time() -> None:
    """The recording began half a minute before the session did."""
    rows = sets()
    lines, _ = lines_of(rows, range(len(rows)))
    text = "\n".join(f"[{int(at + 30) // 60}:{int(at + 30) % 60:02d}] {words}" for at, words in sorted(lines))
    review = review_of(as_planned(), transcript=transcript_from_bytes(text.encode(), "talk.txt"))
    assert review.real is not None
    assert review.real.recording_ms == pytest.approx(30_000, abs=1_500)


def _on_recording(refusal: str, heard: int) -> OnRecording:
    """The first so many sets are heard, a minute later than planned."""
    end_ms = sets()[heard].at_ms
    stretch = ClockStretch(
        first=0, last=9, line_ms=0, line_end_ms=end_ms, plan_ms=0, plan_end_ms=end_ms, at_ms=60_000.0,
        end_ms=60_000.0 + end_ms, audible=10, is_sure=True,
    )  # fmt: skip
    clock = RecordingClock(
        stretches=() if refusal else (stretch,), drift=0.0, value=100.0, decoy_value=0.0, refusal=refusal
    )
    times = [60_000.0 + each.work_at_ms if place < heard else None for place, each in enumerate(sets())]
    rows = tuple(RecordedSet(plan=each, at_ms=at_ms) for each, at_ms in zip(sets(), times, strict=True))
    return OnRecording(name="take.mp4", clock=clock, sets=rows, gaps_s=())


def test_a_recording_alone_says_first_what_it_does_not_tell() -> None:
    plan_alone = Review(analysis=demo(), sets=sets())
    part = review_view(replace(plan_alone, recording=_on_recording("", 4))).tellings
    assert part[0].text.startswith(f"{len(sets()) - 4} of {len(sets())} sets are not heard")
    assert sets()[4].name in part[0].text
    none = review_view(replace(plan_alone, recording=_on_recording("No beeps are heard.", 0))).tellings
    assert [each.text for each in none] == ["No beeps are heard."]


def test_page_and_print_say_the_same(view: ReviewView) -> None:
    page = review_html(view, ["Wilma: pain"])
    reader = PdfReader(io.BytesIO(review_pdf(view, ["Wilma: pain"])))
    paper = re.sub(r"\s+", " ", " ".join(each.extract_text() for each in reader.pages))
    assert "/MarkInfo" in reader.trailer["/Root"]  # tagged
    for words in (view.title, "Cold hall", "Wilma: pain", *(each.text for each in view.tellings)):
        assert words in page
        assert words in paper
    assert "http:" not in re.sub(r'xmlns="[^"]*"', "", page)


def test_what_is_less_grave_is_folded(view: ReviewView) -> None:
    many = replace(view, tellings=view.tellings * 4)
    page = review_html(many)
    assert f"{len(many.tellings) - MOST_NOTES} more, less serious" in page
    paper = "".join(each.extract_text() for each in PdfReader(io.BytesIO(review_pdf(many))).pages)
    assert paper.count("Less serious") == 1


def test_a_row_of_the_score_begins_at_a_whole_second(view: ReviewView) -> None:
    """The demo's 29:53 in three rows: 9:57.667 stood there."""
    assert re.findall(r">(\d+:\d+\.\d+)<", view.wide + view.narrow) == []


def test_a_telephone_gets_the_narrow_score(view: ReviewView) -> None:
    page = review_html(view)
    assert view.narrow in page
    assert "max-width: 50rem" in page


def test_the_narrow_score_is_as_narrow_as_a_telephone(view: ReviewView) -> None:
    box = re.search(r'viewBox="[-\d.]+ [-\d.]+ ([\d.]+)', view.narrow)
    assert box
    assert float(box[1]) == NARROW.width + 2 * NARROW.margin


def test_the_command_writes_a_report(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    log = tmp_path / "led.json"
    log.write_text(stage_log_text(otherwise()), encoding="utf-8")
    for name in ("back.html", "back.pdf"):
        assert main(["review", str(DEMO), "--log", str(log), "--edits", "--report", str(tmp_path / name)]) == 0
        assert (tmp_path / name).stat().st_size > 20_000
    page = (tmp_path / "back.html").read_text(encoding="utf-8")
    assert f"Leave out {squat()} in Main, Three, which was not led." in page
    assert main(["review", str(DEMO), "--log", str(log), "--report", str(tmp_path / "back.docx")]) == 2
    assert "a file ending in .html or .pdf" in capsys.readouterr().err
    assert main(["review", str(DEMO), "--log", str(log), "--edits", "--json"]) == 0
    values = json.loads(capsys.readouterr().out)
    assert {each["words"] for each in values["edits"]} >= {f"Leave out {squat()} in Main, Three, which was not led."}
