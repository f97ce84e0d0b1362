"""On the limit is still within it: a plan that just keeps a rule has no finding."""

from collections.abc import Callable

import pytest

from everyrung.terms.finding import Finding

LUNGE = '  as = "lunge"\n'
HINGE = '  as = "hinge"\n'
THREE = '  cell.bridge = { dose = "12 reps" }'

KEPT = {
    "two odd doses 'in all', each side first once, come out even": (
        (LUNGE, f'{LUNGE}  sides = "left then right"\n'),
        (THREE, f'{THREE}\n  cell.lunge = {{ dose = "17 in all", sides = "right then left" }}'),
        ("  cell.hinge = ", '  cell.lunge = { dose = "17 in all" }\n  cell.hinge = '),
        ('cut_order = ["Main/Three"]', 'cut_order = ["Main/Three/row"]'),
    ),
    "a side owed in one round and made good in the next is no debt at the end of the block": (
        ("  cell.hinge = ", '  cell.lunge = { sides = "left only" }\n  cell.hinge = '),
        (THREE, f'{THREE}\n  cell.lunge = {{ sides = "right only" }}'),
        ("slot_minutes = 38", "slot_minutes = 37"),
        ('cut_order = ["Main/Three"]', 'cut_order = ["Main/Two/row"]'),
    ),
    "right then left is as good as left then right": ((LUNGE, f'{LUNGE}  sides = "right then left"\n'),),
    "two pieces of the same mass written once are a pair": (
        (HINGE, f'{HINGE}  rung = "pair"\n  load = "10 lb + 10 lb"\n'),
    ),
    "24 single dumbbells are 12 pairs": (
        ('as = "pairs"\ncount = 12', 'as = "singles"\ncount = 24'),
        (HINGE, f'{HINGE}  rung = "pair"\n  load = "2 x 10 lb"\n'),
    ),
    "10 lb and 4.5 kg are a pair where 10 lb dumbbells are listed": (
        (HINGE, f'{HINGE}  rung = "pair"\n  load = "10 lb + 4.5 kg"\n'),
    ),
    "10 lb dumbbells do for a load written as 4.5 kg": ((HINGE, f'{HINGE}  rung = "pair"\n  load = "2 x 4.5 kg"\n'),),
    "one band each is enough for everyone": (('grade = "light band"\ncount = 12', 'grade = "light band"\neach = 1'),),
    "a wall and a mat that are not listed are taken to be there": (
        (LUNGE, f'{LUNGE}  rung = "wall"\n'),
        ("slot_minutes = 38", "slot_minutes = 39"),
    ),
    "an entry test of nine words is short enough": (
        (LUNGE, f'{LUNGE}  entry_test = "Can you balance in the split for ten seconds?"\n'),
    ),
    "an entry test that asks for just what was done in the round before": (
        ('cell.hinge = { dose = "12 reps" }', 'cell.hinge = { dose = "12 reps", entry_test = "Ten, back flat?" }'),
    ),
    "an easier and a harder option of the grade of the rung that is led": (
        (LUNGE, f'{LUNGE}  options = {{ easier = "wall" }}\n'),
        (HINGE, f'{HINGE}  rung = "reach"\n  options = {{ harder = "pair" }}\n'),
    ),
    "a harder option that needs a ball, with one ball listed": (
        (LUNGE, f'{LUNGE}  options = {{ harder = "back-foot-ball" }}\n'),
        ("[[kit]]", '[[kit]]\nitem = "ball"\ndiameter = "65 cm"\nrated = "250 kg"\ncount = 1\n\n[[kit]]'),
    ),
    "an easier option at a wall that is not listed": ((LUNGE, f'{LUNGE}  options = {{ easier = "wall-shallow" }}\n'),),
    "a harder option with a caution that someone present has to avoid": (
        ("newcomers = true", 'newcomers = true\nlimits = ["wrist load"]'),
        ('rung = "knees"', 'rung = "wall"\n  options = { harder = "chair" }'),
        ("slot_minutes = 38", "slot_minutes = 39"),
    ),
    "36 deep knee bends a leg over two rounds": (
        ('dose = "8 a side"', 'dose = "18 a side"\n  tempo = "1-0-1-0"'),
        ("slot_minutes = 38", "slot_minutes = 39"),
    ),
    "40 deep knee bends a leg when no first-timer comes": (
        ('dose = "8 a side"', 'dose = "20 a side"\n  tempo = "1-0-1-0"'),
        ("slot_minutes = 38", "slot_minutes = 39"),
        ("newcomers = true", "newcomers = false"),
    ),
    "strong work after the rounds of first-timers": (
        ('level = "moderate"', 'level = "hard"'),
        (THREE, '  cell.push = { rung = "base" }'),
    ),
    "strong work for first-timers beside an easier option of grade 2": (
        ('level = "moderate"', 'level = "hard"'),
        ('rung = "knees"', 'rung = "base"\n  options = { easier = "chair" }'),
    ),
    "one lever in each of two cells": ((THREE, f'{THREE}\n  cell.row = {{ tempo = "3-0-2-1" }}'),),
    "cutting both sides of a cell together": (('["Main/Three"]', '["Main/Three/lunge", "Main/Two"]'),),
    "a caution that nobody present has to avoid, with a rung without it on the ladder": (
        ("newcomers = true", 'newcomers = true\nlimits = ["wrist load"]'),
        ('rung = "knees"', 'rung = "wall"'),
        ("slot_minutes = 38", "slot_minutes = 39"),
    ),
}


@pytest.mark.parametrize("edits", KEPT.values(), ids=KEPT.keys())
def test_a_plan_that_just_keeps_the_rule_has_no_finding(
    edits: tuple[tuple[str, str], ...], findings: Callable[..., tuple[Finding, ...]]
) -> None:
    found = findings(*edits)
    assert not found, "\n".join(map(str, found))
