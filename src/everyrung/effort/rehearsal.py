"""A rehearsal: an audience walks through a session, block after block, under the usual and under other assumptions."""

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from itertools import islice

import numpy as np

from everyrung.effort.audience import BLOCK, CAUTIONS, Flags, People, audience
from everyrung.effort.costs import Costs, energy_band
from everyrung.effort.mix import Mix
from everyrung.effort.offered import Offered, offers
from everyrung.effort.perform import fitted
from everyrung.effort.pulse import band_of_rates
from everyrung.effort.rates import constant
from everyrung.effort.slots import Slot, slots
from everyrung.effort.tally import CellTally, Counts, cell_forecast, percentiles
from everyrung.effort.walk import Course, Step, course, walk
from everyrung.effort.words import limiter
from everyrung.terms.body import Sex
from everyrung.terms.forecast import Forecast, Share, Spread
from everyrung.terms.plan import Ref
from everyrung.terms.session import Session
from everyrung.terms.timeline import Timeline
from everyrung.terms.vocabulary import Caution

COMPARED = 2000  # people under other assumptions; chosen, because differences in the same people need no more
MET_STEP, MOST_KCAL, MOST_MET = 0.01, 5000, 20.0  # of counting; chosen, far beyond what a session can cost
Progress = Callable[[int, int], None]


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


@dataclass(slots=True)
class _Whole:
    """Counts over the whole session."""

    whole: int = 0
    new: int = 0
    sore: int = 0
    medicine: int = 0
    kcal: Counts = field(default_factory=lambda: np.zeros(MOST_KCAL + 1, dtype=np.int64))
    met: Counts = field(default_factory=lambda: np.zeros(int(MOST_MET / MET_STEP) + 1, dtype=np.int64))
    heart: list[tuple[float, Sex, float]] = field(default_factory=list)
    limited: dict[Caution, int] = field(default_factory=dict)
    barred: dict[Caution, int] = field(default_factory=dict)
    barring: dict[Caution, set[Ref]] = field(default_factory=dict)
    broken: dict[tuple[str, str], Counter[str]] = field(default_factory=dict)


def rehearse(
    session: Session,
    timeline: Timeline,
    offered: Offered,
    mix: Mix,
    count: int,
    seed: int = 1,
    progress: Progress | None = None,
) -> Forecast:
    """`count` people of a mix, always the same for one seed. `progress` is told how many of how many have been."""
    places = slots(session, timeline)
    along = course(session, places, offered)
    cells, whole, step_of = [CellTally() for _ in places], _Whole(), {}
    done = 0
    for people in audience(mix, count, seed, _in_room(session)):
        for number, step in enumerate(_walked(people, along, offered, session, timeline, whole)):
            cells[number].add(step, along)
            step_of[number] = step
        done += len(people)
        if progress:
            progress(done, count)
    moved = _moved(session, offered, places, mix, min(count, COMPARED), seed)
    forecasts = [
        cell_forecast(slot.cell.ref, cells[number], step_of[number], moved[number])
        for number, slot in enumerate(places)
    ]
    nobody = Spread(p10=0, p50=0, p90=0)
    met = percentiles(whole.met) or nobody
    scaled = Spread(p10=met.p10 * MET_STEP, p50=met.p50 * MET_STEP, p90=met.p90 * MET_STEP)
    return Forecast(
        people=count,
        mix=mix.title,
        seed=seed,
        cells=tuple(forecasts),
        whole=Share(count=whole.whole, of=count),
        sore=Share(count=whole.sore, of=whole.new),
        without_path={
            caution: (Share(count=whole.barred[caution], of=of), tuple(sorted(whole.barring[caution], key=str)))
            for caution, of in whole.limited.items()
            if whole.barred.get(caution)
        },
        broken={
            where: tuple((name, Share(count=stopped, of=count)) for name, stopped in counts.most_common())
            for where, counts in whole.broken.items()
        },
        on_medicine=Share(count=whole.medicine, of=count),
        heart=band_of_rates(whole.heart),
        energy=energy_band(percentiles(whole.kcal) or nobody, scaled),
        failed=_failed(offered, places),
    )


def _failed(offered: Offered, places: tuple[Slot, ...]) -> dict[Ref, str]:
    """Why a led rung could not be computed."""
    led = {slot.cell.ref: offers(slot.cell)[0].form for slot in places}
    return {ref: offered.failed[form] for ref, form in led.items() if form in offered.failed}


def _in_room(session: Session) -> float:
    return session.who.in_room / (session.who.in_room + session.who.at_home)


def _walked(
    people: People, along: Course, offered: Offered, session: Session, timeline: Timeline, whole: _Whole
) -> Iterator[Step]:
    """The steps of one block of people, counted as a whole on the way."""
    who = fitted(people, along.motions)
    costs = Costs.none(len(people), len(along.motions))
    costs.add_aside(who, offered)
    finished = np.ones(len(people), dtype=bool)
    barred = np.zeros((len(people), len(CAUTIONS)), dtype=bool)
    broken: dict[tuple[str, str], dict[str, Flags]] = {}
    for place, step in enumerate(walk(people, along)):
        costs.add(step, place, who, along)
        finished &= step.finishable
        shut = step.barred(people.limits)
        for number in np.flatnonzero(shut.any(axis=0)):
            whole.barring.setdefault(CAUTIONS[number], set()).add(step.slot.cell.ref)
        barred |= shut
        _note_broken(step, along, broken)
        yield step
    for where, stopped in broken.items():
        counts = whole.broken.setdefault(where, Counter())
        counts.update({name: int(people_stopped.sum()) for name, people_stopped in stopped.items()})
    whole.whole += int(finished.sum())
    whole.new += int(people.new.sum())
    whole.sore += int(costs.sore(people).sum())
    whole.medicine += int(people.medicine.sum())
    for place, caution in enumerate(CAUTIONS):
        whole.limited[caution] = whole.limited.get(caution, 0) + int(people.limits[:, place].sum())
        whole.barred[caution] = whole.barred.get(caution, 0) + int(barred[:, place].sum())
    _count_costs(people, costs, session, timeline, whole)


def _note_broken(step: Step, along: Course, broken: dict[tuple[str, str], dict[str, Flags]]) -> None:
    """Whom the led rung stops, by what stops them, in the round that the cell belongs to."""
    led = next((one for one in step.as_planned if step.offers[one.offer].kind is None), None)
    if led is None:
        return
    here = broken.setdefault((step.slot.cell.ref.block, step.slot.cell.ref.round), {})
    rows = np.arange(len(led.worst))
    limiting = np.stack([outcome.limiting for outcome in led.outcomes])[led.worst, rows]
    for motion in np.unique(limiting[led.left < 0]):
        name = limiter(along.motions[motion])
        here[name] = here.get(name, np.zeros(len(rows), dtype=bool)) | ((limiting == motion) & (led.left < 0))


def _count_costs(people: People, costs: Costs, session: Session, timeline: Timeline, whole: _Whole) -> None:
    kcal = costs.kcal(people, timeline)
    met = costs.main_met(people, session, timeline)
    whole.kcal += np.bincount(np.clip(kcal, 0, MOST_KCAL).astype(int), minlength=len(whole.kcal))
    whole.met += np.bincount((np.clip(met, 0, MOST_MET) / MET_STEP).astype(int), minlength=len(whole.met))
    if len(whole.heart) < COMPARED:
        whole.heart += [
            (float(people.age[place]), Sex.MALE if people.male[place] else Sex.FEMALE, float(met[place]))
            for place in np.flatnonzero(~people.medicine)
        ]


def _moved(
    session: Session, offered: Offered, places: tuple[Slot, ...], mix: Mix, count: int, seed: int
) -> list[dict[str, tuple[float, float]]]:
    """By cell: how far, in points, each other assumption moves who finishes some rung, and the led one."""
    usual = _finishing(session, offered, places, mix, count, seed, Assumption(name="usual"))
    found: list[dict[str, tuple[float, float]]] = [{} for _ in places]
    for each in ASSUMPTIONS:
        other = _finishing(session, offered, places, mix, count, seed, each)
        for number, (before, after) in enumerate(zip(usual, other, strict=True)):
            found[number][each.name] = (100 * (after[0] - before[0]), 100 * (after[1] - before[1]))
    return found


def _finishing(
    session: Session, offered: Offered, places: tuple[Slot, ...], mix: Mix, count: int, seed: int, one: Assumption
) -> list[tuple[float, float]]:
    along = course(session, places, offered, one.pace)
    counts = np.zeros((len(places), 2))
    blocks = islice(audience(mix, count, seed, _in_room(session), one.width), -(-count // BLOCK))
    for people in blocks:
        weaker = replace(people, strength=people.strength * one.strength)
        for number, step in enumerate(walk(weaker, along, one.rest)):
            led = next((tried for tried in step.as_planned if step.offers[tried.offer].kind is None), None)
            counts[number] += step.finishable.sum(), (led.left >= 0).sum() if led else 0
    return [(float(some), float(led)) for some, led in counts / max(count, 1)]
