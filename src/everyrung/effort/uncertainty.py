"""How far the model itself may be off, apart from how much people differ: the one place for what is said and decided.

Measured on docs/accuracy-audience.md, whole tests of ordinary people: 24 medians of five tests, both sexes. Both
figures are held by tests/published/test_field_tests.py, so that they follow the model.

How far the model itself may be off: the same people under other strengths, recovery, endurance and tempo at once.

What a share is unsure by is not how many people were drawn but what the model rests on: strengths that are from memory,
recovery and endurance that studies do not agree on, a body that is posed to within some degrees, a group that keeps a
tempo only about. Each draw moves all of them together, the same for everyone in it; the people walk again, and the
middle four of five draws are the band that stands beside every share. docs/accuracy-audience.md says where each width
comes from, and what the band leaves out.

How much else it could be: the same people under other assumptions about recovery, strength and tempo.
"""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cache, partial

import numpy as np
from numpy.typing import NDArray

from everyrung.effort.audience import People, audience, blocks, side_by_side
from everyrung.effort.cell_stats import Sums
from everyrung.effort.choices import ScheduledCell, SessionOffers
from everyrung.effort.mix import Mix
from everyrung.effort.people_strength import GRIP, motions, without_side
from everyrung.effort.simulate import USUAL, SimulationPlan, Variant, simulate, simulation_plan
from everyrung.effort.three_compartment import Array
from everyrung.effort.words import limiter, limiters
from everyrung.executors.tasks import map_tasks
from everyrung.tables.strength import StrengthRow, strength_rows
from everyrung.terms.forecast import CellForecast, Forecast, RungForecast, Share
from everyrung.terms.session import Session

# Root mean square of ln(model / published) over those medians that no factor was derived from, and how many they are.
COUNT_LOG_ERROR, MEDIANS = 0.21, 20
# As many times too much as the model foretells at most in all of those tests. What is advised or offered has to stand
# up to that.
OVERSTATED = 1.31


def count_range(count: float) -> tuple[float, float]:
    """A forecast number of repetitions or seconds, one model error down and up.

    >>> [round(end, 1) for end in count_range(10)]
    [8.1, 12.3]
    """
    return count * float(np.exp(-COUNT_LOG_ERROR)), count * float(np.exp(COUNT_LOG_ERROR))


def how_good() -> str:
    """One sentence for a coach on what the forecasts are worth."""
    _, high = count_range(100)
    return (
        f"How good is this? In {MEDIANS} published results of whole movements that nothing was fitted to, the middle "
        f"person's repetitions or seconds are typically {high - 100:.0f} % off; one person can be far from the middle."
    )


def at_least(possible: NDArray[np.float64]) -> NDArray[np.float64]:
    """Repetitions or seconds, by person, that are there even if the model foretells too many."""
    return possible / OVERSTATED


# ---- by what it rests on: each independent of the others ----------------------------------------------------------

# Logarithmic standard deviations. A joint's strength has its own in tables/joint_strength.csv.
GRIP_LOG_SD = 0.05  # thousands of people; chosen, because devices differ by so much
FITTED_LOG_SD = 0.15  # of a muscle group: the middle of the rows that its force is fitted to
POSE_LOG_SD = 0.05  # of the hardest joint: twice the median of docs/accuracy/pose_error.py, for bodies differ as well
GROUP_LOG_SD = 0.10  # of a muscle group's effort, by the pose: checks/difficulty.py
FIELD_LOG_SD = 0.08  # of all strengths: the arms' factor is 0.72 by men's push-ups alone, 0.81 by women's (D)
RECOVERY_LOG_SD = 0.32  # the slow time without one study or other, 247 to 565 s, is four of five (fit_fatigue.py)
ENDURANCE_LOG_SD = 0.25  # holds are off by up to 0.35, women's repetitions by 0.4 (docs/accuracy-audience.md)
PACE_LOG_SD = 0.10  # of a repetition's time; chosen, as 15 % slower or quicker is four of five
EIGHTY = 1.2816  # standard deviations either side that hold four of five


def from_memory(motion: str) -> bool:
    """Whether the strength of 'knee_extension' (or '..._left') is from memory (flags M and M-)."""
    row = _rows().get(motion) or _rows().get(without_side(motion))
    return row.flag.startswith("M") if row else without_side(motion) != GRIP


def row_log_sd(motion: str) -> float:
    """How far one motion's strength may be off: the standard deviation of its logarithm. Raises KeyError for a motion
    that has no strength of its own.
    """
    name = without_side(motion)
    return GRIP_LOG_SD if name == GRIP else (_rows().get(motion) or _rows()[name]).error_log_sd


@cache
def _rows() -> dict[str, StrengthRow]:
    return {row.motion: row for row in strength_rows()}


def part_between(part: float, motion: str) -> tuple[float, float]:
    """Where the part of a strength that a pose asks lies in four of five cases.

    >>> [round(end, 2) for end in part_between(0.62, "knee_extension_left")]
    [0.54, 0.72]
    """
    width = EIGHTY * math.hypot(row_log_sd(motion), POSE_LOG_SD)
    return part * math.exp(-width), part * math.exp(width)


def effort_between(part: float) -> tuple[float, float]:
    """Where a muscle group's effort, a part of 1, lies in four of five cases; its strength is fitted to many rows."""
    width = EIGHTY * math.hypot(FITTED_LOG_SD, GROUP_LOG_SD)
    return part * math.exp(-width), min(1.0, part * math.exp(width))


DRAWS = 16  # chosen, because the 10th and 90th percentile of 16 are known to about a third of the band
PEOPLE = 500  # walked a draw; the same ones, so that only what is assumed differs
SEED = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class Draw:
    """One way the model may be off: factors on strength (axis: motion of audience.motions()), on rest, endurance,
    tempo.
    """

    strength: Array
    recovery: float
    endurance: float
    pace: float

    def people(self, usual: People) -> People:
        """These people as this draw has them: stronger or weaker, more or less enduring."""
        return replace(usual, strength=usual.strength * self.strength, endurance=usual.endurance * self.endurance)

    @property
    def variant(self) -> Variant:
        """The model under this draw: rest that helps more or less, for each motion alike, another tempo."""
        return Variant(pace=self.pace, recovery=self.recovery)


def usual_draw() -> Draw:
    """The draw in which nothing is off: all factors are 1."""
    return Draw(strength=np.ones(len(motions())), recovery=1.0, endurance=1.0, pace=1.0)


@cache
def draws(count: int = DRAWS) -> tuple[Draw, ...]:
    """`count` draws, always the same; in pairs that lie on both sides of the usual, so that their middle is."""
    rng, widths = np.random.default_rng(SEED), np.array([row_log_sd(motion) for motion in motions()])
    rows, places = np.unique([without_side(motion) for motion in motions()], return_inverse=True)
    result = []
    for _ in range(count // 2):
        own, common = rng.standard_normal(len(rows))[places], rng.standard_normal(5)
        for side in (1.0, -1.0):
            all_of_it = FIELD_LOG_SD * common[0] + POSE_LOG_SD * common[1]
            result.append(
                Draw(
                    strength=np.exp(side * (widths * own + all_of_it)),
                    recovery=math.exp(side * RECOVERY_LOG_SD * common[2]),
                    endurance=math.exp(side * ENDURANCE_LOG_SD * common[3]),
                    pace=math.exp(side * PACE_LOG_SD * common[4]),
                )
            )
    return tuple(result)


@cache
def unsure_limiters() -> frozenset[str]:
    """What gives out, in a coach's words ('calf'), where its strength is from memory."""
    return frozenset(limiter(motion) for motion in limiters() if from_memory(motion))


# ---- beside every share ----------------------------------------------------------------------------------------------

Key = tuple[str, ...]
Change = Callable[[Key, Share], Share]


def with_bands(forecast: Forecast, usual: Forecast, others: tuple[Forecast, ...]) -> Forecast:
    """The forecast with a band beside every share: `usual` and `others` are of the same fewer people, without anything
    off and under each draw. The error of the number drawn, independent of the model's, is in the band as well.
    """
    before, after = parts(usual), [parts(each) for each in others]

    def with_bands(key: Key, share: Share) -> Share:
        moves = np.array([each.get(key, 0.0) - before.get(key, 0.0) for each in after])
        low, high = np.quantile(moves, [0.1, 0.9])
        sampling = EIGHTY * share.error
        return replace(
            share,
            low=max(0.0, share.part - math.hypot(min(low, 0.0), sampling)),
            high=min(1.0, share.part + math.hypot(max(high, 0.0), sampling)),
        )

    return _change_shares(forecast, with_bands)


def parts(forecast: Forecast) -> dict[Key, float]:
    """Every share of a forecast, 0 to 1, by what it is a share of."""
    result: dict[Key, float] = {}

    def note(key: Key, share: Share) -> Share:
        result[key] = share.part
        return share

    _change_shares(forecast, note)
    return result


def _change_shares(forecast: Forecast, change: Change) -> Forecast:
    """The forecast with every share that depends on the model changed."""
    return replace(
        forecast,
        whole=change(("whole",), forecast.whole),
        sore=change(("sore",), forecast.sore),
        cells=tuple(_cell(cell, change) for cell in forecast.cells),
        broken={
            where: tuple(_change_named(("broken", *where), shares, change)) for where, shares in forecast.broken.items()
        },
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
        limiting=tuple(_change_named((*at, "limiting"), rung.limiting, change)),
        loads=tuple(replace(each, advised=change((*at, "load", each.load), each.advised)) for each in rung.loads),
    )


def _change_named(at: Key, shares: tuple[tuple[str, Share], ...], change: Change) -> Iterator[tuple[str, Share]]:
    yield from ((name, change((*at, name), share)) for name, share in shares)


COMPARED = 1000  # people; chosen, because 19 of 20 such differences are then within 1.1 points of those of 8,000
Points = tuple[float, float]  # for those who finish some rung, and the led one


@dataclass(frozen=True, slots=True, kw_only=True)
class Assumption:
    """Another way it could be: `width` of strength's scatter, a factor on `strength`, a variant of the model."""

    name: str
    width: float = 1.0
    strength: float = 1.0
    variant: Variant = USUAL[0]


ASSUMPTIONS = (
    Assumption(name="recovery slow", variant=Variant(rest="slow")),
    Assumption(name="recovery quick", variant=Variant(rest="quick")),
    Assumption(name="strength scatter half", width=0.5),
    Assumption(name="strength scatter half as much again", width=1.5),
    Assumption(name="strength 10 % less", strength=0.9),
    Assumption(name="strength 10 % more", strength=1.1),
    Assumption(name="tempo 15 % slower", variant=Variant(pace=1.15)),
    Assumption(name="tempo 15 % quicker", variant=Variant(pace=0.85)),
)


def sensitivity(
    session: Session, offers: SessionOffers, places: tuple[ScheduledCell, ...], mix: Mix, count: int, seed: int
) -> list[dict[str, Points]]:
    """By cell and assumption: how far, in percentage points, it moves who finishes some rung, and the led one. Raises
    Invalid for a cluster that can't be used.
    """
    ways = (Assumption(name="usual"), *ASSUMPTIONS)
    along = simulation_plan(session, places, offers, [each.variant for each in ways])
    people = min(count, COMPARED)
    ask = partial(_count_finishing, along, ways, mix, people, seed)
    counts = np.zeros((len(places), len(ways), 2))
    for more in map_tasks(ask, blocks(people), chunk=1):
        counts += more
    points = 100 * (counts - counts[:, :1]) / max(people, 1)
    return [
        {
            each.name: (float(some), float(led_rung))
            for each, (some, led_rung) in zip(ASSUMPTIONS, shift[1:], strict=True)
        }
        for shift in points
    ]


def _count_finishing(
    along: SimulationPlan, ways: tuple[Assumption, ...], mix: Mix, people: int, seed: int, block: int
) -> Array:
    """Who of one block of people finishes some rung, and the led one (axes: slot, way, one of the two)."""
    in_room, some = along.session.who.part_in_room, range(block, block + 1)
    counts = np.zeros((len(along.slots), len(ways), 2))
    groups = [next(audience(mix, people, seed, in_room, each.width, some)) for each in ways]
    crowd, variants = side_by_side(
        [replace(one, strength=one.strength * each.strength) for one, each in zip(groups, ways, strict=True)]
    )
    sums = Sums(variants, len(ways))
    for number, step in enumerate(simulate(crowd, along, variants, led_alone=True)):
        counts[number, :, 0] = sums.people(step.finishable)
        counts[number, :, 1] = sums.people(step.led_attempt.left >= 0) if step.led_attempt else 0
    return counts
