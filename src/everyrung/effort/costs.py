"""What a session costs people in energy, and first-timers in hard lowering, added up over the cells."""

from dataclasses import dataclass

import numpy as np

from everyrung.body.energy import REASON, STANDING, compendium_met, constants, error, met_w_per_kg
from everyrung.effort.audience import Flags, People
from everyrung.effort.choices import Offer, SessionOffers
from everyrung.effort.perform_set import PersonParameters
from everyrung.effort.set_load import power_w
from everyrung.effort.simulate import CellOutcome, SimulationPlan
from everyrung.effort.three_compartment import Array
from everyrung.terms.enums import BlockKind
from everyrung.terms.forecast import Band, Energy, Spread
from everyrung.terms.session import Session
from everyrung.terms.timeline import Timeline

HARD = 0.5  # of a muscle group's strength; chosen, because lighter lowering hardly makes anyone sore
SORE_REPS = 36  # 3 sets of 12, the top of the novice range (ACSM 2009), as in the rule newcomer-knee-bends


@dataclass(slots=True)
class Costs:
    """By person: joules above rest and seconds of work, in all and in main blocks; hard repetitions by motion."""

    above_rest_j: Array
    work_s: Array
    main_j: Array
    hard_reps: Array

    @classmethod
    def none(cls, people: int, motions: int) -> "Costs":
        return cls(np.zeros(people), np.zeros(people), np.zeros(people), np.zeros((people, motions)))

    def add_aside(self, who: PersonParameters, offered: SessionOffers) -> None:
        """Warm-up, cool-down and whatever else tires nobody: everyone does as led."""
        for offer in offered.aside.values():
            if offer.form not in offered.bodies:
                continue
            power = power_w(offered.bodies[offer.form]).at(who.weights, _planned_kg(offer, len(who.endurance)))[:, 0]
            seconds = sum(bout.duration_ms for bout in offer.bouts) / 1000
            self.above_rest_j += power * seconds
            self.work_s += seconds

    def add(self, step: CellOutcome, place: int, who: PersonParameters, along: SimulationPlan) -> None:
        """One cell, as everyone chose."""
        for number, one in enumerate(step.tried):
            here = np.flatnonzero(step.chosen[one.places] == number)
            places = one.places[here]
            some = who.only(places)
            kg = np.full(len(places), step.candidates[number].load_kg)
            for task, outcome in zip(along.tasks[place, one.offer], one.outcomes, strict=True):
                seconds = task.bout.duration_ms / 1000
                joules = task.above_rest_w.at(some.weights, kg)[:, 0] * seconds
                self.above_rest_j[places] += joules
                self.main_j[places] += joules
                self.work_s[places] += seconds
                reps = outcome.done[here] / task.reps_a_cycle if task.bout.reps else np.zeros(len(here))
                self.hard_reps[places] += np.where(outcome.peak[here] >= HARD, reps[:, None], 0.0)

    def sore(self, people: People) -> Flags:
        """First-timers with more hard lowering than three sets of twelve for some muscle group."""
        found: Flags = people.new & (self.hard_reps.max(axis=1) > SORE_REPS)
        return found

    def kcal(self, people: People, timeline: Timeline) -> Array:
        """Energy in all, rest included; time that is not work is standing."""
        total_s = timeline.total_ms / 1000
        still_s = self.work_s + compendium_met(*STANDING) * (total_s - self.work_s)
        found: Array = (met_w_per_kg() * people.mass_kg * still_s + self.above_rest_j) / constants()["j_per_kcal"]
        return found

    def main_met(self, people: People, session: Session, timeline: Timeline) -> Array:
        """Mean multiples of rest over the main blocks with their rests."""
        seconds = sum(timeline.block_ms(block.name) for block in session.of_kind(BlockKind.MAIN)) / 1000
        standing = compendium_met(*STANDING)
        found: Array = standing + self.main_j / max(seconds, 1.0) / met_w_per_kg() / people.mass_kg
        return found


def _planned_kg(offer: Offer, people: int) -> Array:
    load = offer.bouts[0].load
    return np.full(people, load.total_kg if load and load.pieces else 0.0)


def energy_band(kcal: Spread, met: Spread) -> Energy:
    """The middle person, with the tenth and the ninetieth of a hundred and the model's own error beyond them."""
    return Energy(kcal=_wide(kcal, "kcal"), met=_wide(met, "MET"), reason=f"how bodies and rungs differ, {REASON}")


def _wide(spread: Spread, unit: str) -> Band:
    less, more = error()
    middle = max(spread.p50, 1e-6)
    return Band(
        middle_not_for_show=middle,
        less=1 - spread.p10 * (1 - less) / middle,
        more=spread.p90 * (1 + more) / middle - 1,
        unit=unit,
    )
