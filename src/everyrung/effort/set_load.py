"""A bout as the fatigue kernel needs it: which motions it works, and what one repetition or the hold asks of them."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from everyrung.body.reference_grid import reference_grid
from everyrung.effort.choices import BodyDemands, Offer
from everyrung.effort.people_strength import GRIP, grip_kg
from everyrung.effort.rates import Rates, joint_of
from everyrung.effort.three_compartment import Array, Cycle, Integers, rep_map
from everyrung.terms.enums import Carry, Side, Sidedness
from everyrung.terms.session import Bout

RESTING = 0.05  # of strength, on every reference body; chosen, because standing asks so much of calves and is a rest
SIDES = ("_left", "_right")
USUAL_PACE = np.ones(1)


@dataclass(frozen=True, slots=True, kw_only=True)
class ByLoad:
    """A value by load, reference body and motion (axes of `values`): linear between two of the loads, kg in all, and on
    past the first and the last."""

    loads_kg: tuple[float, ...]
    values: Array

    def at(self, weights: Array, load_kg: Array) -> Array:
        """The value by person and motion, from parts of the bodies (person, body) and loads in kg (person)."""
        values = self.values
        if len(self.loads_kg) == 1:
            alone: Array = weights @ values[0]
            return alone
        if len(load_kg) and load_kg.min() == load_kg.max():  # as nearly always: one load for all who take this piece
            same: Array = weights @ np.tensordot(load_parts(self.loads_kg, load_kg[:1])[0], values, 1)
            return same
        result = np.zeros((len(load_kg), values.shape[2]))
        for node, part in enumerate(load_parts(self.loads_kg, load_kg).T):
            result += part[:, None] * (weights @ values[node])
        return result

    def of(self, values: Array) -> "ByLoad":
        """Other values (axes: load, body, motion) at the same loads."""
        return ByLoad(loads_kg=self.loads_kg, values=values)


def load_parts(loads_kg: Sequence[float], load_kg: Array) -> Array:
    """Parts of each load (axes: person, load), adding up to 1, that make up what each person holds."""
    if len(loads_kg) == 1:
        return np.ones((len(load_kg), 1))
    nodes, rows = np.array(loads_kg), np.arange(len(load_kg))
    low = np.clip(np.searchsorted(nodes, load_kg, side="right") - 1, 0, len(nodes) - 2)
    share = (load_kg - nodes[low]) / (nodes[low + 1] - nodes[low])
    parts = np.zeros((len(load_kg), len(nodes)))
    parts[rows, low], parts[rows, low + 1] = 1 - share, share
    return parts


@dataclass(frozen=True, slots=True, kw_only=True)
class SetLoad:
    """One bout of one rung as the fatigue model takes it. `working` are the places of the motions that are not at rest,
    the axis 'motion' of all the rest; `load` is what the first hardest point asks, a part of strength.

    A repetition of an alternating rung is half a cycle: `reps_a_cycle` is 2 and there are two hardest points. A hold
    has no cycle.
    """

    bout: Bout
    reps_a_cycle: int
    working: Integers
    cycle: Cycle | None
    load: ByLoad
    above_rest_w: ByLoad


@dataclass(frozen=True, slots=True, kw_only=True)
class _Half:
    """One repetition of a cycle on the working motions: mean loads (phase last), peaks, and when these are, s (axes:
    variant, motion) from the cycle's beginning.
    """

    loads: Array
    peaks: Array
    at_s: Array


def set_load(
    offer: Offer,
    bout: Bout,
    bodies: BodyDemands,
    motions: tuple[str, ...],
    rates: Rates,
    paces: Array = USUAL_PACE,
) -> SetLoad:
    """The bout for the session's motions; `paces` is a factor on every repetition's time, by variant of the model."""
    loads, peaks, every_at_s = _columns(bodies, motions, bout.side)
    _add_grip(offer, bout, motions, loads, peaks)
    other = bout.side is Side.BOTH and offer.form.sides is Sidedness.ALTERNATING
    orders = [np.arange(len(motions))] + (
        [np.array([motions.index(_other(name)) for name in motions])] if other else []
    )
    most = np.maximum.reduce([_most(peaks).max(axis=0)[order] for order in orders])
    working = np.flatnonzero(most >= RESTING)
    seconds = bodies.arrays.seconds * paces[:, None]
    at_s = np.median(every_at_s, axis=(0, 1)) * paces[:, None]
    halves = [
        _Half(
            loads=loads.values[:, :, order[working]],
            peaks=peaks.values[:, :, order[working]],
            at_s=rep * seconds.sum(axis=1, keepdims=True) + at_s[:, order[working]],
        )
        for rep, order in enumerate(orders)
    ]
    return SetLoad(
        bout=bout,
        reps_a_cycle=len(halves),
        working=working,
        cycle=_cycle(halves, seconds, rates.only(working)) if bout.reps else None,
        load=peaks.of(halves[0].peaks),
        above_rest_w=power_w(bodies),
    )


def _cycle(halves: Sequence[_Half], seconds: Array, rates: Rates) -> Cycle:
    """All repetitions of a cycle together, and each up to its hardest point; `seconds` (variant, phase) of one."""
    lasting, loads = np.tile(seconds, len(halves)), np.concatenate([half.loads for half in halves], axis=-1)
    ended_s = np.repeat(lasting.sum(axis=1, keepdims=True), loads.shape[2], axis=1)
    decay, rise = _until(ended_s, loads, lasting, rates, halves)
    points = [_until(half.at_s, loads, lasting, rates, halves[:rep]) for rep, half in enumerate(halves)]
    parts = (
        decay,
        rise,
        np.stack([decay_to for decay_to, _ in points]),
        np.stack([rise_to for _, rise_to in points]),
        np.stack([half.peaks for half in halves]),
    )
    return Cycle(*(np.ascontiguousarray(each) for each in parts))  # so that it is compiled once, and read in order


def _until(at_s: Array, loads: Array, seconds: Array, rates: Rates, before: Sequence[_Half]) -> tuple[Array, Array]:
    """Fatigue's decay (variant, motion) and rise (variant, load, body, motion) up to a point of the cycle, with the
    strikes `before` it."""
    one = rep_map(loads, seconds[:, None, None, None, :], rates.rep_fatigue, rates.recovery, at_s[:, None, None, :])
    rise = one.rise_to
    for each in before:
        struck = np.exp(-rates.recovery * (at_s - each.at_s))[:, None, None, :]
        rise = rise + each.peaks * rates.rep_strike * struck
    return one.decay_to[:, 0, 0, :], rise


def power_w(bodies: BodyDemands) -> ByLoad:
    """The mean metabolic power above rest, W (axes: body, one)."""
    values = bodies.arrays.power_w[:, :, None]
    return ByLoad(loads_kg=bodies.loads_kg, values=values)


MOST_KG = 12.0  # in all; chosen, because with that a motion that is ever to work shows


def _most(peaks: ByLoad) -> Array:
    """The greatest peak by body and motion, empty-handed or with MOST_KG."""
    parts = load_parts(peaks.loads_kg, np.array([0.0, MOST_KG]))
    greatest: Array = np.einsum("pl,lbm->pbm", parts, peaks.values).max(axis=0)
    return greatest


def _columns(bodies: BodyDemands, motions: tuple[str, ...], side: Side) -> tuple[ByLoad, ByLoad, Array]:
    """The rung's mean loads (phase last), its peaks and when they are, for these motions; of a left bout mirrored."""
    have = {_other(name) if side is Side.LEFT else name: at for at, name in enumerate(bodies.arrays.motions)}
    places = [place for place, name in enumerate(motions) if name in have]
    columns = [have[motions[place]] for place in places]
    arrays = []
    for values in (bodies.arrays.phases, bodies.arrays.peaks, bodies.arrays.at_s):
        every = np.zeros((*values.shape[:2], len(motions), *values.shape[3:]))
        every[:, :, places] = values[:, :, columns]
        arrays.append(every)
    loads, peaks = (ByLoad(loads_kg=bodies.loads_kg, values=values) for values in arrays[:2])
    return loads, peaks, arrays[2]


def session_motions(bodies: Sequence[BodyDemands]) -> tuple[str, ...]:
    """Every motion that some rung works on some body at RESTING or more, with its other side, in alphabetical order;
    and both grips.
    """
    names = {
        motion
        for one in bodies
        for motion, most in zip(one.arrays.motions, one.arrays.peaks.max(axis=(0, 1)).tolist(), strict=True)
        if most >= RESTING and joint_of(motion)
    }
    return tuple(sorted(names | {_other(name) for name in names} | {GRIP + side for side in SIDES}))


def _other(motion: str) -> str:
    """The same motion of the other side; bending and turning the trunk have sides of their own."""
    if motion.endswith("_left"):
        return motion.removesuffix("_left") + "_right"
    return motion.removesuffix("_right") + "_left" if motion.endswith("_right") else motion


def _add_grip(offer: Offer, bout: Bout, motions: tuple[str, ...], loads: ByLoad, peaks: ByLoad) -> None:
    """A hand that carries needs the part of its grip that the weight is; chosen: hooked fingers need no more."""
    strongest = _grips_kg()
    for side, share in _hands(offer, bout).items():
        place = motions.index(f"{GRIP}_{side}")
        parts = np.array(peaks.loads_kg)[:, None] * share / strongest  # axes: load, body
        peaks.values[:, :, place] = parts
        loads.values[:, :, place] = parts[..., None]


@cache
def _grips_kg() -> Array:
    """The greatest grip of each reference body."""
    return np.array([grip_kg(body.sex) for body in reference_grid()])


def _hands(offer: Offer, bout: Bout) -> dict[Side, float]:
    """Which part of the whole load each hand carries; nothing where it rests on the hips or the thigh."""
    carry = bout.load.carry if bout.load else None
    if not offer.pieces or carry in (Carry.HIPS, Carry.THIGH):
        return {}
    if offer.pieces == 1 and bout.load_side in (Side.LEFT, Side.RIGHT):
        return {bout.load_side: 1.0}
    return {Side.LEFT: 0.5, Side.RIGHT: 0.5}
