"""One set done by people whose strength is made up: what fails, when, and what that costs, reckoned by hand."""

import numpy as np
import pytest

from everyrung.body.demand_table import demand_arrays
from everyrung.body.reference_grid import reference_grid
from everyrung.effort.choices import BodyDemands, Offer
from everyrung.effort.perform_set import Outcome, PersonParameters, perform_set
from everyrung.effort.rates import rates, reserve, rest
from everyrung.effort.set_load import session_motions, set_load
from everyrung.effort.three_compartment import after_hold
from everyrung.moves.library import standard_library
from everyrung.terms.enums import Side
from everyrung.terms.session import Bout

KNEES = {"knee_extension_left": 0.6, "knee_extension_right": 0.6}
REP_S, DOWN_S = 4.0, 2.0  # the made demand: two seconds down, hardest at the bottom, two up
SHARE = 0.64  # of the peak, its mean load


def bodies_with(made_demand, peaks: dict[str, float], *, hold_ms: float = 0.0) -> BodyDemands:
    phases = (0.0, hold_ms, 0.0, 0.0) if hold_ms else (2000.0, 0.0, 2000.0, 0.0)
    return BodyDemands(
        loads_kg=(0.0,), arrays=demand_arrays([[made_demand(peaks, body, phases) for body in reference_grid()]])
    )


def done(
    made_demand, peaks, *, rung="squat/base", reps=0, lasting_s=0.0, strength=1.0, left=1.0, fatigue=0.0
) -> tuple[Outcome, tuple[str, ...]]:
    """One person of `strength` (its left side `left` of that) at a set of so many repetitions, or at a hold."""
    bodies = bodies_with(made_demand, peaks, hold_ms=0.0 if reps else 1000.0)
    names = session_motions([bodies])
    found = standard_library().rung(*rung.split("/"))
    duration_ms = round(1000 * (lasting_s or reps * REP_S))
    bout = Bout(
        side=Side.BOTH, reps=reps, duration_ms=duration_ms, tempo=found.form.tempo, rep_ms=round(1000 * REP_S),
        load=None, load_side=None,
    )  # fmt: skip
    offer = Offer(
        kind=None, name=found.name, entry_test="", form=found.form, bouts=(bout,), kit=frozenset(),
        cautions=frozenset(), grade=2,
    )  # fmt: skip
    known = rates(names)
    each = np.array([[strength * (left if name.endswith("_left") else 1.0) for name in names]])
    who = PersonParameters(weights=np.eye(len(reference_grid()))[:1], strength=each, endurance=np.ones(1))
    asked = set_load(offer, bout, bodies, names, known)
    before = fatigue if isinstance(fatigue, np.ndarray) else np.full((1, len(names), 2), fatigue / 2)
    return perform_set(who, before, asked, np.zeros(1), known), names


def spent(outcome: Outcome, names: tuple[str, ...], motion: str = "knee_extension_right") -> float:
    return float(outcome.after[0, names.index(motion)].sum())


def most_reps(made_demand) -> int:
    return int(done(made_demand, KNEES, reps=99)[0].possible[0])


def at_rest(m: float, seconds: float) -> float:
    """What is left of fatigue that work alone has made, after `seconds` of rest."""
    known = rest()
    return float(m * (known.share * np.exp(-known.rate * seconds)).sum())


def test_a_side_too_weak_for_its_turn_ends_an_alternating_set_after_the_other_side_s_repetition(made_demand) -> None:
    # the marching right leg goes first here; a left leg of a twentieth fails at its own first repetition
    leg = {"hip_flexion_right": 0.5}
    assert done(made_demand, leg, rung="march/base", reps=10)[0].possible[0] >= 10
    assert done(made_demand, leg, rung="march/base", reps=10, left=0.05)[0].possible.tolist() == [1.0]


def test_both_sides_of_an_alternating_set_count(made_demand) -> None:
    # half the strength on the side that comes second: so many of its own turns are done, and as many of the first's
    leg = {"hip_flexion_right": 0.5}
    weak, _ = done(made_demand, leg, rung="march/base", reps=60, left=0.7)
    assert weak.possible[0] % 2 == 1  # it fails at a turn of its own, after the other side's


def test_a_failed_attempt_tires_as_holding_its_loads_to_the_hardest_point_does(made_demand) -> None:
    most = most_reps(made_demand)
    finished, names = done(made_demand, KNEES, reps=most)
    failed, _ = done(made_demand, KNEES, reps=most + 1)
    place = names.index("knee_extension_right")
    known, before = rates(names), np.array(spent(finished, names))
    by_hand = after_hold(before, np.array(SHARE * 0.6), known.rep_fatigue[place], known.recovery[place], DOWN_S)
    assert spent(failed, names) == pytest.approx(float(by_hand), rel=1e-6)
    assert spent(failed, names) > spent(finished, names)


def test_a_failed_attempt_takes_its_time_off_the_rest_that_is_left(made_demand) -> None:
    most = most_reps(made_demand)
    at_once, names = done(made_demand, KNEES, reps=most + 1)
    later, _ = done(made_demand, KNEES, reps=most + 1, lasting_s=(most + 1) * REP_S + 20)
    assert spent(later, names) == pytest.approx(at_rest(spent(at_once, names), 20.0))


def test_who_fails_long_before_the_end_rests_until_it(made_demand) -> None:
    most = most_reps(made_demand)
    failed, names = done(made_demand, KNEES, reps=most + 1)
    early, _ = done(made_demand, KNEES, reps=most + 6)
    assert spent(early, names) == pytest.approx(at_rest(spent(failed, names), 5 * REP_S))


def test_who_finishes_is_as_tired_as_after_that_many_repetitions(made_demand) -> None:
    most = most_reps(made_demand)
    assert most > 4
    outcome, _ = done(made_demand, KNEES, reps=most)
    assert outcome.dose == most
    assert outcome.left.tolist() == [0.0]
    assert outcome.actual.tolist() == [most]


def test_a_hold_that_fails_is_held_until_then_and_rested_after(made_demand) -> None:
    names = done(made_demand, KNEES, lasting_s=1.0)[1]
    known, place = rates(names), names.index("knee_extension_right")
    possible = float(done(made_demand, KNEES, lasting_s=500.0)[0].possible[0])
    assert 5 < possible < 500
    failed, _ = done(made_demand, KNEES, lasting_s=possible + 30)
    # at failure strength that is left is what is asked, but for the reserve: m = 1 - u + g u^k
    ends = 0.4 + float(reserve().of(np.array(0.6)))
    assert spent(failed, names) == pytest.approx(at_rest(ends, 30.0), rel=1e-4)
    part = after_hold(np.array(0.0), np.array(0.6), known.hold_fatigue[place], known.recovery[place], 5.0)
    assert spent(done(made_demand, KNEES, lasting_s=5.0)[0], names) == pytest.approx(float(part))


def test_what_stops_people_is_the_motion_that_gives_out_first(made_demand) -> None:
    peaks = {**KNEES, "hip_extension_left": 0.7, "hip_extension_right": 0.7}
    outcome, names = done(made_demand, peaks, reps=5)
    assert names[outcome.limiting[0]].startswith("hip_extension")
    assert outcome.peak[0, names.index("hip_extension_left")] == pytest.approx(0.7)


def test_a_motion_that_rests_in_a_set_recovers_while_others_work(made_demand) -> None:
    only_right = {"knee_extension_right": 0.5}
    outcome, names = done(made_demand, only_right, reps=3, fatigue=0.2)
    left = np.exp(-rest().rate * 3 * REP_S).mean()  # half of it was quick, half slow
    assert spent(outcome, names, "knee_extension_left") == pytest.approx(0.2 * left)
    assert spent(outcome, names) > 0.2


def rested(after, seconds: float):
    """Fatigue of all motions after that rest."""
    return after * np.exp(-rest().rate[:, None] * seconds)


def test_repetitions_after_a_failed_hold_wait_for_a_rest_and_are_fewer_then(made_demand) -> None:
    fresh, failed = most_reps(made_demand), done(made_demand, KNEES, lasting_s=500.0)[0]
    held_s = float(failed.possible[0])
    at_once = done(made_demand, KNEES, lasting_s=held_s)[0].after  # no rest in it
    counts = [
        int(done(made_demand, KNEES, reps=99, fatigue=rested(at_once, seconds))[0].possible[0])
        for seconds in (0.0, 20.0, 60.0, 300.0, 3600.0)
    ]
    assert counts[0] == 0
    assert counts == sorted(counts)
    assert 0 < counts[2] < fresh
    assert counts[-1] == fresh


def test_a_hold_after_failed_repetitions_is_short_but_no_more_than_the_reserve(made_demand) -> None:
    fresh_s = float(done(made_demand, KNEES, lasting_s=500.0)[0].possible[0])
    failed = done(made_demand, KNEES, reps=most_reps(made_demand) + 1)[0]
    at_once, later = (
        float(done(made_demand, KNEES, lasting_s=500.0, fatigue=rested(failed.after, seconds))[0].possible[0])
        for seconds in (0.0, 60.0)
    )
    known, names = rates(("knee_extension_right",)), 0
    # what is left is at most the reserve, at the rate F u
    assert at_once <= float(reserve().of(np.array(0.6))) / (known.hold_fatigue[names] * 0.6) * 1.5
    assert at_once < later < fresh_s


def test_sets_to_failure_get_shorter_from_one_to_the_next(made_demand) -> None:
    # Silva 2014 and every other study of sets to failure with a minute between them
    fatigue, counts = 0.0, []
    for _ in range(4):
        possible = int(done(made_demand, KNEES, reps=99, fatigue=fatigue)[0].possible[0])
        counts.append(possible)
        fatigue = rested(done(made_demand, KNEES, reps=possible + 1, fatigue=fatigue)[0].after, 60.0)
    assert counts == sorted(counts, reverse=True)
    assert counts[0] > counts[1] > counts[2]
