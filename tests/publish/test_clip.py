"""The upright clip: sets unlike each other, whole repetitions, title first, end words last, as the session has it."""

from itertools import pairwise
from pathlib import Path

import av
import numpy as np
import pytest

from everyrung.publish.audio.sound import SAMPLE_RATE_HZ
from everyrung.publish.folder.sound import mix
from everyrung.publish.stills import unlike_rungs
from everyrung.publish.video.clip import LEAST_MS, MOST_MS, Clip, clip
from everyrung.publish.video.layout import CLIP
from everyrung.publish.video.scenes import Scene, scene_at
from everyrung.publish.video.write import write_picture
from everyrung.results.analysis import Analysis
from everyrung.runsheet.beeps import BeepKind, beeps
from everyrung.terms.enums import BlockKind
from everyrung.terms.errors import Invalid
from everyrung.terms.session import Cell
from everyrung.terms.timeline import Span


@pytest.fixture(scope="module")
def content(said: Analysis) -> Clip:
    return clip(said)


def test_it_lasts_half_a_minute_to_a_minute_from_the_title_to_the_end_words(said: Analysis, content: Clip) -> None:
    parts = content.picture.scenes
    assert LEAST_MS <= content.total_ms <= MOST_MS
    assert parts[0].at_ms == 0
    assert all(before.end_ms == after.at_ms for before, after in pairwise(parts))
    assert parts[0].title == said.session.title
    assert parts[-1].above == said.session.title
    assert "Stop for pain" in " ".join(row for row, _ in parts[-1].agenda)


def test_it_shows_two_or_three_sets_of_the_main_part_that_look_unlike_each_other(
    content: Clip, works: list[tuple[Span, Cell]]
) -> None:
    spans = [next(span for span, _ in works if each.begin_ms < span.at_ms < each.end_ms) for each in content.stretches]
    cells = [span.cell for span in spans if span.cell]
    assert 2 <= len(cells) <= 3
    assert {span.block.kind for span in spans} == {BlockKind.MAIN}
    assert len({cell.rung.form.move for cell in cells}) == len(cells)
    every = {cell.rung.form.position for span, cell in works if span.block.kind is BlockKind.MAIN}
    assert len({cell.rung.form.position for cell in cells}) == min(len(cells), len(every))
    assert [each.begin_ms for each in content.stretches] == sorted(each.begin_ms for each in content.stretches)


def test_rungs_of_other_positions_come_before_those_of_the_same(works: list[tuple[Span, Cell]]) -> None:
    rungs = [cell.rung for span, cell in works if span.block.kind is BlockKind.MAIN]
    positions = list(dict.fromkeys(rung.form.position for rung in rungs))
    choice = unlike_rungs(rungs, len(rungs))
    assert [rung.form.position for rung in choice[: len(positions)]] == positions
    assert {rung.form.move for rung in choice} == {rung.form.move for rung in rungs}


def test_every_stretch_is_a_count_in_and_whole_repetitions(
    said: Analysis, content: Clip, works: list[tuple[Span, Cell]]
) -> None:
    for each in content.stretches:
        span = next(span for span, _ in works if each.begin_ms < span.at_ms < each.end_ms)
        assert span.at_ms - each.begin_ms == said.session.clock.count_in_ms
        assert span.bout
        step_ms = span.bout.rep_ms if span.bout.reps else 1_000
        assert (each.end_ms - span.at_ms) % step_ms == 0
        assert span.at_ms < each.end_ms <= span.end_ms


def test_it_shows_beeps_and_says_what_the_session_does_at_that_time(
    said: Analysis, found: tuple[Scene, ...], content: Clip
) -> None:
    marks = {(beep.at_ms, beep.kind) for beep in beeps(said.timeline, count_in_ms=said.session.clock.count_in_ms)}
    cues = {(cue.at_ms, cue.text) for cue in said.cues[0].said}
    goes = 0
    for each in content.stretches:
        end_ms = each.end_ms - each.shift_ms
        for at_ms in range(each.at_ms, end_ms, 250):
            here, there = scene_at(content.picture.scenes, at_ms), scene_at(found, at_ms + each.shift_ms)
            for name in ("title", "count", "of", "side", "label", "versions"):
                assert getattr(here, name) == getattr(there, name)
            if here.view and there.view:
                assert here.view.in_rep_ms(at_ms) == there.view.in_rep_ms(at_ms + each.shift_ms)
        own = [beep for beep in content.beeps if each.at_ms <= beep.at_ms < end_ms]
        assert {(beep.at_ms + each.shift_ms, beep.kind) for beep in own} <= marks
        goes += sum(beep.kind is BeepKind.GO for beep in own)
        own_cues = [cue for cue in content.track.said if each.at_ms <= cue.at_ms < end_ms]
        assert {(cue.at_ms + each.shift_ms, cue.text) for cue in own_cues} <= cues
        assert all(cue.end_ms <= end_ms for cue in own_cues)
    assert goes == len(content.stretches)
    assert content.track.said


def test_what_is_said_stands_in_the_picture_within_its_own_stretch(content: Clip) -> None:
    words = " ".join(word for each in content.picture.captions for line in each.lines for word in line.split())
    assert words == " ".join(cue.text for cue in content.track.said)
    assert all(before.end_ms <= after.at_ms for before, after in pairwise(content.picture.captions))
    for each in content.picture.captions:
        assert any(part.at_ms <= each.at_ms < each.end_ms <= part.end_ms - part.shift_ms for part in content.stretches)


def test_the_file_is_upright_with_sound_and_words_in_the_picture(content: Clip, tmp_path: Path) -> None:
    """Read by FFmpeg's decoder: four seconds, from one before the first caption."""
    first, path = content.picture.captions[0], tmp_path / "clip.mp4"
    samples, _ = mix(content.beeps, content.total_ms, ())
    begin_ms = first.at_ms - 1_000
    write_picture(content.picture, path, samples, SAMPLE_RATE_HZ, None, part_ms=(begin_ms, begin_ms + 4_000))
    with av.open(str(path)) as container:
        stream = container.streams.video[0]
        assert (stream.codec_context.name, stream.width, stream.height) == ("h264", 1_080, 1_920)
        assert container.streams.audio
        assert not container.streams.subtitles
        pictures = [(each.time or 0.0, each.to_ndarray()[: CLIP.high]) for each in container.decode(video=0)]
    box = CLIP.captions
    assert box
    ink = [(at_s, (luma[box.y : box.y + box.high, box.x : box.x + box.wide] < 80).mean()) for at_s, luma in pictures]
    assert max(dark for at_s, dark in ink if at_s < 0.95) == 0.0
    assert min(dark for at_s, dark in ink if 1.0 <= at_s < (first.end_ms - begin_ms) / 1_000 - 0.05) > 0.005
    figure = np.array([luma[CLIP.figure.y : CLIP.figure.y + CLIP.figure.high] < 80 for _, luma in pictures])
    assert figure[-1].mean() > 0.02


def test_without_a_set_in_the_main_part_there_is_none(hostile: Analysis) -> None:
    with pytest.raises(Invalid, match="main part with a set"):
        clip(hostile)
