"""Sets as machine code against the closed form of one repetition, person by person."""

import numpy as np
import pytest

from everyrung.effort.three_compartment import (
    Crowd,
    Cycle,
    RepMap,
    Rest,
    Times,
    after_failed_rep,
    after_reps,
    after_rest,
    do_reps,
    reps_possible,
)

PEOPLE, BODIES, LOADS, VARIANTS, MOST = 200, 3, 2, 2, 100
MOTIONS = 6
WORKING = np.array([0, 2, 3, 5])


def random_set(points: int, seed: int) -> tuple[np.ndarray, Crowd, Cycle, Times, Rest]:
    """Some people of two variants at a set that about half of them can do."""
    rng = np.random.default_rng(seed)
    parts = rng.random(PEOPLE)
    crowd = Crowd(
        parts=np.stack([1 - parts, parts], axis=1),
        weights=rng.dirichlet(np.ones(BODIES), PEOPLE) * (rng.random((PEOPLE, BODIES)) < 0.7),
        strength=rng.uniform(0.6, 1.4, (PEOPLE, MOTIONS)),
        endurance=rng.uniform(0.7, 1.5, PEOPLE),
        variant=rng.integers(0, VARIANTS, PEOPLE),
    )
    recovery = rng.uniform(0.0005, 0.002, MOTIONS)
    seconds = np.array([3.0, 4.0])[:VARIANTS, None]
    at = np.linspace(0.4, 0.9, points)[:, None, None] * seconds * np.ones(len(WORKING))
    size = (LOADS, BODIES, len(WORKING))
    whole = rng.uniform(0.005, 0.05, (VARIANTS, *size))
    cycle = Cycle(
        decay=np.exp(-recovery[WORKING] * seconds),
        rise=whole,
        decay_to=np.exp(-recovery[WORKING] * at),
        rise_to=whole * rng.uniform(0.2, 0.9, (points, 1, 1, 1, 1)),
        peak=rng.uniform(0.1, 0.8, (points, *size)),
    )
    times = Times(dose=8, rep_s=3.5, duration_s=32.0)
    slow = rng.uniform(0.2, 0.7, VARIANTS)
    rest = Rest(
        share=np.stack([1 - slow, slow], axis=1),
        rate=1 / np.stack([rng.uniform(5, 60, VARIANTS), rng.uniform(200, 900, VARIANTS)], axis=1),
    )
    fatigued = rng.uniform(0.0, 0.1, (PEOPLE, MOTIONS, 2))
    fatigued[:10] = 0.5  # spent so far that a failed repetition would take them past all that there is
    return fatigued, crowd, cycle, times, rest


def by_the_closed_form(person: int, fatigued, crowd, cycle, times, rest):
    """The same from the functions of one repetition."""
    of, points = crowd.variant[person], len(cycle.peak)
    strength = crowd.strength[person, WORKING]
    scale = 1 / strength / crowd.endurance[person]

    def mixed(values):
        return np.einsum("l,b,lbm->m", crowd.parts[person], crowd.weights[person], values)

    parts, counts = fatigued[person, WORKING].T, []
    m = parts.sum(axis=0)
    maps = [
        RepMap(
            decay=cycle.decay[of], rise=mixed(cycle.rise[of]) * scale, decay_to=cycle.decay_to[point, of],
            rise_to=mixed(cycle.rise_to[point, of]) * scale,
        )
        for point in range(points)
    ]  # fmt: skip
    for point, one in enumerate(maps):
        counts.append(reps_possible(m, one, mixed(cycle.peak[point]) / strength) * points + point)
    possible = min(np.min(counts), MOST)
    spare_s = times.duration_s - min(possible, times.dose) * times.rep_s
    shares, first = rest.share[of][:, None], maps[0]
    each = RepMap(decay=first.decay, rise=shares * first.rise, decay_to=first.decay_to, rise_to=shares * first.rise_to)
    ends = after_reps(parts, each, min(possible, times.dose) / points)
    if possible < times.dose:
        ends, spare_s = each.decay_to * ends + each.rise_to, spare_s - times.rep_s
        whole = after_failed_rep(after_reps(m, first, possible / points), first)  # no more than 1
        ends = ends / np.maximum(ends.sum(axis=0), 1.0)
        assert ends.sum(axis=0) == pytest.approx(whole)
        assert person >= 10 or (whole == 1.0).any()
    after = after_rest(fatigued[person], rest.rate[of], times.duration_s)
    after[WORKING] = after_rest(ends.T, rest.rate[of], max(spare_s, 0))
    return possible, np.min(counts, axis=0), after


@pytest.mark.parametrize("points", [1, 2])
def test_a_set_of_many_is_the_closed_form_of_each(points) -> None:
    fatigued, *given = random_set(points, seed=points)
    crowd, cycle, times, rest = given
    found = do_reps(fatigued, crowd, cycle, WORKING, times, rest, MOST)
    failing = 0
    for person in range(PEOPLE):
        possible, each, after = by_the_closed_form(person, fatigued, *given)
        assert found.possible[person] == possible
        assert found.after[person] == pytest.approx(after, rel=1e-12)
        if possible < MOST:
            assert each[WORKING.tolist().index(found.limiting[person])] == possible
        failing += possible < times.dose
    assert 0.1 < failing / PEOPLE < 0.9  # the cases are worth something
