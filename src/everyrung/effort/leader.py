"""How hard each set is for the leader, who does all of it as it is led, and talks."""

from collections.abc import Mapping

import numpy as np

from everyrung.effort.choices import SessionOffers
from everyrung.effort.known_people import COPIES, known_people
from everyrung.effort.perform_set import Outcome
from everyrung.effort.schedule import schedule
from everyrung.effort.simulate import simulate_as_led, simulation_plan
from everyrung.terms.plan import Ref
from everyrung.terms.session import Session
from everyrung.terms.timeline import Timeline


def leader_efforts(session: Session, timeline: Timeline, offered: SessionOffers) -> Mapping[Ref, float]:
    """What part of all that they could do of a strength set where it comes is asked of the leader, 0 to 1: of 8
    repetitions and 12 in reserve, 0.4. With usual strength; a cell that could not be computed has none.
    """
    usual = np.array([COPIES.index(0.0)])
    people = known_people([session.leader], in_room=True).only(usual)
    along = simulation_plan(session, schedule(session, timeline), offered)
    return {ref: max(map(_part, outcomes)) for ref, outcomes in simulate_as_led(people, along)}


def _part(outcome: Outcome) -> float:
    return float(min(1.0, outcome.asked / max(float(outcome.possible[0]), 1.0)))
