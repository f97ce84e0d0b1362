"""Whatever kit there is, every place that lists kit knows it: plans, lists of people, briefs, what is led, said and
printed (the Write screen: tests/web/test_write_kit.py). Names of kit: the trade's (common practice, no source).
"""

import re
from functools import cache
from pathlib import Path

import pytest

from everyrung.moves.library import standard_library
from everyrung.people.kit_parsing import own, own_words
from everyrung.pipeline import Options, run_plan
from everyrung.plan.read import plan_from_text
from everyrung.plan.write import write_plan
from everyrung.proposals.kit_words import kit_in
from everyrung.publish.sheet.kit import kit_lines
from everyrung.results.analysis import Analysis
from everyrung.terms.enums import BandGrade, CueKind, KitItem
from everyrung.terms.timeline import Track

# What stands in a plan's kit table, a list of people and a brief, and what is asked with it: a move and its dose.
KIT = {
    'item = "dumbbells"\nmass = "4 kg"\neach = 2': ("2 x 4 kg", "two 4 kg each", "biceps-curl", "8 reps"),
    'item = "kettlebell"\nmass = "12 kg"\neach = 1': ("kettlebell 12 kg", "a 12 kg kettlebell", "swing", "8 reps"),
    'item = "medicine ball"\nmass = "3 kg"\neach = 1':
        ("medicine ball 3 kg", "a 3 kg medicine ball", "medicine-ball-slam", "8 reps"),
    'item = "rucksack"\nmass = "6 kg"\neach = 1': ("rucksack 6 kg", "a 6 kg rucksack", "suitcase-march", "8 a side"),
    'item = "water can"\nmass = "5 kg"\neach = 2':
        ("2 x water can 5 kg", "water cans of 5 kg", "biceps-curl", "8 reps"),
    'item = "ball"\ndiameter = "65 cm"\nrated = "250 kg"\neach = 1':
        ("ball 65 cm rated 250 kg", "a 65 cm ball each", "ball-leg-curl", "8 reps"),
    **{f'item = "{grade.item}"\ngrade = "{grade}"\neach = 1':
        (str(grade), f"a {grade} each", "mini-band-walk" if grade.item is KitItem.MINI_BAND else "biceps-curl/band", "")
        for grade in BandGrade},
    'item = "chair"\neach = 1': ("chair", "a chair each", "chair-dip", "8 reps"),
    'item = "bench"\neach = 1': ("bench", "a bench each", "chair-dip", "8 reps"),
    'item = "table"\neach = 1': ("table", "a table each", "push-up/table", "8 reps"),
    'item = "step"\nheight = "20 cm"\neach = 1': ("step 20 cm", "a 20 cm step each", "heel-drop", "8 reps"),
    'item = "sliders"\neach = 2': ("2 x sliders", "sliders", "sliding-leg-curl", "8 reps"),
    'item = "towel"\neach = 2': ("2 x towel", "a towel each", "sliding-leg-curl", "8 reps"),
    'item = "pillow"\neach = 1': ("pillow", "a pillow each", "", ""),
    'item = "mat"\neach = 1': ("mat", "a mat each", "bridge", "8 reps"),
    'item = "wall"\neach = 1': ("wall", "", "wall-angel", "8 reps"),
}  # fmt: skip
GIVEN = [each for each, (_, _, move, _) in KIT.items() if move]


def item_of(kit: str) -> KitItem:
    return KitItem(re.findall(r'item = "([^"]+)"', kit)[0])


@cache
def led(kit: str) -> Analysis:
    """A plan whose only kit this is, and which leads something with it."""
    _, _, move, dose = KIT[kit]
    move, _, rung = (move or "squat").partition("/")
    dose = "8 a side" if "side" in str(standard_library().move(move).base.sides) else dose or "8 reps"
    version = f'rung = "{rung}"\n' if rung else ""
    text = (
        f'title = "Kit"\nslot_minutes = 15\n[who]\nin_room = 4\n[[kit]]\n{kit}\n[[block]]\nkind = "main"\n'
        f'[[block.move]]\nmove = "march"\ndose = "30 s"\n[[block.move]]\nmove = "{move}"\n{version}dose = "{dose}"\n'
    )
    return run_plan(plan_from_text(text, "kit.toml"), library=standard_library(), options=Options(cues=True))


def test_every_item_and_every_strength_of_band_is_tried() -> None:
    assert {item_of(each) for each in KIT} == set(KitItem)
    assert all(any(f'"{grade}"' in each for each in KIT) for grade in BandGrade)


@pytest.mark.parametrize("kit", KIT)
def test_plans_people_briefs_and_drafts_know_it(kit: str) -> None:
    person, brief, _, _ = KIT[kit]
    plan = led(kit).plan
    assert plan_from_text(write_plan(plan), "again.toml").kit == plan.kit
    thing = own(person)
    assert (thing.item, own(own_words(thing))) == (item_of(kit), thing)
    stocks = [stock for each in kit_in(brief) for stock in each.stocks]
    assert not brief or [(each.item, each.grade, each.height_cm) for each in stocks] == [
        (each.item, each.grade, each.height_cm) for each in plan.kit
    ]


@pytest.mark.parametrize("kit", GIVEN)
def test_it_is_taken_said_and_printed_by_its_name(kit: str) -> None:
    run, item = led(kit), item_of(kit)
    assert not [each for each in run.findings if each.rule in ("kit-missing", "kit-short")]
    name = "weight|dumbbell" if item is KitItem.DUMBBELLS else str(item).split()[-1].removesuffix("s")
    said = next(track.said for track in run.cues if track.track is Track.FIRST)
    if item is not KitItem.MAT:
        assert any(re.search(name, cue.text, re.IGNORECASE) for cue in said if cue.kind is CueKind.KIT)
    lines = kit_lines(run.session)
    assert any(re.search(str(item).removesuffix("s"), line.what, re.IGNORECASE) for line in lines)


def test_whoever_has_a_bench_or_towels_alone_hears_of_no_chair_and_no_sliders() -> None:
    """Facts: a bench has no back to lean on the wall, and a towel is no slider."""
    for kit, other in (("bench", "chair"), ("towel", "slider")):
        said = [cue.text for track in led(next(each for each in KIT if f'"{kit}"' in each)).cues for cue in track.said]
        assert any(kit in text.lower() for text in said)
        assert not [text for text in said if re.search(rf"\b{other}|bench back", text, re.IGNORECASE)]


def test_the_examples_of_people_show_what_a_list_may_say() -> None:
    page = (Path(__file__).parents[2] / "docs" / "people-file.md").read_text(encoding="utf-8")
    assert all(str(item) in page or item is KitItem.DUMBBELLS for item in KitItem)
