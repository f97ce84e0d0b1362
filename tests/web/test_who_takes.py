"""Who takes which version, for the leader's own screen: by initials that are told apart, and by nothing else."""

from dataclasses import replace

import pytest

from everyrung.moves.library import standard_library
from everyrung.terms.enums import OptionKind
from everyrung.terms.forecast import Advice, PersonAdvice, Take
from everyrung.terms.plan import Ref
from everyrung.web.who_takes import HOLDS, initials, who_takes


@pytest.mark.parametrize(
    ("names", "short"),
    [
        (["Ilka", "Bo"], ["Il", "Bo"]),
        (["Ann Berg", "Arve Brun"], ["Ann", "Arv"]),
        (["Maren", "Marek", "Mara"], ["Maren", "Marek", "Mara"]),
        (["Bo", "Bo"], ["Bo", "Bo"]),
        ([], []),
    ],
)
def test_initials_are_as_few_letters_as_tell_people_apart(names: list[str], short: list[str]) -> None:
    assert initials(names) == short


def test_each_version_stands_once_with_those_who_take_it() -> None:
    form = standard_library().rung("split-squat", "base").form
    easy = Take(kind=OptionKind.EASIER, rung="Low squat", dose="8", reps=8, load="", entry_test="", form=form)
    led = Take(kind=None, rung="Squat", dose="8", reps=8, load="10 lb", entry_test="", form=form)
    ref = Ref(block="Main", round="One", cell="squat")
    advice = Advice(ref=ref, move="Squat", take=easy, reason="sore knee", effort="easy", harder=None)
    people = [
        PersonAdvice(name=name, taken=("sore knee",), cells=(replace(advice, take=take),), balls=(), heart="")
        for name, take in {"Ilka": easy, "Bo": led, "Pim": easy, "Eli": None}.items()
    ]
    found = who_takes(people)
    assert found == {"Main/One/squat": [("Low squat", ["Il", "Pi"]), ("Squat, 10 lb", ["Bo"]), (HOLDS, ["El"])]}
    assert "knee" not in str(found)
