"""One repetition in time: a smooth path through the solved poses, at the rung's tempo."""

from collections.abc import Sequence
from dataclasses import dataclass

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
    """One instant of a repetition, which stands for `weight_ms` of it; the body is still where motion is None."""

    depth: float
    weight_ms: float
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

    def repetition(self, tempo: Tempo, rests: str) -> list[Moment]:
        """Instants spread over one repetition. Between its ends the body swings as a pendulum does: a cosine."""
        going, coming = (tempo.lower_ms, tempo.rise_ms) if rests == "top" else (tempo.rise_ms, tempo.lower_ms)
        at_full, at_rest = (tempo.bottom_ms, tempo.top_ms) if rests == "top" else (tempo.top_ms, tempo.bottom_ms)
        pauses = [(depth, ms) for depth, ms in ((1.0, at_full), (0.0, at_rest)) if ms]
        moving = (POSES - len(pauses)) // 2
        found = self._swing(0.0, 1.0, going, moving) + self._swing(1.0, 0.0, coming, moving)
        return found + [Moment(depth=depth, weight_ms=ms, q_ind=self.at(depth), motion=None) for depth, ms in pauses]

    def _swing(self, start: float, end: float, lasting_ms: int, count: int) -> list[Moment]:
        found = []
        for place in range(count):
            seconds = lasting_ms / 1000
            share = place / (count - 1)
            before, here, after = (
                self.at(_cosine(start, end, share + step / seconds)) for step in (-STEP_S, 0.0, STEP_S)
            )
            edge = 0.5 if place in (0, count - 1) else 1.0
            weight_ms = lasting_ms * edge / (count - 1)
            motion = passing(before, here, after, STEP_S)
            depth = _cosine(start, end, share)
            found.append(Moment(depth=depth, weight_ms=weight_ms, q_ind=here, motion=motion))
        return found


def _cosine(start: float, end: float, share: float) -> float:
    return float(start + (end - start) * (1 - np.cos(np.pi * share)) / 2)
