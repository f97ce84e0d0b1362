"""Every rung that a session offers, computed on the reference bodies; where it holds a load, with several.

When each strength cell of a session begins, and its bouts; and when those of its options would.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate

import numpy as np
from numpy.typing import NDArray

from everyrung.body.demand_table import DemandArrays, demand_arrays
from everyrung.body.mechanics import Failure, Job, demands, known_arrays
from everyrung.body.reference_grid import reference_grid
from everyrung.body.rung_load import NODE_PIECES_KG, node_loads
from everyrung.moves.library import Library
from everyrung.store.cache import Cache
from everyrung.terms.enums import BlockKind, Caution, OptionKind
from everyrung.terms.errors import Invalid
from everyrung.terms.move import Form, KitNeed, Rung
from everyrung.terms.plan import Ref
from everyrung.terms.session import Bout, Cell, Session
from everyrung.terms.timeline import Timeline
from everyrung.terms.units import Load
from everyrung.timing.turns import side_by_side, wave_starts

Progress = Callable[[int, int], None]
Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """A rung that a cell offers: `kind` is None for the one that is led."""

    kind: OptionKind | None
    name: str
    entry_test: str
    form: Form
    bouts: tuple[Bout, ...]
    kit: frozenset[KitNeed]
    cautions: frozenset[Caution]
    grade: int

    @property
    def pieces(self) -> int:
        """How many loads are held: 0, 1 or 2."""
        return self.form.load.pieces

    @property
    def planned_kg(self) -> float:
        """All that is held as the plan has it."""
        load = self.bouts[0].load
        return load.total_kg if load and load.pieces else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class BodyDemands:
    """A rung's demands by total load and reference body: a load for each of `loads_kg` (one entry where it holds none),
    the bodies in the order of reference_grid().
    """

    loads_kg: tuple[float, ...]
    arrays: DemandArrays


def cell_offers(cell: Cell) -> tuple[Offer, ...]:
    """What a cell offers: the rung that is led, then its options."""
    first = [(None, cell.rung, cell.bouts)]
    options = [(option.kind, option.rung, option.bouts) for option in cell.options]
    return tuple(offer_of(kind, rung, bouts) for kind, rung, bouts in [*first, *options])


def offer_of(kind: OptionKind | None, rung: Rung, bouts: tuple[Bout, ...]) -> Offer:
    """A rung as a cell offers it, with the cautions and the kit that count for people's choice."""
    return Offer(
        kind=kind,
        name=rung.name,
        entry_test=rung.entry_test,
        form=shape(rung.form),
        bouts=bouts,
        kit=frozenset(need for need in rung.kit if need.item.counts_as_kit),
        cautions=_cautions(rung),
        grade=rung.grade,
    )


def shape(form: Form) -> Form:
    """The form without how heavy and how often, by which demands are looked up: neither is another shape."""
    return replace(form, amount=None, reps_added=0)


def _cautions(rung: Rung) -> frozenset[Caution]:
    """Those of the rung; who fears a fall is not sent down to the floor either."""
    fear = {Caution.FALL_RISK} if Caution.TO_FLOOR in rung.cautions else set()
    return frozenset({*rung.cautions, *fear})


def strength_cells(session: Session) -> tuple[Cell, ...]:
    """The cells whose fatigue counts, in order: main blocks, and a reserve that was taken in. Warm-ups tire nobody:
    chosen.
    """
    kinds = (BlockKind.MAIN, BlockKind.RESERVE)
    return tuple(cell for block in session.blocks if block.kind in kinds for cell in block.cells)


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionOffers:
    """The offers of every strength cell, and their demands by form and load; `failures` says why a form has none.

    `aside` are the led rungs of all other cells: they tire nobody, but they cost energy.
    """

    cells: Mapping[Ref, tuple[Offer, ...]]
    aside: Mapping[Ref, Offer]
    bodies: Mapping[Form, BodyDemands]
    failures: Mapping[Form, str]


def session_offers(
    session: Session,
    library: Library,
    cache: Cache | None,
    progress: Progress | None = None,
    *,
    led_alone: bool = False,
) -> SessionOffers:
    """Computes every offer on the reference bodies, or with `led_alone` the led rungs of strength cells only; what
    cannot be posed is left out, with the reason in `failures`. `progress`: how many are done, of how many.

    Raises Invalid for a cluster that can't be used.
    """
    cells = {cell.ref: cell_offers(cell)[: 1 if led_alone else None] for cell in strength_cells(session)}
    others = () if led_alone else (cell for cell in session.cells if cell.ref not in cells)
    aside = {cell.ref: cell_offers(cell)[0] for cell in others}
    forms = {offer.form: offer for group in (*cells.values(), tuple(aside.values())) for offer in group}
    bodies, failures = _demands_by_form(forms, library, cache, progress)
    return SessionOffers(cells=cells, aside=aside, bodies=bodies, failures=failures)


def known_offers(session: Session, library: Library) -> SessionOffers:
    """The offers of every strength cell with those demands that are shipped: nobody is put into anything. What is not
    known has its reason in `failures`; nothing beside the strength cells is looked up.
    """
    cells = {cell.ref: cell_offers(cell) for cell in strength_cells(session)}
    bodies, failures = {}, {}
    for form, offer in {offer.form: offer for group in cells.values() for offer in group}.items():
        try:
            arrays = known_arrays(_jobs(form, offer.bouts[0].load, library))
        except Invalid as problem:
            failures[form] = str(problem)
            continue
        if arrays:
            bodies[form] = BodyDemands(loads_kg=_loads_kg(offer), arrays=arrays)
        else:
            failures[form] = "its demands are not shipped"
    return SessionOffers(cells=cells, aside={}, bodies=bodies, failures=failures)


def demands_of(
    every: Sequence[Offer], library: Library, cache: Cache | None, progress: Progress | None = None
) -> Mapping[Form, BodyDemands]:
    """The demands of these offers by form. `progress`: how many are done, of how many.

    Raises Invalid for one that can't be posed or held, and for a cluster that can't be used.
    """
    bodies, failures = _demands_by_form({offer.form: offer for offer in every}, library, cache, progress)
    for offer in every:
        if offer.form in failures:
            raise Invalid("rung", "one that every reference body can hold", f"{offer.name}: {failures[offer.form]}")
    return bodies


def with_more(
    offers: SessionOffers,
    more: Mapping[Ref, tuple[Offer, ...]],
    library: Library,
    cache: Cache | None,
    progress: Progress | None = None,
) -> SessionOffers:
    """The same with further offers in some cells, computed where their forms are new. `progress`: how many of those are
    done, of how many.

    Raises Invalid for a cluster that can't be used.
    """
    forms = {offer.form: offer for group in more.values() for offer in group}
    old = {**offers.bodies, **offers.failures}
    new = {form: offer for form, offer in forms.items() if form not in old}
    bodies, failures = _demands_by_form(new, library, cache, progress) if new else ({}, {})
    cells = {ref: (*group, *more.get(ref, ())) for ref, group in offers.cells.items()}
    return replace(offers, cells=cells, bodies={**offers.bodies, **bodies}, failures={**offers.failures, **failures})


def _demands_by_form(
    forms: Mapping[Form, Offer], library: Library, cache: Cache | None, progress: Progress | None
) -> tuple[dict[Form, BodyDemands], dict[Form, str]]:
    """Every form on every body; and why not, where it cannot be posed. The library's come from the shipped table."""
    jobs, failures = {}, {}
    for form, offer in forms.items():
        try:
            jobs[form] = _jobs(form, offer.bouts[0].load, library)
        except Invalid as problem:
            failures[form] = str(problem)
    table = {form: known_arrays(rows) for form, rows in jobs.items()}
    arrays_by_form = {form: arrays for form, arrays in table.items() if arrays}
    new = {form: rows for form, rows in jobs.items() if form not in arrays_by_form}
    table_count = sum(len(row) for form in arrays_by_form for row in jobs[form])
    for form, answer in _compute_demands(new, table_count, cache, progress).items():
        if isinstance(answer, Failure):
            failures[form] = answer.why
        else:
            arrays_by_form[form] = answer
    bodies = {
        form: BodyDemands(loads_kg=_loads_kg(forms[form]), arrays=arrays) for form, arrays in arrays_by_form.items()
    }
    return bodies, failures


def _jobs(form: Form, load: Load | None, library: Library) -> list[list[Job]]:
    """By load, then by reference body."""
    layer = library.pose(form)
    bodies = reference_grid()
    return [[Job(form=form, layer=layer, size=body, load=node) for body in bodies] for node in node_loads(form, load)]


def _loads_kg(offer: Offer) -> tuple[float, ...]:
    return tuple(kg * offer.pieces for kg in NODE_PIECES_KG) if offer.pieces else (0.0,)


def _compute_demands(
    jobs: Mapping[Form, list[list[Job]]], table_count: int, cache: Cache | None, progress: Progress | None
) -> dict[Form, DemandArrays | Failure]:
    """Demands that no table knows, or why there is none; `table_count` is how many it knows of those asked for."""
    every = [job for rows in jobs.values() for row in rows for job in row]
    total, answers = table_count + len(every), {}
    if progress and table_count:
        progress(table_count, total)
    for number, (place, answer) in enumerate(demands(every, cache), start=table_count + 1):
        answers[place] = answer
        if progress:
            progress(number, total)
    result: dict[Form, DemandArrays | Failure] = {}
    count = len(reference_grid())
    first = 0
    for form, rows in jobs.items():
        each = [answers[place] for place in range(first, first + count * len(rows))]
        first += len(each)
        failure = next((answer for answer in each if isinstance(answer, Failure)), None)
        successes = [answer for answer in each if not isinstance(answer, Failure)]
        result[form] = failure or demand_arrays([successes[at : at + count] for at in range(0, len(successes), count)])
    return result


@dataclass(frozen=True, slots=True, kw_only=True)
class ScheduledCell:
    """One cell on the clock; `number` is its round's place in the block, from 0; `starts_ms` has a time for each led
    bout. In waves `beside` are the cells that are done side by side with it, itself among them, and `by_wave` has the
    times of each wave, the first of which is the clock's own.
    """

    cell: Cell
    number: int
    starts_ms: tuple[int, ...]
    beside: tuple[Ref, ...] = ()
    by_wave: tuple[tuple[int, ...], ...] = ()

    def starts(self, offer: Offer) -> tuple[int, ...]:
        """When the bouts of an offer begin, ms: with the led ones where they are as many, else one after the other."""
        if len(offer.bouts) == len(self.starts_ms):
            return self.starts_ms
        lengths = [bout.duration_ms for bout in offer.bouts]
        return tuple(self.starts_ms[0] + before for before in (0, *accumulate(lengths[:-1])))


def schedule(session: Session, timeline: Timeline) -> tuple[ScheduledCell, ...]:
    """The strength cells in the order they are led by the clock, with the times of their bouts."""
    starts: dict[object, list[int]] = {}
    for span in timeline.spans:
        if span.bout is not None and span.cell is not None:
            starts.setdefault(span.cell.ref, []).append(span.at_ms)
    numbers = {
        cell.ref: number for block in session.blocks for number, each in enumerate(block.rounds) for cell in each.cells
    }
    waves = {ref: each for each in _waves(session, timeline) for ref in each}
    slots = [
        ScheduledCell(
            cell=cell,
            number=numbers[cell.ref],
            starts_ms=tuple(starts[cell.ref]),
            beside=tuple(waves.get(cell.ref, ())),
            by_wave=waves[cell.ref][cell.ref] if cell.ref in waves else (),
        )
        for cell in strength_cells(session)
    ]
    return tuple(sorted(slots, key=lambda slot: slot.starts_ms[0]))


def _waves(session: Session, timeline: Timeline) -> Iterator[Mapping[Ref, tuple[tuple[int, ...], ...]]]:
    """For each group of cells that are done in waves, the times of each wave by cell."""
    for block in session.blocks:
        for each in block.rounds if any(one.waves for one in block.rounds) else ():
            spans = [span for span in timeline.spans if span.block.name == block.name and span.round is each]
            for group in side_by_side(each):
                if len(group) > 1:
                    yield wave_starts(session.clock, spans, group)
