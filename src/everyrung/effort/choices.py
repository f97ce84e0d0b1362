"""Every rung that a session offers, computed on the reference bodies; where it holds a load, with several.

When each strength cell of a session begins, and its bouts; and when those of its options would.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import accumulate

import numpy as np
from numpy.typing import NDArray

from everyrung.body.mechanics import Failure, Job, demands
from everyrung.body.reference_grid import reference_grid
from everyrung.body.rung_load import NODE_PIECES_KG, PIECES, node_loads
from everyrung.moves.library import Library
from everyrung.store.cache import Cache
from everyrung.terms.demand import RungDemand
from everyrung.terms.enums import BlockKind, Caution, OptionKind
from everyrung.terms.errors import Invalid
from everyrung.terms.move import Form, Rung
from everyrung.terms.plan import Ref
from everyrung.terms.session import Bout, Cell, Session
from everyrung.terms.timeline import Timeline
from everyrung.terms.units import Load

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
    kit: frozenset[str]
    cautions: frozenset[Caution]
    grade: int

    @property
    def pieces(self) -> int:
        """How many loads are held: 0, 1 or 2."""
        return PIECES.get(self.form.load, 0)


@dataclass(frozen=True, slots=True, kw_only=True)
class DemandArrays:
    """A rung's demands as arrays (axes: load, body, motion, phase): parts of strength by phase, the peak, when it is
    (s); and the metabolic power above rest, W (load, body). What a body does not turn is zero.
    """

    motions: tuple[str, ...]
    phases: Array
    peaks: Array
    at_s: Array
    power_w: Array


@dataclass(frozen=True, slots=True, kw_only=True)
class BodyDemands:
    """A rung's demands by total load and reference body: `demands[load][body]`, a load for each of `loads_kg` (one
    entry where it holds none), the bodies in the order of reference_grid(); `arrays` is made of them.
    """

    loads_kg: tuple[float, ...]
    demands: tuple[tuple[RungDemand, ...], ...]
    arrays: DemandArrays = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "arrays", demand_arrays(self.demands))


def demand_arrays(demands: Sequence[Sequence[RungDemand]]) -> DemandArrays:
    """Demands by load and body as arrays."""
    motions = tuple(dict.fromkeys(each.motion for row in demands for one in row for each in one.motions))
    places = {name: place for place, name in enumerate(motions)}
    shape = len(demands), len(demands[0]), len(motions)
    phases = np.zeros((*shape, len(demands[0][0].phases_ms)))
    peaks, at_s = np.zeros(shape), np.zeros(shape)
    for load, row in enumerate(demands):
        for body, one in enumerate(row):
            columns = [places[each.motion] for each in one.motions]
            if columns:
                phases[load, body, columns] = [each.phases for each in one.motions]
                peaks[load, body, columns] = [each.fraction for each in one.motions]
                at_s[load, body, columns] = [each.at_ms / 1000 for each in one.motions]
    power_w = np.array([[one.above_rest_w for one in row] for row in demands])
    return DemandArrays(motions=motions, phases=phases, peaks=peaks, at_s=at_s, power_w=power_w)


def offers(cell: Cell) -> tuple[Offer, ...]:
    """What a cell offers: the rung that is led, then its options."""
    led = [(None, cell.rung, cell.bouts)]
    options = [(option.kind, option.rung, option.bouts) for option in cell.options]
    return tuple(offer_of(kind, rung, bouts) for kind, rung, bouts in [*led, *options])


def offer_of(kind: OptionKind | None, rung: Rung, bouts: tuple[Bout, ...]) -> Offer:
    """A rung as a cell offers it, with the cautions and the kit that count for people's choice."""
    return Offer(
        kind=kind,
        name=rung.name,
        entry_test=rung.entry_test,
        form=shape(rung.form),
        bouts=bouts,
        kit=frozenset(need.item for need in rung.kit if need.item.counts_as_kit),
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
    """The offers of every strength cell, and their demands by form and load; `failed` says why a form has none.

    `aside` are the led rungs of all other cells: they tire nobody, but they cost energy.
    """

    cells: Mapping[Ref, tuple[Offer, ...]]
    aside: Mapping[Ref, Offer]
    bodies: Mapping[Form, BodyDemands]
    failed: Mapping[Form, str]


def session_offers(
    session: Session,
    library: Library,
    cache: Cache | None,
    progress: Progress | None = None,
    *,
    led_alone: bool = False,
) -> SessionOffers:
    """Computes every offer on the reference bodies, or with `led_alone` the led rungs of strength cells only; what
    cannot be posed is left out, with the reason in `failed`. `progress`: how many are done, of how many.
    """
    cells = {cell.ref: offers(cell)[: 1 if led_alone else None] for cell in strength_cells(session)}
    others = () if led_alone else (cell for cell in session.cells if cell.ref not in cells)
    aside = {cell.ref: offers(cell)[0] for cell in others}
    forms = {offer.form: offer for found in (*cells.values(), tuple(aside.values())) for offer in found}
    bodies, failed = _demands_by_form(forms, library, cache, progress)
    return SessionOffers(cells=cells, aside=aside, bodies=bodies, failed=failed)


def with_more(
    offered: SessionOffers,
    more: Mapping[Ref, tuple[Offer, ...]],
    library: Library,
    cache: Cache | None,
    progress: Progress | None = None,
) -> SessionOffers:
    """The same with further offers in some cells, computed where their forms are new. `progress`: how many of those are
    done, of how many.
    """
    forms = {offer.form: offer for found in more.values() for offer in found}
    known = {**offered.bodies, **offered.failed}
    new = {form: offer for form, offer in forms.items() if form not in known}
    bodies, failed = _demands_by_form(new, library, cache, progress) if new else ({}, {})
    cells = {ref: (*found, *more.get(ref, ())) for ref, found in offered.cells.items()}
    return replace(offered, cells=cells, bodies={**offered.bodies, **bodies}, failed={**offered.failed, **failed})


def _demands_by_form(
    forms: Mapping[Form, Offer], library: Library, cache: Cache | None, progress: Progress | None
) -> tuple[dict[Form, BodyDemands], dict[Form, str]]:
    """Every form on every body; and why not, where it cannot be posed."""
    failed: dict[Form, str] = {}
    asked: list[tuple[Form, int, Job]] = []
    for form, offer in forms.items():
        try:
            asked += [(form, place, job) for place, job in _jobs(form, offer.bouts[0].load, library)]
        except Invalid as problem:
            failed[form] = str(problem)
    found: dict[tuple[Form, int], list[RungDemand]] = {}
    answers = dict(_with_progress(demands([job for _, _, job in asked], cache), len(asked), progress))
    for place, (form, load, _) in enumerate(asked):
        answer = answers[place]
        if isinstance(answer, Failure):
            failed[form] = answer.why
        else:
            found.setdefault((form, load), []).append(answer)
    bodies = {form: _on_bodies(form, offer, found) for form, offer in forms.items() if form not in failed}
    return bodies, failed


def _jobs(form: Form, load: Load | None, library: Library) -> Iterator[tuple[int, Job]]:
    layer = library.pose(form)
    for place, held in enumerate(node_loads(form, load)):
        for body in reference_grid():
            yield place, Job(form=form, layer=layer, size=body, load=held)


def _on_bodies(form: Form, offer: Offer, found: Mapping[tuple[Form, int], list[RungDemand]]) -> BodyDemands:
    loads = tuple(kg * offer.pieces for kg in NODE_PIECES_KG) if offer.pieces else (0.0,)
    return BodyDemands(loads_kg=loads, demands=tuple(tuple(found[form, place]) for place in range(len(loads))))


def _with_progress(
    answers: Iterator[tuple[int, RungDemand | Failure]], total: int, progress: Progress | None
) -> Iterator[tuple[int, RungDemand | Failure]]:
    for done, answer in enumerate(answers, start=1):
        if progress:
            progress(done, total)
        yield answer


@dataclass(frozen=True, slots=True, kw_only=True)
class ScheduledCell:
    """One cell on the clock; `number` is its round's place in the block, from 0; `starts_ms` has a time for each led
    bout.
    """

    cell: Cell
    number: int
    starts_ms: tuple[int, ...]

    def starts(self, offer: Offer) -> tuple[int, ...]:
        """When the bouts of an offer begin, ms: with the led ones where they are as many, else one after the other."""
        if len(offer.bouts) == len(self.starts_ms):
            return self.starts_ms
        lengths = [bout.duration_ms for bout in offer.bouts]
        return tuple(self.starts_ms[0] + before for before in (0, *accumulate(lengths[:-1])))


def schedule(session: Session, timeline: Timeline) -> tuple[ScheduledCell, ...]:
    """The strength cells in the order they are led, with the times of their bouts."""
    starts: dict[object, list[int]] = {}
    for span in timeline.spans:
        if span.bout is not None and span.cell is not None:
            starts.setdefault(span.cell.ref, []).append(span.at_ms)
    numbers = {
        cell.ref: number for block in session.blocks for number, each in enumerate(block.rounds) for cell in each.cells
    }
    return tuple(
        ScheduledCell(cell=cell, number=numbers[cell.ref], starts_ms=tuple(starts[cell.ref]))
        for cell in strength_cells(session)
    )
