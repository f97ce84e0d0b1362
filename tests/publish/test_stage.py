"""The stage's run sheet: whole, in time, with the participant's side and the leader's limb, and computed beforehand."""

import json
from pathlib import Path
from typing import Any

import pytest

from everyrung.cues.sides import led
from everyrung.moves.library import standard_library
from everyrung.pipeline import Options, run
from everyrung.publish.audio.sound import TONES
from everyrung.publish.stage.write import write_stage
from everyrung.results.analysis import Analysis
from everyrung.runsheet.beeps import beeps
from everyrung.store.cache import default_cache
from everyrung.terms.vocabulary import Side, SpanKind

PLAN = Path(__file__).parents[2] / "examples" / "one-dumbbell-30.toml"


@pytest.fixture(scope="module")
def stage(tmp_path_factory: pytest.TempPathFactory) -> tuple[Analysis, dict[str, Any], Path]:
    folder = tmp_path_factory.mktemp("stage") / "show"
    done = run(PLAN, options=Options(drawings=True, cues=True, cache=default_cache()))
    write_stage(done, folder, standard_library(), default_cache())
    return done, json.loads((folder / "run.json").read_text(encoding="utf-8")), folder


def test_every_span_of_the_timeline_is_there_without_a_gap(stage: tuple[Analysis, dict[str, Any], Path]) -> None:
    done, found, _ = stage
    spans = [(span.at_ms, span.end_ms, str(span.kind)) for span in done.timeline.spans]
    assert [(span["at"], span["end"], span["kind"]) for span in found["spans"]] == spans
    assert found["total_ms"] == done.timeline.total_ms


def test_sides_are_the_participants_and_limbs_the_leaders(stage: tuple[Analysis, dict[str, Any], Path]) -> None:
    done, found, _ = stage
    for span, told in zip(done.timeline.spans, found["spans"], strict=True):
        if span.kind is SpanKind.WORK and span.side is not Side.BOTH:
            one = led(span.side, done.session.view)
            assert (told["side"], told["moves"]) == (str(one.says), str(one.moves))
        else:
            assert "moves" not in told


def test_every_picture_that_is_named_is_there(stage: tuple[Analysis, dict[str, Any], Path]) -> None:
    _, found, folder = stage
    for cell in found["cells"]:
        assert (folder / f"motion-{cell['motion']}.json").is_file()
        for rung in cell["rungs"]:
            assert (folder / f"still-{rung['picture']}.svg").is_file()


def test_every_set_shows_a_harder_an_easier_and_a_no_kit_rung(stage: tuple[Analysis, dict[str, Any], Path]) -> None:
    main = [cell for cell in stage[1]["cells"] if cell["block"] == "Main"]
    assert all([rung["kind"] for rung in cell["rungs"]] == ["harder", "easier", "no-kit"] for cell in main)


def test_beeps_cues_and_cuts_are_those_of_the_plan(stage: tuple[Analysis, dict[str, Any], Path]) -> None:
    done, found, _ = stage
    made = beeps(done.timeline, count_in_ms=done.session.clock.count_in_ms)
    assert found["beeps"] == [[beep.at_ms, str(beep.kind)] for beep in made]
    assert set(found["tones"]) == {str(kind) for kind in TONES}
    assert {name: len(cues) for name, cues in found["cues"].items()} == {
        str(track.track): len(track.said) for track in done.cues
    }
    assert len(found["cuts"]) == len(done.session.cut_order)
    for cut, ref in zip(found["cuts"], done.session.cut_order, strict=True):
        assert cut
        assert all(found["cells"][cell]["ref"].startswith(str(ref)) for cell in cut)


def test_a_motion_is_turned_for_the_side_that_it_was_not_solved_on(
    stage: tuple[Analysis, dict[str, Any], Path],
) -> None:
    """Beside the figure its right limb is for their right side, face to face for their left."""
    _, found, folder = stage
    for cell in found["cells"]:
        motion = json.loads((folder / f"motion-{cell['motion']}.json").read_text(encoding="utf-8"))
        assert cell["turned"] == ("left" if motion["view"] == "side" else "right")
        assert all(rung["turned"] in ("left", "right") for rung in cell["rungs"])
