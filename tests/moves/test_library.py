"""The library holds what a coach needs from it, for every move and every rung."""

import re
from pathlib import Path

import pytest

from everyrung import moves
from everyrung.moves.alternatives import alternatives
from everyrung.moves.lever_words import read_lever, write_lever
from everyrung.moves.library import standard_library
from everyrung.moves.move_file import read_move
from everyrung.terms.enums import Caution, CueKind, KitItem, MoveKind, Pattern, Surface
from everyrung.terms.errors import Faults
from everyrung.terms.lever import LEVER_WORDS
from everyrung.terms.move import MAX_ENTRY_TEST_WORDS, Move, Rung

MOVES = [standard_library().move(key) for key in standard_library().keys]
RUNGS = [(move, rung) for move in MOVES for rung in move.versions]
# Words that hurry, shame or point at the leader's body: common practice in teaching cueing, no source.
UNWANTED = re.compile(r"\b(like this|as i do|faster|hurry|come on|lazy|cheat|left(?!\?)|right)\b", re.IGNORECASE)

each_move = pytest.mark.parametrize("move", MOVES, ids=lambda move: move.key)
each_rung = pytest.mark.parametrize("rung", [rung for _, rung in RUNGS], ids=lambda rung: rung.address)


def test_there_are_enough_moves_of_every_kind() -> None:
    strength = [move for move in MOVES if move.kind is MoveKind.STRENGTH]
    assert len(MOVES) >= 104
    assert len(strength) >= 84
    wanted = set(Pattern) - {Pattern.MOBILITY, Pattern.STRETCH}
    assert wanted <= {move.pattern for move in strength}
    assert {move.kind for move in MOVES} == set(MoveKind)


def test_the_ball_is_used_at_the_wall_under_heels_overhead_and_under_the_foot() -> None:
    used = {rung.form.surface for _, rung in RUNGS}
    assert {Surface.BALL_WALL, Surface.BALL_HEELS, Surface.BALL_OVERHEAD, Surface.BALL_FOOT} <= used


@each_move
def test_every_ladder_has_something_harder_easier_and_without_kit(move: Move) -> None:
    keys = [rung.key for rung in move.ladder]
    assert 0 < keys.index("base") < len(keys) - 1
    bare = [rung for rung in move.versions if not rung.needs_kit]
    assert bare or alternatives(standard_library(), move.rung("base"), kit=())


@each_move
def test_ladders_climb(move: Move) -> None:
    grades = [rung.grade for rung in move.ladder]
    assert grades == sorted(grades)
    forms = [rung.form for rung in move.versions]
    assert len(set(forms)) == len(forms), "two versions of one move are the same"


@each_move
def test_every_caution_can_be_avoided_on_the_ladder_or_beside_it(move: Move) -> None:
    """But for breath, which a cue answers, and the back: a turn is none without turning, and another move stands in."""
    tags = {tag for rung in move.versions for tag in rung.cautions} - {Caution.HELD_BREATH, Caution.BACK_LOAD}
    stuck = {tag for tag in tags if all(tag in rung.cautions for rung in move.versions)}
    assert not [tag for tag in stuck if not alternatives(standard_library(), move.rung("base"), avoid=[tag])]


@each_rung
def test_entry_tests_are_said_in_under_ten_words(rung: Rung) -> None:
    assert 0 < len(rung.entry_test.split()) <= MAX_ENTRY_TEST_WORDS < 10
    versions = standard_library().move(rung.move).versions
    assert sum(other.entry_test == rung.entry_test for other in versions) == 1


@each_rung
def test_rungs_have_cues_of_each_kind_in_wanted_words(rung: Rung) -> None:
    kinds = {cue.kind for cue in rung.cues}
    assert {CueKind.SET_UP, CueKind.FORM, CueKind.BREATHING, CueKind.SAFETY} <= kinds
    said = [cue.text for cue in rung.cues] + [rung.entry_test]
    assert not [text for text in said if UNWANTED.search(text)]
    assert not [text for text in said if len(text.split()) > 12]


# Kit by the words that name it; the ball of a foot, and kit that is said not to be there, are none.
KIT_WORDS = {
    KitItem.BALL: r"(?<!medicine )\bballs?\b(?! of)",
    KitItem.MINI_BAND: r"\bmini bands?\b",
    KitItem.KETTLEBELL: r"\bkettlebells?\b",
    KitItem.MEDICINE_BALL: r"\bmedicine balls?\b",
    KitItem.DUMBBELLS: r"\bdumbbells?\b|\bweights\b|\bthe weight (?!on|over)",
    KitItem.BAND: r"(?<!mini )\bbands?\b",
    KitItem.CHAIR: r"\bchairs?\b|\bthe seat of\b",
    KitItem.STEP: r"\b(?:on|of|from) the step\b|(?<!long )\bstep's\b",
    KitItem.SLIDERS: r"\bsliders?\b",
    KitItem.MAT: r"\bmat\b",
}
ABSENT = re.compile(r"pretend ball|no chair|chair that isn't there|\bball of (?:the|your)", re.IGNORECASE)


@each_rung
def test_no_cue_names_kit_that_its_rung_does_without(rung: Rung) -> None:
    """A fact of the trade: who has no ball is lost at "back against the ball"."""
    has = {need.item for need in rung.kit}
    said = [ABSENT.sub("", cue.text) for cue in rung.cues]
    wrong = [(item, text) for item, word in KIT_WORDS.items() for text in said if re.search(word, text, re.IGNORECASE)]
    assert not [each for each in wrong if each[0] not in has]


THROWN = re.compile(r"\b(?:throw (?:it|\w+ ball)|before you throw|partner)\b", re.IGNORECASE)


@each_rung
def test_nobody_with_empty_hands_is_told_of_a_throw(rung: Rung) -> None:
    """Facts: what is not held cannot be thrown, and a hand on the wall does not swing."""
    told = [cue.text for cue in rung.cues if THROWN.search(cue.text)]
    assert not told or any(need.item is KitItem.MEDICINE_BALL for need in rung.kit), told


def test_a_cue_that_names_kit_is_said_where_the_kit_is() -> None:
    said = {rung.key: {cue.text for cue in rung.cues} for rung in standard_library().move("chair-stand").versions}
    text = "Land on the seat like a feather."
    assert text in said["base"]
    assert text in said["goblet-slow"]
    assert text not in said["wall"]
    made = standard_library().custom_rung("chair-stand", "goblet-slow", (read_lever({"surface": "floor"}),))
    assert text not in {cue.text for cue in made.cues}


@each_rung
def test_levers_read_back_as_they_are_written(rung: Rung) -> None:
    assert tuple(read_lever(write_lever(lever)) for lever in rung.levers) == rung.levers


def test_every_lever_but_one_makes_a_rung_somewhere() -> None:
    """Repetitions belong to the dose of a plan: no rung is made by them."""
    used = {lever.word for _, rung in RUNGS for lever in rung.levers}
    assert set(LEVER_WORDS) - used == {"reps"}


@pytest.mark.parametrize(
    ("written", "told"),
    [
        ('{ say = "Sit." }', "expected words, or say and kit; got say"),
        ('{ say = "Sit.", kit = "chiar" }', "'chair'"),
        ("7", "expected text"),
    ],
)
def test_a_cue_written_wrongly_is_told_with_its_line(written: str, told: str, tmp_path: Path) -> None:
    source = (Path(moves.__file__).parent / "library" / "squat.toml").read_text(encoding="utf-8")
    path = tmp_path / "squat.toml"
    path.write_text(source.replace('breathing = ["In', f'breathing = [{written}, "In'), encoding="utf-8")
    with pytest.raises(Faults) as found:
        read_move(path)
    line = next(n for n, each in enumerate(source.splitlines(), 1) if each.startswith("breathing"))
    assert f":{line}" in str(found.value)
    assert told in str(found.value)
