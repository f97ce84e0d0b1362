"""The drawn score: true to time, equal to the eye, safe, and legible without colour."""

import os
import re
import subprocess
import sys
import xml.etree.ElementTree as ET
from collections.abc import Callable, Iterator
from itertools import combinations, pairwise
from pathlib import Path

import pytest

from everyrung.pipeline import run
from everyrung.results.analysis import Analysis
from everyrung.score.draw import score_pages, score_svg
from everyrung.score.lanes import score_lanes
from everyrung.score.layout import NARROW, WIDE
from everyrung.score.marks import INK, PAPER
from everyrung.terms.enums import Side, SpanKind
from everyrung.terms.timeline import Timeline, phases

DEMO = Path(__file__).parents[2] / "examples" / "boathouse-30.toml"
SVG = "{http://www.w3.org/2000/svg}"
EM = (
    0.52  # a letter of English in the face: 0.45 by its hmtx table (fontTools on our own move names), and some to spare
)
ByClass = Callable[[ET.Element, str], list[ET.Element]]
Points = Callable[[str], list[tuple[float, float]]]


def ruler(system: ET.Element) -> Callable[[int], float]:
    """Where a moment stands by the numbers on the ruler alone: a second way to the x of everything."""
    ticks = next(each for each in system.iter() if each.get("class") == "ruler")
    path = next(each.get("d", "") for each in ticks.iter(f"{SVG}path") if "v-5" in each.get("d", ""))
    minutes = [float(x) for x in re.findall(r"M([\d.]+) [\d.]+v-5(?:M|$)", path)]
    first = -(-int(system.get("data-at", "")) // 60_000)
    scale = (minutes[-1] - minutes[0]) / ((len(minutes) - 1) * 60_000)
    return lambda at_ms: minutes[0] + (at_ms - first * 60_000) * scale


def texts(root: ET.Element) -> Iterator[tuple[float, float, float, float, str]]:
    """Left, right, baseline, size and words of each line of text."""
    for each in root.iter(f"{SVG}text"):
        said = "".join(each.itertext())
        size, x, y = float(each.get("font-size", "0")), float(each.get("x", "0")), float(each.get("y", "0"))
        width = len(said) * size * EM
        left = x - {"end": width, "middle": width / 2}.get(each.get("text-anchor", ""), 0)
        yield left, left + width, y, size, said


@pytest.mark.parametrize("paper", [WIDE, NARROW], ids=lambda paper: paper.name)
def test_every_work_span_stands_at_its_true_time(
    evening: Analysis, paper: object, by_class: ByClass, points: Points
) -> None:
    root = ET.fromstring(score_svg(evening.session, evening.timeline, paper))  # type: ignore[arg-type]
    seen = {}
    for system in by_class(root, "system"):
        x = ruler(system)
        for drawn in by_class(system, "span work"):
            at_ms, end_ms = int(drawn.get("data-at", "")), int(drawn.get("data-end", ""))
            corners = [corner for corner, _ in points(drawn[0].get("d", ""))]
            assert min(corners) == pytest.approx(x(at_ms), abs=0.1)
            assert max(corners) == pytest.approx(x(end_ms), abs=0.1)
            seen[at_ms] = end_ms
    assert seen == {span.at_ms: span.end_ms for span in evening.timeline.spans if span.kind is SpanKind.WORK}


def test_every_repetition_is_ticked_where_it_starts(evening: Analysis, score: ET.Element, by_class: ByClass) -> None:
    spans = {span.at_ms: span for span in evening.timeline.spans}
    counted = 0
    for system in by_class(score, "system"):
        x = ruler(system)
        for drawn in by_class(system, "span work reps"):
            starts: dict[int, int] = {}
            for phase in phases(spans[int(drawn.get("data-at", ""))]):
                starts.setdefault(phase.rep, phase.at_ms)
            (ticks,) = by_class(drawn, "ticks")
            marks = [float(at) for at in re.findall(r"M([\d.]+) [\d.]+v6", ticks.get("d", ""))]
            assert marks == pytest.approx([x(at_ms) for at_ms in starts.values()], abs=0.1)
            counted += len(marks)
    assert counted == sum(span.bout.reps for span in evening.timeline.spans if span.bout)


def test_a_plain_repetition_is_deepest_where_lowering_ends(
    evening: Analysis, score: ET.Element, by_class: ByClass, points: Points
) -> None:
    # by hand: the first lunge is 8 repetitions of 2-0-2-0, so it is lowest 2, 6, 10 ... s after it starts
    span = next(each for each in evening.timeline.spans if each.cell and each.cell.ref.cell == "lunge" and each.bout)
    system = next(each for each in by_class(score, "system") if int(each.get("data-end", "")) > span.at_ms)
    drawn = next(each for each in by_class(system, "work") if each.get("data-at") == str(span.at_ms))
    corners = points(drawn[0].get("d", ""))
    deepest = min(y for _, y in corners)
    found = sorted({x for x, y in corners if y == deepest})
    assert found == pytest.approx([ruler(system)(span.at_ms + 2000 + 4000 * rep) for rep in range(8)], abs=0.1)


def test_a_block_begins_at_a_double_bar_line_and_a_round_at_a_single_one(
    evening: Analysis, score: ET.Element, by_class: ByClass, points: Points
) -> None:
    lanes = score_lanes(evening.session, evening.timeline)
    blocks = {frame.at_ms for frame in lanes.blocks}
    for at_ms in blocks | {frame.at_ms for frame in lanes.rounds}:
        for system in by_class(score, "system"):
            if int(system.get("data-at", "")) < at_ms < int(system.get("data-end", "")):
                (bars,) = by_class(system, "bar-lines")
                uprights = [points(each.get("d", ""))[0][0] for each in bars]
                near = [x for x in uprights if abs(x - ruler(system)(at_ms)) < 5]
                assert len(near) == (2 if at_ms in blocks else 1)


def test_every_other_span_is_drawn_once(evening: Analysis, score: ET.Element, by_class: ByClass) -> None:
    drawn = sorted((int(each.get("data-at", "")), int(each.get("data-end", ""))) for each in by_class(score, "span"))
    assert drawn == [(span.at_ms, span.end_ms) for span in evening.timeline.spans]


def test_left_is_above_the_line_and_right_below_and_both_reach_as_far(
    score: ET.Element, by_class: ByClass, points: Points
) -> None:
    reach: dict[str, set[float]] = {"left": set(), "right": set()}
    for system in by_class(score, "system"):
        for drawn in by_class(system, "span work"):
            ys = [y for _, y in points(drawn[0].get("d", ""))]
            side, centre = drawn.get("data-side", ""), points(drawn[0].get("d", ""))[0][1]
            if side == "left":
                assert max(ys) == centre
            elif side == "right":
                assert min(ys) == centre
            else:
                assert max(ys) - centre == pytest.approx(centre - min(ys), abs=0.02)
            if side in reach:
                reach[side].add(round(max(ys) - min(ys), 2))
    assert reach["left"] == reach["right"] != set()


def test_an_open_side_debt_shows_and_a_settled_one_is_lighter(
    plan: Callable[[str], Analysis], by_class: ByClass
) -> None:
    block = '[[block]]\nkind = "main"\n  [[block.move]]\n  move = "split-squat"\n  dose = "8 a side"\n  sides = "{}"\n'
    rounds = '  [[block.round]]\n  name = "One"\n  [[block.round]]\n  name = "Two"\n  like = "One"\n'
    alone = plan(block.format("left only"))
    root = ET.fromstring(score_svg(alone.session, alone.timeline))
    (owed,) = by_class(root, "debt open")
    assert owed.get("data-owed") == "right owed 8 reps"
    assert "right owed 8 reps" in "".join(root.find(f"{SVG}desc").itertext())  # type: ignore[union-attr]
    shared = plan(block.format("one side a round") + rounds)
    root = ET.fromstring(score_svg(shared.session, shared.timeline))
    (later,) = by_class(root, "debt settled")
    assert not by_class(root, "debt open")
    assert float(later[0].get("stroke-width", "")) < float(owed[0].get("stroke-width", ""))


def test_nothing_is_told_by_colour(score: ET.Element) -> None:
    colours = {each.get(name) for each in score.iter() for name in ("fill", "stroke")} - {None}
    fills = {colour for colour in colours if not str(colour).startswith("url(#")}
    assert fills == {"currentColor", "none", PAPER}
    assert score.get("color") == INK


def test_every_kind_of_span_has_a_shape_of_its_own(score: ET.Element, by_class: ByClass) -> None:
    shapes: dict[str, set[tuple[object, ...]]] = {}
    for drawn in by_class(score, "span"):
        parts = tuple(
            (
                part.tag,
                re.sub(r"[-\d. ]+", "", part.get("d", ""))[:6] if "rep" not in drawn.get("class", "") else "",
                part.get("stroke-dasharray"),
                (part.get("fill") or "").partition("-")[0],
                part.get("stroke-width"),
            )
            for part in drawn
        )
        kind = drawn.get("class", "").removeprefix("span ")
        shapes.setdefault(kind, set()).add(parts)
    # Work is drawn in two ways: repetitions, and a hold. Nobody waits where all do the same set: no waves, no waiting.
    assert len(shapes) == len({*SpanKind} - {SpanKind.WAIT}) + 1
    for (one, of_one), (other, of_other) in combinations(shapes.items(), 2):
        assert not of_one & of_other, (one, other)


def test_grades_differ_in_height_and_in_texture(score: ET.Element) -> None:
    patterns = [each for each in score.iter(f"{SVG}pattern") if "grade" in each.get("id", "")]
    weights = [float(each[0].get("stroke-width", "")) for each in patterns]
    assert len(weights) == 5
    assert all(heavier > 1.3 * lighter for lighter, heavier in pairwise(weights))


def test_numbers_have_two_decimals_at_most(evening: Analysis) -> None:
    drawn = score_svg(evening.session, evening.timeline)
    assert not re.findall(r"[\s\"ML]-?\d+\.\d{3,}", drawn)
    assert "nan" not in drawn
    assert "inf " not in drawn


def test_the_same_session_gives_the_same_picture(evening: Analysis) -> None:
    code = (
        "import sys, hashlib\nfrom pathlib import Path\nfrom everyrung.pipeline import run\n"
        "from everyrung.score.draw import score_svg\nr = run(Path(sys.argv[1]))\n"
        "print(hashlib.sha256(score_svg(r.session, r.timeline).encode()).hexdigest())"
    )
    plan = str(Path(__file__).parent / "evening.toml")
    made = {
        subprocess.run(
            [sys.executable, "-c", code, plan],
            capture_output=True, text=True, check=True, env={**os.environ, "PYTHONHASHSEED": seed},
        ).stdout
        for seed in ("1", "2")
    }  # fmt: skip
    assert len(made) == 1
    assert score_svg(evening.session, evening.timeline) == score_svg(evening.session, evening.timeline)


@pytest.mark.parametrize("paper", [WIDE, NARROW], ids=lambda paper: paper.name)
@pytest.mark.parametrize("which", ["evening", "hostile"])
def test_no_words_leave_the_paper(request: pytest.FixtureRequest, which: str, paper: object) -> None:
    done = request.getfixturevalue(which)
    root = ET.fromstring(score_svg(done.session, done.timeline, paper))  # type: ignore[arg-type]
    x, y, width, height = (float(number) for number in root.get("viewBox", "").split())
    found = list(texts(root))
    assert len(found) > 30
    outside = [
        said
        for left, right, base, size, said in found
        if left < x or right > x + width or base - size < y or base + 0.3 * size > y + height
    ]
    assert not outside


@pytest.fixture(scope="module")
def waved(tmp_path_factory: pytest.TempPathFactory) -> Analysis:
    """The demo with two of its sets side by side, both named before the first."""
    text = DEMO.read_text(encoding="utf-8").replace('"main"\n', '"main"\nwaves = [["squat", "lunge"]]\n', 1)
    path = tmp_path_factory.mktemp("waved") / "waved.toml"
    path.write_text(text, encoding="utf-8")
    return run(path)


@pytest.mark.parametrize("which", ["evening", "waved"])
@pytest.mark.parametrize("paper", [WIDE, NARROW], ids=lambda paper: paper.name)
def test_words_do_not_run_into_each_other(request: pytest.FixtureRequest, which: str, paper: object) -> None:
    shown = request.getfixturevalue(which)
    found = list(texts(ET.fromstring(score_svg(shown.session, shown.timeline, paper))))  # type: ignore[arg-type]
    clashes = [
        (one[4], other[4])
        for one, other in combinations(found, 2)
        if one[0] < other[1] - 1 and other[0] < one[1] - 1 and abs(one[2] - other[2]) < 0.7 * min(one[3], other[3])
    ]
    assert not clashes


def test_every_name_is_read_in_its_cell_or_in_the_key(evening: Analysis, score: ET.Element) -> None:
    said = re.sub(r"\s+", "", "".join("".join(each.itertext()) for each in score.iter(f"{SVG}text")))
    for frame in score_lanes(evening.session, evening.timeline).cells:
        assert f"{frame.number}{frame.cell.rung.name}".replace(" ", "") in said


def test_words_of_the_plan_stay_words(hostile: Analysis) -> None:
    drawn = score_svg(hostile.session, hostile.timeline)
    root = ET.fromstring(drawn)
    assert {each.tag.removeprefix(SVG) for each in root.iter()} <= {
        "svg", "title", "desc", "defs", "pattern", "path", "g", "rect", "circle", "text", "tspan",
    }  # fmt: skip
    assert not [name for each in root.iter() for name in each.attrib if name.startswith("on")]
    assert "<script>alert(1)</script>" in "".join(root.find(f"{SVG}title").itertext())  # type: ignore[union-attr]
    assert "\x01" not in drawn


def test_those_who_cannot_see_it_are_told(score: ET.Element, evening: Analysis) -> None:
    assert score.get("role") == "img"
    named = {each.get("id"): "".join(each.itertext()) for each in score if each.get("id")}
    title, description = (named[ident] for ident in score.get("aria-labelledby", "").split())
    assert evening.session.title in title
    assert "Cool-down from" in description
    assert "Both sides are worked equally" in description


def test_pages_hold_every_system_once(evening: Analysis, by_class: ByClass) -> None:
    pages = [ET.fromstring(page) for page in score_pages(evening.session, evening.timeline)]
    starts = [system.get("data-at") for page in pages for system in by_class(page, "system")]
    whole = by_class(ET.fromstring(score_svg(evening.session, evening.timeline)), "system")
    assert starts == [system.get("data-at") for system in whole]
    idents = [each.get("id") for page in pages for each in page.iter() if each.get("id")]
    assert len(idents) == len(set(idents))


def test_in_print_the_paper_is_the_sheets_own(evening: Analysis, score: ET.Element, by_class: ByClass) -> None:
    assert by_class(score, "paper")
    for page in score_pages(evening.session, evening.timeline):
        assert not by_class(ET.fromstring(page), "paper")
        assert PAPER not in page


def test_on_a_telephone_no_letter_is_under_11_pixels(evening: Analysis) -> None:
    # 390 CSS px wide; sheet.css gives the picture all but 4 px a side, and a border of 1 px
    root = ET.fromstring(score_svg(evening.session, evening.timeline, NARROW))
    scale = (390 - 2 * 4 - 2) / float(root.get("viewBox", "").split()[2])
    assert min(size for _, _, _, size, _ in texts(root)) * scale >= 11


def test_a_session_with_nothing_on_the_clock_is_an_empty_page(evening: Analysis) -> None:
    root = ET.fromstring(score_svg(evening.session, Timeline(spans=())))
    assert root.get("role") == "img"
    assert score_pages(evening.session, Timeline(spans=()))


def test_sides_are_the_participants(evening: Analysis, score: ET.Element, by_class: ByClass) -> None:
    first = next(span for span in evening.timeline.spans if span.bout and span.bout.side is Side.LEFT)
    drawn = next(each for each in by_class(score, "span work") if each.get("data-at") == str(first.at_ms))
    assert drawn.get("data-side") == "left"
    heights = {said: y for _, _, y, _, said in reversed(list(texts(score)))}
    assert heights["Left"] < heights["Right"]
