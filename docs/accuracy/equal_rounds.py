"""How far effort rises over rounds that are alike: the demo with round Two done three times, by the demo's people."""

import tempfile
from functools import cache
from pathlib import Path

import numpy as np

from everyrung.effort.audience import audience
from everyrung.effort.mix import read_mix
from everyrung.effort.simulate import simulate_as_led
from everyrung.pipeline import Options, ready_course
from everyrung.store.cache import default_cache

DEMO = Path(__file__).parents[2] / "examples" / "boathouse-30.toml"
PEOPLE, SEED = 1000, 1
LIKE = '  [[block.round]]\n  name = "{}"\n  like = "One"\n\n'


def three_alike(text: str) -> str:
    """The demo's plan with round Two in place of all three; the notes on what is cut fit no more and go."""
    before, rest = text.split("  # Round One teaches", 1)
    two, after = rest.split("  # Round Two:", 1)[1].split("  # Round Three:", 1)
    second = "  # Round Two:" + two.replace('name = "Two"', 'name = "One"')
    return before + second + LIKE.format("Two") + LIKE.format("Three") + after[after.index("[[block]]") :]


@cache
def left_by_round() -> dict[str, list[np.ndarray]]:
    """By move and round the repetitions left to each person after what is led; all do all of it."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "alike.toml"
        path.write_text(three_alike(DEMO.read_text(encoding="utf-8")), encoding="utf-8")
        along = ready_course(path, Options(cache=default_cache()))
    people = next(audience(read_mix("boathouse"), PEOPLE, SEED, along.session.who.part_in_room))
    found: dict[str, list[np.ndarray]] = {}
    for ref, outcomes in simulate_as_led(people, along):
        found.setdefault(ref.cell, []).append(np.minimum.reduce([one.left for one in outcomes]))
    return found


def rows() -> list[str]:
    """By move: the middle one's repetitions left and who finishes, round by round."""
    return [
        f"{move} | " + " | ".join(f"{np.median(left):.0f} left, {np.mean(left >= 0):.0%}" for left in rounds)
        for move, rounds in left_by_round().items()
    ]
