"""Audio description: in the silences only, of what is seen and not said, slow enough to follow.

Sources: DCMP Description Key and W3C WAI (dcmp_description, w3c_description): descriptions are said where nothing else
is, in the present tense, of what is seen and matters. WebVTT's kind "descriptions" is for a voice to read.
"""

import re
from itertools import pairwise
from pathlib import Path

import pytest

from everyrung.cues.cell_timing import CellTiming, cell_timings
from everyrung.cues.speech import speech_ms
from everyrung.pipeline import Options, run
from everyrung.publish.captions.read import read_captions
from everyrung.publish.descriptions.place import Descriptions, descriptions, descriptions_vtt
from everyrung.publish.inspect import inspect
from everyrung.publish.output import Order
from everyrung.publish.outputs.descriptions import description_track
from everyrung.publish.video.scenes import scene_at, scenes
from everyrung.results.analysis import Analysis
from everyrung.store.cache import default_cache
from everyrung.terms.enums import BlockKind, CueKind

EVENING = Path(__file__).parent / "evening.toml"


@pytest.fixture(scope="module")
def shown() -> Analysis:
    return run(EVENING, options=Options(cues=True, drawings=True, cache=default_cache()))


@pytest.fixture(scope="module")
def content(shown: Analysis) -> Descriptions:
    return descriptions(shown)


@pytest.fixture(scope="module")
def visits(shown: Analysis) -> tuple[CellTiming, ...]:
    return cell_timings(shown.timeline, shown.session.clock)


def test_nothing_is_described_over_a_cue_a_count_or_another_description(
    shown: Analysis, content: Descriptions, visits: tuple[CellTiming, ...]
) -> None:
    both = content.with_cues(shown.cues[0]).said  # in order, no two at once
    assert len(both) == len(shown.cues[0].said) + len(content.cues)
    assert all(before.end_ms <= after.at_ms for before, after in pairwise(both))
    count_in_ms = shown.session.clock.count_in_ms
    for cue in content.cues:
        for work in (work for visit in visits for work in visit.work):
            assert cue.end_ms <= work.at_ms - count_in_ms or work.at_ms <= cue.at_ms


def test_every_main_set_has_one_or_is_listed(
    shown: Analysis, content: Descriptions, visits: tuple[CellTiming, ...], tmp_path: Path
) -> None:
    main = [visit.cell.ref for visit in visits if visit.block_kind is BlockKind.MAIN]
    without = [cell.ref for cell in content.without]
    assert {cue.ref for cue in content.cues if cue.ref in main} | set(without) == set(main)
    assert len(without) <= len(main) / 5
    order = Order(run=shown, folder=tmp_path)
    assert [path.name for path, _ in description_track.write(order)] == ["descriptions.vtt"]
    assert len(order.notes) == len(without)
    assert all(str(ref) in note for ref, note in zip(without, order.notes, strict=True))


def test_a_description_is_no_faster_than_the_leader(shown: Analysis, content: Descriptions) -> None:
    wpm = shown.session.clock.talk_wpm
    assert all(speech_ms(cue.text, wpm) <= cue.end_ms - cue.at_ms for cue in content.cues)


def test_what_is_described_is_on_the_screen_then(shown: Analysis, content: Descriptions) -> None:
    parts = scenes(shown.session, shown.timeline)
    figures = 0
    for cue in content.cues:
        if cue.ref is None:
            continue
        scene = scene_at(parts, cue.at_ms)
        cell = next(cell for cell in shown.session.cells if cell.ref == cue.ref)
        assert scene.title == cell.rung.name
        if cue.text.startswith("Text under"):
            named = re.sub(r"^Text under the figure: |\.$", "", cue.text).split("; ")
            assert set(named) <= {f"{kinds}, {name}" for kinds, name in scene.versions}
        else:
            figures += 1
    assert figures > 10


def test_ways_are_those_of_the_solved_pose_and_nobody_points(shown: Analysis, content: Descriptions) -> None:
    """'Hips down 30' is what the pelvis does, to half of the five centimetres that are said."""
    ways = 0
    for cue in content.cues:
        assert not re.search(r"\b(?:this|that|here|there|these|those)\b", cue.text, re.IGNORECASE)
        if (found := re.search(r"hips go down (\d+) centimetres", cue.text, re.IGNORECASE)) and cue.ref:
            cell = next(cell for cell in shown.session.cells if cell.ref == cue.ref)
            drawing = shown.drawings[cell.rung.form]
            rest, full = (dict(pose.points)["pelvis"][2] for pose in (drawing.rest, drawing.full))
            assert abs(100 * (rest - full) - int(found[1])) <= 2.5
            ways += 1
    assert ways


def test_versions_that_are_said_are_not_described(shown: Analysis, content: Descriptions) -> None:
    for cue in content.cues:
        if cue.text.startswith("Text under"):
            cell = next(cell for cell in shown.session.cells if cell.ref == cue.ref)
            said = {
                place for each in shown.cues[0].said
                if each.ref == cue.ref and each.kind is CueKind.VERSION for place in each.rungs
            }  # fmt: skip
            for place, option in enumerate(cell.options, 1):
                assert place not in said or f"{option.kind}, {option.rung.name}".replace("-", " ") not in cue.text


def test_the_file_is_read_by_our_own_reader_and_has_no_problem(content: Descriptions, tmp_path: Path) -> None:
    path = tmp_path / "descriptions.vtt"
    path.write_text(descriptions_vtt(content), encoding="utf-8")
    read = read_captions(path.read_bytes(), path.name)
    assert [" ".join(each.lines) for each in read.captions] == [cue.text for cue in content.cues]
    assert "descriptions" in read.notes[0].text
    assert inspect(path).problems == ()
    path.write_text(descriptions_vtt(content).replace("00:1", "00:0"), encoding="utf-8")
    assert inspect(path).problems  # out of order
