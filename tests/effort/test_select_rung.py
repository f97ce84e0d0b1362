"""Which rung with which load: the led one where it leaves enough, else what comes nearest; nobody without an answer."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from everyrung.effort.choices import Offer, cell_offers
from everyrung.effort.select_rung import (
    NEWCOMER_LEFT,
    NOTHING,
    TARGET_LEFT,
    TOO_EASY_LEFT,
    Candidate,
    ColumnHistory,
    select_rung,
    targets,
)
from everyrung.moves.library import standard_library
from everyrung.plan.read import plan_from_text
from everyrung.plan.resolve import resolve
from everyrung.terms.enums import Level, OptionKind
from everyrung.terms.plan import Ref

LED, HARDER, EASIER, NO_KIT = None, OptionKind.HARDER, OptionKind.EASIER, OptionKind.NO_KIT


def candidates(
    *given: tuple[OptionKind | None, float, float | None], apart: dict[int, float], down: tuple[int, ...]
) -> list[Candidate]:
    """For one person: kind, load and repetitions left; None where it may not be done."""
    return [
        Candidate(
            offer=place, kind=kind, load_kg=kg, dose=8.0, may=np.array([left is not None]),
            left=np.array([-np.inf if left is None else left]), grade=1, above=kind is HARDER,
            apart=np.array([apart.get(place, 0.0)]), first_down=np.array([place in down]),
        )
        for place, (kind, kg, left) in enumerate(given)
    ]  # fmt: skip


def chosen(
    *given: tuple[OptionKind | None, float, float | None],
    new: bool = False,
    led: bool = True,
    apart: dict[int, float] | None = None,
    down: tuple[int, ...] = (),
) -> int:
    newcomer = np.array([new])
    found = select_rung(
        candidates(*given, apart=apart or {}, down=down), targets(Level.MODERATE, newcomer), newcomer, newcomers_led=led
    )
    return int(found[0])


def test_the_led_rung_is_taken_where_it_leaves_enough() -> None:
    assert chosen((LED, 0, 6), (HARDER, 0, 3), (EASIER, 0, 12), (NO_KIT, 0, 7)) == 0


def test_of_loads_the_heaviest_that_leaves_enough() -> None:
    assert chosen((LED, 2, 12), (LED, 5, 5), (LED, 10, 1), (EASIER, 0, 30)) == 1


def test_first_timers_take_the_lightest_and_never_the_harder_rung() -> None:
    assert chosen((LED, 2, 50), (LED, 5, 20), (HARDER, 0, 40), new=True) == 0
    assert chosen((LED, 0, -1), (HARDER, 0, 40), new=True) == NOTHING


def test_first_timers_go_down_a_rung_after_their_rounds() -> None:
    assert chosen((LED, 0, 20), (EASIER, 0, 30), new=True, led=False) == 1
    assert chosen((LED, 0, 20), (EASIER, 0, 30), new=True, led=True) == 0


def test_the_harder_rung_is_for_who_could_do_the_set_three_times_over() -> None:
    # 8 are asked: 16 left are twice as many; up to there the led rung stays theirs
    assert chosen((LED, 0, 16), (HARDER, 0, 9)) == 0
    assert chosen((LED, 0, 17), (HARDER, 0, 9)) == 1
    assert chosen((LED, 0, 17), (HARDER, 0, 2)) == 0  # which would leave too little


def test_below_the_target_the_option_that_comes_nearest_is_taken() -> None:
    assert chosen((LED, 0, 1), (EASIER, 0, 30), (NO_KIT, 0, 5)) == 2
    assert chosen((LED, 0, None), (EASIER, 0, 6), (NO_KIT, 0, 9)) == 1


def test_who_has_not_the_kit_for_the_led_rung_takes_the_harder_one_too() -> None:
    assert chosen((LED, 0, None), (HARDER, 4.5, 5), (EASIER, 0, 40), (NO_KIT, 0, 20)) == 1
    assert chosen((LED, 0, None), (HARDER, 4.5, 1), (EASIER, 0, 40), (NO_KIT, 0, 20)) == 3


def test_of_two_ways_round_the_one_that_changes_less_is_taken() -> None:
    assert chosen((LED, 0, None), (EASIER, 0, 6), (NO_KIT, 0, 30), apart={1: 1.0}) == 2


def test_first_timers_do_not_get_down_to_the_floor_for_the_first_time_after_their_rounds() -> None:
    assert chosen((LED, 0, 20), (EASIER, 0, 30), (NO_KIT, 0, 40), new=True, led=False, down=(1,)) == 2
    assert chosen((LED, 0, None), (EASIER, 0, 30), new=True, led=False, down=(1,)) == NOTHING


def test_where_nothing_leaves_enough_what_leaves_most_is_only_just_done() -> None:
    assert chosen((LED, 0, 0), (EASIER, 0, 2), (NO_KIT, 0, 1)) == 1


def test_of_two_that_are_only_just_done_the_harder_one_comes_last() -> None:
    assert chosen((LED, 0, -1), (HARDER, 0, 2), (EASIER, 0, 0)) == 2
    assert chosen((LED, 0, -1), (HARDER, 0, 2), (EASIER, 0, -1)) == 1
    assert chosen((LED, 0, -1), (HARDER, 0, 2), (EASIER, 0, -1), new=True) == NOTHING


def test_where_nothing_can_be_finished_the_answer_is_to_hold_or_skip() -> None:
    assert chosen((LED, 0, -1), (EASIER, 0, -3), (NO_KIT, 0, None)) == NOTHING


@pytest.mark.parametrize("level", list(Level))
def test_targets_are_those_of_the_level_and_first_timers_keep_four(level: Level) -> None:
    regular, new = targets(level, np.array([False, True]))
    assert regular == TARGET_LEFT[level]
    assert new >= NEWCOMER_LEFT


LEFT = st.one_of(st.none(), st.floats(-10, 60))


@given(
    st.lists(st.tuples(st.sampled_from([LED, HARDER, EASIER, NO_KIT]), st.floats(0, 20), LEFT), min_size=1),
    st.booleans(),
)
def test_whatever_is_offered_the_answer_may_be_done_and_can_be_finished(offered, new: bool) -> None:
    place = chosen(*offered, new=new)
    if place == NOTHING:
        assert all(left is None or left < 0 or (new and kind is HARDER) for kind, _, left in offered)
    else:
        assert offered[place][2] is not None
        assert offered[place][2] >= 0
        assert not (new and offered[place][0] is HARDER)


def test_too_easy_begins_where_nobody_can_judge_any_more() -> None:
    assert TOO_EASY_LEFT == 10  # Hackett 2017 (V): more than 2 off with 7 to 10 left


def offered(move: str, rung: str) -> Offer:
    """The led one of a plan of one move."""
    head = 'title = "One"\nslot_minutes = 10\n[who]\nin_room = 1\n[[block]]\nkind = "main"\n'
    text = f'{head}[[block.move]]\nmove = "{move}"\nrung = "{rung}"\ndose = "8 reps"\n'
    return cell_offers(next(resolve(plan_from_text(text, "one.toml"), standard_library()).cells))[0]


def test_who_skips_a_round_stays_with_the_move_and_the_place_they_had() -> None:
    led, floor = offered("squat", "base"), offered("bridge", "base")
    at, path = Ref(block="Main", round="One", cell="legs"), ColumnHistory()
    path.go_on(at, led, [(floor, np.array([1]))], 3)  # one of three takes the floor, two skip
    back, first_back = path.apart(at, led, led, 3)
    down, first_down = path.apart(at, led, floor, 3)
    assert back[0] == back[2] == 0.0 < back[1]
    assert down[1] == 0.0 < down[0] == down[2]
    assert first_down.tolist() == [True, False, True]
    assert not first_back.any()
