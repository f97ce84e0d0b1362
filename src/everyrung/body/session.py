"""A whole session on the reference bodies: what each led rung asks, what the session costs, and every rung drawn."""

from collections.abc import Callable, Iterable, Mapping

from everyrung.body.bodies import reference_grid
from everyrung.body.energy import Work, session_energy
from everyrung.body.mechanics import Failure, Job, demands, drawings
from everyrung.moves.library import Library
from everyrung.store.cache import Cache
from everyrung.terms.amount import Load
from everyrung.terms.body import BodySize, Sex
from everyrung.terms.energy import Energy
from everyrung.terms.fault import Invalid
from everyrung.terms.mechanics import Mechanics
from everyrung.terms.move import Form, Rung
from everyrung.terms.plan import Ref
from everyrung.terms.rung_demand import RungDemand, RungDrawing
from everyrung.terms.session import Cell, Session
from everyrung.terms.timeline import Timeline

Progress = Callable[[int, int], None]
DRAWN = BodySize(sex=Sex.FEMALE, stature_m=1.68, mass_kg=65.0)  # chosen, because it is between both sexes' middles


def session_mechanics(
    session: Session, library: Library, cache: Cache | None, progress: Progress | None = None
) -> Mechanics:
    """Every led rung, and the reserve's, on every reference body. `progress` is told how many of how many are done."""
    bodies, failed = reference_grid(), {}
    asked: list[tuple[Ref, Job]] = []
    for cell in _cells(session):
        try:
            layer = library.pose(cell.rung.form)
        except Invalid as problem:
            failed[cell.ref] = str(problem)
            continue
        load = cell.bouts[0].load
        asked += [(cell.ref, Job(form=cell.rung.form, layer=layer, size=body, load=load)) for body in bodies]
    found: dict[tuple[Ref, BodySize], RungDemand] = {}
    for done, (place, answer) in enumerate(demands([job for _, job in asked], cache), start=1):
        ref, job = asked[place]
        if isinstance(answer, Failure):
            failed[ref] = answer.why
        else:
            found[ref, job.size] = answer
        if progress:
            progress(done, len(asked))
    return Mechanics(bodies=bodies, demands=found, failed=failed)


def session_energies(session: Session, timeline: Timeline, mechanics: Mechanics) -> Mapping[BodySize, Energy]:
    """What the session costs each body: its sets as computed, all other time as standing."""
    cells = [cell for block in session.blocks for cell in block.cells]
    found = {}
    for body in mechanics.bodies:
        work = [
            _work(cell, mechanics.demands[cell.ref, body]) for cell in cells if (cell.ref, body) in mechanics.demands
        ]
        standing_s = timeline.total_ms / 1000 - sum(each.duration_s for each in work)
        found[body] = session_energy(body.mass_kg, work, standing_s)
    return found


def _work(cell: Cell, demand: RungDemand) -> Work:
    seconds = sum(bout.duration_ms for bout in cell.bouts) / 1000
    return Work(duration_s=seconds, above_rest_j=seconds * demand.above_rest_w)


def session_drawings(session: Session, library: Library, cache: Cache | None) -> Mapping[Form, RungDrawing]:
    """Every rung that is led or offered, drawn on one body; what cannot be posed has no picture."""
    jobs = {}
    for rung, load in _rungs(_cells(session)):
        try:
            jobs[rung.form] = Job(form=rung.form, layer=library.pose(rung.form), size=DRAWN, load=load)
        except Invalid:
            continue
    forms = list(jobs)
    answers = drawings([jobs[form] for form in forms], cache)
    return {forms[place]: answer for place, answer in answers if not isinstance(answer, Failure)}


def _cells(session: Session) -> list[Cell]:
    return [cell for block in (*session.blocks, *session.reserve) for cell in block.cells]


def _rungs(cells: Iterable[Cell]) -> list[tuple[Rung, Load | None]]:
    found = [(cell.rung, cell.bouts[0].load) for cell in cells]
    return found + [(option.rung, option.load) for cell in cells for option in cell.options]
