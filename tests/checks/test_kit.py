"""Kit, counted per person."""

from collections.abc import Callable

import pytest

from everyrung.checks.kit_needs import people_without, served_in_room, wanted_by
from everyrung.checks.rules.kit import pair_unequal
from everyrung.terms.finding import Finding
from everyrung.terms.session import Session
from everyrung.timing.timeline import build_timeline

Find = Callable[..., tuple[Finding, ...]]
Make = Callable[..., Session]
HINGE = '  as = "hinge"\n'
PAIRS = 'as = "pairs"\ncount = 12'
BAND = '[[kit]]\nitem = "band"\ngrade = "light band"\ncount = 12\n'


def kit_rules(findings: tuple[Finding, ...]) -> list[str]:
    return [found.rule for found in findings if found.rule.startswith("kit-")]


@pytest.mark.parametrize(
    ("stock", "load", "served"),
    # by hand: 12 people in the room; pieces divided by what one person needs, rounded down
    [
        ('as = "pairs"\ncount = 5', "2 x 10 lb", 5),
        ('as = "pairs"\ncount = 5', "10 lb", 10),
        ('as = "pairs"\ncount = 7', "10 lb", 12),
        ("count = 5", "2 x 10 lb", 2),
        ("each = 2", "2 x 10 lb", 12),
        ("each = 1", "2 x 10 lb", 0),
        ('each = 1\n\n[[kit]]\nitem = "dumbbells"\nmass = "4.5 kg"\ncount = 7', "2 x 10 lb", 7),
    ],
)
def test_dumbbells_serve_as_many_people_as_their_pieces_allow(
    session: Make, stock: str, load: str, served: int
) -> None:
    rung = "pair" if load.startswith("2") else "one"
    move = ('  move = "hip-hinge"\n', '  move = "overhead-press"\n') if rung == "one" else (HINGE, HINGE)
    made = session((PAIRS, stock), move, (HINGE, f'{HINGE}  rung = "{rung}"\n  load = "{load}"\n'))
    cell = next(cell for cell in made.cells if cell.ref.cell == "hinge")
    (wanted,) = wanted_by(cell)
    assert served_in_room(made, wanted) == served


def test_a_mass_50_g_off_is_the_same_dumbbell_and_100_g_off_is_not(findings: Find) -> None:
    near = findings((HINGE, f'{HINGE}  rung = "pair"\n  load = "2 x 4.58 kg"\n'))  # 10 lb is 4.536 kg by definition
    far = findings((HINGE, f'{HINGE}  rung = "pair"\n  load = "2 x 4.63 kg"\n'))
    assert kit_rules(near) == []
    assert kit_rules(far) == ["kit-missing"]


@pytest.mark.parametrize(("other_kg", "unequal"), [("4.5", False), ("4.6", True), ("4.45", True)])
def test_two_pieces_are_a_pair_up_to_50_g_apart_where_neither_is_listed(
    session: Make, other_kg: str, unequal: bool
) -> None:
    other = ('mass = "10 lb"', 'mass = "8 lb"')
    made = session(other, (HINGE, f'{HINGE}  rung = "pair"\n  load = "10 lb + {other_kg} kg"\n'))
    found = list(pair_unequal(made, build_timeline(made)))
    assert bool(found) is unequal
    assert all("Take 2 x" in each.remedy for each in found)


def test_a_band_of_another_grade_is_not_the_band_asked_for(session: Make, findings: Find) -> None:
    edit = ('  as = "row"\n', '  as = "row"\n  rung = "wall"\n  load = "heavy band"\n')
    (wanted, *_) = [each for cell in session(edit).cells if cell.ref.cell == "row" for each in wanted_by(cell)]
    assert str(wanted) == "heavy band"
    (found,) = [each for each in findings(edit) if each.rule == "kit-missing"]
    assert "use a light band, which is there" in found.remedy


def test_people_at_home_have_only_what_everyone_brings(session: Make) -> None:
    counted, brought = session(), session((BAND, BAND.replace("count = 12", "each = 1")))
    rows = [next(cell for cell in made.cells if cell.ref.cell == "row") for made in (counted, brought)]
    assert people_without(counted, rows[0]) == 9  # all who are at home
    assert people_without(brought, rows[1]) == 0


def test_too_few_at_the_wall_is_led_in_turns_and_no_wall_listed_is_taken_to_be_there(findings: Find) -> None:
    at_the_wall = ('  as = "lunge"\n', '  as = "lunge"\n  rung = "wall"\n')
    wall = ("[[kit]]", '[[kit]]\nitem = "wall"\ncount = 10\n\n[[kit]]')
    assert kit_rules(findings(at_the_wall)) == []
    (found,) = [each for each in findings(at_the_wall, wall) if each.rule == "kit-short"]
    assert "not for 2" in found.measured
    whom = "push-up: Seated palm squeeze; split squat: Split squat; calf stretch at the wall: no option without it."
    waves = "Lead Warm-up in waves (squat-and-reach with wall-push; each person waits 0:04 in all)"
    assert found.remedy == f"{waves}, or tell 2 people before: {whom}"


def test_someone_who_lacks_one_of_two_items_goes_without(session: Make) -> None:
    chairs = ("[[kit]]", '[[kit]]\nitem = "chair"\neach = 1\n\n[[kit]]')
    row = ('  move = "bent-row"\n', '  move = "one-arm-row"\n  rung = "chair"\n  load = "10 lb"\n')
    over = '\n  [[block.move]]\n  move = "overhead'
    one_side = (f'  dose = "10 reps"{over}', f'  dose = "10 a side"{over}')
    made = session(chairs, row, one_side)
    cell = next(cell for cell in made.cells if cell.ref.cell == "row")
    assert {str(wanted.item) for wanted in wanted_by(cell)} == {"chair", "dumbbells"}
    assert people_without(made, cell) == 9  # a chair each, but no dumbbell at home
    fewer = session(chairs, row, one_side, (PAIRS, 'as = "pairs"\ncount = 5'))
    assert people_without(fewer, cell) == 9 + 2  # and ten single dumbbells for twelve in the room


def test_a_missing_mass_is_answered_with_the_nearest_there_is(findings: Find) -> None:
    more = ("[[kit]]", '[[kit]]\nitem = "dumbbells"\nmass = "3 kg"\ncount = 24\n\n[[kit]]')
    for load, nearest in (("2 x 2 kg", "3 kg"), ("2 x 8 kg", "10 lb"), ("2 x 3.5 kg", "3 kg")):
        found = findings(more, (HINGE, f'{HINGE}  rung = "pair"\n  load = "{load}"\n'))
        (missing,) = [each for each in found if each.rule == "kit-missing"]
        assert f"the nearest that is there, {nearest}." in missing.remedy


def test_a_missing_ball_is_answered_with_the_no_kit_rung_and_not_with_a_band(findings: Find) -> None:
    found = findings(('  move = "bridge"\n', '  move = "bridge"\n  rung = "heels-ball"\n'))
    (missing,) = [each for each in found if each.rule == "kit-missing"]
    assert missing.remedy == "List ball among the kit, or lead the no-kit rung: bridge: Bridge on the heels."


def test_nobody_in_the_room_means_nobody_goes_without_there(findings: Find) -> None:
    found = findings(("in_room = 12", "in_room = 0"), (BAND, BAND.replace("count = 12", "count = 1")))
    assert kit_rules(found) == []


def test_single_loads_are_enough_where_pairs_are_short_and_only_the_pairs_are_named(findings: Find) -> None:
    found = findings(
        (PAIRS, "count = 14"),
        (HINGE, f'{HINGE}  rung = "pair"\n  load = "2 x 10 lb"\n'),
        ('  as = "press"\n', '  as = "press"\n  rung = "one"\n  load = "10 lb"\n'),
    )
    (short,) = [each for each in found if each.rule == "kit-short"]
    assert short.place == "Main / One, Two, Three / hinge"
    assert "enough for 7 of 12 in the room, not for 5" in short.measured
    assert "Bring 10 more" in short.remedy


def test_people_without_kit_and_without_a_no_kit_option_are_counted(
    findings: Find, library_with: Callable[..., object], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("everyrung.plan.options.alternatives", lambda *_, **__: ())  # no other move stands beside
    kit_everywhere = [("levers = [{ swap = \"band-pull-apart/open-arms\" }]", 'levers = [{ pulse = 1 }]'),
                      ('levers = [{ surface = "wall" }]', 'levers = [{ pulse = 2 }]'),
                      ('levers = [{ surface = "floor" }, { pause = "2 s", at = "top" }]', 'levers = [{ pulse = 4 }]'),
                      ('levers = [{ swap = "prone-pull/pause" }]', 'levers = [{ pulse = 3 }]')]  # fmt: skip
    found = findings(library=library_with("bent-row", *kit_everywhere))
    (missing,) = [each for each in found if each.rule == "option-missing"]
    assert "no no-kit option" in missing.measured
    assert "9 people have no kit for it and nothing else to do" in missing.measured
