"""The film's scenes: the right words at the right time, each within its part of the picture."""

from itertools import pairwise

import pytest

from everyrung.publish.video import layout
from everyrung.publish.video.layout import CLIP, FILM, LineSprites
from everyrung.publish.video.scenes import EARLY_MS, Scene, round_marks_ms, scene_at, scenes
from everyrung.results.analysis import Analysis
from everyrung.terms.errors import Invalid
from everyrung.terms.session import Cell
from everyrung.terms.timeline import Span


@pytest.mark.parametrize("name", ["evening", "hostile", "said"])
def test_scenes_follow_each_other_from_start_to_end(name: str, request: pytest.FixtureRequest) -> None:
    done: Analysis = request.getfixturevalue(name)
    made = scenes(done.session, done.timeline)
    assert made[0].at_ms == 0
    assert made[-1].end_ms == done.timeline.total_ms
    assert all(before.end_ms == after.at_ms for before, after in pairwise(made))
    assert all(scene_at(made, each.at_ms) is each and scene_at(made, each.end_ms - 1) is each for each in made)


def test_the_count_is_the_repetition_that_is_done(works: list[tuple[Span, Cell]], found: tuple[Scene, ...]) -> None:
    counted = 0
    for span, cell in works:
        for rep in range(1, span.bout.reps + 1 if span.bout else 0):
            for at_ms in (span.at_ms + (rep - 1) * span.bout.rep_ms, span.at_ms + rep * span.bout.rep_ms - 1):
                scene = scene_at(found, at_ms)
                assert (scene.count, scene.of, scene.title) == (str(rep), f"of {span.bout.reps}", cell.rung.name)
                assert scene.working
                counted += 1
    assert counted > 300


def test_a_hold_counts_the_seconds_left(works: list[tuple[Span, Cell]], found: tuple[Scene, ...]) -> None:
    holds = [span for span, _ in works if span.bout and not span.bout.reps]
    assert holds
    for span in holds:
        assert scene_at(found, span.at_ms).count == str(span.duration_ms // 1000)
        assert [scene_at(found, span.end_ms - left_ms).count for left_ms in (1, 1_000, 1_001)] == ["1", "1", "2"]
        assert scene_at(found, span.at_ms).label == "Hold"


def test_sides_are_the_participants_in_words(found: tuple[Scene, ...]) -> None:
    assert [scene_at(found, at_ms).side for at_ms in (400_000, 420_000, 430_000)] == [
        "Left side",
        "Right side",
        "Right side",
    ]
    assert scene_at(found, 420_000).label == "Change sides"
    assert [scene_at(found, at_ms).side for at_ms in (71_000, 73_000, 75_000)] == [
        "Left side",
        "Right side",
        "Left side",
    ]  # marching, 2 s each
    assert scene_at(found, 500_000).side == ""


def test_the_next_move_is_told_eight_seconds_early(works: list[tuple[Span, Cell]], found: tuple[Scene, ...]) -> None:
    spans = [span for span, _ in works]
    for span, after in pairwise(spans):
        told = scene_at(found, span.end_ms - EARLY_MS).coming
        assert scene_at(found, span.end_ms - EARLY_MS - 1).coming == ""
        assert told == ("Right side" if after.cell is span.cell else after.cell and after.cell.rung.name)
        assert scene_at(found, span.end_ms - 1).coming == told
    assert scene_at(found, spans[-1].end_ms - 1).coming == "The end"


def test_between_the_work_the_seconds_to_the_next_start_are_counted_down(
    works: list[tuple[Span, Cell]], found: tuple[Scene, ...]
) -> None:
    for span, cell in works:
        before = scene_at(found, span.at_ms - 1)
        assert (before.count, before.of, before.title, before.working) == ("1", "s to go", cell.rung.name, False)
        assert scene_at(found, span.at_ms - 2_500).count == "3"


def test_the_opening_tells_what_will_be_done(found: tuple[Scene, ...]) -> None:
    assert found[0].title == "Boathouse evening: legs, back and shoulders"
    assert found[0].view is None
    assert ("Main: 3 rounds of 5 moves", "19 min") in found[0].agenda


def test_rounds_are_marked_where_they_start(said: Analysis) -> None:
    assert round_marks_ms(said.timeline) == (60_000, 362_000, 744_000, 1_136_000, 1_494_000)


def test_a_scene_that_ends_before_it_starts_is_refused() -> None:
    with pytest.raises(Invalid, match="end_ms"):
        Scene(at_ms=5, end_ms=5, above="", title="")


@pytest.mark.parametrize("at", [FILM, CLIP], ids=["film", "clip"])
def test_every_word_is_inside_its_part_of_the_picture(found: tuple[Scene, ...], at: layout.Layout) -> None:
    lines = LineSprites()
    parts = (
        (at.above, layout.above),
        (at.title, layout.title),
        (at.aside, layout.aside),
        (at.versions, layout.versions),
    )
    puts = [(box, put) for scene in found for box, part in parts for put in part(scene, at) if put.line.words]
    if at.captions:
        puts += [
            (at.captions, put) for put in layout.caption("A caption of just as many signs as it may have, " * 2, at)
        ]
    lines.make(put.line for _, put in puts)
    right = 0
    for box, put in puts:
        made = lines.of(put.line)
        left = right + put.x if put.anchor == "after" else put.x
        right = left + made.sprite.wide
        assert box.x <= left, put
        assert right <= box.x + box.wide, put
        assert box.y <= put.y + made.top, put
        assert put.y + made.top + made.sprite.high <= box.y + box.high, put


def test_other_versions_stand_beside_one_another_each_once(said: Analysis, found: tuple[Scene, ...]) -> None:
    cells = {cell.rung.name: cell for cell in said.session.cells if cell.options}
    working = [scene for scene in found if scene.working and scene.title in cells]
    assert working
    for scene in working:
        names = [name for _, name in scene.versions]
        assert len(set(names)) == len(names)
        assert scene.title not in names
        for option in cells[scene.title].options:
            if option.rung.name != scene.title:
                assert any(name.startswith(option.rung.name) for name in names)
