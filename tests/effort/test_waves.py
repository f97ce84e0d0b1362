"""In a plan in waves each person tires in the order of their own wave: what B does first is done fresher by B."""

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from everyrung import load_plan
from everyrung.effort.audience import audience
from everyrung.effort.choices import SessionOffers, schedule, session_offers
from everyrung.effort.mix import read_mix
from everyrung.effort.simulate import SimulationPlan, simulate, simulation_plan
from everyrung.effort.waves import spots_in_room, waves_of
from everyrung.moves.library import standard_library
from everyrung.plan.resolve import resolve
from everyrung.terms.plan import Plan
from everyrung.terms.session import Session
from everyrung.timing.timeline import build_timeline
from everyrung.timing.turns import wave_sizes

PLAN = Path(__file__).parents[2] / "examples" / "boathouse-30.toml"
LIBRARY = standard_library()
CLOSE = 0.2  # repetitions, of 13 to 57 that could be done


def plan_in(*waves: tuple[str, ...]) -> Plan:
    plan = load_plan(PLAN)
    blocks = tuple(replace(block, waves=waves) if block.name == "Main" else block for block in plan.blocks)
    return replace(plan, blocks=blocks, who=replace(plan.who, in_room=12, at_home=4))


@pytest.fixture(scope="module")
def session() -> Session:
    return resolve(plan_in(*pairs()), LIBRARY)


def pairs() -> tuple[tuple[str, ...], ...]:
    """The first two columns of the main block side by side, the next two with a turn of rest."""
    first, second, third, fourth, *_ = columns()
    return (first, second), (third, fourth, "rest")


def columns() -> tuple[str, ...]:
    main = next(block for block in resolve(load_plan(PLAN), LIBRARY).blocks if block.name == "Main")
    return tuple(dict.fromkeys(cell.ref.cell for cell in main.cells))


@pytest.fixture(scope="module")
def offers(session: Session) -> SessionOffers:
    return session_offers(session, LIBRARY, None)


def along(session: Session, offers: SessionOffers) -> SimulationPlan:
    return simulation_plan(session, schedule(session, build_timeline(session)), offers)


def test_times_of_the_first_wave_are_the_clock_s_own(session: Session) -> None:
    slots = [slot for slot in schedule(session, build_timeline(session)) if slot.by_wave]
    assert len(slots) == 12
    assert all(slot.by_wave[0] == slot.starts_ms for slot in slots)


def test_every_wave_does_every_cell_once_and_never_two_at_a_time(session: Session) -> None:
    slots = [slot for slot in schedule(session, build_timeline(session)) if slot.by_wave]
    for ref in {slot.beside for slot in slots}:
        group = [slot for slot in slots if slot.beside == ref]
        for wave in range(len(group[0].by_wave)):
            times = sorted(
                (starts[0], starts[-1] + slot.cell.bouts[-1].duration_ms)
                for slot in group
                for starts in (slot.by_wave[wave],)
            )
            assert all(end <= begin for (_, end), (begin, _) in pairwise(times))


def test_people_fill_the_places_of_the_room_in_turn_and_at_home_all_do_as_a(session: Session) -> None:
    people = next(audience(read_mix("boathouse"), count=1000, seed=1, in_room=session.who.part_in_room))
    spots = spots_in_room(people)
    wave = waves_of(session, spots, 3)
    assert set(wave[spots < 0]) == {0}
    shares = np.bincount(wave[spots >= 0], minlength=3) / (spots >= 0).sum()
    assert np.allclose(shares, np.array(wave_sizes(12, 3)) / 12, atol=0.05)


def test_wave_b_tires_as_wave_a_does_of_the_plan_turned_round(session: Session, offers: SessionOffers) -> None:
    """A plan whose groups are written in the order that wave B goes by: what its wave A comes to is what B comes to.

    The two clocks differ by what is fetched between groups, 10 s in 37 minutes, so a little is let through.
    """
    (first, second), (third, fourth, rest) = pairs()
    other = resolve(plan_in((second, first), (fourth, rest, third)), LIBRARY)
    people = next(audience(read_mix("boathouse"), count=400, seed=3, in_room=session.who.part_in_room))
    in_b = [waves_of(session, spots_in_room(people), waves) == 1 for waves in (2, 3)]
    rows = np.flatnonzero(in_b[0] & in_b[1])
    assert len(rows) > 10
    mine = {step.slot.cell.ref: step for step in simulate(people, along(session, offers))}
    all_as_a = replace(people, spot=np.zeros(len(people), dtype=np.int64))
    turned_round = {step.slot.cell.ref: step for step in simulate(all_as_a, along(other, offers))}
    for ref, step in mine.items():
        own, there = (one.led_attempt.at_worst("exactly")[rows] for one in (step, turned_round[ref]))
        assert np.abs(own - there).max() < CLOSE, str(ref)


def test_the_second_of_two_cells_is_fresher_for_who_does_it_first(session: Session, offers: SessionOffers) -> None:
    """The same body in wave A and in wave B: of the cell that comes second for A, B can do at least as much."""
    people = next(audience(read_mix("boathouse"), count=200, seed=5, in_room=1.0))
    by_wave = []
    for spot in (0, 11):  # the first place and the last: A and the last wave
        everybody = replace(people, spot=np.full(len(people), spot))
        by_wave.append({step.slot.cell.ref: step for step in simulate(everybody, along(session, offers))})
    first, second = pairs()[0]
    (a, b) = by_wave
    later = next(ref for ref in a if ref.cell == second and ref.round == "One")
    sooner = next(ref for ref in a if ref.cell == first and ref.round == "One")
    assert (b[later].led_attempt.at_worst("exactly") >= a[later].led_attempt.at_worst("exactly") - 1e-9).all()
    assert (b[sooner].led_attempt.at_worst("exactly") <= a[sooner].led_attempt.at_worst("exactly") + 1e-9).all()
    assert (b[later].led_attempt.at_worst("exactly") > a[later].led_attempt.at_worst("exactly")).any()


def test_without_waves_nothing_is_walked_twice(offers: SessionOffers) -> None:
    plain = resolve(replace(plan_in(), who=load_plan(PLAN).who), LIBRARY)
    plan = along(plain, offers)
    assert [len(list(plan.by_wave(run))) for run in plan.runs] == [1] * len(plan.slots)
