"""Counting over a whole session: who finishes all of it, who is sore, barred or stopped by what, what it costs."""

from collections import Counter
from dataclasses import dataclass, field

import numpy as np

from everyrung.effort.audience import CAUTIONS, Flags, People
from everyrung.effort.cell_stats import Counts
from everyrung.effort.costs import Costs
from everyrung.effort.simulate import CellOutcome, SimulationPlan
from everyrung.effort.words import limiter
from everyrung.terms.enums import Caution
from everyrung.terms.person import Sex
from everyrung.terms.plan import Ref
from everyrung.terms.session import Session
from everyrung.terms.timeline import Timeline

MET_STEP, MOST_KCAL, MOST_MET = 0.01, 5000, 20.0  # of counting; chosen, far beyond what a session can cost
MOST_HEARTS = 2000  # people whose heart rate is predicted; chosen, because a median needs no more
Round = tuple[str, str]


@dataclass(slots=True)
class Way:
    """One block of people on their way: who has finished all so far, whom their limits bar, whom the led rungs stop."""

    finished: Flags
    barred: Flags
    stopped: dict[Round, dict[str, Flags]] = field(default_factory=dict)

    @classmethod
    def begin(cls, people: int) -> "Way":
        return cls(np.ones(people, dtype=bool), np.zeros((people, len(CAUTIONS)), dtype=bool))

    def add(self, step: CellOutcome, along: SimulationPlan, shut: Flags) -> None:
        """One cell more; `shut` is whom their limits bar from it."""
        self.finished &= step.finishable
        self.barred |= shut
        led = step.led
        if led is None:
            return
        here = self.stopped.setdefault((step.slot.cell.ref.block, step.slot.cell.ref.round), {})
        limiting = led.at_worst("limiting")
        for motion in np.unique(limiting[led.left < 0]):
            name = limiter(along.motions[motion])
            now = (limiting == motion) & (led.left < 0)
            here[name] = here[name] | now if name in here else now


@dataclass(slots=True)
class SessionStats:
    """Counts over the whole session, of all people so far."""

    finished: int = 0
    new: int = 0
    sore: int = 0
    medicine: int = 0
    kcal: Counts = field(default_factory=lambda: np.zeros(MOST_KCAL + 1, dtype=np.int64))
    met: Counts = field(default_factory=lambda: np.zeros(int(MOST_MET / MET_STEP) + 1, dtype=np.int64))
    hearts: list[tuple[float, Sex, float]] = field(default_factory=list)
    limited: Counter[Caution] = field(default_factory=Counter)
    barred: Counter[Caution] = field(default_factory=Counter)
    barring: dict[Caution, set[Ref]] = field(default_factory=dict)
    stopped: dict[Round, Counter[str]] = field(default_factory=dict)

    def note_barring(self, ref: Ref, shut: Flags) -> None:
        """Which cautions bar someone from a cell."""
        for number in np.flatnonzero(shut.any(axis=0)):
            self.barring.setdefault(CAUTIONS[number], set()).add(ref)

    def add(self, people: People, way: Way, costs: Costs, session: Session, timeline: Timeline) -> None:
        """One block of people that has come to the end."""
        self.finished += int(way.finished.sum())
        self.new += int(people.new.sum())
        self.sore += int(costs.sore(people).sum())
        self.medicine += int(people.medicine.sum())
        for place, caution in enumerate(CAUTIONS):
            self.limited[caution] += int(people.limits[:, place].sum())
            self.barred[caution] += int(way.barred[:, place].sum())
        for where, found in way.stopped.items():
            counts = self.stopped.setdefault(where, Counter())
            counts.update({name: int(flags.sum()) for name, flags in found.items()})
        met = costs.main_met(people, session, timeline)
        kcal = np.clip(costs.kcal(people, timeline), 0, MOST_KCAL).astype(int)
        self.kcal += np.bincount(kcal, minlength=len(self.kcal))
        self.met += np.bincount((np.clip(met, 0, MOST_MET) / MET_STEP).astype(int), minlength=len(self.met))
        if len(self.hearts) < MOST_HEARTS:
            self.hearts += [
                (float(people.age[place]), Sex.MALE if people.male[place] else Sex.FEMALE, float(met[place]))
                for place in np.flatnonzero(~people.medicine)
            ]
