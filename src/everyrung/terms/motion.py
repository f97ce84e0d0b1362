"""A rung in motion: its solved poses from rest to full depth, and which of them is when in a repetition."""

from dataclasses import dataclass

from everyrung.terms.brief import Brief
from everyrung.terms.rung_demand import Drawing


@dataclass(frozen=True, slots=True, kw_only=True)
class Instant:
    """At `at_ms` of the repetition the body is in `poses[pose]`."""

    at_ms: int
    pose: int


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class RungMotion(Brief):
    """Poses at equal steps of depth, and the instants of a repetition from rest to rest; of a hold one of each.

    `ways_ms` are the phases in the order of time: there, at full depth (with pulses and extra), back, at rest; none
    of a hold. Each way through a step of an extra ends at one of `stops_ms`; the steps' poses come after those of the
    depths. `rests` is the phase of least depth, 'top' or 'bottom'; `seen` is from where the figure is clear.
    """

    poses: tuple[Drawing, ...]
    instants: tuple[Instant, ...]
    ways_ms: tuple[int, ...]
    rests: str | None
    seen: str
    settled: bool
    stops_ms: tuple[int, ...] = ()
