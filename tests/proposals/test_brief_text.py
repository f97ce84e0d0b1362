"""A brief in plain words: what twelve coaches' sentences come to, and what is not understood."""

import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from everyrung.moves.library import standard_library
from everyrung.proposals.brief_text import read_brief, unknown_words
from everyrung.proposals.kit_words import number
from everyrung.terms.enums import Caution, KitItem, Level, Pattern
from everyrung.terms.errors import Invalid
from everyrung.terms.person import Health, Own, Person
from everyrung.terms.plan import Stock
from everyrung.terms.session_brief import SessionBrief, Style
from everyrung.terms.units import Mass, MassUnit

SAYINGS = tomllib.loads((Path(__file__).parent / "sayings.toml").read_text(encoding="utf-8"))["saying"]


@pytest.mark.parametrize("saying", SAYINGS, ids=[each["say"][:30] for each in SAYINGS])
def test_what_a_coach_says_is_understood(saying: dict) -> None:
    reading = read_brief(saying["say"])
    brief = reading.brief
    assert brief.minutes == saying["minutes"]
    assert [str(each) for each in brief.focus] == saying.get("focus", [])
    kit = [f"{each.count or each.each} {each.mass or each.grade or each.item}" for each in brief.kit]
    assert kit == saying.get("kit", [])
    assert [str(each) for each in brief.limits] == saying.get("limits", [])
    assert (brief.in_room, brief.at_home, brief.newcomers) == tuple(saying.get("people", (8, 0, False)))
    assert (str(brief.level), brief.floor) == (saying.get("level", "moderate"), saying.get("floor", True))
    assert list(reading.unknown) == saying.get("unknown", [])


def test_a_part_of_the_body_is_trained_unless_it_is_in_trouble() -> None:
    assert read_brief("legs and shoulders").brief.limits == ()
    assert Caution.OVERHEAD in read_brief("legs, one bad shoulder").brief.limits


def test_balance_is_trained_unless_somebody_lacks_it() -> None:
    reading = read_brief("20 minutes, calves and balance")
    assert (reading.brief.focus, reading.brief.limits) == ((Pattern.CALF, Pattern.BALANCE), ())
    assert Caution.FALL_RISK in read_brief("20 minutes, one with poor balance").brief.limits


@pytest.mark.parametrize(
    "words", ["led live, three at home", "live online, three at home", "three at home on a video call"]
)
def test_a_brief_says_that_it_is_led_live(words: str) -> None:
    reading = read_brief(f"25 minutes, two in the room, {words}")
    assert (reading.brief.live, reading.brief.at_home, reading.brief.in_room) == (True, 3, 2)
    assert reading.brief.who.live
    assert reading.unknown == ()
    assert read_brief("25 minutes live").brief.at_home > 0
    with pytest.raises(Invalid, match="at home"):
        SessionBrief(live=True)


@pytest.mark.parametrize(
    "words",
    [
        "one is deaf", "one reads lips", "two are hard of hearing", "a deaf member", "three who lip-read",
        "somebody doesn't hear well", "one of them lipreads", "one wears hearing aids", "with two deaf people",
    ],
)  # fmt: skip
def test_a_brief_says_that_somebody_may_read_lips(words: str) -> None:
    """Hard of hearing is no level."""
    reading = read_brief(f"25 minutes legs, {words}")
    assert reading.brief.lip_readers
    assert reading.brief.who.lip_readers
    assert (reading.brief.level, reading.brief.in_room, reading.unknown) == (Level.MODERATE, 8, ())
    assert any("face is down or turned" in meaning for _, meaning in reading.meanings)


def test_who_is_not_said_to_hear_badly_is_not_taken_to_read_lips() -> None:
    assert not read_brief("25 minutes hard, seven people, one bad knee").brief.lip_readers


def test_patterns_are_known_by_their_own_names() -> None:
    brief = read_brief("push and pulling, overhead, no push-ups").brief
    assert set(brief.focus) == {Pattern.PUSH, Pattern.PULL, Pattern.OVERHEAD}
    assert brief.exclude == ("push-up",)
    assert read_brief("nothing overhead, hinging").brief.focus == (Pattern.HIP,)


def test_a_word_that_is_not_understood_has_the_nearest_beside_it() -> None:
    assert unknown_words(read_brief("dumbells, moonlight")) == "dumbells (nearest: 'dumbbells'), moonlight"


def test_no_diagnosis_is_kept() -> None:
    brief = read_brief("30 min, one pregnant, high blood pressure").brief
    kept = repr(brief) + str(brief.limits) + brief.title
    assert "pregnan" not in kept
    assert "pressure" not in kept


def test_moves_are_wished_for_and_away() -> None:
    brief = read_brief("30 minutes with split squats, no side lunges").brief
    assert (brief.include, brief.exclude) == (("split-squat",), ("side-lunge",))


def test_style_rounds_and_level() -> None:
    brief = read_brief("hard, in pairs, four rounds, light bands").brief
    assert (brief.style, brief.rounds, brief.level) == (Style.PAIRS, 4, Level.HARD)
    assert read_brief("light bands").brief.level is Level.MODERATE


def test_what_is_lifted_is_told_apart() -> None:
    kit = read_brief("a 12 kg kettlebell, a 3 kg medicine ball, 2 x 5 kg, 8 kg rucksack").brief.kit
    assert {(stock.item, stock.mass.amount, stock.pieces) for stock in kit if stock.mass} == {
        (KitItem.KETTLEBELL, 12, 1),
        (KitItem.MEDICINE_BALL, 3, 1),
        (KitItem.DUMBBELLS, 5, 2),
        (KitItem.RUCKSACK, 8, 1),
    }


@pytest.mark.parametrize(
    ("say", "items"),
    [
        ("kettlebell 12 kg", [(KitItem.KETTLEBELL, 12, 1, 0)]),
        ("kettlebells, 12 kg, hips", [(KitItem.KETTLEBELL, 12, 1, 0)]),
        ("kettlebells of 8 and 12 kg", [(KitItem.KETTLEBELL, 8, 1, 0), (KitItem.KETTLEBELL, 12, 1, 0)]),
        ("eight 12 kg kettlebells", [(KitItem.KETTLEBELL, 12, 0, 8)]),
        ("two 8 kg kettlebells each", [(KitItem.KETTLEBELL, 8, 2, 0)]),
        ("a 12 kg kettlebell, 5 kg dumbbells", [(KitItem.KETTLEBELL, 12, 1, 0), (KitItem.DUMBBELLS, 5, 2, 0)]),
        ("dumbbells, 4, 6 and 8 kg", [(KitItem.DUMBBELLS, kg, 2, 0) for kg in (4, 6, 8)]),
    ],
)
def test_a_mass_goes_with_what_it_is_said_of(say: str, items: list[tuple[KitItem, float, int, int]]) -> None:
    """A kettlebell is never taken for two dumbbells."""
    kit = read_brief(say).brief.kit
    assert [(stock.item, stock.mass.amount, stock.each, stock.count) for stock in kit if stock.mass] == items


def test_what_is_not_said_is_as_it_was() -> None:
    start = SessionBrief(minutes=45, focus=(Pattern.PULL,), in_room=3)
    brief = read_brief("two 5 kg", start=start).brief
    assert (brief.minutes, brief.focus, brief.in_room) == (45, (Pattern.PULL,), 3)
    assert brief.kit[0].item is KitItem.DUMBBELLS


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ("3 minutes", "10 to 120 minutes"),
        ("240 minutes of legs", "10 to 120"),
        ("nine rounds", "1 to 5 rounds"),
        ("4 hours", "10 to 120"),
        ("a kettlebell of 900 kg", "at most 100 kg a piece"),
        ("500 kg kettlebells", "at most 100 kg a piece"),
    ],
)
def test_a_number_out_of_bounds_is_refused_with_its_bounds(said: str, words: str) -> None:
    with pytest.raises(Invalid, match=words):
        read_brief(said)


@pytest.mark.parametrize(
    "say", ["gentle, 30 min, hard", "30 min, arms, 45 minutes", "two rounds, legs, three rounds", "in pairs, stations"]
)
def test_two_of_what_a_session_has_one_of_are_refused_with_both(say: str) -> None:
    """The last was once taken, without a word."""
    first, last = say.split(", ")[0], say.split(", ")[-1]
    with pytest.raises(Invalid) as problem:
        read_brief(say)
    assert (problem.value.got, problem.value.nearest) == (f"{first!r} and {last!r}", first)


def test_older_people_may_still_be_offered_something_hard() -> None:
    assert read_brief("seniors, hard, half an hour").brief.level is Level.HARD


def test_nobody_at_all_has_one_as_the_nearest() -> None:
    with pytest.raises(Invalid) as problem:
        read_brief("30 min, 0 people")
    assert problem.value.nearest == "1"


LIBRARY = standard_library()


@pytest.mark.parametrize("key", LIBRARY.keys)
def test_every_move_is_understood_by_its_key_and_its_name(key: str) -> None:
    """A "rear foot squat" was once somebody's bad foot, a "step-up" a step, a "ball leg curl" legs."""
    for name in (key.replace("-", " "), LIBRARY.move(key).name):
        wish, no_wish = read_brief(f"30 min with {name}, two 4 kg"), read_brief(f"30 min, no {name}, two 4 kg")
        assert (wish.brief.include, no_wish.brief.exclude) == ((key,), (key,)), name
        for each in (wish, no_wish):
            assert (each.brief.limits, each.brief.focus, each.unknown) == ((), (), ()), name
        assert [stock.mass.amount for stock in no_wish.brief.kit if stock.mass] == [4], name


def test_kit_in_the_name_of_a_move_is_there_for_it() -> None:
    assert [each.item for each in read_brief("30 min with ball leg curls").brief.kit] == [KitItem.BALL]
    assert read_brief("30 min with side steps and skater steps").brief.kit == ()
    eight = read_brief("30 min, ball leg curl, eight balls").brief.kit
    assert [(each.item, each.count) for each in eight] == [(KitItem.BALL, 8)]


def test_a_move_that_hurts_is_no_wish() -> None:
    reading = read_brief("30 min, knee hurts in split squats, with bridges")
    assert reading.brief.include == ("bridge",)
    assert Caution.DEEP_KNEE in reading.brief.limits


def test_wishes_that_contradict_each_other_are_refused() -> None:
    with pytest.raises(Invalid, match="no move that must be in it as well"):
        read_brief("with squats, without squats")


def test_numbers_are_figures_and_words() -> None:
    assert [number(word) for word in ("7", "Seven", "forty-five", "a")] == [7, 7, 45, 1]
    with pytest.raises(Invalid, match="figures or words"):
        number("many")


def known(name: str, **more: Any) -> Person:
    return Person(name=name, stature_m=1.7, **more)


def test_people_who_are_known_bring_what_they_avoid_and_have() -> None:
    fives = Own(item=KitItem.DUMBBELLS, pieces=2, mass=Mass(amount=5, unit=MassUnit.KG))
    chair = Own(item=KitItem.CHAIR)
    aino = known("Aino", kit=(fives, chair), health=Health(limits=(Caution.OVERHEAD,)))
    greta = known("Greta", level="new", kit=(chair,), health=Health(limits=(Caution.KNEELING, Caution.OVERHEAD)))
    start = SessionBrief(in_room=1, limits=(Caution.KNEELING,))
    in_room = start.for_people((aino, greta), at_home=False)
    assert in_room == replace(start, in_room=2, newcomers=True, limits=(Caution.KNEELING, Caution.OVERHEAD))
    at_home = start.for_people((aino, greta), at_home=True)
    assert (at_home.in_room, at_home.at_home) == (1, 2)
    assert at_home.kit == (Stock(item=KitItem.CHAIR, each=1),)
    assert start.for_people((), at_home=True) == start


def test_stations_are_understood() -> None:
    assert read_brief("30 min legs in stations").brief.style is Style.STATIONS


def test_a_mass_of_something_that_is_not_known_is_no_pair_of_dumbbells() -> None:
    """'A barbell of 60 kg' was once two dumbbells of 60 kg for everyone."""
    reading = read_brief("30 minutes with a barbell of 60 kg")
    assert reading.brief.kit == ()
    assert "60" in reading.unknown
    assert read_brief("900 kg dumbbells").brief.kit == ()


def test_of_kit_without_its_mass_it_is_said_what_is_missing() -> None:
    assert unknown_words(read_brief("a rucksack each")).endswith("rucksack (how heavy? '5 kg')")


@pytest.mark.parametrize(
    ("say", "kit"),
    [
        ("30 min hips, kettlebell", [(KitItem.KETTLEBELL, 8, 1, 0, False)]),
        ("two kettlebells", [(KitItem.KETTLEBELL, 8, 0, 2, False)]),
        ("kettlebells and dumbbells", [(KitItem.KETTLEBELL, 8, 1, 0, False), (KitItem.DUMBBELLS, 5, 2, 0, False)]),
        ("eight pairs of dumbbells", [(KitItem.DUMBBELLS, 5, 0, 8, True)]),
        ("seven dumbbells", [(KitItem.DUMBBELLS, 5, 0, 7, False)]),
        ("a medicine ball each", [(KitItem.MEDICINE_BALL, 3, 1, 0, False)]),
        ("a kettlebell each, 12 kg kettlebells", [(KitItem.KETTLEBELL, 12, 1, 0, False)]),
    ],
)
def test_kit_whose_mass_is_not_said_is_the_usual_one(
    say: str, kit: list[tuple[KitItem, float, int, int, bool]]
) -> None:
    reading = read_brief(say)
    found = [
        (each.item, each.mass.amount, each.each, each.count, each.pairs) for each in reading.brief.kit if each.mass
    ]
    assert sorted(found) == sorted(kit)
    assert reading.unknown == ()
    meanings = " ".join(meaning for _, meaning in reading.meanings)
    assert "how heavy" in meanings or "as listed" in meanings


def test_it_is_their_own_where_that_is_known() -> None:
    own = (Stock(item=KitItem.KETTLEBELL, each=1, mass=Mass(amount=16, unit=MassUnit.KG)),)
    reading = read_brief("30 min, kettlebell", at_hand=own)
    assert (reading.brief.kit, reading.meanings[-1]) == ((), ("kettlebell", "16 kg: as listed"))
    listed = SessionBrief(kit=own)
    assert read_brief("30 min, kettlebell", start=listed).brief.kit == own


@pytest.mark.parametrize("say", ["no balls", "without bands", "no chair or bench", "no kettlebell, no dumbbells"])
def test_what_is_said_not_to_be_there_is_not(say: str) -> None:
    """'No chair' was once a chair for everyone."""
    assert read_brief(f"30 min, {say}, a mat each").brief.kit == (Stock(item=KitItem.MAT, each=1),)
    assert read_brief(f"30 min, {say}").unknown == ()
    chair = SessionBrief(kit=(Stock(item=KitItem.CHAIR, each=1),))
    assert read_brief("no chairs", start=chair).brief.kit == ()


def test_a_move_with_kit_in_its_name_is_wished_away_whole() -> None:
    brief = read_brief("30 min, no ball squats, no kettlebell swings").brief
    assert (brief.include, sorted(brief.exclude), brief.kit) == ((), ["squat", "swing"], ())
