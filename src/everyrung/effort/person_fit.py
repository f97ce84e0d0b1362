"""Learning a person: a strength scale and an endurance, from answers "how many more could you have done?".

Both numbers are weighed on a grid: what people of one age, sex, size and level differ by is known beforehand, each
answer is worth what such answers are, and the session up to it is walked with every pair of numbers.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from everyrung.effort.audience import People
from everyrung.effort.known_people import COPIES, known_people
from everyrung.effort.perform_set import person_parameters
from everyrung.effort.rates import constant
from everyrung.effort.simulate import SimulationPlan, no_fatigue, try_offer
from everyrung.effort.three_compartment import Array
from everyrung.people.answers import Answer
from everyrung.tables.strength_of_people import people_constant
from everyrung.terms.enums import OptionKind
from everyrung.terms.errors import Faults, Invalid, fault_at, nearest, or_list
from everyrung.terms.person import Estimate, Person

GRID = 41  # values of each number; chosen, because finer ones change nothing in the third digit
DIGITS = 3  # kept of both numbers; chosen, because the fourth is never known
WIDE = 3.0  # standard deviations that the grid reaches to either side
NEAR_LEFT, NEAR_SD = 5.0, 1.0  # Hackett 2017: about 1 repetition off with 0 to 5 left
FAR_LEFT, FAR_SD = 7.0, 2.5  # Hackett 2017: more than 2 off with 7 to 10 left
GUESS_LEFT, GUESS_SD = 10.0, 5.0  # chosen, because coaches are 4.8 off when asked early in a set (common practice)
GUESS_PART = 0.5  # of what is said, farther out; chosen, because beyond ten nobody knows


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonFit:
    """A person's two numbers, factors on those of people of their age, sex, size and level."""

    strength: Estimate
    endurance: Estimate


def answer_sd(left: float) -> float:
    """How far the answer "so many more" is off, repetitions: one standard deviation (hackett2017), farther out half of
    what is said.

    >>> answer_sd(3), answer_sd(14)
    (1.0, 7.0)
    """
    return float(answer_sds(np.array(left)))


def answer_sds(left: Array) -> Array:
    """The same for arrays of any axes: standard deviations, in repetitions (hackett2017)."""
    near = np.interp(left, (NEAR_LEFT, FAR_LEFT, GUESS_LEFT), (NEAR_SD, FAR_SD, GUESS_SD))
    result: Array = np.where(left > GUESS_LEFT, np.maximum(near, GUESS_PART * left), near)
    return result


def fit_person(along: SimulationPlan, one: Person, answers: Sequence[Answer]) -> PersonFit:
    """The two numbers after all answers of one person, weighed on a grid. What was known before (Estimates) is where it
    begins.

    Raises Faults when an answer names a cell or a rung that the session does not have.
    """
    strength, endurance = _prior(one)
    s, e = (axis.ravel() for axis in np.meshgrid(_axis(strength), _axis(endurance), indexing="ij"))
    weight = _log_normal(s, strength) + _log_normal(e, endurance)
    possible = _possible(along, _grid(one, s, e), _answer_by_slot(along, answers))
    for answer in answers:
        place = _place(along, answer)
        claim, sd = answer.reps + answer.left, answer_sd(answer.left)
        weight = weight - 0.5 * ((possible[place] - claim) / sd) ** 2
    part = np.exp(weight - weight.max())
    part /= part.sum()
    return PersonFit(strength=_estimate(s, part), endurance=_estimate(e, part))


def _prior(one: Person) -> tuple[tuple[float, float], tuple[float, float]]:
    """Mean and standard deviation of both logarithms."""
    strength = one.strength or Estimate(factor=1.0, log_sd=people_constant("scatter_log_sd"))
    endurance = one.endurance or Estimate(factor=1.0, log_sd=constant("people", "all", "endurance_log_sd"))
    return (np.log(strength.factor), strength.log_sd), (np.log(endurance.factor), endurance.log_sd)


def _axis(prior: tuple[float, float]) -> Array:
    return prior[0] + prior[1] * np.linspace(-WIDE, WIDE, GRID)


def _log_normal(values: Array, prior: tuple[float, float]) -> Array:
    result: Array = -0.5 * ((values - prior[0]) / prior[1]) ** 2
    return result


def _estimate(values: Array, part: Array) -> Estimate:
    mean = float((values * part).sum())
    sd = float(np.sqrt((part * (values - mean) ** 2).sum()))
    return Estimate(factor=round(float(np.exp(mean)), DIGITS), log_sd=max(round(sd, DIGITS), 10.0**-DIGITS))


def _grid(one: Person, s: Array, e: Array) -> People:
    """The same person with every pair of numbers in place of what is known."""
    usual = known_people([replace(one, strength=None, endurance=None)], in_room=False)
    middle = usual.only(np.full(len(s), COPIES.index(0.0)))
    return replace(middle, strength=middle.strength * np.exp(s)[:, None], endurance=np.exp(e))


def _answer_by_slot(along: SimulationPlan, answers: Sequence[Answer]) -> Mapping[int, Answer]:
    """What is known to have been done, by slot; the last answer of a slot counts."""
    return {_place(along, answer): answer for answer in answers}


def _possible(along: SimulationPlan, people: People, answers: Mapping[int, Answer]) -> Mapping[int, Array]:
    """Repetitions possible at each answered slot, fatigue carried from one to the next; in between people rest."""
    who = person_parameters(people, along.motions)
    fatigue, free_ms = no_fatigue(len(people), along), 0.0
    result = {}
    every = np.arange(len(people))
    for place, slot in enumerate(along.slots):
        if place not in answers:
            continue
        answer = answers[place]
        number = _offer(along, place, answer)
        offer = along.offers[place][number]
        starts = slot.starts(offer)
        fatigue = along.rates.after_rest(fatigue, max(starts[0] - free_ms, 0) / 1000)
        load = answer.load or offer.bouts[0].load
        kg = np.full(len(people), load.total_kg if load and load.pieces else 0.0)
        attempt = try_offer(who, fatigue, along, place, number, None, every, kg)
        sides = along.tasks[place, number][0].reps_a_cycle
        result[place] = np.minimum.reduce([one.possible for one in attempt.outcomes]) / sides
        fatigue, free_ms = attempt.outcomes[-1].after, starts[-1] + offer.bouts[-1].duration_ms
    return result


def _place(along: SimulationPlan, answer: Answer) -> int:
    refs = [slot.cell.ref for slot in along.slots]
    if answer.ref in refs:
        return refs.index(answer.ref)
    names = [str(ref) for ref in refs]
    problem = Invalid("cell", "a main cell of the plan", str(answer.ref), nearest=nearest(str(answer.ref), names))
    raise Faults([fault_at(answer.where, problem)])


def _offer(along: SimulationPlan, place: int, answer: Answer) -> int:
    kinds = [offer.kind for offer in along.offers[place]]
    if answer.kind in kinds and along.offers[place][kinds.index(answer.kind)].bouts[0].reps:
        return kinds.index(answer.kind)
    names = [_name(kind) for kind in kinds]
    problem = Invalid("rung", f"a counted rung of this cell: {or_list(names)}", _name(answer.kind))
    raise Faults([fault_at(answer.where, problem)])


def _name(kind: OptionKind | None) -> str:
    return str(kind) if kind else "as led"
