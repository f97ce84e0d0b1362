"""A simulated audience: people drawn from a mix, always the same ones for the same seed, in blocks of a fixed size."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from everyrung.effort.mix import Group, Mix, Spread
from everyrung.effort.people_strength import (
    age_factors,
    field_factors,
    joint_count,
    motions,
    scatter,
    training_factor,
)
from everyrung.effort.rates import constant
from everyrung.effort.three_compartment import Array
from everyrung.tables.anthropometry import measure
from everyrung.terms.enums import Caution
from everyrung.terms.person import MAX_STATURE_M, MIN_STATURE_M, Experience, Own, Sex

BLOCK = 1000  # people drawn together; chosen, because then who is drawn depends on the seed and the place alone
LEVELS, CAUTIONS = tuple(Experience), tuple(Caution)
DRAWN_FIRST, DRAWN_NEXT = 7, 1  # cautions; those that came later are drawn apart, so that a seed draws whom it did
LEAST_BMI, MOST_BMI = 15.0, 50.0  # chosen, because the survey's regressions say nothing of bodies outside
Kit = tuple[Own, ...]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class People:
    """People as arrays (axis: person). `strength` (person, motion of people_strength.motions()) multiplies the body
    model's strengths, `endurance` divides the rate of tiring; `kit` is a place in `kits`; `level` and `limits` (person,
    caution) follow LEVELS and CAUTIONS. `spot` is who comes in as which, from 0: they fill the room's places in turn.
    """

    male: Flags
    age: Array
    stature_m: Array
    mass_kg: Array
    level: NDArray[np.int64]
    strength: Array
    endurance: Array
    kit: NDArray[np.int64]
    limits: Flags
    medicine: Flags
    spot: NDArray[np.int64]
    kits: tuple[Kit | None, ...]

    def __len__(self) -> int:
        return len(self.age)

    @property
    def new(self) -> Flags:
        """Who comes for the first time, by person."""
        result: Flags = self.level == LEVELS.index(Experience.NEW)
        return result

    def only(self, places: NDArray[np.int64] | Flags) -> "People":
        """Some of them, in that order: by place, or those with a flag by person."""
        return replace(self, **{name: getattr(self, name)[places] for name in PER_PERSON})


PER_PERSON = tuple(each.name for each in fields(People) if each.name != "kits")


def side_by_side(groups: Sequence[People]) -> tuple[People, NDArray[np.int64]]:
    """Groups of people with the same kits as one crowd, and the place of each person's group."""
    each: dict[str, Any] = {name: np.concatenate([getattr(one, name) for one in groups]) for name in PER_PERSON}
    return replace(groups[0], **each), np.repeat(np.arange(len(groups)), [len(one) for one in groups])


def audience(
    mix: Mix, count: int, seed: int, in_room: float, width: float = 1.0, some: range | None = None
) -> Iterator[People]:
    """`count` people in blocks of at most BLOCK, a share `in_room` of them with the room's kit (None in `kits`) instead
    of their own; of the blocks (see `blocks`) only `some`. The same seed always draws the same people; bodies are those
    of gordon2014's survey.

    `width` stretches the scatter of strength; the same people are drawn whatever it is.

    >>> from everyrung.effort.mix import read_mix
    >>> people = next(audience(read_mix("boathouse"), count=100, seed=1, in_room=0.5))
    >>> len(people), int(people.new.sum()), people.strength.shape
    (100, 28, (100, 31))
    """
    for block in blocks(count) if some is None else some:
        people = min(BLOCK, count - block * BLOCK)
        one = _block(mix, people, np.random.default_rng([seed, block]), in_room, width)
        yield replace(one, spot=one.spot + block * BLOCK)


def blocks(count: int) -> range:
    """The numbers of the blocks in which `count` people are drawn.

    >>> blocks(2500)
    range(0, 3)
    """
    return range(-(-count // BLOCK))


def _block(mix: Mix, count: int, rng: np.random.Generator, in_room: float, width: float) -> People:
    """Every person takes the same number of draws, so that a shorter last block holds the same people."""
    kits, offsets = _kits(mix)
    uniform = rng.random((BLOCK, 6 + DRAWN_FIRST))[:count]
    normal = rng.standard_normal((BLOCK, 5 + len(motions())))[:count]
    later = rng.spawn(1)[0].random((BLOCK, len(CAUTIONS) - DRAWN_FIRST - DRAWN_NEXT))[:count]
    limit_draws = np.hstack([uniform[:, 6:], rng.random((BLOCK, DRAWN_NEXT))[:count], later])
    joint = rng.standard_normal((BLOCK, joint_count()))[:count]  # last, as above
    group = _pick([each.share for each in mix.groups], uniform[:, 0])
    male = uniform[:, 1] >= np.array([each.women for each in mix.groups])[group]
    age = _by_group(mix.groups, group, lambda each: _cut(each.age, normal[:, 0]))
    stature = np.clip(_stature(male, normal[:, 1]), MIN_STATURE_M, MAX_STATURE_M)
    mass = _by_group(mix.groups, group, lambda each: _mass(each, male, stature, normal[:, 2]))
    level = _by_group(mix.groups, group, lambda each: _pick([each.levels[one] for one in LEVELS], uniform[:, 2]))
    kit = _by_group(
        mix.groups, group, lambda each: offsets[each.name] + _pick([b.share for b in each.bundles], uniform[:, 3])
    )
    training = np.array([training_factor(each) for each in LEVELS])[level.astype(int)]
    spread = scatter(normal[:, 4], joint, normal[:, 5:], width)
    return People(
        male=male,
        age=age,
        stature_m=stature,
        mass_kg=mass,
        level=level.astype(np.int64),
        strength=age_factors(male, age) * training[:, None] * spread * field_factors(),
        endurance=np.exp(constant("people", "all", "endurance_log_sd") * normal[:, 3]),
        kit=np.where(uniform[:, 4] < in_room, 0, kit).astype(np.int64),
        limits=limit_draws < np.array([mix.limits.get(caution, 0.0) for caution in CAUTIONS]),
        medicine=uniform[:, 5] < mix.medicine,
        spot=np.arange(count),
        kits=kits,
    )


def _kits(mix: Mix) -> tuple[tuple[Kit | None, ...], dict[str, int]]:
    """Every bundle of the mix after the room's kit, and where each group's begin."""
    kits: list[Kit | None] = [None]
    offsets = {}
    for group in mix.groups:
        offsets[group.name] = len(kits)
        kits += [bundle.items for bundle in group.bundles]
    return tuple(kits), offsets


def _pick(shares: list[float], uniform: Array) -> NDArray[np.int64]:
    result: NDArray[np.int64] = np.searchsorted(np.cumsum(shares)[:-1], uniform, side="right").astype(np.int64)
    return result


def _by_group(groups: tuple[Group, ...], group: NDArray[np.int64], values: Callable[[Group], NDArray[Any]]) -> Array:
    """Each person's value by their group."""
    result: Array = np.select([group == place for place in range(len(groups))], [values(each) for each in groups])
    return result


def _cut(spread: Spread, normal: Array) -> Array:
    """A normal value between the ends: those outside are folded back in."""
    value = spread.mean + spread.sd * normal
    value = np.where(value < spread.low, 2 * spread.low - value, value)
    value = np.where(value > spread.high, 2 * spread.high - value, value)
    return np.clip(value, spread.low, spread.high)


def _stature(male: Flags, normal: Array) -> Array:
    women, men = measure(Sex.FEMALE, "stature"), measure(Sex.MALE, "stature")
    return np.where(male, men.mean + men.sd * normal, women.mean + women.sd * normal)


def _mass(group: Group, male: Flags, stature_m: Array, normal: Array) -> Array:
    """From the group's spread of the body-mass index, or by the survey's line on stature and its scatter."""
    if group.bmi:
        return _cut(group.bmi, normal) * stature_m**2
    women, men = measure(Sex.FEMALE, "mass"), measure(Sex.MALE, "mass")
    slope, intercept, see = (
        np.where(male, getattr(men, name), getattr(women, name)) for name in ("slope", "intercept", "see")
    )
    mass: Array = slope * stature_m + intercept + see * normal
    return np.clip(mass, LEAST_BMI * stature_m**2, MOST_BMI * stature_m**2)
