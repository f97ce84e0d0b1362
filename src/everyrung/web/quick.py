"""Short tasks for the background: a rung's picture, its demand on a body. Run in a process of their own."""

from everyrung.body.mechanics import Failed, Job, demands, drawings
from everyrung.body.session import DRAWN
from everyrung.moves.library import standard_library
from everyrung.publish.figure.rung import rung_svg
from everyrung.store.cache import default_cache
from everyrung.terms.amount import Load
from everyrung.terms.body import BodySize
from everyrung.terms.fault import Invalid
from everyrung.terms.move import Rung
from everyrung.terms.rung_demand import RungDemand

FIGURE_MM = 30.0  # chosen, because it is the height of a cell's picture on screen


def figure(rung: Rung, load: Load | None) -> str | None:
    """The rung's picture as SVG; None for a rung that no body can be put into."""
    try:
        job = Job(form=rung.form, layer=standard_library().pose(rung.form), size=DRAWN, load=load)
    except Invalid:
        return None
    _, drawn = next(iter(drawings([job], default_cache())))
    return None if isinstance(drawn, Failed) else rung_svg(rung, drawn, height_mm=FIGURE_MM)


def asks(rungs: tuple[Rung, ...], size: BodySize, load: Load | None) -> tuple[RungDemand | str, ...]:
    """What each rung asks of a body of that size, or why that could not be computed."""
    found: dict[int, RungDemand | str] = {}
    jobs: list[tuple[int, Job]] = []
    for place, rung in enumerate(rungs):
        try:
            jobs.append((place, Job(form=rung.form, layer=standard_library().pose(rung.form), size=size, load=load)))
        except Invalid as problem:
            found[place] = str(problem)
    for at, answer in demands([job for _, job in jobs], default_cache()):
        found[jobs[at][0]] = answer.why if isinstance(answer, Failed) else answer
    return tuple(found[place] for place in range(len(rungs)))
