"""Short tasks for the background: a rung's picture, its motion, a ladder's demands. Run in a process of their own."""

import json
from collections.abc import Sequence

from everyrung.body.mechanics import DRAWN, Failure, Job, demands, drawings
from everyrung.checks.move_check import misses
from everyrung.moves.library import standard_library
from everyrung.publish.figure.frames import rung_frames
from everyrung.publish.figure.rung import rung_svg
from everyrung.store.cache import default_cache
from everyrung.terms.demand import RungDemand
from everyrung.terms.errors import Invalid
from everyrung.terms.move import Rung
from everyrung.terms.person import BodySize
from everyrung.terms.units import Load

DRAFT_MM = 70.0  # chosen, because a pose that is being changed is looked at closely
FIGURE_MM = 30.0  # chosen, because it is the height of a cell's picture on screen


def figure(rung: Rung, load: Load | None, size: BodySize | None) -> str | None:
    """The rung's picture as SVG; None for a rung that no body can be put into."""
    try:
        job = _job(rung, load, size or DRAWN)
    except Invalid:
        return None
    _, drawing = next(iter(drawings([job], default_cache())))
    return None if isinstance(drawing, Failure) else rung_svg(rung, drawing, height_mm=FIGURE_MM)


def motion(rung: Rung, load: Load | None, size: BodySize | None) -> str | None:
    """The rung in motion as JSON; None as `figure`."""
    try:
        frames = rung_frames(rung, standard_library(), default_cache(), load=load, size=size or DRAWN)
    except Invalid:
        return None
    return json.dumps(frames, separators=(",", ":"), ensure_ascii=False)


def demands_of(rungs: Sequence[Rung], size: BodySize) -> list[RungDemand | str]:
    """What each rung asks of one body, or why that is not known."""
    answers: list[RungDemand | str] = [""] * len(rungs)
    jobs: dict[int, Job] = {}
    for place, rung in enumerate(rungs):
        try:
            jobs[place] = _job(rung, None, size)
        except Invalid as problem:
            answers[place] = str(problem)
    places = list(jobs)
    for at, answer in demands(list(jobs.values()), default_cache()):
        answers[places[at]] = answer.why if isinstance(answer, Failure) else answer
    return answers


def _job(rung: Rung, load: Load | None, size: BodySize) -> Job:
    return Job(form=rung.form, layer=standard_library().pose(rung.form), size=size, load=load)


def draft(key: str, text: str) -> tuple[str | None, RungDemand | str, str]:
    """A move that is not kept yet, its own form on the usual body: picture, demand, and why it can't be kept ('')."""
    library = standard_library().with_text(key, text, "your move")
    rung = library.rung(key, "base")
    job = Job(form=rung.form, layer=library.pose(rung.form), size=DRAWN)
    _, picture = next(iter(drawings([job], default_cache())))
    _, demand = next(iter(demands([job], default_cache())))
    if isinstance(picture, Failure) or isinstance(demand, Failure):
        why = next(each.why for each in (picture, demand) if isinstance(each, Failure))
        return None, why, why
    shortfalls = misses(demand) or ([] if demand.feasible else demand.shortfalls)
    return rung_svg(rung, picture, height_mm=DRAFT_MM), demand, "; ".join(shortfalls[:2])
