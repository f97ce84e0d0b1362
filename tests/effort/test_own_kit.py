"""What a kit allows: singles and pairs in either unit, household things, everything else that a rung needs."""

import pytest

from everyrung.effort.choices import Offer, cell_offers
from everyrung.effort.select_rung import allows, pieces, room_kit
from everyrung.moves.library import standard_library
from everyrung.people.kit_parsing import own
from everyrung.plan.read import plan_from_text
from everyrung.plan.resolve import resolve
from everyrung.terms.enums import BandGrade, KitItem, LoadNeed
from everyrung.terms.plan import Stock
from everyrung.terms.units import Mass, MassUnit


def kit(*words: str):
    return tuple(own(word) for word in words)


def offer(rung: str, more: str = "") -> Offer:
    move, key = rung.split("/")
    plan = f"""
title = "One set"
slot_minutes = 10
[who]
at_home = 1
[[block]]
kind = "main"
  [[block.move]]
  move = "{move}"
  rung = "{key}"
  dose = "8 reps"
  {more}
"""
    session = resolve(plan_from_text(plan, "plan.toml"), standard_library())
    return cell_offers(next(session.cells))[0]


@pytest.mark.parametrize(
    ("words", "count", "found"),
    [
        (("10 lb",), 1, ["10 lb"]),
        (("10 lb",), 2, []),
        (("2 x 10 lb",), 2, ["10 lb"]),
        (("10 lb", "4.5 kg"), 2, ["4.5 kg"]),  # 10 lb and a dumbbell stamped 4.5 kg are the same to lift
        (("20 lb", "15 lb"), 2, []),  # never 20 and 15 (common practice, no source)
        (("2 x 4 kg", "12 kg", "rucksack 6 kg"), 1, ["4 kg", "rucksack of 6 kg", "12 kg"]),
        (("2 x water bottle 1.5 kg",), 2, ["water bottle of 1.5 kg"]),
        (("chair", "ball 55 cm"), 1, []),
    ],
)
def test_weights_are_singles_and_pairs_that_match(words: tuple[str, ...], count: int, found: list[str]) -> None:
    assert [str(one) for one in pieces(kit(*words), (LoadNeed.ONE, LoadNeed.PAIR)[count - 1])] == found


def test_only_a_kettlebell_is_swung_and_one_is_also_held_as_a_dumbbell_is() -> None:
    """Common practice, no source: what has a handle does for a dumbbell, but a dumbbell slips where a bell swings."""
    found = kit("5 kg", "kettlebell 8 kg", "medicine ball 3 kg")
    assert [str(one) for one in pieces(found, LoadNeed.KETTLEBELL)] == ["kettlebell of 8 kg"]
    assert [str(one) for one in pieces(found, LoadNeed.ONE)] == ["5 kg", "kettlebell of 8 kg"]
    assert allows(kit("kettlebell 8 kg"), offer("swing/base", 'load = "8 kg"'))
    assert not allows(kit("8 kg"), offer("swing/base", 'load = "8 kg"'))


def test_a_bench_does_for_a_chair_unless_its_back_is_held_and_a_towel_for_sliders() -> None:
    assert allows(kit("bench"), offer("push-up/chair"))
    assert not allows(kit("bench"), offer("hip-hinge/chair"))
    assert allows(kit("towel"), offer("sliding-leg-curl/base"))
    assert not allows(kit("medium band"), offer("band-bridge/base"))
    assert allows(kit("medium mini band"), offer("band-bridge/base"))


def test_other_things_have_to_be_there_and_a_wall_and_a_floor_always_are() -> None:
    squat = offer("ball-wall-squat/base")
    assert not allows(kit("chair"), squat)
    assert allows(kit("ball 55 cm"), squat)
    assert allows((), offer("ball-wall-squat/half-wall"))
    assert allows((), offer("bridge/base"))


def test_a_rung_with_a_band_needs_a_band() -> None:
    press = offer("floor-press/base")
    assert not allows(kit("2 x 4 kg"), press)
    assert allows(kit("medium band"), press)


def test_in_the_room_one_person_takes_a_pair_where_there_are_several() -> None:
    stock = (
        Stock(item=KitItem.DUMBBELLS, count=12, pairs=True, mass=Mass(amount=10, unit=MassUnit.LB)),
        Stock(item=KitItem.BALL, count=4, diameter_cm=55.0, rated_kg=250.0),
        Stock(item=KitItem.BAND, count=3, grade=BandGrade.LIGHT),
        Stock(item=KitItem.DUMBBELLS, count=1, mass=Mass(amount=12, unit=MassUnit.KG)),
    )
    found = room_kit(stock)
    assert [str(one) for one in pieces(found, LoadNeed.PAIR)] == ["10 lb"]
    assert [str(one) for one in pieces(found, LoadNeed.ONE)] == ["10 lb", "12 kg"]
    assert allows(found, offer("ball-wall-squat/base"))
