"""Between the reference bodies: how much of each one there is in a person, by sex, stature and build.

One bout done by many people: how many repetitions each has in them, what stops them, how tired they are after.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from everyrung.body.reference_grid import HEAVY_BMI, LIGHT_BMI, reference_grid
from everyrung.effort.audience import Flags, People
from everyrung.effort.people_strength import motions as strength_motions
from everyrung.effort.people_strength import without_side
from everyrung.effort.rates import Rates, by_person, reserve
from everyrung.effort.set_load import SetLoad, load_parts
from everyrung.effort.three_compartment import Array, Crowd, Times, after_hold, do_reps, hold_seconds
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
    result = np.zeros((len(stature_m), len(grid)))
    for sex in Sex:
        statures = sorted({body.stature_m for body in grid if body.sex is sex})
        parts = _along(np.array(statures), stature_m)
        for place, body in enumerate(grid):
            if body.sex is sex:
                share = heavy if body.bmi > (LIGHT_BMI + HEAVY_BMI) / 2 else 1 - heavy
                result[:, place] = np.where(
                    male == (sex is Sex.MALE), parts[:, statures.index(body.stature_m)] * share, 0
                )
    return result


def _along(nodes: Array, at: Array) -> Array:
    """Parts of each node (axes: value, node) on the broken line through them, drawn on past its ends a little."""
    at = np.clip(at, nodes[0] - BEYOND_M, nodes[-1] + BEYOND_M)
    left = np.clip(np.searchsorted(nodes, at, side="right") - 1, 0, len(nodes) - 2)
    part = (at - nodes[left]) / (nodes[left + 1] - nodes[left])
    parts = np.zeros((len(at), len(nodes)))
    rows = np.arange(len(at))
    parts[rows, left], parts[rows, left + 1] = 1 - part, part
    return parts


MOST_REPS = 100.0  # counted no further; chosen, because no led bout and no judgement goes there
MOST_HOLD_S = 600.0  # likewise


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonParameters:
    """People against one session's motions: `weights` are parts of the reference bodies (person, body), `strength` is a
    factor (person, motion) on the body model's, `endurance` (person) divides the rate of tiring. `variants` (person):
    the variant of the model that holds for each of them, where there are several.
    """

    weights: Array
    strength: Array
    endurance: Array
    variants: NDArray[np.int64] | None = None

    def only(self, places: NDArray[np.int64]) -> "PersonParameters":
        """Some of them, by the places of each person, in that order."""
        return PersonParameters(
            weights=self.weights[places],
            strength=self.strength[places],
            endurance=self.endurance[places],
            variants=None if self.variants is None else self.variants[places],
        )


def person_parameters(
    people: People, motions: tuple[str, ...], variants: NDArray[np.int64] | None = None
) -> PersonParameters:
    """These people for the motions of one session; a motion without a strength of its own for its side has that of
    both. `variants` as in PersonParameters.
    """
    all_motions = strength_motions()
    columns = [all_motions.index(name if name in all_motions else without_side(name)) for name in motions]
    return PersonParameters(
        weights=weights(people.male, people.stature_m, people.mass_kg),
        strength=np.ascontiguousarray(people.strength[:, columns]),
        endurance=people.endurance,
        variants=variants,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What became of a bout, by person: repetitions (or seconds, of a hold) `possible`; `limiting`, the motion that
    would stop them first (a place in the session's motions); fatigue `after` the bout's end, parts of strength
    (person, motion, part); `peak`, the greatest part of strength asked of each motion (person, motion). `dose` is the
    same for all. `exactly` has as many as possible with the part of the next repetition that would still go.
    """

    dose: float
    possible: Array
    limiting: NDArray[np.int64]
    after: Array
    peak: Array
    exactly: Array

    @property
    def actual(self) -> Array:
        """By person, repetitions or seconds that they do: what is asked, or less where they fail."""
        return np.minimum(self.possible, self.dose)

    @property
    def left(self) -> Array:
        """By person, repetitions or seconds beyond what is asked; below 0 when they can't finish."""
        result: Array = self.possible - self.dose
        return result


def perform_set(people: PersonParameters, fatigue: Array, task: SetLoad, load_kg: Array, rates: Rates) -> Outcome:
    """Everyone does the bout as far as they can, starting at `fatigue` (axes: person, motion, part; parts of strength)
    and holding `load_kg` (by person). What is left of the bout's time is rest; a repetition that fails tires as well
    (xia2008).
    """
    if task.cycle is None:
        return _hold(people, fatigue, task, load_kg, rates)
    crowd = Crowd(
        parts=load_parts(task.load.loads_kg, load_kg),
        weights=people.weights,
        strength=people.strength,
        endurance=people.endurance,
        variant=np.zeros(len(fatigue), dtype=np.int64) if people.variants is None else people.variants,
    )
    times = Times(task.bout.reps, task.bout.rep_ms / 1000, task.bout.duration_ms / 1000)
    end = do_reps(fatigue, crowd, task.cycle, task.working, times, rates.rest, int(MOST_REPS))
    return Outcome(dose=float(times.dose), **end._asdict())


def _hold(people: PersonParameters, before: Array, task: SetLoad, load_kg: Array, rates: Rates) -> Outcome:
    """A hold as long as it lasts, then rest."""
    working, duration_s = task.working, task.bout.duration_ms / 1000
    after, peak = rates.after_rest(before, duration_s, people.variants), np.zeros(before.shape[:2])
    load = np.maximum(task.load.at(people.weights, load_kg), 0.0) / people.strength[:, working]
    fatigue, recovery = rates.hold_fatigue[working] / people.endurance[:, None], rates.recovery[working]
    at_start = before[:, working]
    each = np.minimum(hold_seconds(at_start.sum(axis=-1), load, fatigue, recovery, reserve()), MOST_HOLD_S)
    possible = each.min(axis=1)
    lasting = np.minimum(possible, duration_s)
    shares = by_person(rates.rest.share, people.variants)[:, None, :]
    ends = after_hold(at_start, load[..., None], fatigue[..., None] * shares, recovery[:, None], lasting[:, None, None])
    peak[:, working] = load
    after[:, working] = rates.after_rest(ends, duration_s - lasting, people.variants)
    limiting = working[each.argmin(axis=1)]
    return Outcome(dose=duration_s, possible=possible, limiting=limiting, after=after, peak=peak, exactly=possible)
