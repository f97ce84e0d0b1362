"""Simulated people for whole seasons: their true strength, what they gain a week, and how they answer."""

from dataclasses import dataclass, replace

import numpy as np

from everyrung.effort.audience import LEVELS, Flags, People, audience
from everyrung.effort.mix import read_mix
from everyrung.effort.people_strength import age_factors, field_factors, training_factor
from everyrung.effort.perform_set import PersonParameters, person_parameters
from everyrung.effort.person_fit import answer_sds
from everyrung.effort.three_compartment import Array
from everyrung.tables.training import training_constant

MOST_LEFT = 30.0  # that anyone would say; chosen
MIX = "boathouse"
GAINS, DAYS = 1, 2  # streams of chance beside the one that draws people


@dataclass(frozen=True, slots=True, kw_only=True)
class Crowd:
    """People as they are (`truth`), as one would take people of their kind to be (`usual`), and the logarithm of what
    they gain a week of training (person).
    """

    truth: PersonParameters
    usual: PersonParameters
    gain_log: Array

    def __len__(self) -> int:
        return len(self.gain_log)


def draw_crowd(motions: tuple[str, ...], people: int, seed: int, block: int = 0) -> Crowd:
    """Of `people` of the boathouse, all in the room, those of one block (effort/audience.py), the same for the
    same seed; with gains as ahtiainen2016 found.
    """
    (some,) = audience(read_mix(MIX), count=people, seed=seed, in_room=1.0, some=range(block, block + 1))
    mean, sd = training_constant("gain_week_log"), training_constant("gain_week_log_sd")
    gain = np.random.default_rng([seed, block, GAINS]).normal(mean, sd, len(some))
    return Crowd(
        truth=person_parameters(some, motions),
        usual=person_parameters(_usual(some), motions),
        gain_log=np.maximum(gain, 0.0),
    )


def with_strength(who: PersonParameters, strength_log: Array, endurance_log: Array | float = 0.0) -> PersonParameters:
    """The same people stronger by a factor on every motion, and more enduring (logarithms by person)."""
    strength = who.strength * np.exp(strength_log)[:, None]
    return replace(who, strength=strength, endurance=who.endurance * np.exp(endurance_log))


def answers(left: Array, over: Flags, rng: np.random.Generator) -> Array:
    """What people say who had `left` more in them (any axes), whole repetitions, as far off as hackett2017 found; none
    where the set was `over`.
    """
    reply = np.clip(np.round(left + answer_sds(left) * rng.standard_normal(left.shape)), 0, MOST_LEFT)
    result: Array = np.where(over, 0.0, reply)
    return result


def _usual(people: People) -> People:
    """These people with the strength and endurance that their kind has in the middle."""
    training = np.array([training_factor(each) for each in LEVELS])[people.level]
    strength = age_factors(people.male, people.age) * training[:, None] * field_factors()
    return replace(people, strength=strength, endurance=np.ones(len(people)))
