"""Between the reference bodies: how much of each one there is in a person, by sex, stature and build.

One bout done by many people: how many repetitions each has in them, what stops them, how tired they are after.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from everyrung.body.reference_grid import HEAVY_BMI, LIGHT_BMI, reference_grid
from everyrung.effort.audience import Flags, People, without_side
from everyrung.effort.audience import motions as strength_motions
from everyrung.effort.set_load import SetLoad
from everyrung.effort.three_compartment import (
    Array,
    Rates,
    RepMap,
    after_failed_rep,
    after_hold,
    after_reps,
    after_rest,
    hold_seconds,
    reps_possible,
)
from everyrung.terms.person import Sex

LEAST_BMI, MOST_BMI = 17.0, 40.0  # chosen, because a straight line from 21 to 30 is not trusted any farther
BEYOND_M = 0.10  # past the shortest and the tallest reference body; chosen, for the same reason


def weights(male: Flags, stature_m: Array, mass_kg: Array) -> Array:
    """How much of each reference body there is in a person (axes: person, body), parts that add up to 1: linear in
    stature and in body-mass index.
    """
    grid = reference_grid()
    build = np.clip(mass_kg / stature_m**2, LEAST_BMI, MOST_BMI)
    heavy = (build - LIGHT_BMI) / (HEAVY_BMI - LIGHT_BMI)
    found = np.zeros((len(stature_m), len(grid)))
    for sex in Sex:
        statures = sorted({body.stature_m for body in grid if body.sex is sex})
        parts = _along(np.array(statures), stature_m)
        for place, body in enumerate(grid):
            if body.sex is sex:
                share = heavy if body.bmi > (LIGHT_BMI + HEAVY_BMI) / 2 else 1 - heavy
                found[:, place] = np.where(
                    male == (sex is Sex.MALE), parts[:, statures.index(body.stature_m)] * share, 0
                )
    return found


def _along(nodes: Array, at: Array) -> Array:
    """Parts of each node (axes: value, node) on the broken line through them, drawn on past its ends a little."""
    at = np.clip(at, nodes[0] - BEYOND_M, nodes[-1] + BEYOND_M)
    left = np.clip(np.searchsorted(nodes, at, side="right") - 1, 0, len(nodes) - 2)
    part = (at - nodes[left]) / (nodes[left + 1] - nodes[left])
    found = np.zeros((len(at), len(nodes)))
    rows = np.arange(len(at))
    found[rows, left], found[rows, left + 1] = 1 - part, part
    return found


MOST_REPS = 100.0  # counted no further; chosen, because no led bout and no judgement goes there
MOST_HOLD_S = 600.0  # likewise


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonParameters:
    """People against one session's motions: `weights` are parts of the reference bodies (person, body), `strength` is a
    factor (person, motion) on the body model's, `endurance` (person) divides the rate of tiring.
    """

    weights: Array
    strength: Array
    endurance: Array

    def only(self, places: NDArray[np.int64]) -> "PersonParameters":
        """Some of them, by the places of each person, in that order."""
        return PersonParameters(
            weights=self.weights[places], strength=self.strength[places], endurance=self.endurance[places]
        )


def person_parameters(people: People, motions: tuple[str, ...]) -> PersonParameters:
    """These people for the motions of one session; a motion without a strength of its own for its side has that of
    both.
    """
    known = strength_motions()
    columns = [known.index(name if name in known else without_side(name)) for name in motions]
    return PersonParameters(
        weights=weights(people.male, people.stature_m, people.mass_kg),
        strength=people.strength[:, columns],
        endurance=people.endurance,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What became of a bout, by person: repetitions (or seconds, of a hold) `possible`; `limiting`, the motion that
    would stop them first (a place in the session's motions); fatigue `after` the bout's end, a part of strength
    (person, motion); `peak`, the greatest part of strength asked of each motion (person, motion). `asked` is the same
    for all.
    """

    asked: float
    possible: Array
    limiting: NDArray[np.int64]
    after: Array
    peak: Array

    @property
    def actual(self) -> Array:
        """By person, repetitions or seconds that they do: what is asked, or less where they fail."""
        return np.minimum(self.possible, self.asked)

    @property
    def left(self) -> Array:
        """By person, repetitions or seconds beyond what is asked; below 0 when they can't finish."""
        found: Array = self.possible - self.asked
        return found


def perform_set(people: PersonParameters, fatigue: Array, task: SetLoad, load_kg: Array, rates: Rates) -> Outcome:
    """Everyone does the bout as far as they can, starting at `fatigue` (axes: person, motion; a part of strength) and
    holding `load_kg` (by person). What is left of the bout's time is rest; a repetition that fails tires as well
    (xia2008).
    """
    working = np.flatnonzero(task.working)
    duration_s = task.bout.duration_ms / 1000
    after = after_rest(fatigue, rates.recovery, rates.multiplier, duration_s)
    peak = np.zeros_like(fatigue)
    some = np.maximum(task.load.at(people.weights, load_kg, working), 0.0) / people.strength[:, working]
    peak[:, working] = some
    now = fatigue[:, working]
    if task.bout.reps:
        possible, limiting, ends = _repeat(people, now, task, load_kg, rates, working)
    else:
        possible, limiting, ends = _hold(people, now, task, some, rates, working)
    after[:, working] = ends
    asked = float(task.bout.reps or duration_s)
    return Outcome(asked=asked, possible=possible, limiting=working[limiting], after=after, peak=peak)


Ended = tuple[Array, NDArray[np.int64], Array]  # possible, limiting, fatigue at the end


def _hold(
    people: PersonParameters, m: Array, task: SetLoad, load: Array, rates: Rates, working: NDArray[np.int64]
) -> Ended:
    """A hold as long as it lasts, then rest."""
    fatigue, recovery = rates.hold_fatigue[working] / people.endurance[:, None], rates.recovery[working]
    each = np.minimum(hold_seconds(m, load, fatigue, recovery), MOST_HOLD_S)
    possible = each.min(axis=1)
    duration_s = task.bout.duration_ms / 1000
    lasting = np.minimum(possible, duration_s)[:, None]
    ends = after_hold(m, load, fatigue, recovery, lasting)
    return possible, each.argmin(axis=1), after_rest(ends, recovery, rates.multiplier[working], duration_s - lasting)


def _repeat(
    people: PersonParameters, m: Array, task: SetLoad, load_kg: Array, rates: Rates, working: NDArray[np.int64]
) -> Ended:
    """Repetitions until they are done or one fails, then rest; the failed attempt tires too."""
    scale = 1 / people.endurance[:, None] / people.strength[:, working]
    rise = task.rise.at(people.weights, load_kg, working) * scale
    counts, cycles = [], []
    for point in task.points:
        one = RepMap(
            decay=task.decay[working],
            rise=np.maximum(rise, 0.0),
            decay_to=point.decay_to[working],
            rise_to=np.maximum(point.rise_to.at(people.weights, load_kg, working) * scale, 0.0),
        )
        peak = point.peak.at(people.weights, load_kg, working) / people.strength[:, working]
        counts.append(reps_possible(m, one, np.maximum(peak, 0.0)) * len(task.points) + point.rep)
        cycles.append(one)
    each = np.minimum(np.minimum.reduce(counts), MOST_REPS)
    possible, limiting = each.min(axis=1), each.argmin(axis=1)
    done = np.minimum(possible, task.bout.reps)
    ends = after_reps(m, cycles[0], done[:, None] / len(task.points))
    failed = (possible < task.bout.reps)[:, None]
    ends = np.where(failed, after_failed_rep(ends, cycles[0]), ends)
    spare_s = task.bout.duration_ms / 1000 - np.minimum(done, task.bout.reps) * task.bout.rep_ms / 1000
    spare_s = np.where(failed[:, 0], spare_s - task.bout.rep_ms / 1000, spare_s)  # the failed attempt took its time
    return (
        possible,
        limiting,
        after_rest(ends, rates.recovery[working], rates.multiplier[working], np.maximum(spare_s, 0)[:, None]),
    )
