"""A session that is led in its room: findings, run sheet, cover page and what the player leaves out."""

from pathlib import Path

import pytest

from everyrung.pipeline import Options, run
from everyrung.publish.player.content import public_sheet
from everyrung.publish.sheet.content import sheet_content
from everyrung.results.analysis import Analysis
from everyrung.room.read import read_room
from everyrung.runsheet.build import run_sheet
from everyrung.runsheet.read_write import from_json, to_json
from everyrung.store.cache import default_cache

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture(scope="module")
def evening() -> Analysis:
    room = read_room(EXAMPLES / "rooms" / "boat-bay.toml")
    return run(
        EXAMPLES / "boathouse-30.toml", options=Options(room=room, room_people=9, cues=False, cache=default_cache())
    )


def test_the_run_sheet_has_help_and_waves_and_comes_back(evening: Analysis) -> None:
    sheet = run_sheet(evening)
    assert from_json(to_json(sheet)) == sheet
    assert sheet.room is not None
    assert dict(sheet.room.help)["Defibrillator"] == "outside the changing rooms, left of the stairs"
    (wave,) = sheet.waves
    assert wave.at_ms == ()  # the plan is led all at once: its clock has no turns
    assert [sheet.cells[at].move for at in wave.cells] == [
        "Standing front thigh stretch",
        "Standing back thigh stretch",
    ]
    for turn, cell in zip(wave.turns, wave.cells, strict=True):  # in turn n wave A does the n-th cell
        assert turn[0].words.startswith(sheet.cells[cell].rungs[0].name)
    done = [{each.words for turn in wave.turns for each in turn if each.wave == letter} for letter in "AB"]
    assert done[0] == done[1]  # both waves do the same


def test_findings_of_the_room_stand_among_the_others(evening: Analysis) -> None:
    rules = [finding.rule for finding in evening.findings]
    assert "room-wall" in rules
    assert rules.index("room-wall") < rules.index("room-behind")  # a warning before a note


def test_the_cover_says_what_the_room_holds_and_where_help_is(evening: Analysis) -> None:
    sheet = sheet_content(evening)
    words = " ".join(sheet.cover.lines)
    assert "Boat bay holds 7, and 9 come." in words
    assert "Defibrillator: outside the changing rooms" in words
    assert "A: places 1 to 5, B: places 6 to 9" in words
    assert "Places 6 to 9: " in " ".join(sheet.room)


def test_what_is_published_says_nothing_of_doors(evening: Analysis) -> None:
    assert "gate code" in to_json(run_sheet(evening))
    assert "gate code" not in to_json(public_sheet(evening))
