"""A rehearsal: an audience walks through a session, block after block, and what becomes of people is counted."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from functools import partial

from everyrung.effort.audience import BLOCK, People, audience, blocks, side_by_side
from everyrung.effort.cell_stats import CellTally, Sums, cell_forecast, percentiles
from everyrung.effort.choices import ScheduledCell, SessionOffers, cell_offers, schedule
from everyrung.effort.heart import band_of_rates
from everyrung.effort.mix import Mix
from everyrung.effort.outcomes import CellOutcome
from everyrung.effort.perform_set import person_parameters
from everyrung.effort.rating import SessionRatings
from everyrung.effort.session_stats import MET_STEP, BlockTally, Costs, Endings, SessionStats, energy_band
from everyrung.effort.simulate import SimulationPlan, simulate, simulation_plan
from everyrung.effort.three_compartment import Integers
from everyrung.effort.uncertainty import PEOPLE, Points, draws, sensitivity, usual_draw, with_bands
from everyrung.executors.tasks import map_tasks
from everyrung.terms.errors import require
from everyrung.terms.forecast import Forecast, Share, Spread
from everyrung.terms.plan import Ref
from everyrung.terms.session import Session
from everyrung.terms.timeline import Timeline

Progress = Callable[[int, int], None]
NOBODY = Spread(p10=0, p50=0, p90=0)
STRETCHES = 50  # of an audience, at least; chosen, because whoever waits sees it move, and 25 workers have two each
MOST_BLOCKS = 10  # of a stretch; chosen, because its counts are a megabyte, and walking it takes some seconds


def rehearse(
    session: Session,
    timeline: Timeline,
    offers: SessionOffers,
    mix: Mix,
    count: int,
    seed: int = 1,
    progress: Progress | None = None,
    on_count: Callable[[Forecast], None] | None = None,
) -> Forecast:
    """What becomes of `count` people of a mix in this session, always the same people for one seed. Shares have a band
    for how far the model may be off. `progress`: how many are done, of how many. `on_count` is given the forecast as
    soon as all are counted: the same shares, still without a band. Raises Invalid for no people.
    """
    require(count > 0, "people", "one or more", count)
    places = schedule(session, timeline)
    with ThreadPoolExecutor(max_workers=1) as aside:  # on the other core, for what people do is machine code
        shifts = aside.submit(sensitivity, session, offers, places, mix, count, seed)
        along = simulation_plan(session, places, offers)
        walk, whole, stretches = Walk.begin(along), SessionStats(), _stretches(count)
        ask = partial(_walk_stretch, along, _only_aside(offers), timeline, mix, count, seed)
        for some, (part, stats) in zip(stretches, map_tasks(ask, stretches, chunk=1), strict=True):
            walk.merge(part)
            whole.merge(stats)
            if progress:
                progress(min(count, some.stop * BLOCK), count)
        plain = _forecast(mix.title, count, seed, whole, timeline, _failures(offers, places))
        if on_count:
            on_count(walk.change(along, plain, ()))
        few = next(audience(mix, min(count, PEOPLE), seed, session.who.part_in_room), None)
        under = _under_draws(few, session, offers, places, plain) if few is not None and places else None
        forecast = walk.change(along, plain, shifts.result())
    return with_bands(forecast, *under) if under else forecast


def walk_through(
    session: Session, timeline: Timeline, offers: SessionOffers, mix: Mix, count: int, seed: int = 1
) -> Forecast:
    """The same without how far the model may be off, in a tenth of the time: its shares have no band, and whom the led
    rungs stop is as counted. Raises Invalid for no people.
    """
    require(count > 0, "people", "one or more", count)
    places = schedule(session, timeline)
    along = simulation_plan(session, places, offers)
    walk, whole = _walk_stretch(along, _only_aside(offers), timeline, mix, count, seed, blocks(count))
    return walk.change(along, _forecast(mix.title, count, seed, whole, timeline, _failures(offers, places)), ())


@dataclass(slots=True)
class Walk:
    """What is counted while people walk through a session, by variant of the model."""

    cells: tuple[CellTally, ...]
    endings: Endings

    @classmethod
    def begin(cls, along: SimulationPlan) -> "Walk":
        """Before anybody has walked."""
        cells = tuple(CellTally.none(along, place) for place in range(len(along.slots)))
        return cls(cells, Endings.none(along.variants))

    def add(
        self, along: SimulationPlan, people: People, variants: Integers | None = None
    ) -> Iterator[tuple[CellOutcome, BlockTally]]:
        """One block of people goes from the first cell to the last; each step is handed on, with what they have come
        to, for whatever else is counted.
        """
        sums, way = Sums(variants, along.variants), BlockTally.begin(len(people), len(along.motions))
        for place, step in enumerate(simulate(people, along, variants)):
            way.add(step, place, along)
            self.cells[place].add(step, sums)
            yield step, way
        self.endings.add(people, way, sums)

    def merge(self, other: "Walk") -> None:
        """Adds what was counted of other people; that of earlier blocks first."""
        for tally, more in zip(self.cells, other.cells, strict=True):
            tally.merge(more)
        self.endings.merge(other.endings)

    def change(
        self, along: SimulationPlan, plain: Forecast, shifts: Sequence[Mapping[str, Points]], variant: int = 0
    ) -> Forecast:
        """The forecast with the shares that were counted; `shifts` as cell_forecast() has it, by slot.

        Raises Invalid for ratings off the scale.
        """
        cells = [
            cell_forecast(along, place, tally, shifts[place] if shifts else {}, variant)
            for place, tally in enumerate(self.cells)
        ]
        return self.endings.change(plain, tuple(cells), variant)


def _stretches(count: int) -> list[range]:
    """The blocks of people, those together that walk at one place: one each, or of a long audience some."""
    every = blocks(count)
    size = min(MOST_BLOCKS, max(1, len(every) // STRETCHES))
    return [every[at : at + size] for at in range(0, len(every), size)]


def _only_aside(offers: SessionOffers) -> SessionOffers:
    """What has to be sent of the offers beside the plan: the rungs that tire nobody."""
    forms = {offer.form for offer in offers.aside.values()}
    bodies = {form: each for form, each in offers.bodies.items() if form in forms}
    return replace(offers, cells={}, bodies=bodies, failures={})


def _walk_stretch(
    along: SimulationPlan, aside: SessionOffers, timeline: Timeline, mix: Mix, count: int, seed: int, some: range
) -> tuple[Walk, SessionStats]:
    """Some blocks of the audience, one after the other, wherever this is computed."""
    walk, whole = Walk.begin(along), SessionStats()
    for people in audience(mix, count, seed, along.session.who.part_in_room, some=some):
        _add_block(walk, whole, along, people, aside, timeline)
    return walk, whole


def _add_block(
    walk: Walk, whole: SessionStats, along: SimulationPlan, people: People, aside: SessionOffers, timeline: Timeline
) -> None:
    """One block of people, with what it costs them and whom their limits bar."""
    who = person_parameters(people, along.motions)
    costs, ratings = Costs.none(len(people)), SessionRatings.none(len(people))
    costs.add_aside(who, aside)
    way = BlockTally.begin(len(people), 0)
    for place, (step, way) in enumerate(walk.add(along, people)):
        shut = step.exclusions(people.limits)
        way.exclusions |= shut
        whole.note_barring(step.slot.cell.ref, shut)
        costs.add(step, place, who, along)
        ratings.add(step)
    whole.add(people, way, costs, ratings, along.session, timeline)


def _under_draws(
    people: People, session: Session, offers: SessionOffers, places: tuple[ScheduledCell, ...], forecast: Forecast
) -> tuple[Forecast, tuple[Forecast, ...]]:
    """Forecasts of a few people, as usual and under each draw of how far the model is off: their shares are all that
    counts of them.
    """
    ways = (usual_draw(), *draws())
    along = simulation_plan(session, places, offers, [each.variant for each in ways])
    (walk,) = map_tasks(partial(_walk_variants, along), [tuple(each.people(people) for each in ways)], chunk=1)
    few = replace(forecast, people=len(people))
    usual, *others = (walk.change(along, few, (), number) for number in range(len(ways)))
    return usual, tuple(others)


def _walk_variants(along: SimulationPlan, groups: tuple[People, ...]) -> Walk:
    """The same people under every variant of the plan at once."""
    walk = Walk.begin(along)
    crowd, variants = side_by_side(groups)
    for _ in walk.add(along, crowd, variants):
        pass
    return walk


def _forecast(
    mix: str, count: int, seed: int, whole: SessionStats, timeline: Timeline, failures: dict[Ref, str]
) -> Forecast:
    """All but the shares that are counted by variant."""
    steps = percentiles(whole.mets) or NOBODY
    mets = Spread(p10=steps.p10 * MET_STEP, p50=steps.p50 * MET_STEP, p90=steps.p90 * MET_STEP)
    return Forecast(
        people=count,
        mix=mix,
        seed=seed,
        cells=(),
        whole=Share(count=0, of=count),
        sore=Share(count=0, of=0),
        without_path={
            caution: (Share(count=whole.exclusions[caution], of=of), tuple(sorted(whole.barring[caution], key=str)))
            for caution, of in whole.limits.items()
            if whole.exclusions[caution]
        },
        broken={},
        on_medicine=Share(count=whole.medicine, of=count),
        older=Share(count=whole.older, of=count),
        heart=band_of_rates(whole.hearts),
        energy=energy_band(percentiles(whole.kcal) or NOBODY, mets),
        rating=whole.rating(),
        minutes=timeline.total_ms / 60_000,
        failed=failures,
    )


def _failures(offers: SessionOffers, places: tuple[ScheduledCell, ...]) -> dict[Ref, str]:
    """Why a led rung could not be computed."""
    led_forms = {slot.cell.ref: cell_offers(slot.cell)[0].form for slot in places}
    return {ref: offers.failures[form] for ref, form in led_forms.items() if form in offers.failures}
