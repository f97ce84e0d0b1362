"""Kit as people write it: each entry kept, each unknown word refused with the nearest known one."""

import pytest

from everyrung.people.kit_parsing import entries, own, own_words
from everyrung.terms.enums import BandGrade, KitItem
from everyrung.terms.errors import Invalid
from everyrung.terms.person import Own
from everyrung.terms.units import Mass, MassUnit


def lifted(amount: float, unit: str, pieces: int = 1, word: str = "", item: KitItem = KitItem.DUMBBELLS) -> Own:
    return Own(item=item, pieces=pieces, mass=Mass(amount=amount, unit=MassUnit(unit)), word=word)


@pytest.mark.parametrize(
    ("entry", "thing"),
    [
        ("2 x 10 lb", lifted(10, "lb", 2)),
        ("2x10lb", lifted(10, "lb", 2)),
        ("2 × 4 kg", lifted(4, "kg", 2)),
        ("pair of 4 kg", lifted(4, "kg", 2)),
        ("10 lb", lifted(10, "lb")),
        ("1 x 12 kg", lifted(12, "kg")),
        ("2,5 kg", lifted(2.5, "kg")),
        ("dumbbell 5 kg", lifted(5, "kg")),
        ("2 x dumbbells 5 kg", lifted(5, "kg", 2)),
        ("rucksack 6 kg", lifted(6, "kg", item=KitItem.RUCKSACK)),
        ("rucksack of 6 kg", lifted(6, "kg", item=KitItem.RUCKSACK)),
        ("2 x water can 5 kg", lifted(5, "kg", 2, item=KitItem.WATER_CAN)),
        ("Kettlebell 8 kg", lifted(8, "kg", item=KitItem.KETTLEBELL)),
        ("medicine ball 3 kg", lifted(3, "kg", item=KitItem.MEDICINE_BALL)),
        ("medium mini band", Own(item=KitItem.MINI_BAND, grade=BandGrade.MINI_MEDIUM)),
        ("step 20 cm", Own(item=KitItem.STEP, height_cm=20)),
        ("bench", Own(item=KitItem.BENCH)),
        ("yoga mat", Own(item=KitItem.MAT)),
        ("2 x cushion", Own(item=KitItem.PILLOW, pieces=2)),
        ("heavy loop band", Own(item=KitItem.MINI_BAND, grade=BandGrade.MINI_HEAVY)),
        ("swiss ball 55 cm", Own(item=KitItem.BALL, diameter_cm=55)),
        ("towel", Own(item=KitItem.TOWEL)),
        ("pillow", Own(item=KitItem.PILLOW)),
        ("bag of sand 8 kg", lifted(8, "kg", word="bag of sand")),
        ("2 x water bottle 1.5 kg", lifted(1.5, "kg", 2, "water bottle")),
        ("ball 55 cm", Own(item=KitItem.BALL, diameter_cm=55)),
        ("Ball 65 cm rated 250 kg", Own(item=KitItem.BALL, diameter_cm=65, rated_kg=250)),
        ("light band", Own(item=KitItem.BAND, grade=BandGrade.LIGHT)),
        ("Chair", Own(item=KitItem.CHAIR)),
        ("2 x chair", Own(item=KitItem.CHAIR, pieces=2)),
        ("step", Own(item=KitItem.STEP)),
        ("sliders", Own(item=KitItem.SLIDERS)),
        ("mat", Own(item=KitItem.MAT)),
        ("wall", Own(item=KitItem.WALL)),
    ],
)
def test_an_entry_is_what_it_says_and_is_written_so_that_it_reads_the_same(entry: str, thing: Own) -> None:
    assert own(entry) == thing
    assert own(own_words(thing)) == thing


def test_what_a_term_calls_itself_reads_back_when_it_is_one_piece() -> None:
    for entry in ("2 x 10 lb", "rucksack 6 kg", "2 x water bottle 1.5 kg", "ball 65 cm rated 250 kg", "light band"):
        assert own(str(own(entry))) == own(entry)


@pytest.mark.parametrize(
    ("cell", "count"),
    [
        ("10 lb; chair; mat", 3),
        ("20 lb + 15 lb", 2),
        ("2,5 kg, chair, mat", 3),
        ("2,5 kg", 1),
        ("chair\nmat", 2),
        ("chair; ;mat;", 2),
        ("chair,", 1),
        (["2 x 10 lb", "chair"], 2),
        ("", 0),
    ],
)
def test_entries_are_separated_but_decimal_commas_are_not(cell: object, count: int) -> None:
    assert len(entries(cell)) == count


@pytest.mark.parametrize(
    ("entry", "nearest", "remedy"),
    [
        ("chiar", "chair", ""),
        ("silders", "sliders", ""),
        ("bal 55 cm", "ball", ""),
        ("ball", "", '"ball 65 cm"'),
        ("ball 65", "ball", '"ball 65 cm"'),
        ("ball 65 kg", "ball", '"ball 65 cm"'),
        ("band", "", "light band, medium band, heavy band"),
        ("lite band", "light band", "light band, medium band, heavy band"),
        ("dumbells", "dumbbells", '"2 x 4 kg"'),
        ("dumbel 10 lb", "dumbbell", '"10 lb"'),
        ("rucksack", "", '"rucksack 6 kg"'),
        ("10", "", '"10 kg" or "10 lb"'),
        ("2 x 10", "", '"10 kg" or "10 lb"'),
        ("10 lb,chair", "chair", "semicolon"),
        ("none", "", "alone"),
        ("ball 65 cm rated 2 kg", "", "leave it out"),
    ],
)
def test_an_unknown_entry_is_refused_with_the_way_out(entry: str, nearest: str, remedy: str) -> None:
    with pytest.raises(Invalid) as caught:
        own(entry)
    assert caught.value.nearest == nearest
    assert remedy in caught.value.remedy


@pytest.mark.parametrize(
    "entry",
    [
        "500 kg",
        "0 kg",
        "21 x 4 kg",
        "0 x chair",
        "ball 5 cm",
        "ball 555 cm",
        "step 2 cm",
        "kettlebell",
        "-3 kg",
        "$ 3 kg",
    ],
)
def test_absurd_kit_is_refused(entry: str) -> None:
    with pytest.raises(Invalid):
        own(entry)
