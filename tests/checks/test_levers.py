"""Which levers changed from round to round: each lever by itself, named by its own word and no other."""

from collections.abc import Callable

import pytest

from everyrung.moves.changed_levers import changed_levers, went_down
from everyrung.terms.finding import Finding
from everyrung.terms.lever import LEVER_WORDS
from everyrung.terms.session import Cell, Session

Make = Callable[..., Session]
THREE = '  cell.bridge = { dose = "12 reps" }'
STOCK = ("[[kit]]", '[[kit]]\nitem = "dumbbells"\nmass = "5 kg"\neach = 2\n\n[[kit]]')

# lever -> the cell's column, what the column has on top, and what round Three changes
ALONE = {
    "range": ("lunge", "", "add = [{ range = 0.8 }]"),
    "pause": ("lunge", "", 'add = [{ pause = "2 s" }]'),
    "tempo": ("lunge", "", 'tempo = "4-0-2-0"'),
    "reps": ("lunge", "", 'dose = "10 a side"'),
    "load": ("hinge", 'rung = "pair"\n  load = "2 x 10 lb"', 'load = "2 x 5 kg"'),
    "carry": ("hinge", 'load = "2 x 10 lb"', 'carry = "at the shoulders"'),
    "reach": ("hinge", "", 'rung = "reach"'),
    "press": ("hinge", 'rung = "pair"\n  load = "2 x 10 lb"', 'add = [{ press = "forward" }]'),
    "rotation": ("lunge", "", 'add = [{ rotation = "both ways" }]'),
    "base": ("hinge", "", 'add = [{ base = "feet together" }]'),
    "unilateral": ("bridge", "", 'add = [{ unilateral = "alternating" }], dose = "10 a side"'),
    "extra": ("curl", "", 'add = [{ extra = "leg lift" }], dose = "10 a side"'),
    "pulse": ("hinge", "", "add = [{ pulse = 2 }]"),
    "surface": ("bridge", "", 'rung = "heels-ball"'),
    "swap": ("hinge", "", 'move = "wide-squat"'),
}


def cells(session: Make, column: str, on_top: str, change: str) -> tuple[Cell, Cell]:
    """The cell of one column in rounds Two and Three, nothing else changed between them but `change`."""
    anchor = f'  as = "{column}"\n' if column != "bridge" else '  move = "bridge"\n'
    even = ('  cell.hinge = { dose = "12 reps" }', "")
    curl = ('  move = "bridge"\n', '  move = "ball-leg-curl"\n  as = "curl"\n')
    swapped = [curl] if column == "curl" else []
    made = session(
        STOCK, even, *swapped, (anchor, f"{anchor}  {on_top}\n"), (THREE, f"  cell.{column} = {{ {change} }}")
    )
    two, three = (
        next(c for c in made.cells if (c.ref.round, c.ref.cell) == (name, column)) for name in ("Two", "Three")
    )
    return two, three


@pytest.mark.parametrize("lever", LEVER_WORDS)
def test_each_lever_is_named_alone_when_it_alone_changes(session: Make, lever: str) -> None:
    before, after = cells(session, *ALONE[lever])
    assert changed_levers(before, after) == (lever,)
    assert changed_levers(after, before) == (lever,)
    assert changed_levers(after, after) == ()


def test_a_carry_that_comes_with_a_first_load_is_part_of_the_load(session: Make) -> None:
    before, after = cells(session, "lunge", "", 'load = "10 lb"')
    assert after.bouts[0].load is not None
    assert changed_levers(before, after) == ("load",)


def test_a_ball_in_the_hands_that_gives_way_to_a_dumbbell_is_part_of_the_load(session: Make) -> None:
    """One thing is held instead of another: to whoever holds it, one change."""
    lift = 'move = "ball-overhead-lift"\n  as = "hinge"'
    made = session(
        ('move = "hip-hinge"\n  as = "hinge"', lift),
        ('  cell.hinge = { dose = "12 reps" }', '  cell.hinge = { rung = "one", load = "10 lb" }'),
    )
    one, two = (next(c for c in made.cells if (c.ref.round, c.ref.cell) == (name, "hinge")) for name in ("One", "Two"))
    assert one.rung.form.surface is not two.rung.form.surface
    assert changed_levers(one, two) == changed_levers(two, one) == ("load",)


def test_a_timed_dose_is_the_reps_lever_too_and_a_slower_tempo_within_it_is_not(session: Make) -> None:
    longer = cells(session, "hinge", 'rung = "base"', 'dose = "0:50"')
    assert changed_levers(*longer) == ("reps",)
    made = session(
        ('  as = "hinge"\n  dose = "10 reps"', '  as = "hinge"\n  dose = "0:40"'),
        ('  cell.hinge = { dose = "12 reps" }', '  cell.hinge = { tempo = "4-0-3-0" }'),
    )
    one, two = (next(c for c in made.cells if (c.ref.round, c.ref.cell) == (name, "hinge")) for name in ("One", "Two"))
    assert one.bouts[0].reps != two.bouts[0].reps
    assert changed_levers(one, two) == ("tempo",)


@pytest.mark.parametrize(("beats", "is_step"), [(100, False), (124, True)])
def test_a_tempo_that_only_keeps_to_a_beat_is_no_step(session: Make, beats: int, is_step: bool) -> None:
    """At 100 a minute eight counts are 4.8 s, not 5, which with a pause was once two levers at once; at 124 3.9 s."""
    made = session(('  cell.hinge = { dose = "12 reps" }', f"  cell.hinge = {{ beats_a_minute = {beats} }}"))
    one, two = (next(c for c in made.cells if (c.ref.round, c.ref.cell) == (name, "hinge")) for name in ("One", "Two"))
    assert (one.beats_a_minute, two.beats_a_minute) == (0, beats)
    assert one.rung.form.tempo != two.rung.form.tempo
    assert ("tempo" in changed_levers(one, two)) is is_step


def test_the_same_dose_a_side_and_in_all_is_no_change(session: Make) -> None:
    before, after = cells(session, "bug", "", 'dose = "6 a side"')
    assert str(before.dose) == "12 in all"
    assert changed_levers(before, after) == ()


@pytest.mark.parametrize("lever", ["range", "pause", "tempo", "reps", "load", "pulse"])
def test_a_measured_lever_goes_down_one_way_and_not_the_other(session: Make, lever: str) -> None:
    before, after = cells(session, *ALONE[lever])
    assert (went_down(before, after), went_down(after, before)) in (((lever,), ()), ((), (lever,)))
    falls = {"range"}  # 0.8 of the depth against 1; all the others rise in ALONE
    assert went_down(before, after) == ((lever,) if lever in falls else ())


@pytest.mark.parametrize(
    ("column", "on_top", "change", "lever"),
    [
        ("bridge", 'rung = "pause"', 'rung = "base"', "pause"),
        ("hinge", 'tempo = "3-0-2-0"', 'tempo = "3-0-1-0"', "tempo"),
        ("hinge", 'tempo = "3-0-2-0"', 'tempo = "2-0-2-0"', "tempo"),
        ("row", 'rung = "wall"\n  load = "heavy band"', 'load = "light band"', "load"),
    ],
)
def test_every_part_of_a_measured_lever_counts_towards_down(
    session: Make, column: str, on_top: str, change: str, lever: str
) -> None:
    before, after = cells(session, column, on_top, change)
    assert went_down(before, after) == (lever,)
    assert went_down(after, before) == ()


@pytest.mark.parametrize(
    "lever", ["base", "surface", "rotation", "swap", "carry", "press", "reach", "unilateral", "extra"]
)
def test_a_lever_without_more_or_less_is_never_said_to_go_down(session: Make, lever: str) -> None:
    before, after = cells(session, *ALONE[lever])
    assert went_down(before, after) == went_down(after, before) == ()


def test_fewer_repetitions_that_pay_for_a_pause_are_two_levers_and_not_a_step_down(
    findings: Callable[..., tuple[Finding, ...]],
) -> None:
    found = findings((THREE, f'{THREE}\n  cell.lunge = {{ dose = "6 a side", add = [{{ pause = "2 s" }}] }}'))
    assert [each.rule for each in found] == ["two-levers"]


def test_a_round_without_a_change_is_found_at_its_own_line(findings: Callable[..., tuple[Finding, ...]]) -> None:
    (two,) = findings(('  cell.hinge = { dose = "12 reps" }', ""))
    (three,) = findings((THREE, ""))
    assert (two.rule, two.place, three.rule, three.place) == ("round-same", "Main / Two", "round-same", "Main / Three")
    assert three.where.line - two.where.line == 5  # [[block.round]], name, like, cell, and a line between
    assert "Two" in two.remedy


def test_a_move_left_out_for_a_round_is_compared_with_the_last_round_that_had_it(
    findings: Callable[..., tuple[Finding, ...]],
) -> None:
    found = findings(
        ("  cell.hinge = ", '  skip = ["bridge"]\n  cell.hinge = '),
        (THREE, '  cell.bridge = { dose = "12 reps", add = [{ pause = "4 s", at = "top" }] }'),
    )
    (two,) = [each for each in found if each.rule == "two-levers"]
    assert "since One" in two.measured
