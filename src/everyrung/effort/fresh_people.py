"""What rested people of the usual mix can do of a rung, one bout of it: written into proposals/possible_reps.csv."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from everyrung.body.mechanics import Job, known_arrays
from everyrung.effort.audience import People, audience
from everyrung.effort.choices import BodyDemands, Offer, shape
from everyrung.effort.mix import read_mix
from everyrung.effort.perform_set import perform_set, person_parameters
from everyrung.effort.rates import rates
from everyrung.effort.set_load import session_motions, set_load
from everyrung.effort.three_compartment import PARTS
from everyrung.effort.words import limiter
from everyrung.plan.bouts import make_bouts
from everyrung.plan.doses import DEFAULT_HOLD_MS, DEFAULT_REPS
from everyrung.terms.enums import Mode, Sidedness, SideRule
from everyrung.terms.move import Form
from everyrung.terms.units import Dose, Load, Per

MIX, PEOPLE, SEED = "boathouse", 200, 1  # chosen: the mix that Write rehearses with, and few, for it is about a middle
QUANTILES = (0.25, 0.5)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fresh:
    """What rested people can do with one load: repetitions, or seconds of a hold, that the weakest quarter and half of
    them can't exceed, and the muscle group that stops most.
    """

    load_kg: float
    quarter: float
    half: float
    gives_out: str


def fresh_by_load(rows: Sequence[Sequence[Job]]) -> tuple[Fresh, ...]:
    """What is possible with each load, kg in all, that the shipped demands of a form have; nothing of a form that is
    not shipped. `rows` are jobs by load and body. Raises Invalid for a form that has no dose, Faults for a mix that
    can't be read.
    """
    arrays = known_arrays(rows)
    if arrays is None:
        return ()
    loads_kg = tuple(row[0].held_kg if row[0].load and row[0].load.pieces else 0.0 for row in rows)
    bodies = BodyDemands(loads_kg=loads_kg, arrays=arrays)
    return tuple(_fresh(row[0].form, row[0].load, kg, bodies) for row, kg in zip(rows, loads_kg, strict=True))


@cache
def _people() -> People:
    return next(audience(read_mix(MIX), PEOPLE, SEED, in_room=1.0))


def _fresh(form: Form, load: Load | None, load_kg: float, bodies: BodyDemands) -> Fresh:
    bouts = make_bouts(form, _usual_dose(form), load, SideRule.LEFT_FIRST, 1)
    offer = Offer(
        kind=None,
        name=form.move,
        entry_test="",
        form=shape(form),
        bouts=bouts,
        kit=frozenset(),
        cautions=frozenset(),
        grade=1,
    )
    motions, people = session_motions([bodies]), _people()
    constants = rates(motions)
    outcome = perform_set(
        person_parameters(people, motions),
        np.zeros((len(people), len(motions), PARTS)),
        set_load(offer, bouts[0], bodies, motions, constants),
        np.full(len(people), load_kg),
        constants,
    )
    quarter, half = np.quantile(outcome.exactly, QUANTILES)
    most = int(np.bincount(outcome.limiting).argmax())
    return Fresh(load_kg=load_kg, quarter=float(quarter), half=float(half), gives_out=limiter(motions[most]))


def _usual_dose(form: Form) -> Dose:
    per = Per.PLAIN if form.sides is Sidedness.BOTH else Per.SIDE
    return Dose(duration_ms=DEFAULT_HOLD_MS, per=per) if form.mode is Mode.HOLD else Dose(reps=DEFAULT_REPS, per=per)
