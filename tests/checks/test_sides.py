"""Sides: the tool's sums against sums done by hand here; and which of the side rules speaks when."""

from collections.abc import Callable
from itertools import product

import pytest

from everyrung.terms.enums import SideRule
from everyrung.terms.finding import Finding

Find = Callable[..., tuple[Finding, ...]]
LUNGE = '  as = "lunge"\n'
ROUNDS = ('  name = "One"\n', '  like = "One"\n', '  like = "Two"\n')
DONE = {SideRule.LEFT_FIRST: (8, 8), SideRule.LEFT_ONLY: (8, 0), SideRule.RIGHT_ONLY: (0, 8)}
RESERVE = '  move = "calf-raise"\n  dose = "12 reps"\n'


def side_rules(findings: tuple[Finding, ...]) -> list[str]:
    names = ("sides-unequal", "side-by-round", "sides-differ", "side-owed")
    return [found.rule for found in findings if found.rule in names]


def test_unequal_over_the_session_is_found_exactly_when_hand_sums_differ(findings: Find) -> None:
    for rules in product(DONE, repeat=3):
        edits = [
            (old, f'{old}  cell.lunge = {{ sides = "{rule}" }}\n') for old, rule in zip(ROUNDS, rules, strict=True)
        ]
        left, right = (sum(DONE[rule][side] for rule in rules) for side in (0, 1))
        found = [each for each in findings(*edits) if each.rule == "sides-unequal"]
        assert bool(found) == (left != right), rules
        if found:
            owed = "left" if left < right else "right"
            assert f"the {owed} is owed {abs(left - right)} reps" in found[0].measured


def test_a_debt_is_named_on_the_other_side_when_the_plan_is_mirrored(findings: Find) -> None:
    left = findings((LUNGE, f'{LUNGE}  sides = "left only"\n'))
    right = findings((LUNGE, f'{LUNGE}  sides = "right only"\n'))
    (one,) = [found for found in left if found.rule == "sides-unequal"]
    (other,) = [found for found in right if found.rule == "sides-unequal"]
    assert "the right is owed 24 reps" in one.measured
    assert "the left is owed 24 reps" in other.measured


def test_eighteen_left_and_twenty_five_right_differ_in_their_cell(findings: Find) -> None:
    found = findings((LUNGE, f'{LUNGE}  left = {{ dose = "18 reps" }}\n  right = {{ dose = "25 reps" }}\n'))
    assert side_rules(found) == ["sides-differ"]
    assert "dose left 18 reps, right 25 reps" in next(each.measured for each in found if each.rule == "sides-differ")


def test_a_stretch_held_longer_on_one_side_differs_in_dose(findings: Find) -> None:
    found = findings(('dose = "60 s a side"', 'dose = "60 s a side"\n  right = { dose = "40 s" }'))
    assert side_rules(found) == ["sides-differ"]
    assert any("dose left 1:00, right 0:40" in each.measured for each in found)


@pytest.mark.parametrize("dose", ["16 in all", "17 in all"])
def test_a_side_told_otherwise_under_a_dose_in_all_differs_in_its_cell(findings: Find, dose: str) -> None:
    edit = f'{ROUNDS[2]}  cell.lunge = {{ dose = "{dose}", right = {{ dose = "10 reps" }} }}\n'
    assert side_rules(findings((ROUNDS[2], edit))) == ["sides-differ"]


def test_a_lever_that_adds_one_to_a_dose_in_all_makes_it_odd(findings: Find) -> None:
    edit = f'{ROUNDS[2]}  cell.lunge = {{ dose = "16 in all", add = [{{ reps = 1 }}] }}\n'
    (found,) = [each for each in findings((ROUNDS[2], edit)) if each.rule.startswith("side")]
    assert found.rule == "sides-unequal"
    assert 'Make its dose "15 in all" or "17 in all"' in found.remedy


def test_a_dose_in_all_led_on_one_side_only_is_owed_whole(findings: Find) -> None:
    edit = f'{ROUNDS[2]}  cell.lunge = {{ dose = "15 in all", sides = "left only" }}\n'
    (found,) = [each for each in findings((ROUNDS[2], edit)) if each.rule == "sides-unequal"]
    assert found.remedy.startswith("Give the right 15 reps more of split squat")


def test_a_make_up_set_of_other_repetitions_leaves_the_rest_owed(findings: Find) -> None:
    found = findings(
        (ROUNDS[1], f'{ROUNDS[1]}  cell.lunge = {{ sides = "left only", dose = "10 a side" }}\n'),
        (ROUNDS[2], f'{ROUNDS[2]}  cell.lunge = {{ sides = "right only", dose = "7 a side" }}\n'),
    )
    assert side_rules(found) == ["sides-unequal"]
    assert any("the right is owed 3 reps" in each.measured for each in found)


def test_a_make_up_set_of_another_tempo_leaves_time_owed(findings: Find) -> None:
    found = findings(
        (ROUNDS[1], f'{ROUNDS[1]}  cell.lunge = {{ sides = "left only" }}\n'),
        (ROUNDS[2], f'{ROUNDS[2]}  cell.lunge = {{ sides = "right only", tempo = "4-0-2-0" }}\n'),
    )
    assert side_rules(found) == ["sides-unequal"]
    assert any("the left is owed 0:16" in each.measured for each in found)  # 8 x (6 s - 4 s)


def test_a_make_up_set_with_another_load_leaves_load_owed(findings: Find) -> None:
    kit = ("[[kit]]", '[[kit]]\nitem = "dumbbells"\nmass = "5 kg"\neach = 2\n\n[[kit]]')
    found = findings(
        kit,
        (LUNGE, f'{LUNGE}  rung = "opposite"\n  load = "10 lb"\n'),
        (ROUNDS[1], f'{ROUNDS[1]}  cell.lunge = {{ sides = "left only" }}\n'),
        (ROUNDS[2], f'{ROUNDS[2]}  cell.lunge = {{ sides = "right only", load = "5 kg" }}\n'),
    )
    assert side_rules(found) == ["sides-unequal"]
    assert any("the left is owed 4 kg in all" in each.measured for each in found)  # 8 x (5 - 4.536) kg = 3.7 kg


def test_ten_pounds_on_one_side_and_four_and_a_half_kilos_on_the_other_are_the_same_load(findings: Find) -> None:
    found = findings((LUNGE, f'{LUNGE}  rung = "opposite"\n  load = "10 lb"\n  right = {{ load = "4.5 kg" }}\n'))
    assert side_rules(found) == []


def test_twelve_pounds_against_ten_differ(findings: Find) -> None:
    found = findings((LUNGE, f'{LUNGE}  rung = "opposite"\n  load = "10 lb"\n  right = {{ load = "12 lb" }}\n'))
    assert side_rules(found) == ["sides-differ"]


def test_one_side_a_round_over_four_rounds_comes_out_even(findings: Find) -> None:
    four = ('  cell.bridge = { dose = "12 reps" }', '  cell.bridge = { dose = "12 reps" }\n\n  [[block.round]]\n'
            '  name = "Four"\n  like = "Three"\n  cell.push = { dose = "10 reps" }')  # fmt: skip
    found = findings((LUNGE, f'{LUNGE}  sides = "one side a round"\n'), four)
    assert side_rules(found) == []


def test_one_side_a_round_with_a_round_skipped_says_that_it_does_not_alternate(findings: Find) -> None:
    found = findings((LUNGE, f'{LUNGE}  sides = "one side a round"\n'), (ROUNDS[1], f'{ROUNDS[1]}  skip = ["lunge"]\n'))
    assert side_rules(found) == ["side-by-round"]
    assert any("2 left and 0 right: with a round skipped" in each.measured for each in found)


def test_one_side_a_round_with_a_pause_on_one_side_only_is_unequal_in_time(findings: Find) -> None:
    found = findings(
        (LUNGE, f'{LUNGE}  sides = "one side a round"\n'),
        (ROUNDS[1], f'{ROUNDS[1]}  cell.lunge = {{ add = [{{ pause = "2 s" }}] }}\n'),
        (ROUNDS[2], f'{ROUNDS[2]}  skip = ["lunge"]\n'),
    )
    assert side_rules(found) == ["sides-unequal"]
    assert any("the left is owed 0:16" in each.measured for each in found)  # 8 pauses of 2 s


def test_held_stretches_are_compared_by_time(findings: Find) -> None:
    found = findings(('dose = "60 s a side"', 'dose = "60 s a side"\n  sides = "left only"'))
    assert side_rules(found) == ["sides-unequal"]
    assert any("left 1:00; right 0:00; the right is owed 1:00" in each.measured for each in found)


@pytest.mark.parametrize(
    ("cell", "rule"),
    [
        ('  move = "split-squat"\n  dose = "8 a side"\n  sides = "left only"\n', "sides-unequal"),
        ('  move = "split-squat"\n  dose = "8 a side"\n  sides = "one side a round"\n', "side-by-round"),
        ('  move = "split-squat"\n  dose = "8 a side"\n  right = { dose = "9 a side" }\n', "sides-differ"),
    ],
)
def test_a_reserve_block_has_to_be_even_by_itself(findings: Find, cell: str, rule: str) -> None:
    assert side_rules(findings((RESERVE, cell))) == [rule]


def test_a_reserve_does_not_make_good_what_the_session_owes(findings: Find) -> None:
    found = findings(
        (LUNGE, f'{LUNGE}  sides = "left only"\n'),
        (RESERVE, '  move = "split-squat"\n  dose = "24 a side"\n  sides = "right only"\n'),
    )
    assert side_rules(found) == ["sides-unequal", "sides-unequal"]


SHARED = '  as = "lunge"\n  dose = "8 a side"\n'
FIVE_EIGHT = 'dose = "13 in all", left = { dose = "5 a side" }, right = { dose = "8 a side" }'


def test_a_dose_in_all_excuses_one_repetition_more_on_a_side_and_no_three(findings: Find) -> None:
    thirteen = (SHARED, '  as = "lunge"\n  dose = "13 in all"\n')
    assert side_rules(findings(thirteen)) == ["sides-unequal"]  # 7 and 6, as said
    three = (ROUNDS[1], f"{ROUNDS[1]}  cell.lunge = {{ {FIVE_EIGHT} }}\n")
    found = findings(thirteen, three)
    assert "sides-differ" in side_rules(found)
    assert any("dose left 5 reps, right 8 reps" in each.measured for each in found)


def test_the_remedy_of_an_odd_dose_is_for_the_set_that_has_it(findings: Find) -> None:
    """5 and 8 stand first, 7 and 6 after them: it is the second that an even dose would mend."""
    found = findings(
        (SHARED, f'  as = "lunge"\n  {FIVE_EIGHT.replace(", ", chr(10) + "  ")}\n'),
        (ROUNDS[1], f'{ROUNDS[1]}  cell.lunge = {{ dose = "13 in all", left = {{}}, right = {{}} }}\n'),
    )
    (unequal,) = [each for each in found if each.rule == "sides-unequal"]
    assert "Main/Two/lunge" in unequal.hint
