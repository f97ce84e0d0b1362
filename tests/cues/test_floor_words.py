"""The way to the floor and back is said to who comes for the first time: once, right after the place, before kit."""

from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest

from everyrung.cues.floor_words import floor_words, up_words
from everyrung.moves.library import standard_library
from everyrung.pipeline import Options, run_plan
from everyrung.plan.read import plan_from_text, read_plan
from everyrung.terms.enums import CueKind, Position
from everyrung.terms.timeline import CueTrack, Track

EXAMPLES = Path(__file__).parents[2] / "examples"
LIBRARY = standard_library()
TEXT = (EXAMPLES / "one-dumbbell-30.toml").read_text(encoding="utf-8")
DOWN, UP = "One knee first, then sit, then lie back.", "Over your side to hands and knees, one foot forward"

NO_TIME = {"mini-bands-30": {Position.FRONT_SUPPORT}}  # in round Three, where first-timers rest; two others were said


@cache
def led() -> tuple[CueTrack, ...]:
    return run_plan(plan_from_text(TEXT, "plan.toml"), library=LIBRARY, options=Options(cues=True)).cues


@pytest.mark.parametrize(("start", "place"), [(DOWN, "Down to the floor."), (UP, "")])
def test_the_way_is_said_once_right_after_the_place(start: str, place: str) -> None:
    said = next(track.said for track in led() if track.track is Track.FIRST)
    ways = [at for at, cue in enumerate(said) if cue.text.startswith(start)]
    assert len(ways) == 1
    before = said[ways[0] - 1]
    assert before.kind is CueKind.PLACE
    assert place in ("", before.text)


@pytest.mark.parametrize("name", sorted(path.stem for path in EXAMPLES.glob("*-[0-9][0-9].toml")))
def test_each_way_up_is_said_in_our_own_plans(name: str) -> None:
    """Nobody is left on the floor to find out; where a plan has no second for it, that stands here with its reason."""
    done = run_plan(read_plan(EXAMPLES / f"{name}.toml"), library=LIBRARY, options=Options(cues=True))
    words = {cue.text for track in done.cues if track.track is Track.FIRST for cue in track.said}
    cells = [cell.rung.form.position for cell in done.session.cells]
    left = {one for one, other in pairwise(cells) if one.on_floor and not other.on_floor}
    assert {each for each in left if up_words(each) not in words} == NO_TIME.get(name, set())


def test_who_comes_again_knows_the_way() -> None:
    again = next(track.said for track in led() if track.track is Track.AGAIN)
    assert not [cue.text for cue in again if cue.text.startswith((DOWN, UP))]


@pytest.mark.parametrize(
    ("address", "way"),
    [
        ("push-up/knees", "One knee first, then the other, then hands."),
        ("push-up/base", "One knee first, then hands, then the feet walk back."),
        ("ball-back-raise/base", "Kneel behind the ball, then lean over it."),
        ("push-up/wall", ""),
    ],
)
def test_the_way_ends_where_the_version_begins(address: str, way: str) -> None:
    assert floor_words(Position.STANDING, LIBRARY.rung(*address.split("/")).form) == way


def test_from_one_place_on_the_floor_to_another_nobody_gets_up() -> None:
    assert not floor_words(Position.BACK, LIBRARY.rung("bird-dog", "base").form)
