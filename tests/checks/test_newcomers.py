"""First-timers: repetitions a leg, added up here by hand."""

from collections.abc import Callable

import pytest

from everyrung.checks.rules.cautions import newcomer_knee_bends
from everyrung.terms.session import Session
from everyrung.timing.timeline import build_timeline

Make = Callable[..., Session]
LUNGE = '  move = "split-squat"\n  as = "lunge"\n  dose = "8 a side"\n'


@pytest.mark.parametrize(
    ("column", "bends"),
    [
        ('  move = "split-squat"\n  as = "lunge"\n  dose = "19 a side"\n', 38),
        ('  move = "split-squat"\n  as = "lunge"\n  dose = "19 a side"\n  sides = "left only"\n', 38),
        ('  move = "split-squat"\n  as = "lunge"\n  dose = "19 a side"\n  sides = "right only"\n', 38),
        ('  move = "squat"\n  as = "lunge"\n  dose = "19 reps"\n', 38),
        ('  move = "squat"\n  as = "lunge"\n  dose = "2:40"\n', 80),  # 160 s in repetitions of 4 s, twice
        ('  move = "squat"\n  as = "lunge"\n  rung = "half-wall"\n  dose = "19 reps"\n', 0),  # not a deep bend
        ('  move = "split-squat"\n  as = "lunge"\n  dose = "37 in all"\n', 38),  # 19 on the left, 18 on the right
    ],
)
def test_knee_bends_are_counted_for_the_leg_that_does_more(session: Make, column: str, bends: int) -> None:
    made = session((LUNGE, column))
    found = list(newcomer_knee_bends(made, build_timeline(made)))
    assert [each.measured.split()[0] for each in found] == ([str(bends)] if bends else [])


@pytest.mark.parametrize(("rounds", "found"), [(1, False), (2, True), (3, True)])
def test_only_the_rounds_first_timers_are_led_through_count(session: Make, rounds: int, found: bool) -> None:
    made = session((LUNGE, LUNGE.replace("8 a", "20 a")), ("newcomer_rounds = 2", f"newcomer_rounds = {rounds}"))
    assert bool(list(newcomer_knee_bends(made, build_timeline(made)))) is found
