"""One repetition in time: a smooth path through the solved poses, at the rung's tempo."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

import numpy as np
from scipy.interpolate import CubicSpline  # type: ignore[import-untyped,unused-ignore]

from everyrung.body.couplings import Array
from everyrung.body.placed import moved
from everyrung.body.statics import Motion, passing, way
from everyrung.terms.amount import Tempo

POSES = 20  # a repetition; chosen, because every pause and the middle of every movement then has its own
STEP_S = 0.01  # chosen, because a cosine's second difference over it errs by less than 0.1 %


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """One instant of a repetition, which stands for `weight_ms` of it; the body is still where motion is None.

    `phase` counts in the order of time: on the way, at full depth, on the way back, at rest. Of a pause `at_ms` is its
    end, when what is held has been held longest.
    """

    depth: float
    weight_ms: float
    phase: int
    at_ms: float
    q_ind: Array
    motion: Motion | None


class Path:
    """Cubic splines over depth through poses from rest to full depth (rows of `q_ind`, layout: couplings.py)."""

    def __init__(self, depths: Sequence[float], poses: Sequence[Array]) -> None:
        self.begun = poses[0]
        self.spline = CubicSpline(depths, [way(poses[0], pose) for pose in poses], bc_type="natural")

    def at(self, depth: float) -> Array:
        """The pose at a depth."""
        return moved(self.begun, np.asarray(self.spline(depth)))

    def repetition(self, tempo: Tempo, rests: str, pulses_ms: int = 0) -> list[Moment]:
        """Instants spread over one repetition, pulses held at full depth; pauses last.

        Between its ends the body swings as a pendulum does: a cosine.
        """
        way_ms = ways(tempo, rests, pulses_ms)
        ends_ms = list(accumulate(way_ms))
        pauses = [phase for phase in (1, 3) if way_ms[phase]]
        moving = (POSES - len(pauses)) // 2
        found = self._swing(0, way_ms[0], moving, 0.0) + self._swing(2, way_ms[2], moving, ends_ms[1])
        return found + [
            Moment(
                depth=depth,
                weight_ms=way_ms[phase],
                phase=phase,
                at_ms=ends_ms[phase],
                q_ind=self.at(depth),
                motion=None,
            )
            for phase in pauses
            for depth in (1.0 if phase == 1 else 0.0,)
        ]

    def _swing(self, phase: int, lasting_ms: int, count: int, begins_ms: float) -> list[Moment]:
        start, end = (0.0, 1.0) if phase == 0 else (1.0, 0.0)
        found = []
        for place in range(count):
            seconds = lasting_ms / 1000
            share = place / (count - 1)
            before, here, after = (
                self.at(_cosine(start, end, share + step / seconds)) for step in (-STEP_S, 0.0, STEP_S)
            )
            edge = 0.5 if place in (0, count - 1) else 1.0
            found.append(
                Moment(
                    depth=_cosine(start, end, share),
                    weight_ms=lasting_ms * edge / (count - 1),
                    phase=phase,
                    at_ms=begins_ms + share * lasting_ms,
                    q_ind=here,
                    motion=passing(before, here, after, STEP_S),
                )
            )
        return found


def ways(tempo: Tempo, rests: str, pulses_ms: int = 0) -> tuple[int, int, int, int]:
    """The lengths of a repetition's phases in the order of time, ms: there, at full depth, back, at rest."""
    if rests == "top":
        return tempo.lower_ms, tempo.bottom_ms + pulses_ms, tempo.rise_ms, tempo.top_ms
    return tempo.rise_ms, tempo.top_ms + pulses_ms, tempo.lower_ms, tempo.bottom_ms


def _cosine(start: float, end: float, share: float) -> float:
    return float(start + (end - start) * (1 - np.cos(np.pi * share)) / 2)
