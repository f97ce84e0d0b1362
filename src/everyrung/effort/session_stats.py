"""What a session costs people in energy, and first-timers in hard lowering, added up over the cells.

Counting over a whole session: who finishes all of it, who is sore, barred or stopped by what, what it costs.
"""

from collections import Counter
from dataclasses import dataclass, field, replace

import numpy as np

from everyrung.body.energy import STANDING, compendium_met, constants, error, met_w_per_kg, reason
from everyrung.effort.audience import CAUTIONS, Flags, People
from everyrung.effort.cell_stats import Counts, Sums
from everyrung.effort.choices import SessionOffers
from everyrung.effort.outcomes import CellOutcome
from everyrung.effort.perform_set import PersonParameters
from everyrung.effort.rating import MOST as MOST_RATING
from everyrung.effort.rating import STEP, SessionRatings, rating_band
from everyrung.effort.set_load import ByLoad, power_w
from everyrung.effort.simulate import SimulationPlan
from everyrung.effort.three_compartment import Array
from everyrung.effort.words import limiter
from everyrung.plan.doses import NOVICE_REPS
from everyrung.terms.enums import BlockKind, Caution
from everyrung.terms.forecast import Band, CellForecast, Energy, Forecast, Rating, Share, Spread
from everyrung.terms.person import Sex
from everyrung.terms.plan import Ref
from everyrung.terms.session import Session
from everyrung.terms.timeline import Timeline

HARD = 0.5  # of a muscle group's strength; chosen, because lighter lowering hardly makes anyone sore


@dataclass(slots=True)
class Costs:
    """By person, joules above rest and seconds of work, in all and in main blocks."""

    above_rest_j: Array
    work_s: Array
    main_j: Array

    @classmethod
    def none(cls, people: int) -> "Costs":
        """Nothing spent so far, by person."""
        return cls(np.zeros(people), np.zeros(people), np.zeros(people))

    def add_aside(self, who: PersonParameters, offers: SessionOffers) -> None:
        """Adds warm-up, cool-down and whatever else tires nobody: everyone does it as led."""
        for offer in offers.aside.values():
            if offer.form not in offers.bodies:
                continue
            power = _power_w(power_w(offers.bodies[offer.form]), who, offer.planned_kg)
            seconds = sum(bout.duration_ms for bout in offer.bouts) / 1000
            self.above_rest_j += power * seconds
            self.work_s += seconds

    def add(self, step: CellOutcome, place: int, who: PersonParameters, along: SimulationPlan) -> None:
        """Adds one cell, as everyone chose; `place` is its slot's."""
        for number, one in enumerate(step.attempts):
            places = one.places[step.choice[one.places] == number]
            some, kg = who.only(places), step.candidates[number].load_kg
            for task in along.tasks[place, one.offer]:
                seconds = task.bout.duration_ms / 1000
                joules = _power_w(task.above_rest_w, some, kg) * seconds
                self.above_rest_j[places] += joules
                self.main_j[places] += joules
                self.work_s[places] += seconds

    def kcal(self, people: People, timeline: Timeline) -> Array:
        """Energy in all, kcal by person, rest included; time that is not work is standing (ainsworth2011)."""
        total_s = timeline.total_ms / 1000
        still_s = self.work_s + compendium_met(*STANDING) * (total_s - self.work_s)
        result: Array = (met_w_per_kg() * people.mass_kg * still_s + self.above_rest_j) / constants()["j_per_kcal"]
        return result

    def main_met(self, people: People, session: Session, timeline: Timeline) -> Array:
        """Mean METs over the main blocks with their rests, by person."""
        seconds = sum(timeline.block_ms(block.name) for block in session.of_kind(BlockKind.MAIN)) / 1000
        standing = compendium_met(*STANDING)
        result: Array = standing + self.main_j / max(seconds, 1.0) / met_w_per_kg() / people.mass_kg
        return result


def _power_w(power: ByLoad, people: PersonParameters, load_kg: float) -> Array:
    result: Array = power.at(people.weights, np.full(len(people.endurance), load_kg))[:, 0]
    return result


def energy_band(kcal: Spread, mets: Spread) -> Energy:
    """The middle person's energy, with the tenth and the ninetieth of a hundred and the model's own error beyond them.
    Raises Invalid where there is no cost at all.
    """
    return Energy(kcal=_wide(kcal, "kcal"), met=_wide(mets, "MET"), reason=f"how bodies and rungs differ, {reason()}")


def _wide(spread: Spread, unit: str) -> Band:
    less, more = error()
    middle = max(spread.p50, 1e-6)
    return Band(
        middle_not_for_show=middle,
        less=1 - spread.p10 * (1 - less) / middle,
        more=spread.p90 * (1 + more) / middle - 1,
        unit=unit,
    )


MET_STEP, MOST_KCAL, MOST_MET = 0.01, 5000, 20.0  # of counting; chosen, far beyond what a session can cost
OLDER_YEARS = 65  # WHO 2020: from here on balance counts
MOST_HEARTS = 2000  # people whose heart rate is predicted; chosen, because a median needs no more
Round = tuple[str, str]


@dataclass(slots=True)
class BlockTally:
    """One block of people on their way (axis: person): who has finished all so far, whom their limits bar (person,
    caution), how many hard repetitions each has done (person, motion), whom the led rungs stop, by round and by what
    gives out.
    """

    finishers: Flags
    exclusions: Flags
    hard_reps: Array
    stops: dict[Round, dict[str, Flags]] = field(default_factory=dict)

    @classmethod
    def begin(cls, people: int, motions: int) -> "BlockTally":
        """Everyone before the first cell: all has been finished, by each person."""
        exclusions, hard_reps = np.zeros((people, len(CAUTIONS)), dtype=bool), np.zeros((people, motions))
        return cls(np.ones(people, dtype=bool), exclusions, hard_reps)

    def add(self, step: CellOutcome, place: int, along: SimulationPlan) -> None:
        """One cell more; `place` is its slot's."""
        self.finishers &= step.finishable
        for number, one in enumerate(step.attempts):
            doing = np.flatnonzero(step.choice[one.places] == number)
            for task, outcome in zip(along.tasks[place, one.offer], one.outcomes, strict=True):
                if task.bout.reps:
                    reps = outcome.actual[doing, None] / task.reps_a_cycle
                    self.hard_reps[one.places[doing]] += np.where(outcome.peak[doing] >= HARD, reps, 0.0)
        attempt = step.led_attempt
        if attempt is None:
            return
        here = self.stops.setdefault((step.slot.cell.ref.block, step.slot.cell.ref.round), {})
        limiting, short = attempt.at_worst("limiting"), attempt.left < 0
        for motion in np.unique(limiting[short]):
            name = limiter(along.motions[motion])
            now = (limiting == motion) & short
            here[name] = here[name] | now if name in here else now

    def sore(self, people: People) -> Flags:
        """First-timers, by person, with more hard lowering than three sets of twelve for some muscle group
        (ratamess2009).
        """
        result: Flags = people.new & (self.hard_reps.max(axis=1) > NOVICE_REPS)
        return result


@dataclass(slots=True)
class Endings:
    """How it ended (axis: variant of the model): who finished all of it, who came for the first time, who of them is
    sore, whom the led rungs stopped, by round and by what gives out.
    """

    finishers: Counts
    new: Counts
    sore: Counts
    stops: dict[Round, dict[str, Counts]] = field(default_factory=dict)

    @classmethod
    def none(cls, variants: int) -> "Endings":
        """Nobody counted."""
        flat = np.zeros(variants, dtype=np.int64)
        return cls(flat, flat.copy(), flat.copy())

    def add(self, people: People, way: BlockTally, sums: Sums) -> None:
        """Counts one block of people that has come to the end."""
        self.finishers += sums.people(way.finishers)
        self.new += sums.people(people.new)
        self.sore += sums.people(way.sore(people))
        for where, by_limiter in way.stops.items():
            counts = self.stops.setdefault(where, {})
            for name, flags in by_limiter.items():
                counts[name] = counts.get(name, 0) + sums.people(flags)

    def merge(self, other: "Endings") -> None:
        """Adds the counts of other people; what stops them stays in the order in which it was met."""
        self.finishers += other.finishers
        self.new += other.new
        self.sore += other.sore
        for where, by_limiter in other.stops.items():
            counts = self.stops.setdefault(where, {})
            for name, more in by_limiter.items():
                counts[name] = counts.get(name, 0) + more

    def change(self, forecast: Forecast, cells: tuple[CellForecast, ...], variant: int) -> Forecast:
        """The forecast with the shares of one variant."""
        people = forecast.people
        return replace(
            forecast,
            cells=cells,
            whole=Share(count=int(self.finishers[variant]), of=people),
            sore=Share(count=int(self.sore[variant]), of=int(self.new[variant])),
            broken={where: _shares(counts, variant, people) for where, counts in self.stops.items()},
        )


def _shares(counts: dict[str, Counts], variant: int, people: int) -> tuple[tuple[str, Share], ...]:
    most = Counter({name: int(count[variant]) for name, count in counts.items() if count[variant]}).most_common()
    return tuple((name, Share(count=count, of=people)) for name, count in most)


@dataclass(slots=True)
class SessionStats:
    """Counts over the whole session that need no variant of the model, of all people so far; `kcal` has one a kcal
    (axis: 0 to MOST_KCAL), `mets` one a MET_STEP, `ratings` one a STEP of the scale. `hearts` has age, sex and mean
    METs of people whose heart rate is predicted.
    """

    medicine: int = 0
    older: int = 0
    ratings: Counts = field(default_factory=lambda: np.zeros(round(MOST_RATING / STEP) + 1, dtype=np.int64))
    kcal: Counts = field(default_factory=lambda: np.zeros(MOST_KCAL + 1, dtype=np.int64))
    mets: Counts = field(default_factory=lambda: np.zeros(int(MOST_MET / MET_STEP) + 1, dtype=np.int64))
    hearts: list[tuple[float, Sex, float]] = field(default_factory=list)
    limits: Counter[Caution] = field(default_factory=Counter)
    exclusions: Counter[Caution] = field(default_factory=Counter)
    barring: dict[Caution, set[Ref]] = field(default_factory=dict)

    def note_barring(self, ref: Ref, shut: Flags) -> None:
        """Notes which cautions bar someone from a cell; `shut` has axes person and caution."""
        for number in np.flatnonzero(shut.any(axis=0)):
            self.barring.setdefault(CAUTIONS[number], set()).add(ref)

    def add(
        self,
        people: People,
        way: BlockTally,
        costs: Costs,
        ratings: SessionRatings,
        session: Session,
        timeline: Timeline,
    ) -> None:
        """Counts one block of people that has come to the end."""
        self.medicine += int(people.medicine.sum())
        self.older += int((people.age >= OLDER_YEARS).sum())
        self.ratings += ratings.counts()
        for place, caution in enumerate(CAUTIONS):
            self.limits[caution] += int(people.limits[:, place].sum())
            self.exclusions[caution] += int(way.exclusions[:, place].sum())
        mets = costs.main_met(people, session, timeline)
        kcal = np.clip(costs.kcal(people, timeline), 0, MOST_KCAL).astype(int)
        self.kcal += np.bincount(kcal, minlength=len(self.kcal))
        self.mets += np.bincount((np.clip(mets, 0, MOST_MET) / MET_STEP).astype(int), minlength=len(self.mets))
        self.hearts += [
            (float(people.age[place]), Sex.MALE if people.male[place] else Sex.FEMALE, float(mets[place]))
            for place in np.flatnonzero(~people.medicine)[: MOST_HEARTS - len(self.hearts)]
        ]

    def rating(self) -> Rating | None:
        """What people say of the whole session; None where nobody did a set. Raises Invalid for one off the scale."""
        scale = np.linspace(0.0, MOST_RATING, len(self.ratings))
        return rating_band(scale, self.ratings, "session_sd")

    def merge(self, other: "SessionStats") -> None:
        """Adds the counts of other people."""
        self.medicine += other.medicine
        self.older += other.older
        self.ratings += other.ratings
        self.kcal += other.kcal
        self.mets += other.mets
        self.hearts += other.hearts[: MOST_HEARTS - len(self.hearts)]
        for caution, count in other.limits.items():
            self.limits[caution] += count
            self.exclusions[caution] += other.exclusions[caution]
        for caution, refs in other.barring.items():
            self.barring.setdefault(caution, set()).update(refs)
