"""A stage's files: the run sheet whole and every picture that it names, computed beforehand."""

import json
from pathlib import Path
from typing import Any

import pytest

from everyrung.cues.mirroring import leader_side
from everyrung.moves.library import standard_library
from everyrung.pipeline import Options, run
from everyrung.publish.audio.sound import TONES
from everyrung.publish.stage import write_stage
from everyrung.results.analysis import Analysis
from everyrung.runsheet.build import run_sheet
from everyrung.runsheet.read_write import from_json
from everyrung.runsheet.terms import RunSheet
from everyrung.store.cache import default_cache
from everyrung.terms.enums import OptionKind, Side, SpanKind

PLAN = Path(__file__).parent / "evening.toml"
Stage = tuple[Analysis, RunSheet, dict[str, Any], Path]


@pytest.fixture(scope="module")
def stage(tmp_path_factory: pytest.TempPathFactory) -> Stage:
    folder = tmp_path_factory.mktemp("stage") / "show"
    done = run(PLAN, options=Options(drawings=True, cues=True, branches=True, cache=default_cache()))
    write_stage(done, folder, standard_library(), default_cache())
    sheet = from_json((folder / "run-sheet.json").read_bytes())
    return done, sheet, json.loads((folder / "looks.json").read_text(encoding="utf-8")), folder


def test_the_run_sheet_is_there_as_it_was_made(stage: Stage) -> None:
    done, sheet, looks, _ = stage
    assert sheet == run_sheet(done)
    assert set(looks["tones"]) == {str(kind) for kind in TONES}


def test_sides_are_the_participants_and_limbs_the_leaders(stage: Stage) -> None:
    done, sheet, *_ = stage
    for span, entry in zip(done.timeline.spans, sheet.variants[0].spans, strict=True):
        if span.kind is SpanKind.WORK:
            assert entry.cell is not None
            assert entry.bout is not None
            bout = sheet.cells[entry.cell].rungs[0].bouts[entry.bout]
            one = leader_side(span.side, done.session.view)
            assert (bout.side, bout.moves) == (one.says, one.moves)
            assert (bout.moves is Side.BOTH) == (bout.side is Side.BOTH)
        else:
            assert entry.bout is None


def test_every_picture_that_is_named_is_there_and_no_other(stage: Stage) -> None:
    _, sheet, looks, folder = stage
    led_figures = {cell.rungs[0].figure for cell in sheet.cells}
    others = {rung.figure for cell in sheet.cells for rung in cell.rungs[1:]}
    assert set(looks["motions"]) == led_figures
    assert set(looks["stills"]) == others
    files = (
        {"run-sheet.json", "looks.json"}
        | {f"motion-{key}.json" for key in led_figures}
        | {f"still-{key}.svg" for key in others}
    )
    assert {path.name for path in folder.iterdir()} == files


def test_every_set_shows_a_harder_an_easier_and_a_no_kit_rung(stage: Stage) -> None:
    sheet = stage[1]
    main = [cell for cell in sheet.cells if sheet.blocks[cell.block].name == "Main"]
    assert all({rung.kind for rung in cell.rungs} == {None, *OptionKind} for cell in main)


def test_a_motion_is_turned_for_the_side_that_it_was_not_solved_on(stage: Stage) -> None:
    """Beside the figure its right limb is for their right side, face to face for their left."""
    _, sheet, looks, folder = stage
    for cell in sheet.cells:
        key = cell.rungs[0].figure
        motion = json.loads((folder / f"motion-{key}.json").read_text(encoding="utf-8"))
        assert looks["motions"][key] == ("left" if motion["view"] == "side" else "right")
    assert set(looks["stills"].values()) <= {"left", "right"}
