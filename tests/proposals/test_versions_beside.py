"""The versions beside a led one: whoever comes can do one of them, though nobody knows what they have to avoid."""

import pytest

from everyrung.moves.library import standard_library
from everyrung.pipeline import AudienceSpec, Options, run_plan
from everyrung.plan.read import plan_from_text
from everyrung.proposals.columns import RungsWithLevers, Version, columns
from everyrung.proposals.search import propose
from everyrung.proposals.versions_beside import VersionsBeside
from everyrung.store.cache import default_cache
from everyrung.terms.enums import Caution, KitItem, OptionKind
from everyrung.terms.lever import Reps
from everyrung.terms.move import EASY_GRADE
from everyrung.terms.plan import Stock
from everyrung.terms.session_brief import SessionBrief
from everyrung.terms.units import Mass, MassUnit

BRIEF = SessionBrief(
    kit=tuple(Stock(item=KitItem.DUMBBELLS, mass=Mass(amount=kg, unit=MassUnit.KG), each=2) for kg in (4.0, 6.0))
)


@pytest.fixture(scope="module")
def led() -> list[tuple[VersionsBeside, Version, str]]:
    """A version of every round of the best column of each move, with a brief that names nobody's limits."""
    rungs = RungsWithLevers(library=standard_library())
    best = {column.move.key: column for column in columns(BRIEF, rungs, 3)[::-1]}
    beside = VersionsBeside(brief=BRIEF, rungs=rungs)
    return [(beside, version, key) for key, column in best.items() for version in column.versions]


def test_whoever_avoids_something_has_a_version_without_kit(led: list[tuple[VersionsBeside, Version, str]]) -> None:
    """Against every caution there is: those who lie on no back once had no version of whole columns."""
    without = [
        (key, version.rung.key, str(caution))
        for beside, version, key in led
        for caution in Caution
        if caution in version.variant.cautions or version.variant.needs_kit
        if not any(_is_open(beside, key, version, kind, caution) for kind in (OptionKind.EASIER, OptionKind.NO_KIT))
    ]
    assert len(led) > 100
    assert without == []


def _is_open(beside: VersionsBeside, key: str, version: Version, kind: OptionKind, caution: Caution) -> bool:
    option = beside.of(beside.library.move(key), version)[kind]
    move, _, rung = option.rung.rpartition("/")
    offer = beside.library.rung(move or key, rung)
    return not offer.needs_kit and caution not in offer.cautions


def test_the_easier_version_is_easy_and_is_done_no_more_often_than_in_the_first_round(
    led: list[tuple[VersionsBeside, Version, str]],
) -> None:
    for beside, version, key in led:
        option = beside.of(beside.library.move(key), version)[OptionKind.EASIER]
        move, _, rung = option.rung.rpartition("/")
        assert beside.library.rung(move or key, rung).grade <= max(EASY_GRADE, version.variant.grade)
        assert sum(each.added for each in option.levers if isinstance(each, Reps)) in (0, -version.more)


@pytest.mark.slow  # a search and its rehearsal, four times
@pytest.mark.parametrize(
    "say",
    [
        "Mini bands only, buttocks and hips, 20 minutes",
        "30 min arms and core, two 2.5 kg",
        "35 minutes whole body, eight balls, mats",
        "Shoulder trouble in half the group, nothing overhead; 30 min upper back, hips, trunk; long bands",
    ],
)
def test_nobody_of_a_simulated_audience_is_left_without_a_version(say: str) -> None:
    made = next(propose(say, count=1, cache=default_cache()))
    options = Options(bodies=True, audience=AudienceSpec(count=400), cache=default_cache())
    run = run_plan(plan_from_text(made.text, "proposal.toml"), options=options)
    assert {"limit-without-path", "rung-for-nobody"} & {each.rule for each in run.findings} == set()
