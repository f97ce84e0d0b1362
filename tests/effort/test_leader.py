"""The leader does all of it as it is led; how hard that is decides how much she can say."""

from functools import cache
from pathlib import Path

import pytest

from everyrung.cues.speech import words
from everyrung.effort.choices import SessionOffers, session_offers
from everyrung.effort.known_people import leader_efforts
from everyrung.moves.library import standard_library
from everyrung.pipeline import Options, run_plan
from everyrung.plan.read import plan_from_text
from everyrung.plan.resolve import LEADER_LEVEL, LEADER_STATURE_M, resolve
from everyrung.store.cache import default_cache
from everyrung.terms.enums import CueKind
from everyrung.terms.errors import Faults
from everyrung.terms.person import Sex
from everyrung.terms.plan import Ref
from everyrung.terms.session import Session
from everyrung.terms.timeline import Track
from everyrung.timing.timeline import build_timeline

TEXT = (Path(__file__).parents[2] / "examples" / "boathouse-30.toml").read_text(encoding="utf-8")


def text(leader: str) -> str:
    return TEXT.replace("[who]", f"[leader]\n{leader}\n\n[who]", 1)


def session(leader: str) -> Session:
    return resolve(plan_from_text(text(leader), "evening.toml"), standard_library())


@cache
def on_bodies() -> SessionOffers:
    return session_offers(session(""), standard_library(), default_cache(), led_alone=True)


def efforts(leader: str) -> dict[Ref, float]:
    made = session(leader)
    return dict(leader_efforts(made, build_timeline(made), on_bodies()))


def test_every_strength_set_has_an_effort_and_the_rounds_get_harder() -> None:
    found = efforts("")
    assert {ref.block for ref in found} == {"Main"}
    assert len(found) == 15
    assert all(0 < effort <= 1 for effort in found.values())
    for column in {ref.cell for ref in found}:
        first, *_, last = [effort for ref, effort in found.items() if ref.cell == column]
        assert last > first  # a fact of the plan: every round is a step harder, and fatigue adds up


@pytest.mark.parametrize(
    ("weaker", "stronger"),
    [
        ('level = "new"', 'level = "strong"'),
        ('age = 75\nsex = "male"', 'age = 25\nsex = "male"'),
        ('mass = "110 kg"', 'mass = "62 kg"'),
    ],
)
def test_it_is_harder_for_a_leader_with_less_strength_for_her_weight(weaker: str, stronger: str) -> None:
    """Who is weaker for what they move has fewer repetitions in them (common practice, no source). A dumbbell overhead
    weighs the same for everyone: there her own weight is little of what she moves.
    """
    more, less = efforts(weaker), efforts(stronger)
    assert all(more[ref] >= less[ref] for ref in more if ref.cell != "lift" or "mass" not in weaker)
    assert sum(more.values()) > 1.05 * sum(less.values())


def test_arms_and_knees_are_weaker_for_her_weight_in_a_woman_and_hips_are_not() -> None:
    """Anderson 2007 (V2): women's hips are as strong for their weight; Sarabon 2021 (V): their knees are not."""
    woman, man = efforts('sex = "female"'), efforts('sex = "male"')
    for ref in woman:
        if ref.cell in ("squat", "lift"):
            assert woman[ref] > man[ref]
        if ref.cell == "hinge":
            assert woman[ref] == pytest.approx(man[ref], abs=0.05)


def test_a_leader_at_the_end_of_her_strength_says_less() -> None:
    """H28 of the real-life cases: talking intelligibly during hard work is nearly impossible."""
    said = []
    for leader in ('level = "strong"\nage = 25', 'level = "new"\nage = 80\nmass = "95 kg"'):
        plan = plan_from_text(text(leader), "evening.toml")
        made = run_plan(plan, options=Options(cues=True, cache=default_cache()))
        (first,) = [each for each in made.cues if each.track is Track.FIRST]
        said.append(sum(words(cue.text) for cue in first.said if cue.kind in (CueKind.FORM, CueKind.BREATHING)))
    assert said[1] < 0.8 * said[0]


def test_what_is_not_said_of_the_leader_is_taken_and_told() -> None:
    made = session("")
    assert (made.leader.stature_m, made.leader.level) == (LEADER_STATURE_M, LEADER_LEVEL)
    told = {default.field: default.value for default in made.defaults}
    assert told["leader.stature"] == "170 cm"
    assert told["leader.level"] == "strong"
    said = session('stature = "5 ft 5 in"\nage = 40\nsex = "male"\nlevel = "regular"')
    assert said.leader.stature_m == pytest.approx(1.651)
    assert said.leader.sex is Sex.MALE
    assert "leader.stature" not in {default.field for default in said.defaults}


@pytest.mark.parametrize(
    ("leader", "words_"),
    [
        ('stature = "170"', "unit"), ('mass = "400 kg"', "30 to 250"), ('level = "good"', "strong"),
        ('mass = "200 kg"', "kg at 170 cm"), ('name = "x"', "known field"), ("age = 7", "16 to 100"),
    ],
)  # fmt: skip
def test_a_leader_that_cannot_be_is_refused_with_the_place(leader: str, words_: str) -> None:
    with pytest.raises(Faults) as caught:
        session(leader)
    (fault,) = caught.value.faults
    assert words_ in str(fault)
    assert "leader" in fault.where.field
    assert fault.where.line
