"""The coach's own clock out of sessions that she led, with how well each part is known: what she takes to explain, to
get people into position, to switch, to fetch kit.

Every length from one set's beginning to the next is compared with what the clock says; a common factor for each group
of constants is fitted by robust least squares, with the standard times as prior: first by soft L1, whose pull is
bounded (Huber 1964, Ann Math Stat 35:73) and which has one best place, then from there by Cauchy's loss, whose pull
fades (Holland and Welsch 1977, Commun Stat A6:813; both from memory). A talk only ever lengthens: with the first alone,
eight talks in three sessions, one of 192 s, came to two minutes a session too many. How fast she leads the repetitions
and how long she rests are fitted beside it, so that they are not taken for explaining; the clock has no constant for
these.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from functools import partial
from statistics import median

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from everyrung.lookback.outcome import Outcome
from everyrung.lookback.plan_sets import PlanSet, plan_sets
from everyrung.lookback.talk import talk_by_round
from everyrung.terms.enums import SpanKind
from everyrung.terms.session import Clock, Session
from everyrung.terms.timeline import Span
from everyrung.timing.timeline import build_timeline

Floats = NDArray[np.float64]
EXPLAIN = ("explain_first_ms", "explain_change_ms", "explain_same_ms", "explain_follow_ms")
SWITCH = ("side_switch_ms", "hand_change_ms")
FLOOR = ("down_to_floor_ms", "up_from_floor_ms", "turn_over_ms")
NO_KIT = {"talk_wpm", "settle_ms", "count_in_ms", "rest_ms", "round_rest_ms", *EXPLAIN, *SWITCH, *FLOOR}
KIT = tuple(each.name for each in fields(Clock) if each.name not in NO_KIT)
GROUPS = {
    "explaining": EXPLAIN,
    "getting into position": ("settle_ms",),
    "switching": SWITCH,
    "floor": FLOOR,
    "kit": KIT,
}
PACE, RESTS = "repetitions", "rests"
NAMES = (*GROUPS, PACE, RESTS)
# How far coaches differ from the standard: one spread of the factor's logarithm; chosen, for nobody has measured it.
PRIOR = (0.5, 0.5, 0.4, 0.4, 0.4, 0.05, 0.15)
OFF_S, OFF_PART = 3.0, 0.08  # a length's own error: of hearing where it begins, and of leading it
LEAST_SETS = 12  # chosen, because fewer lengths say little of seven things
KNOWN = 0.8  # of the prior's spread: below it sessions have told something
SPREAD_80 = 1.2816  # of a normal distribution, for four in five
ONE, STEP = (
    2.0,
    0.01,
)  # steps of a hundredth of two and the logarithm: the clock is in whole ms, less may change nothing
# Times its own error, from which the pull of a length fades; chosen among 1, 1.5, 2 and 3 on 48 made threes of sessions
# that are not those of the tests: 20 s off on average, at most 61; by soft L1 alone 23 and 69.
FADE = 2.0
ENOUGH = 1e-3  # of the sum of squares, by which a step has to better it
LEAST_ROUNDS = 3  # of talk, for a rate


@dataclass(frozen=True, slots=True, kw_only=True)
class LedSession:
    """A session and when its sets began, ms, by their place in the plan: those that are sure and led as planned."""

    session: Session
    begins: Mapping[int, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Factor:
    """How many times as long as the clock has it something takes, with the bounds of four in five. `is_clear`: sessions
    have told it, and it is not the standard.
    """

    name: str
    times: float
    least: float
    most: float
    is_clear: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CoachClock:
    """What was learned: factors of groups of constants, of the pace of repetitions, of rests; words a minute while she
    speaks, with their bounds, None where too little is said; and the constants that are offered for [clock].
    """

    factors: tuple[Factor, ...]
    talk_wpm: tuple[int, int, int] | None
    sets: int
    offer: Mapping[str, int]


def begins_of(outcome: Outcome) -> dict[int, int]:
    """Sets whose beginning is sure and that were led as planned; the two of a pair only if nothing came between."""
    steps = [each for each in outcome.steps if each.is_sure and not each.change]
    return {each.place: each.at_ms for each in steps if each.at_ms is not None}


def learn_clock(sessions: Sequence[LedSession], outcomes: Sequence[Outcome] = ()) -> CoachClock | None:
    """Her clock from sessions of one clock, with the talk of `outcomes`. None for fewer than a dozen lengths."""
    rows = [_Rows(each) for each in sessions]
    sets = sum(len(row.pairs) for row in rows)
    if sets < LEAST_SETS:
        return None
    misses = partial(_misses, rows)
    near = least_squares(misses, np.full(len(NAMES), ONE), loss="soft_l1", diff_step=STEP, ftol=ENOUGH).x
    fit = least_squares(misses, near, loss="cauchy", f_scale=FADE, diff_step=STEP, ftol=ENOUGH)
    spread = np.sqrt(np.diag(np.linalg.inv(fit.jac.T @ fit.jac))) * _scale(rows, fit.x - ONE)
    factors = tuple(
        _factor(name, value, own, prior)
        for name, value, own, prior in zip(NAMES, fit.x - ONE, spread, PRIOR, strict=True)
    )
    talk_wpm = _talk_wpm(outcomes)
    return CoachClock(
        factors=factors, talk_wpm=talk_wpm, sets=sets, offer=_offer(sessions[0].session.clock, factors, talk_wpm)
    )


def _factor(name: str, value: float, spread: float, prior: float) -> Factor:
    least, most = value - SPREAD_80 * spread, value + SPREAD_80 * spread
    is_clear = spread < KNOWN * prior and abs(value) > spread
    return Factor(
        name=name, times=float(np.exp(value)), least=float(np.exp(least)), most=float(np.exp(most)), is_clear=is_clear
    )


class _Rows:
    """Lengths of one session as they were, and as any clock has them."""

    def __init__(self, show: LedSession) -> None:
        self.session = show.session
        self.pairs = [(here, here + 1) for here in sorted(show.begins) if here + 1 in show.begins]
        self.pairs = [pair for pair in self.pairs if show.begins[pair[1]] > show.begins[pair[0]]]
        self.real = np.array([show.begins[there] - show.begins[here] for here, there in self.pairs]) / 1000
        timeline = build_timeline(show.session)
        sets = plan_sets(show.session, timeline)
        self.work, self.rest = (
            np.array([_within(sets[here], timeline.spans, kinds) for here, _ in self.pairs])
            for kinds in ((SpanKind.WORK,), (SpanKind.REST, SpanKind.ROUND_REST))
        )

    def lengths(self, clock: Clock, pace: float, rests: float) -> Floats:
        session = replace(self.session, clock=clock)
        sets = plan_sets(session, build_timeline(session))
        plan = np.array([sets[there].at_ms - sets[here].at_ms for here, there in self.pairs]) / 1000
        result: Floats = plan + (pace - 1) * self.work + (rests - 1) * self.rest
        return result


def _within(each: PlanSet, spans: Sequence[Span], kinds: tuple[SpanKind, ...]) -> float:
    """Seconds of some kinds in a set with its talk."""
    end_ms = each.at_ms + each.length_ms
    return sum(
        max(0, min(span.end_ms, end_ms) - max(span.at_ms, each.at_ms)) / 1000 for span in spans if span.kind in kinds
    )


def times_factors(clock: Clock, factors: Mapping[str, float]) -> Clock:
    """The clock with each group of constants times its factor."""
    values = {
        key: round(getattr(clock, key) * factors[name])
        for name, keys in GROUPS.items()
        if name in factors
        for key in keys
    }
    return replace(clock, **values)


def _forecast(rows: Sequence[_Rows], logs: Floats) -> list[Floats]:
    factors = dict(zip(NAMES, np.exp(logs).tolist(), strict=True))
    return [row.lengths(times_factors(row.session.clock, factors), factors[PACE], factors[RESTS]) for row in rows]


def _misses(rows: Sequence[_Rows], point: Floats) -> Floats:
    """How far off each length is, in its own error, and each factor from the standard, in the prior's spread. `point`
    has the logarithms of factors and `ONE` more, for steps are taken in its parts.
    """
    logs = point - ONE
    result: Floats = np.concatenate([_off(rows, logs), logs / np.array(PRIOR)])
    return result


def _off(rows: Sequence[_Rows], logs: Floats) -> Floats:
    off = [
        (row.real - plan) / np.hypot(OFF_S, OFF_PART * plan)
        for row, plan in zip(rows, _forecast(rows, logs), strict=True)
    ]
    result: Floats = np.concatenate(off)
    return result


def _scale(rows: Sequence[_Rows], logs: Floats) -> float:
    """How much wider the errors are than was taken, by their median: at least 1."""
    return max(1.0, float(np.median(np.abs(_off(rows, logs)))) / 0.6745)


def _talk_wpm(outcomes: Sequence[Outcome]) -> tuple[int, int, int] | None:
    """Words a minute while she speaks: the middle round, and the bounds of the middle half."""
    rates = [talk.words_a_minute / talk.share for each in outcomes for talk in talk_by_round(each) if talk.share > 0]
    if len(rates) < LEAST_ROUNDS:
        return None
    low, high = np.percentile(rates, [25, 75])
    return round(median(rates)), round(float(low)), round(float(high))


def _offer(clock: Clock, factors: Sequence[Factor], talk_wpm: tuple[int, int, int] | None) -> dict[str, int]:
    """All constants of her own, to half a second: what is unclear stays near the standard by itself."""
    own = {each.name: each.times for each in factors if each.name in GROUPS}
    new = times_factors(clock, own)
    keys = [key for name in own for key in GROUPS[name]]
    offer = {key: round(getattr(new, key) / 500) * 500 for key in keys}
    offer = {key: value for key, value in offer.items() if value != getattr(clock, key)}
    if talk_wpm and not talk_wpm[1] <= clock.talk_wpm <= talk_wpm[2]:
        offer["talk_wpm"] = min(240, max(60, talk_wpm[0]))
    return offer


def clock_lines(own_clock: CoachClock) -> Iterator[str]:
    """What was learned, for the screen, and the table for the plan."""
    yield f"From {own_clock.sets} lengths between one set's beginning and the next:"
    for each in own_clock.factors:
        mark = " " if each.is_clear else "?"
        bounds = f"four in five between {each.least:.2f} and {each.most:.2f}"
        yield f"{mark} {each.name:<22} {each.times:5.2f} times the clock's, {bounds}"
    if own_clock.talk_wpm:
        middle, low, high = own_clock.talk_wpm
        yield f"  {'talk':<22} {middle:5} words a minute while you speak, the middle half {low} to {high}"
    yield ""
    if not own_clock.offer:
        yield "The clock fits: nothing to change."
        return
    yield "Suggested for your plan, to take or to leave; a ? above marks a weak guess:"
    yield ""
    yield "[clock]"
    for key, value in own_clock.offer.items():
        yield f"{key} = {value}" if key == "talk_wpm" else f'{key.removesuffix("_ms")} = "{value / 1000:g} s"'
