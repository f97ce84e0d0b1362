"""Every version has something that people check themselves by; what is felt names what the computed body works most."""

from statistics import median

import pytest

from everyrung.body.mechanics import Job, from_table
from everyrung.body.reference_grid import reference_grid
from everyrung.moves.library import standard_library
from everyrung.moves.move_file import move_from_text
from everyrung.runsheet.words import check_words
from everyrung.terms.enums import LoadNeed, MoveKind
from everyrung.terms.errors import Faults
from everyrung.terms.move import MAX_CHECK_WORDS, Rung
from everyrung.terms.units import Load, Mass, MassUnit

LIBRARY = standard_library()
RUNGS = [rung for key in LIBRARY.keys for rung in LIBRARY.move(key).versions]
WHOLE = 0.05  # of a range: what a pose's check of the full depth takes for whole
# Muscle groups of the model by the words of the checks: anatomy, common practice, no source.
MUSCLES = {
    "your bottom": ("gluteus_maximus", "gluteus_medius"),
    "backs of the thighs": ("hamstrings",),
    "front go firm": ("vasti", "rectus_femoris"),
    "side of the hip": ("gluteus_medius",),
    "your belly work": ("rectus_abdominis",),
}
HARDEST = 3  # groups; chosen, because nobody feels the fourth
FELT = [
    (key, groups)
    for key in LIBRARY.keys
    for words, groups in MUSCLES.items()
    if words in LIBRARY.move(key).check
    and LIBRARY.move(key).kind is MoveKind.STRENGTH
    and "heavy" not in LIBRARY.move(key).check
]


def is_measured(rung: Rung) -> bool:
    """Whether its pose has a check that holds for its range."""
    whole = abs(rung.form.range_share - 1) <= WHOLE
    return any(whole or check.follows or check.stays for check in LIBRARY.pose(rung.form).self_checks)


def test_every_version_has_a_check() -> None:
    assert [rung.address for rung in RUNGS if not (is_measured(rung) or check_words(rung, None))] == []


@pytest.mark.parametrize("key", LIBRARY.keys)
def test_a_stand_in_is_checked_by_what_is_done(key: str) -> None:
    """A chair in place of a squat is not told of the squat: its words are those of the move that is led."""
    move = LIBRARY.move(key)
    for rung in move.stand_ins:
        other = LIBRARY.move(rung.form.move)
        _, text = LIBRARY.source(key)
        own = next(each.check for each in text.rungs if each.key == rung.key)
        assert rung.check in (own, other.check, *(each.check for each in other.versions))
        assert own or rung.check != move.check or move.check == other.check


@pytest.mark.parametrize(("key", "groups"), FELT, ids=[key for key, _ in FELT])
def test_where_one_is_to_feel_it_is_where_the_middle_body_works_hardest(key: str, groups: tuple[str, ...]) -> None:
    """By static optimization of the muscles, which knows nothing of the words."""
    rung = LIBRARY.rung(key, "base")
    pieces = {LoadNeed.ONE: 1, LoadNeed.PAIR: 2}.get(rung.form.load, 0)
    load = Load(pieces=(Mass(amount=4.0, unit=MassUnit.KG),) * pieces) if pieces else None
    pose = LIBRARY.pose(rung.form)
    found = from_table([Job(form=rung.form, layer=pose, size=size, load=load) for size in reference_grid()])
    peaks: dict[str, list[float]] = {}
    for demand in found.values():
        for name in {each.group.removesuffix("_left").removesuffix("_right") for each in demand.groups}:
            sides = [each.peak for each in demand.groups if each.group.startswith(name)]
            peaks.setdefault(name, []).append(max(sides))
    hardest = sorted(peaks, key=lambda name: -median(peaks[name]))[:HARDEST]
    assert set(groups) & set(hardest), hardest


def test_enough_checks_name_a_muscle() -> None:
    assert len(FELT) > 10


def test_a_check_is_short() -> None:
    text = LIBRARY.source("bridge")[0]
    long = " ".join(["heavy"] * (MAX_CHECK_WORDS + 1))
    with pytest.raises(Faults, match="at most 12 words"):
        move_from_text(text.replace("bottom work, not your lower back", long), "bridge", "bridge.toml")
