"""Demands and drawings of many rungs on many bodies: from the cache where known, computed on all cores where not."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from os import cpu_count
from typing import Any, TypeVar

import msgspec

from everyrung.body.rung import rung_curve, rung_demand, rung_drawing
from everyrung.body.settings import setting
from everyrung.body.sharing import Unsolved
from everyrung.processes import computing_pool
from everyrung.store.cache import Cache
from everyrung.store.digest import code_digest, digest, versions
from everyrung.terms.amount import Load
from everyrung.terms.body import BodySize
from everyrung.terms.fault import Invalid
from everyrung.terms.motion import RungMotion
from everyrung.terms.move import Form
from everyrung.terms.pose import Layer
from everyrung.terms.rung_demand import RungCurve, RungDemand, RungDrawing

CODE = ("everyrung.body", "everyrung.tables", "everyrung.terms")
LIBRARIES = ("mujoco", "musclemimic-models", "numpy", "piqp", "scipy")
WORTH_A_POOL = 16  # jobs; chosen, because starting two processes takes about as long as ten rungs
T = TypeVar("T", RungDemand, RungCurve, RungDrawing, RungMotion)


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """A rung's form and pose on one body, with a load (None: the form's own, or the usual)."""

    form: Form
    layer: Layer
    size: BodySize
    load: Load | None = None

    def key(self, what: str) -> str:
        """Everything that the answer hangs on, as a digest."""
        form = self.form
        return digest(
            what, _engine(), self.layer, self.size, self.load or form.amount, form.band, form.load, form.surface,
            form.tempo, form.pulses, form.extra_ms, form.range_share,
        )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Failed:
    """Why a job has no answer, in words."""

    why: str


@cache
def _engine() -> str:
    return digest(code_digest(*CODE), versions(*LIBRARIES))


def demand_of(job: Job) -> RungDemand | Failed:
    """The demand of one job, computed here and now."""
    form = job.form
    return _answer(job, lambda given: rung_demand(given, job.size, form.tempo, form.pulses_ms, form.extra_ms))


def curve_of(job: Job) -> RungCurve | Failed:
    """The demand of one job over its repetition, computed here and now."""
    form = job.form
    return _answer(job, lambda given: rung_curve(given, job.size, form.tempo, form.pulses_ms, form.extra_ms))


def drawing_of(job: Job) -> RungDrawing | Failed:
    """The drawing of one job, computed here and now."""
    return _answer(job, lambda given: rung_drawing(given, hold=job.form.tempo.is_hold))


def _answer(job: Job, compute: Callable[[Any], T]) -> T | Failed:
    try:
        return compute(setting(job.form, job.layer, job.size, job.load))
    except (Invalid, Unsolved) as problem:
        return Failed(why=str(problem))


def demands(jobs: Sequence[Job], cache: Cache | None = None) -> Iterator[tuple[int, RungDemand | Failed]]:
    """The place of every job with its demand, as they get ready; leave off, and what is still to do is dropped."""
    return _all(jobs, "demand", demand_of, RungDemand, cache)


def curves(jobs: Sequence[Job], cache: Cache | None = None) -> Iterator[tuple[int, RungCurve | Failed]]:
    """The place of every job with its demand over a repetition, as `demands`."""
    return _all(jobs, "curve", curve_of, RungCurve, cache)


def drawings(jobs: Sequence[Job], cache: Cache | None = None) -> Iterator[tuple[int, RungDrawing | Failed]]:
    """The place of every job with its drawing, as `demands`."""
    return _all(jobs, "drawing", drawing_of, RungDrawing, cache)


def sure(answers: Iterator[tuple[int, T | Failed]]) -> list[T]:
    """The answers in the order of their jobs. Raises Invalid for a job that has none."""
    found = dict(answers)
    for place in sorted(found):
        answer = found[place]
        if isinstance(answer, Failed):
            raise Invalid("pose", "a pose that a body can be put into", answer.why)
    return [answer for _, answer in sorted(found.items()) if not isinstance(answer, Failed)]


def _all(
    jobs: Sequence[Job], what: str, compute: Callable[[Job], T | Failed], kind: type[T], cache: Cache | None
) -> Iterator[tuple[int, T | Failed]]:
    places: dict[str, list[int]] = {}
    for place, job in enumerate(jobs):
        places.setdefault(job.key(what), []).append(place)
    known = cache.get_many(list(places)) if cache else {}
    read = {key: kept(known.get(key), kind) for key in places}
    for key, found in read.items():
        if found is not None:
            yield from ((place, found) for place in places[key])
    missing = sorted(
        (key for key, found in read.items() if found is None), key=lambda key: str(jobs[places[key][0]].size)
    )
    for key, answer in zip(missing, _computed([jobs[places[key][0]] for key in missing], compute), strict=True):
        if cache and not isinstance(answer, Failed) and answer.settled:
            cache.put_many({key: msgspec.json.encode(answer).decode()})
        yield from ((place, answer) for place in places[key])


def kept(text: str | None, kind: type[T]) -> T | None:
    """A result as the cache has it; None for nothing, and for what something else wrote."""
    try:
        return None if text is None else msgspec.json.decode(text, type=kind)
    except (msgspec.ValidationError, msgspec.DecodeError):
        return None


def _computed(jobs: Sequence[Job], compute: Callable[[Job], T | Failed]) -> Iterator[T | Failed]:
    cores = cpu_count() or 1
    if len(jobs) < WORTH_A_POOL or cores < 2:
        yield from map(compute, jobs)
        return
    with computing_pool(cores) as pool:
        yield from pool.map(compute, jobs, chunksize=4)
