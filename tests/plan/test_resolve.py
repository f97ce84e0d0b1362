"""After resolving nothing is open, and every default taken is told with its reason."""

from dataclasses import fields, is_dataclass, replace
from pathlib import Path

import pytest

from everyrung.moves import library
from everyrung.moves.library import Library, standard_library
from everyrung.plan.read import plan_from_text
from everyrung.plan.resolve import resolve
from everyrung.terms.enums import Carry, KitItem, LoadNeed, OptionKind, Side
from everyrung.terms.errors import Faults
from everyrung.terms.plan import Leader
from everyrung.terms.session import Cell, Session
from everyrung.terms.units import Load
from everyrung.timing.transitions import held_kit

EXAMPLES = Path(__file__).parents[2] / "examples"
LIBRARY = Path(library.__file__).parent / "library"
HEAD = """\
title = "Evening"
slot_minutes = 30
[who]
in_room = 8
newcomers = true
[[kit]]
item = "dumbbells"
mass = "10 kg"
as = "pairs"
count = 8
[[kit]]
item = "dumbbells"
mass = "10 lb"
as = "pairs"
count = 8
[[block]]
kind = "main"
"""
ROUNDS = '[[block.round]]\nname = "One"\n[[block.round]]\nname = "Two"\nlike = "One"\n'


def session_of(body: str) -> Session:
    return resolve(plan_from_text(HEAD + body, "evening.toml"), standard_library())


def only_cell(body: str) -> Cell:
    (cell,) = session_of(body).cells
    return cell


def test_a_bare_cell_gets_everything_it_needs() -> None:
    cell = only_cell('[[block.move]]\nmove = "split-squat"\n')
    assert cell.rung.key == "base"
    assert str(cell.dose) == "10 a side"
    assert [bout.side for bout in cell.bouts] == [Side.LEFT, Side.RIGHT]
    assert {option.kind for option in cell.options} == set(OptionKind)


def test_nothing_is_left_open() -> None:
    """Every field of every cell holds a value; None stands only for 'no load', and then in all its three places."""
    session = session_of('[[block.move]]\nmove = "split-squat"\nrung = "opposite"\n' + ROUNDS)
    for cell in session.cells:
        for bout in cell.bouts:
            assert all(getattr(bout, each.name) is not None for each in fields(bout))
            assert isinstance(bout.load, Load)
            assert bout.load.carry is Carry.OPPOSITE_HAND
        assert all(getattr(cell, each.name) is not None for each in fields(cell))
    assert is_dataclass(session)
    assert session.newcomer_rounds == 2


def test_every_default_says_why() -> None:
    session = session_of('[[block.move]]\nmove = "split-squat"\nrung = "opposite"\n' + ROUNDS)
    taken = {default.field: default for default in session.defaults}
    assert {"rest", "tempo", "dose", "load", "harder", "easier", "no-kit", "newcomer_rounds"} <= set(taken)
    assert taken["load"].value == "10 lb"
    assert taken["load"].why == "no load named: the lightest in the kit"
    assert all(default.why and default.where.line for default in session.defaults)


def test_a_leader_that_nobody_can_be_is_a_fault_of_the_plan_also_when_built_in_python() -> None:
    plan = plan_from_text(HEAD + '[[block.move]]\nmove = "squat"\n', "evening.toml")
    with pytest.raises(Faults, match=r"evening\.toml:1: plan: expected 16 to 100 years"):
        resolve(replace(plan, leader=Leader(age=9)), standard_library())


def test_what_is_written_is_not_a_default() -> None:
    body = '[[block.move]]\nmove = "squat"\nrung = "base"\ndose = "9 reps"\ntempo = "3-0-2-0"\nrest = "20 s"\n'
    assert not {"rung", "dose", "tempo"} & {default.field for default in session_of(body).defaults}


@pytest.mark.parametrize(
    ("move", "load", "carry"),
    [
        ("split-squat", "10 lb", Carry.OPPOSITE_HAND),
        ("one-leg-hinge", "10 lb", Carry.OPPOSITE_HAND),
        ("squat", "10 lb", Carry.GOBLET),
        ("split-squat", "2 x 10 lb", Carry.SIDES),
        ("overhead-press", "10 lb", Carry.BOTH_HANDS),
        ("overhead-press", "2 x 10 lb", Carry.SHOULDERS),
        ("bridge", "10 lb", Carry.HIPS),
    ],
)
def test_a_load_is_carried_as_the_trade_does(move: str, load: str, carry: Carry) -> None:
    """Common practice, no source; for a single load opposite to the working leg: Stastny 2015."""
    cell = only_cell(f'[[block.move]]\nmove = "{move}"\nload = "{load}"\n')
    assert {bout.load.carry for bout in cell.bouts if bout.load} == {carry}


def test_a_load_added_in_the_plan_becomes_the_ladders_own_rung() -> None:
    assert only_cell('[[block.move]]\nmove = "split-squat"\nload = "10 lb"\n').rung.key == "opposite"


def test_a_rung_of_the_coachs_own_stands_above_what_it_contains() -> None:
    body = '[[block.move]]\nmove = "split-squat"\nload = "10 lb"\nlevers = [{ pause = "2 s" }]\n'
    cell = only_cell(body)
    easier, harder = cell.option(OptionKind.EASIER), cell.option(OptionKind.HARDER)
    assert easier is not None
    assert harder is not None
    assert easier.rung.key == "opposite"
    assert harder.rung.grade > easier.rung.grade
    assert cell.rung.name == "Split squat, 2-second pause, one dumbbell, opposite hand"


def test_inherited_options_keep_to_the_kit_the_limits_and_the_surface() -> None:
    body = '[[block.move]]\nmove = "ball-wall-squat"\nrung = "part"\n'
    ball = '[[kit]]\nitem = "ball"\ndiameter = "55 cm"\nrated = "250 kg"\neach = 1\n[[block]]'
    with_ball = HEAD.replace("[[block]]", ball, 1)
    (cell,) = resolve(plan_from_text(with_ball + body, "evening.toml"), standard_library()).cells
    harder, no_kit = cell.option(OptionKind.HARDER), cell.option(OptionKind.NO_KIT)
    assert harder is not None
    assert harder.rung.key == "base"
    assert no_kit is not None
    assert no_kit.rung.grade <= cell.rung.grade
    hinge = '[[block.move]]\nmove = "hip-hinge"\n'
    limited = HEAD.replace("newcomers = true", 'limits = ["overhead"]')
    (cell,) = resolve(plan_from_text(limited + hinge, "evening.toml"), standard_library()).cells
    assert all("overhead" not in option.rung.cautions for option in cell.options)


@pytest.mark.parametrize(
    ("dose", "harder", "easier"),
    [("0:40 a side", "0:40 a side", "0:40 a side"), ("8 a side", "8 a side", "8 a side")],
)
def test_an_option_is_done_as_long_or_as_often_as_the_rung_that_is_led(dose: str, harder: str, easier: str) -> None:
    cell = only_cell(f'[[block.move]]\nmove = "split-squat"\ndose = "{dose}"\n')
    doses = {option.kind: str(option.dose) for option in cell.options}
    assert (doses[OptionKind.HARDER], doses[OptionKind.EASIER]) == (harder, easier)


def test_repetitions_added_in_a_round_are_added_once_to_its_options_too() -> None:
    body = '[[block.move]]\nmove = "squat"\ndose = "8 reps"\n' + ROUNDS
    body += "[block.round.cell.squat]\nadd = [{ reps = 2 }]\n"
    cell = list(session_of(body).cells)[-1]
    assert [bout.reps for bout in cell.bouts] == [10]
    assert {option.kind: option.bouts[0].reps for option in cell.options} == dict.fromkeys(OptionKind, 10)


def test_an_option_that_works_both_sides_at_once_has_a_plain_dose() -> None:
    body = '[[block.move]]\nmove = "split-squat"\ndose = "8 a side"\noptions = { easier = "chair-stand/held" }\n'
    easier = only_cell(body).option(OptionKind.EASIER)
    assert easier is not None
    assert (str(easier.dose), len(easier.bouts)) == ("8 reps", 1)


def test_an_option_holds_the_led_pieces_or_the_lightest_there_are() -> None:
    body = '[[block.move]]\nmove = "split-squat"\nload = "10 kg"\noptions = { harder = "pair" }\n'
    harder = only_cell(body).option(OptionKind.HARDER)
    assert harder is not None
    assert str(harder.load) == "2 x 10 kg"
    assert harder.load is not None
    assert harder.load.carry is Carry.SIDES
    plain = only_cell('[[block.move]]\nmove = "split-squat"\noptions = { harder = "pair" }\n')
    lightest = plain.option(OptionKind.HARDER)
    assert lightest is not None
    assert str(lightest.load) == "2 x 10 lb"


def test_a_band_that_is_not_named_is_the_lightest_of_the_kit_and_the_lightest_there_is_without_one() -> None:
    body = '[[block.move]]\nmove = "seated-row"\n'
    assert str(only_cell(body).bouts[0].load) == "light band"
    heavier = HEAD.replace("[[block]]", '[[kit]]\nitem = "band"\ngrade = "heavy band"\neach = 1\n[[kit]]\n'
                           'item = "band"\ngrade = "medium band"\ncount = 6\n[[block]]')  # fmt: skip
    (cell,) = resolve(plan_from_text(heavier + body, "evening.toml"), standard_library()).cells
    assert str(cell.bouts[0].load) == "medium band"
    curl = '[[block.move]]\nmove = "biceps-curl"\nload = "2 x 10 kg"\noptions = { harder = "band" }\n'
    (cell,) = resolve(plan_from_text(heavier + curl, "evening.toml"), standard_library()).cells
    assert str(cell.option(OptionKind.HARDER).load) == "medium band"  # type: ignore[union-attr]


def test_a_load_takes_the_unit_of_the_kit_it_is() -> None:
    cell = only_cell('[[block.move]]\nmove = "squat"\nload = "4.54 kg"\n')
    assert str(cell.bouts[0].load) == "10 lb"


def test_a_carry_in_the_plan_overrides_the_rungs_own() -> None:
    cell = only_cell('[[block.move]]\nmove = "split-squat"\nrung = "opposite"\ncarry = "working hand"\n')
    assert {bout.load_side for bout in cell.bouts if bout.side is Side.LEFT} == {Side.LEFT}


def test_an_own_rung_takes_its_entry_test_from_its_levers_unless_one_is_written() -> None:
    plain = only_cell('[[block.move]]\nmove = "squat"\nlevers = [{ tempo = "5-0-2-0" }]\n')
    assert plain.rung.entry_test == "Can you lower slowly all the way?"
    turned = only_cell('[[block.move]]\nmove = "squat"\nlevers = [{ rotation = "both ways" }]\n')
    assert turned.rung.entry_test == "Turn once each way: back happy, feet still?"
    given = '[[block.move]]\nmove = "squat"\nlevers = [{ rotation = "both ways" }]\nentry_test = "Can you turn?"\n'
    assert only_cell(given).rung.entry_test == "Can you turn?"


def test_rounds_build_on_rounds() -> None:
    body = '[[block.move]]\nmove = "squat"\ndose = "8 reps"\ntempo = "2-0-2-0"\n'
    rounds = (
        '[[block.round]]\nname = "One"\n'
        '[[block.round]]\nname = "Two"\nlike = "One"\ncell.squat = { add = [{ pause = "2 s" }] }\n'
        '[[block.round]]\nname = "Three"\nlike = "Two"\ncell.squat = { dose = "10 reps" }\n'
        '[[block.round]]\nname = "Four"\ncell.squat = { add = [{ reps = 1 }] }\n'
    )
    found = [(cell.bouts[0].reps, str(cell.bouts[0].tempo)) for cell in session_of(body + rounds).cells]
    assert found == [(8, "2-0-2-0"), (8, "2-2-2-0"), (10, "2-2-2-0"), (9, "2-0-2-0")]


def test_a_lever_on_top_replaces_the_rung_s_own_and_repetitions_add_up() -> None:
    longer = only_cell('[[block.move]]\nmove = "squat"\nrung = "pause"\nadd = [{ pause = "5 s" }]\n')
    assert longer.bouts[0].tempo.bottom_ms == 5000
    rounds = (
        '[[block.round]]\nname = "One"\ncell.squat = { add = [{ pause = "1 s" }, { reps = 2 }] }\n'
        '[[block.round]]\nname = "Two"\nlike = "One"\ncell.squat = { add = [{ pause = "2 s" }, { reps = 2 }] }\n'
        '[[block.round]]\nname = "Three"\nlike = "Two"\ncell.squat = { add = [{ reps = -4 }] }\n'
    )
    body = '[[block.move]]\nmove = "squat"\ndose = "8 reps"\ntempo = "2-0-2-0"\n'
    found = [(cell.bouts[0].reps, str(cell.bouts[0].tempo)) for cell in session_of(body + rounds).cells]
    assert found == [(10, "2-1-2-0"), (12, "2-2-2-0"), (8, "2-2-2-0")]


def test_a_round_can_leave_a_move_out() -> None:
    body = '[[block.move]]\nmove = "squat"\n[[block.move]]\nmove = "bridge"\n'
    rounds = ROUNDS.replace('like = "One"\n', 'like = "One"\nskip = ["squat"]\n')
    assert [str(cell.ref) for cell in session_of(body + rounds).cells] == [
        "Main/One/squat", "Main/One/bridge", "Main/Two/bridge",
    ]  # fmt: skip


def test_one_side_a_round_alternates() -> None:
    body = '[[block.move]]\nmove = "split-squat"\nsides = "one side a round"\n'
    assert [bout.side for cell in session_of(body + ROUNDS).cells for bout in cell.bouts] == [Side.LEFT, Side.RIGHT]


def test_sides_can_differ_where_the_plan_says_so() -> None:
    body = '[[block.move]]\nmove = "split-squat"\nload = "10 lb"\nright = { dose = "12 reps", load = "12 lb" }\n'
    left, right = only_cell(body).bouts
    assert (left.reps, str(left.load), right.reps, str(right.load)) == (10, "10 lb", 12, "12 lb")


COLUMN = '[[block.move]]\nmove = "split-squat"\nas = "legs"\ncues = ["Both knees bend."]\n'


def own_points(cell: str) -> list[bool]:
    """In each of two rounds, whether the coach's own point on the column is among the points on the set."""
    rounds = f'[[block.round]]\nname = "One"\n[[block.round]]\nname = "Two"\n[block.round.cell.legs]\n{cell}\n'
    cells = session_of(COLUMN + rounds).cells
    return ["Both knees bend." in {cue.text for cue in each.rung.cues} for each in cells]


def test_a_set_of_another_move_drops_the_points_on_the_move_it_takes_the_place_of() -> None:
    assert own_points('move = "bridge"') == [True, False]


def test_a_set_of_another_rung_keeps_the_points_on_its_move() -> None:
    assert own_points('rung = "pair"') == [True, True]


PAUSED = (
    '[[block.move]]\nmove = "squat"\n[[block.round]]\nname = "One"\n'
    '[block.round.cell.squat]\ntempo = "{tempo}"\nadd = [{{ pause = "2 s" }}]\n'
)


def test_a_tempo_written_without_a_pause_says_nothing_against_a_pause_that_is_added() -> None:
    assert str(only_cell(PAUSED.format(tempo="3-0-1-0")).bouts[0].tempo) == "3-2-1-0"


def test_a_tempo_written_with_another_pause_than_the_one_added_is_refused() -> None:
    with pytest.raises(Faults, match="tempo"):
        only_cell(PAUSED.format(tempo="3-1-1-0"))


@pytest.mark.parametrize(("rounds", "rest_s"), [(1, 0), (2, 30), (3, 30)])
def test_more_than_one_round_has_the_clock_s_rest_between(rounds: int, rest_s: int) -> None:
    names = "".join(f'[[block.round]]\nname = "{number}"\n' for number in range(rounds))
    session = session_of('[[block.move]]\nmove = "squat"\n' + names)
    assert session.clock.round_rest_ms == 30_000
    assert [each.rest_ms for each in session.blocks[0].rounds] == [1000 * rest_s] * rounds


@pytest.mark.parametrize(("words", "seconds"), [(1, 0), (2, 1), (25, 11), (39, 17), (140, 60)])
def test_an_announcement_is_as_long_as_its_words_to_the_nearest_second(words: int, seconds: int) -> None:
    """At 140 words a minute: 0.43, 0.86, 10.7, 16.7 and 60 s."""
    said = " ".join(["word"] * words)
    text = HEAD.replace('[[block]]\nkind = "main"\n', f'[[block]]\nkind = "announcement"\nsay = ["{said}"]\n')
    session = resolve(plan_from_text(text, "evening.toml"), standard_library())
    assert session.blocks[0].talk_ms == 1000 * seconds


def test_who_writes_nothing_of_newcomers_expects_none() -> None:
    text = HEAD.replace("newcomers = true\n", "") + '[[block.move]]\nmove = "squat"\n'
    assert "newcomers" not in text
    assert not plan_from_text(text, "evening.toml").who.newcomers


def test_an_option_that_is_written_needs_a_load_and_one_of_the_ladder_gives_way() -> None:
    head = HEAD[: HEAD.index("[[kit]]")] + HEAD[HEAD.index("[[block]]") :]
    bare = resolve(plan_from_text(f'{head}[[block.move]]\nmove = "squat"\n', "evening.toml"), standard_library())
    assert all(option.rung.form.load is LoadNeed.NONE for cell in bare.cells for option in cell.options)
    asked = f'{head}[[block.move]]\nmove = "squat"\noptions = {{ harder = "goblet" }}\n'
    with pytest.raises(Faults, match="a load for this option"):
        resolve(plan_from_text(asked, "evening.toml"), standard_library())


@pytest.mark.parametrize("loaded", ['load = "2 x 10 lb"', 'rung = "pair"'])
def test_a_carry_that_the_move_s_pose_refuses_is_refused_with_its_reason(loaded: str) -> None:
    body = f'[[block.move]]\nmove = "overhead-press"\n{loaded}\ncarry = "overhead"\n'
    with pytest.raises(Faults, match="The press begins at the shoulders"):
        session_of(body)
    assert only_cell(body.replace('"overhead"\n', '"at the shoulders"\n')).bouts


def test_a_cell_decided_before_stands_where_it_is_written_now() -> None:
    """A cell that says the same as one before is not decided again, but its place and that of its defaults are new."""
    body = '[[block.move]]\nmove = "squat"\n[[block.move]]\nmove = "bridge"\n' + ROUNDS
    before = session_of(body)
    after = resolve(plan_from_text("# a line more\n" + HEAD + body, "evening.toml"), standard_library())
    assert [cell.where.line for cell in after.cells] == [cell.where.line + 1 for cell in before.cells]
    lines = [each.where.line for each in before.defaults if each.where.line > 1]  # the head's are at line 1
    assert [each.where.line for each in after.defaults if each.where.line > 1] == [line + 1 for line in lines]
    assert [(each.field, each.value) for each in after.defaults] == [
        (each.field, each.value) for each in before.defaults
    ]


def test_a_cell_depends_on_the_kit_the_limits_and_the_side_rule() -> None:
    """What stands elsewhere in the plan decides it too: after each change of that, the same words are another cell."""
    body = '[[block.move]]\nmove = "squat"\nrung = "goblet"\n[[block.move]]\nmove = "side-lunge"\n'
    heads = [HEAD, HEAD.replace("10 kg", "12 kg").replace("10 lb", "12 kg"), 'sides = "right then left"\n' + HEAD,
             HEAD.replace("[who]\n", '[who]\nlimits = ["deep knee bend"]\n')]  # fmt: skip
    for head in heads:
        again = resolve(plan_from_text(head + body, "evening.toml"), standard_library())
        assert again == resolve(plan_from_text(head + body, "evening.toml"), Library(LIBRARY))  # nothing known in it
    sessions = [resolve(plan_from_text(head + body, "evening.toml"), standard_library()) for head in heads]
    assert len({tuple(cell.bouts for cell in each.cells) for each in sessions}) == 3  # limits change options alone


def test_whoever_has_a_kettlebell_alone_takes_that_where_a_dumbbell_is_asked_for() -> None:
    """In the plan's kit there is no dumbbell; said, laid on the clock and printed is what is there."""
    text = (EXAMPLES / "one-kettlebell-45.toml").read_text(encoding="utf-8")
    alone = resolve(plan_from_text(text, "plan.toml"), standard_library())
    kits = {kit.item for cell in alone.cells for bout in cell.bouts for kit in held_kit(cell, bout)}
    assert KitItem.KETTLEBELL in kits
    assert KitItem.DUMBBELLS not in kits
    cues = {cue.text for cell in alone.cells for cue in cell.rung.cues}
    assert "Keep the kettlebell close to your shirt." in cues
    names = {rung.name for cell in alone.cells for rung in (cell.rung, *(each.rung for each in cell.options))}
    assert "Squat, one kettlebell at the chest" in names
    tests = {rung.entry_test for cell in alone.cells for rung in (cell.rung, *(each.rung for each in cell.options))}
    assert not [words for words in (*names, *tests, *cues) if "dumbbell" in words and "two dumbbells" not in words]
    more = text.replace("[[kit]]\n", '[[kit]]\nitem = "dumbbells"\nmass = "8 kg"\ncount = 12\n\n[[kit]]\n', 1)
    both = resolve(plan_from_text(more, "plan.toml"), standard_library())
    assert KitItem.DUMBBELLS in {kit.item for cell in both.cells for kit in held_kit(cell, cell.bouts[0])}


def test_an_option_is_held_with_the_band_of_the_version_that_is_led() -> None:
    body = '[[block.move]]\nmove = "press-out"\nrung = "half"\nload = "heavy band"\noptions = { harder = "narrow" }\n'
    option = only_cell(body).option(OptionKind.HARDER)
    assert option is not None
    assert str(option.load) == "heavy band"


def test_a_title_of_120_letters_is_taken_and_one_more_is_refused() -> None:
    body = '[[block.move]]\nmove = "squat"\n'
    for letters in (119, 120):
        assert plan_from_text(HEAD.replace("Evening", "E" * letters) + body, "evening.toml").title == "E" * letters
    with pytest.raises(Faults, match="at most 120 letters"):
        plan_from_text(HEAD.replace("Evening", "E" * 121) + body, "evening.toml")
