"""People walk through a session cell by cell: every offer is tried, one is chosen and done, fatigue goes on."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from everyrung.effort.audience import CAUTIONS, Flags, Kit, People
from everyrung.effort.choices import Offer, ScheduledCell, SessionOffers
from everyrung.effort.outcomes import Attempt, CellOutcome, any_of
from everyrung.effort.perform_set import Outcome, PersonParameters, perform_set, person_parameters
from everyrung.effort.rates import Rates, rates, rest
from everyrung.effort.select_rung import (
    NOTHING,
    S_A_REP,
    Candidate,
    ColumnHistory,
    Piece,
    allows,
    most_of_body_mass,
    pieces,
    room_kit,
    select_rung,
    targets,
)
from everyrung.effort.set_load import SetLoad, session_motions, set_load
from everyrung.effort.three_compartment import PARTS, Array, Integers, Rest
from everyrung.effort.waves import AfterRun, of_waves, spots_in_room, waves_of
from everyrung.terms.enums import OptionKind
from everyrung.terms.move import Form
from everyrung.terms.plan import Ref
from everyrung.terms.session import Bout, Session


@dataclass(frozen=True, slots=True, kw_only=True)
class Variant:
    """The model as it may be instead: a factor on every repetition's time, one on how fast fatigue goes in rests, and
    another case of `rest` (rates.py).
    """

    pace: float = 1.0
    recovery: float = 1.0
    rest: str = "all"


USUAL = (Variant(),)


@dataclass(frozen=True, slots=True, kw_only=True)
class SimulationPlan:
    """A session made ready for people: its slots and motions, and by slot the offers and every bout of them as a set
    load (`tasks`, by slot and offer). `led_offers` is what is led, computed or not. Rates and set loads are by variant
    of the model, of which there are `variants`.
    """

    session: Session
    slots: tuple[ScheduledCell, ...]
    motions: tuple[str, ...]
    rates: Rates
    offers: Mapping[int, tuple[Offer, ...]]
    led_offers: Mapping[int, Offer]
    tasks: Mapping[tuple[int, int], tuple[SetLoad, ...]]

    @property
    def variants(self) -> int:
        """How many variants of the model there are."""
        return len(self.rates.rest.rate)

    @property
    def runs(self) -> Iterator[tuple[int, ...]]:
        """The places of slots, those that are done side by side in waves together."""
        places = range(len(self.slots))
        for _, run in groupby(places, key=lambda place: self.slots[place].beside or (self.slots[place].cell.ref,)):
            yield tuple(run)

    def by_wave(self, places: tuple[int, ...]) -> Iterator[tuple[tuple[int, ...], "SimulationPlan"]]:
        """For each wave of a run, its slots in the wave's own order, and the plan with the wave's times; the first is
        the plan as it is.
        """
        yield places, self
        for wave in range(1, len(self.slots[places[0]].by_wave)):
            starts = {place: self.slots[place].by_wave[wave] for place in places}
            slots = list(self.slots)
            for place, starts_ms in starts.items():
                slots[place] = replace(slots[place], starts_ms=starts_ms)
            yield tuple(sorted(places, key=lambda place: starts[place])), replace(self, slots=tuple(slots))


def simulation_plan(
    session: Session,
    slots: tuple[ScheduledCell, ...],
    offers: SessionOffers,
    variants: Sequence[Variant] = USUAL,
) -> SimulationPlan:
    """Everything about the session that does not depend on people, for each variant of the model."""
    by_slot = {
        place: tuple(offer for offer in offers.cells[slot.cell.ref] if offer.form in offers.bodies)
        for place, slot in enumerate(slots)
    }
    bodies = [offers.bodies[offer.form] for some in by_slot.values() for offer in some]
    motions = session_motions(bodies)
    by_variant = _rates_of(rates(motions), variants)
    paces = np.array([each.pace for each in variants])
    each: dict[tuple[Form, Bout], SetLoad] = {}  # a bout comes again from round to round

    def load_of(offer: Offer, bout: Bout) -> SetLoad:
        if (offer.form, bout) not in each:
            each[offer.form, bout] = set_load(offer, bout, offers.bodies[offer.form], motions, by_variant, paces)
        return each[offer.form, bout]

    tasks = {
        (place, number): tuple(load_of(offer, bout) for bout in offer.bouts)
        for place, some in by_slot.items()
        for number, offer in enumerate(some)
    }
    led_offers = {place: offers.cells[slot.cell.ref][0] for place, slot in enumerate(slots)}
    return SimulationPlan(
        session=session,
        slots=slots,
        motions=motions,
        rates=by_variant,
        offers=by_slot,
        led_offers=led_offers,
        tasks=tasks,
    )


def _rates_of(usual: Rates, variants: Sequence[Variant]) -> Rates:
    each = [rest(one.rest) for one in variants]
    factors = np.array([[one.recovery] for one in variants])
    shares, rates = (np.concatenate(values) for values in zip(*each, strict=True))
    return replace(usual, rest=Rest(share=shares, rate=factors * rates))


def no_fatigue(people: int, along: SimulationPlan) -> Array:
    """Everyone fresh (axes: person, motion, part)."""
    return np.zeros((people, len(along.motions), PARTS))


def simulate(
    people: People, along: SimulationPlan, variants: Integers | None = None, *, led_alone: bool = False
) -> Iterator[CellOutcome]:
    """People go through the session: cell by cell every offer is tried, one is chosen and done, fatigue is carried on.
    `variants` has the place of each person's variant of the model, where the plan has several. `led_alone`: only what
    is led is tried by everybody, come what may.
    """
    who = person_parameters(people, along.motions, variants)
    kits = tuple(room_kit(along.session.kit) if kit is None else kit for kit in people.kits)
    fatigue, free_ms = no_fatigue(len(people), along), np.zeros(len(people))
    path, spots = ColumnHistory(), spots_in_room(people)

    def walk(places: Sequence[int], fatigue: Array, free_ms: Array, by: SimulationPlan) -> AfterRun:
        steps = {}
        for place in places:
            gap_s = np.maximum(by.slots[place].starts_ms[0] - free_ms, 0) / 1000
            fatigue = by.rates.after_rest(fatigue, gap_s, variants)
            steps[place] = _step(people, who, kits, fatigue, by, place, path, led_alone)
            fatigue, free_ms = _after(steps[place], fatigue, free_ms)
        return AfterRun(steps=steps, fatigue=fatigue, free_ms=free_ms)

    for places in along.runs:
        ways = [walk(order, fatigue, free_ms, by) for order, by in along.by_wave(places)]
        whole = of_waves(ways, waves_of(along.session, spots, len(ways)))
        fatigue, free_ms = whole.fatigue, whole.free_ms
        for place, step in whole.steps.items():
            yield step
            ref = along.slots[place].cell.ref
            path.go_on(ref, along.led_offers[place], step.people_by_offer(), len(people))


def simulate_as_led(people: People, along: SimulationPlan) -> Iterator[tuple[Ref, tuple[Outcome, ...]]]:
    """People do every led rung with the plan's load, come what may: what becomes of each bout, cell by cell. A cell
    whose led rung could not be computed is a rest.
    """
    who = person_parameters(people, along.motions)
    fatigue, free_ms = no_fatigue(len(people), along), 0
    for place, slot in enumerate(along.slots):
        offer = next((one for one in along.offers[place] if one.kind is None), None)
        if offer is None:
            continue
        fatigue = along.rates.after_rest(fatigue, max(slot.starts_ms[0] - free_ms, 0) / 1000)
        every, kg = np.arange(len(people)), np.full(len(people), offer.planned_kg)
        attempt = try_offer(who, fatigue, along, place, along.offers[place].index(offer), None, every, kg)
        yield slot.cell.ref, attempt.outcomes
        fatigue, free_ms = attempt.outcomes[-1].after, slot.starts(offer)[-1] + offer.bouts[-1].duration_ms


def _step(
    people: People,
    who: PersonParameters,
    kits: tuple[Kit, ...],
    fatigue: Array,
    along: SimulationPlan,
    place: int,
    path: ColumnHistory,
    led_alone: bool,
) -> CellOutcome:
    slot, offers, led_offer = along.slots[place], along.offers[place], along.led_offers[place]
    every = np.arange(len(people))
    plan_attempts, attempts, candidates = [], [], []
    has_kit = []
    for number, offer in enumerate(offers):
        as_planned = None
        if offer.kind is None or not led_alone:
            kg = np.full(len(people), offer.planned_kg)
            as_planned = try_offer(who, fatigue, along, place, number, None, every, kg)
            plan_attempts.append(as_planned)
        ways = list(_ways(offer, kits, people))
        has_kit.append(any_of([has for _, has in ways], len(people)))
        for piece, has in ways:
            may = has & _free(offer, people)
            places = np.flatnonzero(may)
            if not len(places):
                continue
            weight = piece.mass.mass_kg * offer.pieces if piece else 0.0
            if piece is None and as_planned:
                one = as_planned
            else:
                loads_kg = np.full(len(places), weight)
                one = try_offer(who, fatigue, along, place, number, piece, places, loads_kg)
            left = np.full(len(people), -np.inf)
            left[one.places] = one.left
            attempts.append(one)
            dose = one.outcomes[0].dose / (1.0 if offer.bouts[0].reps else S_A_REP)
            apart, first_down = path.apart(slot.cell.ref, led_offer, offer, len(people))
            candidates.append(
                Candidate(
                    offer=number,
                    kind=offer.kind,
                    load_kg=weight,
                    dose=dose,
                    may=may,
                    left=left,
                    grade=offer.grade,
                    above=offer.kind is OptionKind.HARDER or (offer.kind is not None and offer.grade > led_offer.grade),
                    apart=apart,
                    first_down=first_down,
                )
            )
    newcomers_led = slot.number < along.session.newcomer_rounds
    target = targets(along.session.level, people.new)
    nobody = np.full(len(people), NOTHING)
    choice = select_rung(candidates, target, people.new, newcomers_led=newcomers_led) if candidates else nobody
    return CellOutcome(
        slot=slot,
        offers=offers,
        as_planned=tuple(plan_attempts),
        attempts=tuple(attempts),
        candidates=tuple(candidates),
        choice=choice,
        has_kit=tuple(has_kit),
    )


def _ways(offer: Offer, kits: tuple[Kit, ...], people: People) -> Iterator[tuple[Piece | None, Flags]]:
    """The loads an offer can be done with, each with who has the kit for it."""
    able = np.array([allows(kit, offer) for kit in kits])[people.kit]
    if not offer.pieces:
        yield None, able
        return
    pieces_by_kit = [pieces(kit, offer.form.load) for kit in kits]
    most_kg = most_of_body_mass(offer.form) * people.mass_kg
    for piece in sorted({one for some in pieces_by_kit for one in some}, key=lambda one: (one.mass.mass_kg, one.word)):
        has: Flags = able & np.array([piece in some for some in pieces_by_kit])[people.kit]
        has &= piece.mass.mass_kg * offer.pieces <= most_kg
        yield piece, has


def _free(offer: Offer, people: People) -> Flags:
    """Who avoids nothing that the offer asks for."""
    columns = [CAUTIONS.index(caution) for caution in offer.cautions]
    result: Flags = ~any_of([people.limits[:, each] for each in columns], len(people))
    return result


def try_offer(
    who: PersonParameters,
    fatigue: Array,
    along: SimulationPlan,
    place: int,
    number: int,
    piece: Piece | None,
    places: NDArray[np.int64],
    load_kg: Array,
) -> Attempt:
    """One offer's bouts one after the other, with the rests between them, for the people at `places`.

    `fatigue` (person, motion, part) is that of everyone, `load_kg` (person) of those at `places`; `place` and `number`
    are the slot's and the offer's.
    """
    everyone = len(places) == len(fatigue)
    some, now = (who, fatigue) if everyone else (who.only(places), fatigue[places])
    outcomes: list[Outcome] = []
    free_ms = None
    slot, offer = along.slots[place], along.offers[place][number]
    for bout, start_ms in zip(along.tasks[place, number], slot.starts(offer), strict=True):
        if free_ms is not None:
            now = along.rates.after_rest(now, max(start_ms - free_ms, 0) / 1000, some.variants)
        outcomes.append(perform_set(some, now, bout, load_kg, along.rates))
        now, free_ms = outcomes[-1].after, start_ms + bout.bout.duration_ms
    lefts = [
        one.left if task.bout.reps else one.left / S_A_REP
        for one, task in zip(outcomes, along.tasks[place, number], strict=True)
    ]
    return Attempt(offer=number, piece=piece, places=places, outcomes=tuple(outcomes), left=np.minimum.reduce(lefts))


def _after(step: CellOutcome, fatigue: Array, free_ms: Array) -> tuple[Array, Array]:
    """Fatigue and the time from which everyone is free, once the chosen offers are done; who skips only rests."""
    fatigue, free_ms = fatigue.copy(), free_ms.copy()
    for number, one in enumerate(step.attempts):
        here = np.flatnonzero(step.choice[one.places] == number)
        if len(here):
            places = one.places[here]
            offer = step.offers[one.offer]
            fatigue[places] = one.outcomes[-1].after[here]
            free_ms[places] = step.slot.starts(offer)[-1] + offer.bouts[-1].duration_ms
    idle = step.choice == NOTHING
    free_ms[idle] = step.slot.starts_ms[0]
    return fatigue, free_ms
