"""What known people are advised on the example plans: cases that once went wrong, by name."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from everyrung.effort.recommend import person_advice
from everyrung.effort.select_rung import most_of_body_mass
from everyrung.people.read import read_people
from everyrung.pipeline import AudienceSpec, Options, run
from everyrung.store.cache import default_cache
from everyrung.terms.enums import OptionKind
from everyrung.terms.forecast import PersonAdvice, Take
from everyrung.timing.timeline import build_timeline

ROOT = Path(__file__).parents[2]
PEOPLE = read_people(Path(__file__).parent / "people.toml")


Evening = dict[str, PersonAdvice]
Made = Callable[..., Any]
Asking = Callable[..., dict[str, float]]
ON_BODIES: dict[str, Evening] = {}


@pytest.fixture(params=["by the grade", pytest.param("on bodies", marks=pytest.mark.slow)])
def advised(request: pytest.FixtureRequest, made: Made, by_grade: Asking) -> Callable[[str], Evening]:
    """What they are advised on an example plan: by demands that go by the grade, and by the bodies' own."""

    def on_bodies(plan: str) -> Evening:
        if plan not in ON_BODIES:
            options = Options(audience=AudienceSpec(people=PEOPLE), cache=default_cache())
            ON_BODIES[plan] = {one.name: one for one in run(ROOT / "examples" / plan, options=options).advice}
        return ON_BODIES[plan]

    def made_up(plan: str) -> Evening:
        session, found = made((ROOT / "examples" / plan).read_text(encoding="utf-8"), by_grade)
        advice = person_advice(session, build_timeline(session), found, PEOPLE, in_room=False)
        return {one.name: one for one in advice}

    return on_bodies if request.param == "on bodies" else made_up


@pytest.fixture
def evening(advised: Callable[[str], Evening]) -> Evening:
    return advised("boathouse-30.toml")


def takes(done: Evening, name: str) -> list[Take]:
    return [take for cell in done[name].cells for take in (cell.take, cell.harder) if take]


def test_two_loads_of_one_person_never_stand_on_one_question(evening: Evening) -> None:
    for one in evening.values():
        for cell in one.cells:
            if cell.take and cell.harder:
                assert cell.harder.entry_test != cell.take.entry_test
                if cell.harder.load:
                    assert cell.take.load in cell.harder.entry_test
    for cell in evening["Berk"].cells:
        assert not (cell.take and cell.harder and "20 kg" in cell.harder.load and "10 lb" in cell.take.load) or (
            cell.harder.entry_test.startswith("Big step")
        )


def test_nobody_turns_with_twenty_kilograms(evening: Evening) -> None:
    turned = [take for take in takes(evening, "Berk") if most_of_body_mass(take.form) < 20 / 98]
    assert all("20 kg" not in take.load for take in turned)


def test_a_strong_man_without_a_ball_is_not_sent_to_the_wall(evening: Evening) -> None:
    lifts = [cell.take for cell in evening["Berk"].cells if cell.ref.cell == "lift"]
    assert all(take and take.rung != "Wall push-up" for take in lifts)
    # his curl is another matter: without a ball and a mat there is little else on its ladder that he could do
    hinges = [cell.take for cell in evening["Berk"].cells if cell.ref.cell == "hinge"]
    assert all(take and "to the wall" not in take.rung for take in hinges)


@pytest.mark.parametrize("name", ["Lore", "Hana"])
def test_who_fears_a_fall_or_has_no_mat_is_not_sent_to_the_floor(evening: Evening, name: str) -> None:
    assert [take.rung for take in takes(evening, name) if take.form.position.on_floor] == []


@pytest.mark.parametrize("name", ["Lore", "Hana"])
def test_first_timers_are_offered_nothing_heavier_or_harder(evening: Evening, name: str) -> None:
    assert all(cell.harder is None for cell in evening[name].cells)
    assert all(take.kind is not OptionKind.HARDER for take in takes(evening, name))


def test_no_reason_contradicts_itself(advised: Callable[[str], Evening]) -> None:
    for plan in ("boathouse-30.toml", "seated-30.toml"):
        for one in advised(plan).values():
            for cell in one.cells:
                assert not ("too" in cell.reason and "left" in cell.reason), cell.reason
                assert "led rung" not in cell.reason


def test_ball_lines_are_for_balls_that_the_card_uses(evening: Evening) -> None:
    for one in evening.values():
        used = any(take.form.surface.value.startswith(("ball", "sitting")) for take in takes(evening, one.name))
        assert used == bool(one.balls), one.name
