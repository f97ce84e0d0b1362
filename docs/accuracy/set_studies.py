"""Studies of repeated sets and holds with rests between: what was done, what was found, what the model says.

Which of them the constants of rest may be fitted to was fixed before looking: within a topic all ids in the order of
their SHA-256, the first, third, fifth ... decide. NU and FA ids are rows of the project's table of published checks,
RS ids are new here. Flags: V seen, V2 seen second-hand, M from memory. docs/accuracy/fit_fatigue.py fits and prints.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache, partial

import numpy as np

from everyrung.effort.rates import constant, rep_strike, reserve, rest
from everyrung.effort.three_compartment import (
    RepMap,
    after_failed_rep,
    after_hold,
    after_reps,
    after_rest,
    hold_seconds,
    rep_map,
    reps_possible,
)

SEED, PEOPLE = 3, 2000
SETS_WITHIN = 0.12  # of a ratio, where the study has no deviation; set before looking
REPEATED_AFTER_S = 5
REP_S, SHARE = (constant("repetition", "all", name) for name in ("rep_seconds", "rep_mean_share"))


def array(*values: float) -> np.ndarray:
    return np.array(values[0] if len(values) == 1 else values, dtype=float)


# ---- a usual repetition ----------------------------------------------------------------------------------------------


def usual_cycle(
    load: float | np.ndarray, recovery: float, seconds: float = REP_S, endurance: float | np.ndarray = 1.0
) -> RepMap:
    """A repetition down and up in `seconds`, hardest at the bottom, mean load SHARE of its peak."""
    load = np.asarray(load, dtype=float)
    half = np.broadcast_to(array(seconds / 2, seconds / 2), (*load.shape, 2))
    loads = np.stack([SHARE * load, SHARE * load], axis=-1)
    f = np.broadcast_to(constant("hold", "general", "fatigue") / endurance, load.shape)
    r, at = np.broadcast_to(recovery, load.shape), np.broadcast_to(seconds / 2, load.shape)
    return rep_map(loads, half, f, r, at, rep_strike() * load / endurance)


def load_for(reps: int, recovery: float, seconds: float = REP_S, endurance: float | np.ndarray = 1.0) -> np.ndarray:
    """The largest load, a part of strength, that this many repetitions can be done with: halved in on, for the product
    has only the other way. One by person where `endurance` is."""
    low, high = np.zeros(np.shape(endurance)), np.ones(np.shape(endurance))
    for _ in range(50):  # to 1e-15 of strength
        middle = (low + high) / 2
        done = reps_possible(array(0.0), usual_cycle(middle, recovery, seconds, endurance), middle) >= reps
        low, high = np.where(done, middle, low), np.where(done, high, middle)
    return low


def one_rm(recovery: float, seconds: float = REP_S) -> float:
    """The largest load that one repetition can be done with; it tires a little on the way down."""
    return float(load_for(1, recovery, seconds))


# ---- people at sets --------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class RestModel:
    """What becomes of fatigue in rests: the slow part's share of the rise, and both times, s."""

    slow_share: float
    quick_s: float
    slow_s: float

    @property
    def shares(self) -> np.ndarray:
        return array(1 - self.slow_share, self.slow_share)

    @property
    def rates(self) -> np.ndarray:
        return 1 / array(self.quick_s, self.slow_s)


def used_now() -> RestModel:
    """The constants of tables/fatigue.csv."""
    quick_s, slow_s = (1 / rest().rate[0]).tolist()
    return RestModel(slow_share=float(rest().share[0, 1]), quick_s=quick_s, slow_s=slow_s)


@cache
def endurances() -> np.ndarray:
    rng = np.random.default_rng(SEED)
    return np.exp(constant("people", "all", "endurance_log_sd") * rng.standard_normal(PEOPLE))


@cache
def own_load(reps: int, joint: str) -> np.ndarray:
    """Each one's n-repetition maximum: somewhere between what n and what n + 1 repetitions can be done with."""
    recovery, rng = constant("hold", joint, "recovery"), np.random.default_rng(SEED + 1)
    most, least = (load_for(each, recovery, endurance=endurances()) for each in (reps, reps + 1))
    return least + (most - least) * rng.uniform(0.001, 0.999, PEOPLE)


@cache
def own_1rm(joint: str) -> np.ndarray:
    return load_for(1, constant("hold", joint, "recovery"), endurance=endurances())


@dataclass(frozen=True, slots=True, kw_only=True)
class Sets:
    """Sets of one lift: by set the load, as per cent of the 1RM (or of the `of_rm` repetition maximum), and how many
    repetitions are asked; none: to failure."""

    joint: str
    per_cent: tuple[float, ...]
    rest_s: float
    asked: tuple[int, ...] | None = None
    of_rm: int = 1

    def possible(self, model: RestModel) -> np.ndarray:
        """Repetitions possible (axes: set, person), fatigue carried on; an attempt that fails tires as well."""
        recovery, endurance = constant("hold", self.joint, "recovery"), endurances()
        whole = own_1rm(self.joint) if self.of_rm == 1 else own_load(self.of_rm, self.joint)
        parts, found = np.zeros((2, PEOPLE)), []
        shares, rates = model.shares[:, None], model.rates[:, None]
        for number, per_cent in enumerate(self.per_cent):
            load = per_cent / 100 * whole
            one = usual_cycle(load, recovery, endurance=endurance)
            most = reps_possible(parts.sum(axis=0), one, load)
            done = np.minimum(most, self.asked[number]) if self.asked else most
            each = RepMap(decay=one.decay, rise=shares * one.rise, decay_to=one.decay_to, rise_to=shares * one.rise_to)
            ends = after_reps(parts, each, done)
            fails = done == most if self.asked is None else most < self.asked[number]
            parts = after_rest(np.where(fails, after_failed_rep(ends, each), ends), rates, self.rest_s)
            found.append(most)
        return np.stack(found)

    def done(self, model: RestModel) -> np.ndarray:
        """The mean repetitions of each set."""
        most = self.possible(model)
        return np.asarray((np.minimum(most, np.array(self.asked)[:, None]) if self.asked else most).mean(axis=1))


def second_hold(model: RestModel, rest_s: float, joint: str = "grip", load: float = 0.5) -> float:
    """How long a second hold to failure lasts, of the first, `rest_s` after it."""
    f, r = (array(constant("hold", joint, name)) for name in ("fatigue", "recovery"))
    first = hold_seconds(array(0.0), array(load), f, r, reserve())
    parts = after_rest(after_hold(np.zeros(2), array(load), f * model.shares, r, first), model.rates, rest_s)
    return float(hold_seconds(parts.sum(), array(load), f, r, reserve()) / first)


# ---- the studies -----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class SetStudy:
    """One published number of repeated sets; `within` is the half width of its band, set before looking. Signs have
    0 there: they are met at or below `published`. What a women's first set misses already is not fitted to."""

    key: str
    said: str
    published: float
    within: float
    ask: Callable[[RestModel], float]
    fitted: bool = True

    def off(self, model: RestModel) -> float:
        """How far, in half bands; a sign's beyond 0 only."""
        away = self.ask(model) - self.published
        return max(away, 0.0) if self.within == 0 else away / self.within

    def met(self, model: RestModel) -> bool:
        return abs(self.off(model)) <= (0 if self.within == 0 else 1)


def _total(model: RestModel, sets: Sets) -> float:
    return float(sets.done(model).sum())


def _ratio(model: RestModel, longer: Sets, shorter: Sets, first: int = 0) -> float:
    """Repetitions with the longer rest, of those with the shorter, from the set `first` on."""
    return float(longer.done(model)[first:].sum() / shorter.done(model)[first:].sum())


def _rm_sets(joint: str, reps: int, sets: int, rest_s: float) -> Sets:
    return Sets(joint=joint, per_cent=(100.0,) * sets, rest_s=rest_s, of_rm=reps)


LINS_FILHO = (12, 9, 6)
LINS_FILHO_REST_S = 120.0  # not seen; chosen, because two minutes are usual


def lins_filho_left(model: RestModel, per_cent: float) -> np.ndarray:
    """Mean repetitions left after sets of 12, 9 and 6, of those who can do the first: all in the study did."""
    sets = Sets(joint="shoulder", per_cent=(per_cent,) * 3, rest_s=LINS_FILHO_REST_S, asked=LINS_FILHO)
    most = sets.possible(model)
    return np.asarray((most - np.array(LINS_FILHO)[:, None])[:, most[0] >= LINS_FILHO[0]].mean(axis=1))


def _left_more(model: RestModel, number: int) -> float:
    left = lins_filho_left(model, 70)
    return float(left[number] - left[number - 1])


def _bench(per_cent: tuple[float, ...], rest_s: float, asked: tuple[int, ...] | None = None) -> Sets:
    return Sets(joint="shoulder", per_cent=per_cent, rest_s=rest_s, asked=asked)


def silva_sets(per_cent: float) -> Sets:
    """Three sets to failure, a minute in between."""
    return _bench((per_cent,) * 3, 60)


WILLARDSON = "Willardson 2005 (V2), 15 men, four sets of their 8RM, of 1 min:"
RATAMESS = "Ratamess 2012 (V), bench 75 %, 3 x up to 10, {}, rest {} min, repetitions"
RICHMOND = "Richmond 2004 (V), 28 men, bench 75 %, second set, of 1 min:"
SPERETTA = "Speretta 2012 (V), 6 men, bench 70, 75, 75, 80, 85 %, rest {} min, repetitions"
SILVA = "Silva 2014 (V), 13 men, bench {} %, three sets, 1 min, repetitions"
LINS_FILHO_SAID = "Lins-Filho 2012 (V), 12-9-6 at 70 %: repetitions left, set {} less set {}, not above"
STULL = "Stull and Kearney 1978 (V), grip at 50 %, second hold of the first, after {} s"


def _studies() -> tuple[SetStudy, ...]:
    found = []

    def add(key: str, said: str, published: float, within: float, ask: Callable[[RestModel], float], fitted=True):
        found.append(SetStudy(key=key, said=said, published=published, within=within, ask=ask, fitted=fitted))

    for key, joint, lift, minutes, published in (
        ("RS01", "knee", "squat", 2, 1.14), ("RS02", "knee", "squat", 5, 1.28),
        ("RS03", "shoulder", "bench", 2, 1.26), ("RS04", "shoulder", "bench", 5, 1.50),
    ):  # fmt: skip
        longer, shorter = (_rm_sets(joint, 8, 4, 60 * each) for each in (minutes, 1))
        add(
            key,
            f"{WILLARDSON} {lift}, {minutes} min",
            published,
            SETS_WITHIN,
            partial(_ratio, longer=longer, shorter=shorter),
        )
    for key, minutes, total, sd in (("RS05", 1, 26.67, 3.44), ("RS06", 2, 33.16, 6.14)):
        sets = _bench((70, 75, 75, 80, 85), 60 * minutes)
        add(key, SPERETTA.format(minutes), total, sd, partial(_total, sets=sets))
    for key, who, minutes, total, sd in (
        ("RS07", "men", 1, 21.1, 3.5), ("RS08", "men", 2, 24.0, 4.5), ("RS09", "men", 3, 25.8, 5.1),
        ("RS10", "women", 1, 26.9, 4.4), ("RS11", "women", 2, 29.0, 2.0), ("RS12", "women", 3, 29.7, 1.8),
    ):  # fmt: skip
        sets = _bench((75, 75, 75), 60 * minutes, (10, 10, 10))
        add(key, RATAMESS.format(who, minutes), total, sd, partial(_total, sets=sets), who == "men")
    longer, shorter = (_rm_sets("knee", 15, 3, each) for each in (180, 60))
    add("RS13", "Jambassi Filho 2013 (V), 17 women of 68, leg press, three sets of their 15RM, 3 min of 1 min",
        1.294, SETS_WITHIN, partial(_ratio, longer=longer, shorter=shorter))  # fmt: skip
    for key, rest_s, part in (("RS14", REPEATED_AFTER_S, 0.203), ("RS15", 2560, 0.868)):
        add(key, STULL.format(rest_s), part, 0.10, partial(second_hold, rest_s=rest_s))
    for key, per_cent, total, sd in (("NU36", 50, 46.46, 9.43), ("NU37", 70, 26.62, 8.19)):
        add(key, SILVA.format(per_cent), total, sd, partial(_total, sets=silva_sets(per_cent)))
    for minutes, published, within in ((5, 1.23, 0.15), (3, 1.08, 0.10)):
        longer, shorter = (_bench((75, 75), 60 * each) for each in (minutes, 1))
        second = partial(_ratio, longer=longer, shorter=shorter, first=1)
        add("NU39", f"{RICHMOND} {minutes} min", published, within, second)
    for number in (1, 2):
        add("NU45", LINS_FILHO_SAID.format(number + 1, number), 0.0, 0.0, partial(_left_more, number=number))
    return tuple(found)


SET_STUDIES = _studies()
