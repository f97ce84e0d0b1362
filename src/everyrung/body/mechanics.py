"""Demands and drawings of many rungs on many bodies: from the shipped table or the cache, computed if new.

A whole session on the reference bodies: what each led rung asks, what the session costs, and every rung drawn.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, TypeVar

import msgspec

from everyrung.body.demand_table import DemandArrays, TableEntry, package_table
from everyrung.body.energy import Work, session_energy
from everyrung.body.engine_version import answer_digest, engine_digest
from everyrung.body.reference_grid import reference_grid
from everyrung.body.rung_load import band_grade, held_kg
from everyrung.executors.tasks import map_tasks
from everyrung.moves.library import Library
from everyrung.store.cache import Cache
from everyrung.store.digest import digest
from everyrung.terms.demand import Mechanics, RungCurve, RungDemand, RungDrawing, RungMotion
from everyrung.terms.errors import Invalid
from everyrung.terms.forecast import Energy
from everyrung.terms.move import Form, Rung
from everyrung.terms.person import BodySize, Sex
from everyrung.terms.plan import Ref
from everyrung.terms.pose import Layer
from everyrung.terms.session import Cell, Session
from everyrung.terms.timeline import Timeline
from everyrung.terms.units import Load

if TYPE_CHECKING:
    from everyrung.body.pose_problem import PoseProblem

WORTH_PROCESSES = 48  # jobs; chosen, because starting two processes takes about as long as fifty rungs
LAYERS = 512  # whose digests are kept; chosen, because a long session has a tenth of it
CHUNK = 4  # jobs; chosen, because they take a fifth of a second, and sending them a hundredth
T = TypeVar("T", RungDemand, RungCurve, RungDrawing, RungMotion)


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """A rung's form and pose on one body, with a load (None: the form's own, or the usual)."""

    form: Form
    layer: Layer
    size: BodySize
    load: Load | None = None

    def key(self, what: str) -> str:
        """Everything that the answer depends on, as a digest. Raises Invalid for a number that is not finite."""
        return digest(what, answer_digest(), self.shape(), self.size, self.load or self.form.amount)

    def shape(self) -> str:
        """The digest of the rung without how heavy: a key of the shipped table. Raises Invalid for a number that is not
        finite.
        """
        form = self.form
        grade = band_grade(form, self.load or form.amount)
        repetition = form.tempo, form.pulses_ms, form.extra_ms, form.range_share
        return digest(_layer_digest(_ByIdentity(self.layer)), form.load, form.surface, grade, *repetition)

    @property
    def held_kg(self) -> float:
        """All that is held."""
        return held_kg(self.form, self.load or self.form.amount)


@dataclass(frozen=True, slots=True, eq=False)
class _ByIdentity:
    """A layer as a key by itself, for to compare what is in it takes as long as its digest."""

    layer: Layer

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _ByIdentity) and self.layer is other.layer

    def __hash__(self) -> int:
        return id(self.layer)


@lru_cache(maxsize=LAYERS)
def _layer_digest(key: _ByIdentity) -> str:
    return digest(key.layer)


@dataclass(frozen=True, slots=True, kw_only=True)
class Failure:
    """Why a job has no answer, in words."""

    why: str


def demand_of(job: Job) -> RungDemand | Failure:
    """The demand of one job, computed here and now."""
    from everyrung.body.rung_demand import rung_demand  # heavy, as below: only what is not known is computed

    form = job.form
    return _answer(job, lambda problem: rung_demand(problem, job.size, form.tempo, form.pulses_ms, form.extra_ms))


def curve_of(job: Job) -> RungCurve | Failure:
    """The demand of one job over its repetition, computed here and now."""
    from everyrung.body.rung_demand import rung_curve

    form = job.form
    return _answer(job, lambda problem: rung_curve(problem, job.size, form.tempo, form.pulses_ms, form.extra_ms))


def drawing_of(job: Job) -> RungDrawing | Failure:
    """The drawing of one job, computed here and now."""
    from everyrung.body.figure_points import rung_drawing

    return _answer(job, lambda problem: rung_drawing(problem, hold=job.form.tempo.is_hold))


def _answer(job: Job, compute: Callable[["PoseProblem"], T]) -> T | Failure:
    from everyrung.body.pose_problem import pose_problem
    from everyrung.body.static_optimization import NoSolution

    try:
        return compute(pose_problem(job.form, job.layer, job.size, job.load))
    except (Invalid, NoSolution) as problem:
        return Failure(why=str(problem))


def demands(jobs: Sequence[Job], cache: Cache | None = None) -> Iterator[tuple[int, RungDemand | Failure]]:
    """The place of every job with its demand, as they get ready; leave off, and what is still to do is dropped.

    Those of the library's rungs come from the shipped table, between two of its loads by interpolation; a job that
    cannot be solved has a Failure. Raises Invalid for a cluster that can't be used.

    >>> from everyrung.moves.library import standard_library
    >>> squat = standard_library().rung("squat", "base").form
    >>> job = Job(form=squat, layer=standard_library().pose(squat), size=reference_grid()[0])
    >>> [(place, answer.hardest.motion) for place, answer in demands([job])]
    [(0, 'knee_extension_left')]
    """
    in_table = from_table(jobs)
    yield from in_table.items()
    others = [place for place in range(len(jobs)) if place not in in_table]
    for place, answer in _all([jobs[other] for other in others], "demand", demand_of, RungDemand, cache):
        yield others[place], answer


def from_table(jobs: Sequence[Job]) -> dict[int, RungDemand]:
    """The demands that the shipped table has, by the place of their job."""
    table = package_table(engine_digest())
    if not table.names:
        return {}
    shapes: dict[tuple[int, int, int], str] = {}  # by what is the same object for every body
    answers = {}
    for place, job in enumerate(jobs):
        same = id(job.form), id(job.layer), id(job.load)
        if same not in shapes:
            shapes[same] = job.shape()
        answer = table.at(shapes[same], job.size, job.held_kg)
        if answer is not None:
            answers[place] = answer
    return answers


def is_in_table(job: Job, sizes: Sequence[BodySize]) -> bool:
    """Whether the shipped table has a job's demand on all of these bodies. Raises Invalid as `Job.shape`."""
    entry = _entry(job)
    return entry is not None and all(entry.has(size, job.held_kg) for size in sizes)


def is_beyond_some(job: Job, sizes: Sequence[BodySize]) -> bool:
    """Whether one of these bodies can't hold a job's rung, as the shipped table has it with loads next to the job's;
    False for one that it has not. Raises Invalid as `Job.shape`.
    """
    entry = _entry(job)
    return entry is not None and any(entry.is_beyond(size, job.held_kg) for size in sizes)


def _entry(job: Job) -> TableEntry | None:
    shape = job.shape()
    return package_table(engine_digest()).find([shape]).get(shape)


def known_arrays(jobs: Sequence[Sequence[Job]]) -> DemandArrays | None:
    """A rung's demands by load and body as the shipped table has them; None when it has not all of them."""
    rung = jobs[0][0].shape()
    entry = package_table(engine_digest()).find([rung]).get(rung)
    sizes = [job.size for job in jobs[0]]
    return entry.arrays(sizes, [row[0].held_kg for row in jobs]) if entry else None


def curves(jobs: Sequence[Job], cache: Cache | None = None) -> Iterator[tuple[int, RungCurve | Failure]]:
    """The place of every job with its demand over a repetition, as `demands`; none of them is shipped. Raises Invalid
    as `map_tasks` does.
    """
    return _all(jobs, "curve", curve_of, RungCurve, cache)


def drawings(jobs: Sequence[Job], cache: Cache | None = None) -> Iterator[tuple[int, RungDrawing | Failure]]:
    """The place of every job with its drawing; none is shipped. Raises Invalid for a cluster that can't be used."""
    return _all(jobs, "drawing", drawing_of, RungDrawing, cache)


def in_job_order(answers: Iterator[tuple[int, T | Failure]]) -> list[T]:
    """The answers in the order of their jobs. Raises Invalid for a job that has none."""
    by_place = dict(answers)
    for place in sorted(by_place):
        answer = by_place[place]
        if isinstance(answer, Failure):
            raise Invalid("pose", "a pose that a body can be put into", answer.why)
    return [answer for _, answer in sorted(by_place.items()) if not isinstance(answer, Failure)]


def _all(
    jobs: Sequence[Job], what: str, compute: Callable[[Job], T | Failure], kind: type[T], cache: Cache | None
) -> Iterator[tuple[int, T | Failure]]:
    places: dict[str, list[int]] = {}
    for place, job in enumerate(jobs):
        places.setdefault(job.key(what), []).append(place)
    texts = cache.get_many(list(places)) if cache else {}
    read = {key: from_cache(texts.get(key), kind) for key in places}
    for key, entry in read.items():
        if entry is not None:
            yield from ((place, entry) for place in places[key])
    missing = sorted(
        (key for key, entry in read.items() if entry is None), key=lambda key: str(jobs[places[key][0]].size)
    )
    todo = [jobs[places[key][0]] for key in missing]
    answers = map_tasks(compute, todo, chunk=CHUNK, worth_processes=WORTH_PROCESSES)
    for key, answer in zip(missing, answers, strict=True):
        if cache and not isinstance(answer, Failure) and answer.has_converged:
            cache.put_many({key: msgspec.json.encode(answer).decode()})
        yield from ((place, answer) for place in places[key])


def from_cache(text: str | None, kind: type[T]) -> T | None:
    """A result as the cache has it; None for nothing, and for what something else wrote."""
    try:
        return None if text is None else msgspec.json.decode(text, type=kind)
    except (msgspec.ValidationError, msgspec.DecodeError):
        return None


Progress = Callable[[int, int], None]
DRAWN = BodySize(sex=Sex.FEMALE, stature_m=1.68, mass_kg=65.0)  # chosen, because it is between both sexes' middles


def session_mechanics(
    session: Session, library: Library, cache: Cache | None, progress: Progress | None = None
) -> Mechanics:
    """Every led rung, and the reserve's, on every reference body; a pose that no body has stands in `failed`.

    `progress` is called with how many are done, of how many.
    """
    bodies, failures = reference_grid(), {}
    jobs: list[tuple[Ref, Job]] = []
    for cell in _cells(session):
        try:
            layer = library.pose(cell.rung.form)
        except Invalid as problem:
            failures[cell.ref] = str(problem)
            continue
        load = cell.bouts[0].load
        jobs += [(cell.ref, Job(form=cell.rung.form, layer=layer, size=body, load=load)) for body in bodies]
    by_cell: dict[tuple[Ref, BodySize], RungDemand] = {}
    for number, (place, answer) in enumerate(demands([job for _, job in jobs], cache), start=1):
        ref, job = jobs[place]
        if isinstance(answer, Failure):
            failures[ref] = answer.why
        else:
            by_cell[ref, job.size] = answer
        if progress:
            progress(number, len(jobs))
    return Mechanics(bodies=bodies, demands=by_cell, failed=failures)


def session_energies(session: Session, timeline: Timeline, mechanics: Mechanics) -> Mapping[BodySize, Energy]:
    """What the session costs each body, kcal and MET: its sets as computed, all other time as standing. Raises Invalid
    for a session that has no length.
    """
    cells = [cell for block in session.blocks for cell in block.cells]
    energies = {}
    for body in mechanics.bodies:
        work = [
            _work(cell, mechanics.demands[cell.ref, body]) for cell in cells if (cell.ref, body) in mechanics.demands
        ]
        standing_s = timeline.total_ms / 1000 - sum(each.duration_s for each in work)
        energies[body] = session_energy(body.mass_kg, work, standing_s)
    return energies


def _work(cell: Cell, demand: RungDemand) -> Work:
    seconds = sum(bout.duration_ms for bout in cell.bouts) / 1000
    return Work(duration_s=seconds, above_rest_j=seconds * demand.above_rest_w)


def session_drawings(
    session: Session, library: Library, cache: Cache | None, more: Iterable[Form] = ()
) -> Mapping[Form, RungDrawing]:
    """Every rung that is led or offered, and `more` forms, drawn on one body; what cannot be posed has no picture."""
    jobs = {}
    forms_and_loads = [(rung.form, load) for rung, load in _rungs(_cells(session))]
    of_session = {form for form, _ in forms_and_loads}
    for form, load in (*forms_and_loads, *((form, None) for form in more if form not in of_session)):
        try:
            jobs[form] = Job(form=form, layer=library.pose(form), size=DRAWN, load=load)
        except Invalid:
            continue
    forms = list(jobs)
    answers = drawings([jobs[form] for form in forms], cache)
    return {forms[place]: answer for place, answer in answers if not isinstance(answer, Failure)}


def _cells(session: Session) -> list[Cell]:
    return [cell for block in (*session.blocks, *session.reserve) for cell in block.cells]


def _rungs(cells: Iterable[Cell]) -> list[tuple[Rung, Load | None]]:
    rungs = [(cell.rung, cell.bouts[0].load) for cell in cells]
    return rungs + [(option.rung, option.load) for cell in cells for option in cell.options]
