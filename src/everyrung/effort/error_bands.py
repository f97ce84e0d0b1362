"""How far the model itself may be off: the same people under other strengths, recovery, endurance and tempo at once.

What a share is unsure by is not how many people were drawn but what the model rests on: strengths that are from memory,
recovery and endurance that studies do not agree on, a body that is posed to within some degrees, a group that keeps a
tempo only about. Each draw moves all of them together, the same for everyone in it; the people walk again, and the
middle four of five draws are the band that stands beside every share. docs/accuracy-audience.md says where each width
comes from, and what the band leaves out.
"""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from everyrung.effort.audience import People
from everyrung.effort.strength import motions, unsided
from everyrung.effort.three_compartment import Array, Rates
from everyrung.effort.uncertainty import (
    EIGHTY,
    ENDURANCE_LOG_SD,
    FIELD_LOG_SD,
    PACE_LOG_SD,
    POSE_LOG_SD,
    RECOVERY_LOG_SD,
    from_memory,
    row_log_sd,
)
from everyrung.effort.words import limiter, limiters
from everyrung.terms.forecast import CellForecast, Forecast, RungForecast, Share

DRAWS = 16  # chosen, because a tenth and a ninth tenth of so many are known to about a third of the band
PEOPLE = 500  # walked a draw; the same ones, so that only what is assumed differs
SEED = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class Draw:
    """One way the model could be off: factors on strength (by motion of strength.motions()), rest, endurance, tempo."""

    strength: Array
    recovery: float
    endurance: float
    pace: float

    def people(self, usual: People) -> People:
        """These people as this draw has them."""
        return replace(usual, strength=usual.strength * self.strength, endurance=usual.endurance * self.endurance)

    def rates(self, usual: Rates) -> Rates:
        return replace(usual, multiplier=usual.multiplier * self.recovery)


def usual_draw() -> Draw:
    """Nothing is off."""
    return Draw(strength=np.ones(len(motions())), recovery=1.0, endurance=1.0, pace=1.0)


@cache
def draws(count: int = DRAWS) -> tuple[Draw, ...]:
    """Always the same; in pairs that lie on both sides of the usual, so that their middle is."""
    rng, widths = np.random.default_rng(SEED), np.array([row_log_sd(motion) for motion in motions()])
    rows, places = np.unique([unsided(motion) for motion in motions()], return_inverse=True)
    found = []
    for _ in range(count // 2):
        own, shared = rng.standard_normal(len(rows))[places], rng.standard_normal(5)
        for side in (1.0, -1.0):
            all_of_it = FIELD_LOG_SD * shared[0] + POSE_LOG_SD * shared[1]
            found.append(
                Draw(
                    strength=np.exp(side * (widths * own + all_of_it)),
                    recovery=math.exp(side * RECOVERY_LOG_SD * shared[2]),
                    endurance=math.exp(side * ENDURANCE_LOG_SD * shared[3]),
                    pace=math.exp(side * PACE_LOG_SD * shared[4]),
                )
            )
    return tuple(found)


@cache
def unsure_limiters() -> frozenset[str]:
    """What gives out, in a coach's words ('calf'), where its strength is from memory."""
    return frozenset(limiter(motion) for motion in limiters() if from_memory(motion))


# ---- beside every share ----------------------------------------------------------------------------------------------

Key = tuple[str, ...]
Change = Callable[[Key, Share], Share]


def with_bands(found: Forecast, usual: Forecast, others: tuple[Forecast, ...]) -> Forecast:
    """The forecast with a band beside every share: `usual` and `others` are of the same fewer people, without anything
    off and under each draw. The error of the number drawn, independent of the model's, is in the band as well.
    """
    before, after = parts(usual), [parts(each) for each in others]

    def banded(key: Key, share: Share) -> Share:
        moves = np.array([each.get(key, 0.0) - before.get(key, 0.0) for each in after])
        low, high = np.quantile(moves, [0.1, 0.9])
        drawn = EIGHTY * share.error
        return replace(
            share,
            low=max(0.0, share.part - math.hypot(min(low, 0.0), drawn)),
            high=min(1.0, share.part + math.hypot(max(high, 0.0), drawn)),
        )

    return _changed(found, banded)


def parts(found: Forecast) -> dict[Key, float]:
    """Every share of a forecast by what it is a share of."""
    known: dict[Key, float] = {}

    def note(key: Key, share: Share) -> Share:
        known[key] = share.part
        return share

    _changed(found, note)
    return known


def _changed(found: Forecast, change: Change) -> Forecast:
    """The forecast with every share that hangs on the model changed."""
    return replace(
        found,
        whole=change(("whole",), found.whole),
        sore=change(("sore",), found.sore),
        cells=tuple(_cell(cell, change) for cell in found.cells),
        broken={where: tuple(_named(("broken", *where), stopped, change)) for where, stopped in found.broken.items()},
    )


def _cell(cell: CellForecast, change: Change) -> CellForecast:
    at = str(cell.ref)
    return replace(
        cell,
        some_rung=change((at, "some"), cell.some_rung),
        skipping=change((at, "skipping"), cell.skipping),
        rungs=tuple(_rung((at, str(number)), rung, change) for number, rung in enumerate(cell.rungs)),
    )


def _rung(at: Key, rung: RungForecast, change: Change) -> RungForecast:
    return replace(
        rung,
        finishing=change((*at, "finishing"), rung.finishing),
        advised=change((*at, "advised"), rung.advised),
        limiting=tuple(_named((*at, "limiting"), rung.limiting, change)),
        loads=tuple(replace(each, advised=change((*at, "load", each.load), each.advised)) for each in rung.loads),
    )


def _named(at: Key, shares: tuple[tuple[str, Share], ...], change: Change) -> Iterator[tuple[str, Share]]:
    yield from ((name, change((*at, name), share)) for name, share in shares)
