"""How much columns ask of the person in the middle: parts of what they could do, fresh, added up over the sets."""

from collections.abc import Iterable, Mapping, Sequence

import numpy as np

from everyrung.effort.audience import audience
from everyrung.effort.choices import schedule, session_offers, strength_cells
from everyrung.effort.mix import read_mix
from everyrung.effort.perform_set import person_parameters
from everyrung.effort.simulate import SimulationPlan, no_fatigue, simulation_plan, try_offer
from everyrung.moves.library import Library
from everyrung.plan.resolve import resolve
from everyrung.proposals.columns import Column
from everyrung.proposals.draft import main_block
from everyrung.proposals.search import gallery
from everyrung.proposals.versions_beside import VersionsBeside
from everyrung.store.cache import Cache
from everyrung.terms.session import Session
from everyrung.timing.timeline import build_timeline

PEOPLE, SEED, MIX = 101, 1, "boathouse"  # chosen: an odd number has one in the middle, a hundred cost nothing
REST_S = 60  # chosen, any number does: each set is taken fresh
DEMAND_REPS = 8  # of a first plain set, as sessions of a block are drafted: the low end of 8 to 12 (ratamess2009)


def demands(beside: VersionsBeside, columns: Sequence[Column], cache: Cache | None) -> list[float]:
    """The demand of each column: by set the part asked of what the middle one of a simulated audience could do, fresh;
    all its sets added up. 0.5 is half of the repetitions that were possible. What cannot be computed adds nothing.
    """
    if not columns:
        return []
    blocks = [
        main_block(beside, f"Column {at}", [column], DEMAND_REPS, REST_S) for at, column in enumerate(columns)
    ]  # fmt: skip
    parts = session_parts(resolve(gallery(beside.brief, blocks), beside.library), beside.library, cache)
    result = [0.0] * len(columns)
    for block, part in parts:
        result[int(block.split()[1])] += part
    return result


def session_parts(session: Session, library: Library, cache: Cache | None) -> list[tuple[str, float]]:
    """The block and the part asked of the middle person, fresh, for each strength cell of a session."""
    offers = session_offers(session, library, cache, led_alone=True)
    along = simulation_plan(session, schedule(session, build_timeline(session)), offers)
    people = next(audience(read_mix(MIX), count=PEOPLE, seed=SEED, in_room=1.0))
    who, fresh = person_parameters(people, along.motions), no_fatigue(PEOPLE, along)
    parts = []
    for place, slot in enumerate(along.slots):
        own = _own_offer(along, place)
        if own is None:
            continue
        kg = np.full(PEOPLE, along.offers[place][own].planned_kg)
        attempt = try_offer(who, fresh, along, place, own, None, np.arange(PEOPLE), kg)
        shares = [outcome.dose / np.maximum(outcome.exactly, 1.0) for outcome in attempt.outcomes]
        parts.append((slot.cell.ref.block, float(np.median(np.minimum(np.max(shares, axis=0), 1.0)))))
    return parts


def _own_offer(along: SimulationPlan, place: int) -> int | None:
    return next((at for at, offer in enumerate(along.offers[place]) if offer.kind is None), None)


def sets_of_groups(columns: Iterable[Column]) -> Mapping[str, int]:
    """How many sets each muscle group has: a set counts for each group that its move trains (its declared focus, which
    the check focus-differs holds against the computed one).
    """
    sets: dict[str, int] = {}
    for column in columns:
        for group in column.move.focus:
            sets[group] = sets.get(group, 0) + len(column.versions)
    return sets


def session_groups(session: Session) -> Mapping[str, int]:
    """The same for a session that is there."""
    sets: dict[str, int] = {}
    for cell in strength_cells(session):
        for group in cell.move.focus:
            sets[group] = sets.get(group, 0) + 1
    return sets
