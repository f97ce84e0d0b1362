"""People whom the coach knows, as the simulation needs them; what is not known is taken on the safe side and said.

How hard each set is for the leader, who does all of it as it is led, and talks.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from everyrung.effort.audience import CAUTIONS, LEVELS, People
from everyrung.effort.choices import SessionOffers, schedule
from everyrung.effort.people_strength import age_factors, field_factors, training_factor
from everyrung.effort.perform_set import Outcome
from everyrung.effort.simulate import simulate_as_led, simulation_plan
from everyrung.tables.strength_of_people import people_constant
from everyrung.terms.enums import Caution, KitItem
from everyrung.terms.person import Experience, Person, Sex
from everyrung.terms.plan import Ref
from everyrung.terms.session import Session
from everyrung.terms.timeline import Timeline

USUAL_BMI, USUAL_AGE = 25.0, 45  # chosen, because they are near the middle of adults; said wherever they are taken
QUARTILE = 0.674  # standard deviations; between the two lies the middle half of people
COPIES = (-QUARTILE, 0.0, QUARTILE)  # each person as weak, as usual and as strong as half of such people are


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownPerson:
    """A participant with nothing left open; `taken` says in words what was assumed."""

    sex: Sex
    age: int
    mass_kg: float
    level: Experience
    taken: tuple[str, ...]


def known_person(one: Person) -> KnownPerson:
    """A participant's facts, with what is not known taken on the safe side and said.

    >>> known_person(Person(name="Aino", stature_m=1.65, age=34)).taken[1:]
    ('mass not given: 68 kg is taken, usual for the stature', 'level not given: taken as new')
    """
    usual_kg = round(USUAL_BMI * one.stature_m**2)
    assumptions = []
    if one.sex is None:
        assumptions.append("sex not given: the weaker table of strengths is taken")
    if one.age is None:
        assumptions.append(f"age not given: {USUAL_AGE} is taken")
    if one.mass_kg is None:
        assumptions.append(f"mass not given: {usual_kg} kg is taken, usual for the stature")
    if one.level is None:
        assumptions.append("level not given: taken as new")
    return KnownPerson(
        sex=one.sex or Sex.FEMALE,
        age=one.age if one.age is not None else USUAL_AGE,
        mass_kg=one.mass_kg if one.mass_kg is not None else float(usual_kg),
        level=one.level or Experience.NEW,
        taken=tuple(assumptions),
    )


def known_people(people: Sequence[Person], *, in_room: bool) -> People:
    """Each participant three times, as weak, as usual and as strong as half of such people are (COPIES), so that person
    i is rows 3 i to 3 i + 2; with the room's kit or their own. They fill the room's places in their order.
    """
    facts = [known_person(one) for one in people]
    each = len(COPIES)
    male = np.repeat([fact.sex is Sex.MALE for fact in facts], each)
    age = np.repeat([float(fact.age) for fact in facts], each)
    training = np.repeat([training_factor(fact.level) for fact in facts], each)
    own = np.array([_strength(one, z) for one in people for z in COPIES])
    kits = (None, *dict.fromkeys(one.kit for one in people))
    return People(
        male=male,
        age=age,
        stature_m=np.repeat([one.stature_m for one in people], each),
        mass_kg=np.repeat([fact.mass_kg for fact in facts], each),
        level=np.repeat([LEVELS.index(fact.level) for fact in facts], each),
        strength=age_factors(male, age) * (training * own)[:, None] * field_factors(),
        endurance=np.repeat([one.endurance.factor if one.endurance else 1.0 for one in people], each),
        kit=np.zeros(len(male), dtype=np.int64)
        if in_room
        else np.repeat([kits.index(one.kit) for one in people], each),
        limits=np.repeat(
            [[caution in _limits_of(one, in_room) for caution in CAUTIONS] for one in people], each, axis=0
        ),
        medicine=np.repeat([one.health.rate_limiting for one in people], each),
        spot=np.repeat(np.arange(len(people)), each),
        kits=kits,
    )


def _limits_of(one: Person, in_room: bool) -> tuple[Caution, ...]:
    """What they avoid; at home without a mat in what they list, the floor too. An empty list says nothing of mats."""
    bare = bool(one.kit) and not in_room and all(own.item is not KitItem.MAT for own in one.kit)
    return (*one.health.limits, Caution.TO_FLOOR) if bare else one.health.limits


def _strength(one: Person, z: float) -> float:
    """Learned strength with its error, or the scatter between people of one age, sex, size and level."""
    if one.strength:
        return float(one.strength.factor * np.exp(z * one.strength.log_sd))
    return float(np.exp(z * people_constant("scatter_log_sd")))


def leader_efforts(session: Session, timeline: Timeline, offers: SessionOffers) -> Mapping[Ref, float]:
    """How hard each strength cell is for the leader, 0 to 1: what is asked as a part of all that she could do where it
    comes. Of 8 repetitions with 12 in reserve, 0.4. With usual strength; a cell that could not be computed has none.
    """
    usual = np.array([COPIES.index(0.0)])
    people = known_people([session.leader], in_room=True).only(usual)
    along = simulation_plan(session, schedule(session, timeline), offers)
    return {ref: max(map(_part, outcomes)) for ref, outcomes in simulate_as_led(people, along)}


def _part(outcome: Outcome) -> float:
    return float(min(1.0, outcome.dose / max(float(outcome.possible[0]), 1.0)))
