"""How much else it could be: the same people under other assumptions about recovery, strength and tempo."""

from dataclasses import dataclass, replace

import numpy as np

from everyrung.effort.audience import audience
from everyrung.effort.choices import SessionOffers
from everyrung.effort.mix import Mix
from everyrung.effort.schedule import ScheduledCell
from everyrung.effort.simulate import simulate, simulation_plan
from everyrung.effort.three_compartment import constant
from everyrung.terms.session import Session

COMPARED = 2000  # people; chosen, because differences in the same people need no more
Points = tuple[float, float]  # for those who finish some rung, and the led one


@dataclass(frozen=True, slots=True, kw_only=True)
class Assumption:
    """Another way it could be: `rest` multiplier, `width` of strength's scatter, `strength` and `pace` factors."""

    name: str
    rest: float | None = None
    width: float = 1.0
    strength: float = 1.0
    pace: float = 1.0


ASSUMPTIONS = (
    Assumption(name="recovery slow (r 5)", rest=constant("rest", "low", "multiplier")),
    Assumption(name="recovery quick (r 15)", rest=constant("rest", "high", "multiplier")),
    Assumption(name="strength scatter half", width=0.5),
    Assumption(name="strength scatter half as much again", width=1.5),
    Assumption(name="strength 10 % less", strength=0.9),
    Assumption(name="strength 10 % more", strength=1.1),
    Assumption(name="tempo 15 % slower", pace=1.15),
    Assumption(name="tempo 15 % quicker", pace=0.85),
)


def moved(
    session: Session, offered: SessionOffers, places: tuple[ScheduledCell, ...], mix: Mix, count: int, seed: int
) -> list[dict[str, Points]]:
    """By cell: how far, in percentage points, each assumption moves who finishes some rung, and the led one."""
    people = min(count, COMPARED)
    usual = _finishing(session, offered, places, mix, people, seed, Assumption(name="usual"))
    found: list[dict[str, Points]] = [{} for _ in places]
    for each in ASSUMPTIONS:
        other = _finishing(session, offered, places, mix, people, seed, each)
        for number, (before, after) in enumerate(zip(usual, other, strict=True)):
            found[number][each.name] = (100 * (after[0] - before[0]), 100 * (after[1] - before[1]))
    return found


def _finishing(
    session: Session,
    offered: SessionOffers,
    places: tuple[ScheduledCell, ...],
    mix: Mix,
    count: int,
    seed: int,
    one: Assumption,
) -> list[Points]:
    along = simulation_plan(session, places, offered, one.pace)
    counts = np.zeros((len(places), 2))
    for people in audience(mix, count, seed, session.who.part_in_room, one.width):
        other = replace(people, strength=people.strength * one.strength)
        known = along.rates if one.rest is None else along.rates.with_multiplier(one.rest)
        for number, step in enumerate(simulate(other, along, known)):
            counts[number] += step.finishable.sum(), (step.led.left >= 0).sum() if step.led else 0
    return [(float(some), float(led)) for some, led in counts / max(count, 1)]
