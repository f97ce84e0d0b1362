"""What the middle person has left in the examples, and that nobody who comes is without a version.

No source outside the project: how many can finish is the model's (docs/accuracy-audience.md). Which patterns are
still too light is written down, so that a change for better or worse is seen.
"""

from functools import cache
from pathlib import Path

import pytest

from everyrung.pipeline import AudienceSpec, Options, run
from everyrung.results.analysis import Analysis
from everyrung.store.cache import default_cache
from everyrung.terms.enums import Pattern

EXAMPLES = Path(__file__).parents[2] / "examples"
MOST_LEFT = 6.0  # repetitions, as the rule too-light has it
MIXES = {
    "seated-30": "over-sixty",
    "steady-30": "over-sixty",
    "office-20": "open-class",
    "first-evening-30": "open-class",
}
TOO_LIGHT = {
    "bare-floor-30": {Pattern.KNEE, Pattern.PUSH, Pattern.PULL, Pattern.BRIDGE},
    "boathouse-30": {Pattern.OVERHEAD},  # a ball is light for shoulders, and the next load up is twice as hard
    "conditioning-30": {Pattern.PUSH},
    "first-evening-30": {Pattern.KNEE, Pattern.HIP, Pattern.PUSH, Pattern.PULL, Pattern.TRUNK},  # gentle: a note
    "mini-bands-30": {Pattern.KNEE, Pattern.ABDUCTION, Pattern.BRIDGE, Pattern.TRUNK},
    "office-20": {Pattern.KNEE, Pattern.TRUNK, Pattern.PUSH, Pattern.PULL},
    "one-dumbbell-30": {Pattern.OVERHEAD, Pattern.BRIDGE},
    "one-kettlebell-45": {Pattern.PUSH, Pattern.KNEE},
    "seated-30": {Pattern.TRUNK, Pattern.PULL, Pattern.KNEE, Pattern.PUSH},  # gentle: a note
    "steady-30": {Pattern.KNEE, Pattern.PUSH, Pattern.HIP, Pattern.PULL, Pattern.CALF},  # gentle: a note
    "upper-body-30": {Pattern.OVERHEAD, Pattern.TRUNK},
    "whole-body-45": {Pattern.OVERHEAD},
}
NAMES = sorted(path.stem for path in EXAMPLES.glob("*-[0-9][0-9].toml"))

pytestmark = pytest.mark.slow


@cache
def rehearsed(name: str) -> Analysis:
    spec = AudienceSpec(mix=MIXES.get(name, "boathouse"), count=400)
    return run(EXAMPLES / f"{name}.toml", options=Options(audience=spec, cache=default_cache()))


@pytest.mark.parametrize("name", NAMES)
def test_nobody_who_has_to_avoid_something_is_without_a_version(name: str) -> None:
    assert [str(each) for each in rehearsed(name).findings if each.rule == "limit-without-path"] == []


@pytest.mark.parametrize("name", NAMES)
def test_the_patterns_that_are_too_light_are_those_written_down(name: str) -> None:
    done = rehearsed(name)
    assert done.forecast is not None
    moves = {cell.ref: cell.move for cell in done.session.cells}
    least: dict[Pattern, float] = {}
    for each in done.forecast.cells:
        led = each.led_rung
        if led is not None and led.unit == "reps":
            pattern = moves[each.ref].pattern
            least[pattern] = min(least.get(pattern, 1e9), led.possible.p50 - led.asked)
    assert {pattern for pattern, left in least.items() if left > MOST_LEFT} == TOO_LIGHT[name]
