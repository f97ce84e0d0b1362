"""A rehearsal: an audience walks through a session, block after block, and what becomes of people is counted."""

from collections.abc import Callable
from dataclasses import replace

from everyrung.effort.audience import People, audience
from everyrung.effort.cell_stats import CellTally, cell_forecast, percentiles
from everyrung.effort.choices import ScheduledCell, SessionOffers, offers, schedule
from everyrung.effort.heart import band_of_rates
from everyrung.effort.mix import Mix
from everyrung.effort.perform_set import person_parameters
from everyrung.effort.session_stats import MET_STEP, BlockTally, Costs, SessionStats, energy_band
from everyrung.effort.simulate import CellOutcome, SimulationPlan, simulate, simulation_plan
from everyrung.effort.uncertainty import PEOPLE, Draw, draws, sensitivity, usual_draw, with_bands
from everyrung.terms.errors import require
from everyrung.terms.forecast import CellForecast, Forecast, Share, Spread
from everyrung.terms.plan import Ref
from everyrung.terms.session import Session
from everyrung.terms.timeline import Timeline

Progress = Callable[[int, int], None]
NOBODY = Spread(p10=0, p50=0, p90=0)


def rehearse(
    session: Session,
    timeline: Timeline,
    offered: SessionOffers,
    mix: Mix,
    count: int,
    seed: int = 1,
    progress: Progress | None = None,
) -> Forecast:
    """What becomes of `count` people of a mix in this session, always the same people for one seed. Shares have a band
    for how far the model may be off. `progress`: how many are done, of how many. Raises Invalid for no people.
    """
    require(count > 0, "people", "one or more", count)
    places = schedule(session, timeline)
    along = simulation_plan(session, places, offered)
    cells, whole = [CellTally() for _ in places], SessionStats()
    last: dict[int, CellOutcome] = {}
    done = 0
    for people in audience(mix, count, seed, session.who.part_in_room):
        last = _simulate_block(people, along, offered, cells, whole, timeline)
        done += len(people)
        if progress:
            progress(done, count)
    other = sensitivity(session, offered, places, mix, count, seed)
    found = [
        cell_forecast(slot.cell.ref, cells[number], last[number], other[number]) for number, slot in enumerate(places)
    ]
    plain = _forecast(mix.title, count, seed, tuple(found), whole, _failures(offered, places))
    few = next(audience(mix, min(count, PEOPLE), seed, session.who.part_in_room), None)
    if few is None or not places:
        return plain
    usual, *others = (_forecast_under(few, session, offered, timeline, draw) for draw in (usual_draw(), *draws()))
    return with_bands(plain, usual, tuple(others))


def _forecast_under(
    people: People, session: Session, offered: SessionOffers, timeline: Timeline, draw: Draw
) -> Forecast:
    """The forecast of a few people where the model is off by `draw`: its shares are all that counts of it."""
    places = schedule(session, timeline)
    along = simulation_plan(session, places, offered, draw.pace)
    along = replace(along, rates=draw.rates(along.rates))
    cells, whole = [CellTally() for _ in places], SessionStats()
    last = _simulate_block(draw.people(people), along, offered, cells, whole, timeline)
    found = [cell_forecast(slot.cell.ref, cells[number], last[number], {}) for number, slot in enumerate(places)]
    return _forecast("", len(people), 0, tuple(found), whole, {})


def _simulate_block(
    people: People,
    along: SimulationPlan,
    offered: SessionOffers,
    cells: list[CellTally],
    whole: SessionStats,
    timeline: Timeline,
) -> dict[int, CellOutcome]:
    """One block of people, from the first cell to the last; their steps, for the names in them."""
    who = person_parameters(people, along.motions)
    costs, way = Costs.none(len(people), len(along.motions)), BlockTally.begin(len(people))
    costs.add_aside(who, offered)
    steps = {}
    for place, step in enumerate(simulate(people, along)):
        shut = step.exclusions(people.limits)
        whole.note_barring(step.slot.cell.ref, shut)
        way.add(step, along, shut)
        costs.add(step, place, who, along)
        cells[place].add(step, along)
        steps[place] = step
    whole.add(people, way, costs, along.session, timeline)
    return steps


def _forecast(
    mix: str, count: int, seed: int, cells: tuple[CellForecast, ...], whole: SessionStats, failed: dict[Ref, str]
) -> Forecast:
    met = percentiles(whole.met) or NOBODY
    scaled = Spread(p10=met.p10 * MET_STEP, p50=met.p50 * MET_STEP, p90=met.p90 * MET_STEP)
    return Forecast(
        people=count,
        mix=mix,
        seed=seed,
        cells=cells,
        whole=Share(count=whole.finished, of=count),
        sore=Share(count=whole.sore, of=whole.new),
        without_path={
            caution: (Share(count=whole.barred[caution], of=of), tuple(sorted(whole.barring[caution], key=str)))
            for caution, of in whole.limited.items()
            if whole.barred[caution]
        },
        broken={
            where: tuple((name, Share(count=stopped, of=count)) for name, stopped in counts.most_common())
            for where, counts in whole.stopped.items()
        },
        on_medicine=Share(count=whole.medicine, of=count),
        heart=band_of_rates(whole.hearts),
        energy=energy_band(percentiles(whole.kcal) or NOBODY, scaled),
        failed=failed,
    )


def _failures(offered: SessionOffers, places: tuple[ScheduledCell, ...]) -> dict[Ref, str]:
    """Why a led rung could not be computed."""
    led = {slot.cell.ref: offers(slot.cell)[0].form for slot in places}
    return {ref: offered.failed[form] for ref, form in led.items() if form in offered.failed}
