"""The measures by which one rung is harder than another for one body, each with the error it is known within."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from functools import lru_cache
from typing import TYPE_CHECKING

from everyrung.terms.frozen import dataclass

if TYPE_CHECKING:
    from everyrung.terms.demand import GroupDemand, MotionDemand, RungDemand


# How far a measure may be off between two rungs of one body: the model's common errors (strength, masses) cancel, two
# degrees of posture do not. Chosen from docs/accuracy/pose_error.py, above its medians (2.6, 3.4 and 3.0 %).
MOMENT_ERROR, GROUP_ERROR, WORK_ERROR = 0.05, 0.10, 0.05
LEAST_FRACTION = 0.01  # of a strength; chosen, because nobody feels less
KEPT = 2048  # demands of which the most is known; chosen: 170 versions on 12 bodies; a check asks six times of each
BALANCE_ERROR_M = 0.005  # chosen, because a landmark on the skin is known no better
TRUNK_ERROR_NM = 2.0  # chosen, because two degrees of lean turn the trunk's weight by about so much


@dataclass(frozen=True, slots=True, kw_only=True)
class SetDemand:
    """A rung's demand with what is done of it: repetitions a side (0 for a hold) and the time under load, seconds."""

    demand: RungDemand
    reps: int
    lasting_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """One measure of two rungs, in `unit`; `error` is how far it may be off, in the same unit. `more_is_harder` is
    false for a margin.

    >>> balance = Measure(name="margin", unit="m", before=0.08, after=0.05, error=0.005, more_is_harder=False)
    >>> balance.harder, round(balance.rise, 3)
    (True, 0.03)
    """

    name: str
    unit: str
    before: float
    after: float
    error: float
    more_is_harder: bool = True

    @property
    def rise(self) -> float:
        """By how much the second rung is harder, in `unit`; below 0 where it is easier."""
        return (self.after - self.before) * (1 if self.more_is_harder else -1)

    @property
    def harder(self) -> bool:
        """Harder by more than the error."""
        return self.rise > self.error

    @property
    def easier(self) -> bool:
        """Easier by more than the error."""
        return self.rise < -self.error

    def __str__(self) -> str:
        digits = {"of its strength": 2, "s at full strength": 1, "times one joint": 2}.get(self.unit, 0)
        scale, unit = (1000.0, "mm") if self.unit == "m" else (1.0, self.unit)
        before, after, error = (f"{value * scale:.{digits}f}" for value in (self.before, self.after, self.error))
        return f"{self.name} {before} to {after} {unit} (known within {error})"


_TIMED = ("reps", "tempo", "pause", "pulse", "extra")  # levers that change how long, not how hard


def leading_names(levers: Iterable[str]) -> tuple[str, ...]:
    """How the measures begin by which a step of these levers has to be harder.

    >>> leading_names(["pause"]), leading_names(["load"]), leading_names(["range"])
    (('time under load',), ('hardest joint',), ('work lifted', 'hardest joint'))
    """
    groups = [
        ("time under load",) if lever in _TIMED
        else ("balance margin", "hardest joint") if lever == "base"
        else ("work lifted", "hardest joint") if lever == "range"
        else ("hardest joint",)
        for lever in levers
    ]  # fmt: skip
    return tuple(dict.fromkeys(name for names in groups for name in names))


def name_is(name: str) -> Callable[[Measure], bool]:
    """Whether a measure is one of this name, whatever joint it is of."""
    return lambda measure: measure.name == name or measure.name.startswith(f"{name} (")


def measures(before: SetDemand, after: SetDemand) -> tuple[Measure, ...]:
    """Every measure that both rungs have for one body: fresh demand of joint and muscle, trunk, balance, work, time
    under load.
    """
    one, other = before.demand, after.demand
    most = _most_of(_ByIdentity(one)), _most_of(_ByIdentity(other))
    greatest = most[0].joint, most[1].joint
    result = [_joint(*greatest), _muscle(most[0].muscle, most[1].muscle), _whole(most[0].whole, most[1].whole)]
    trunk_error = max(TRUNK_ERROR_NM, MOMENT_ERROR * one.trunk_nm)
    result.append(
        Measure(name="trunk moment", unit="N m", before=one.trunk_nm, after=other.trunk_nm, error=trunk_error)
    )
    margins = (
        ("balance margin", one.balance_m, other.balance_m),
        ("balance margin sideways", one.sideways_m, other.sideways_m),
    )
    for name, first, second in margins:
        if first is not None and second is not None:
            error = BALANCE_ERROR_M
            result.append(Measure(name=name, unit="m", before=first, after=second, error=error, more_is_harder=False))
    work = one.work_j * before.reps, other.work_j * after.reps
    if max(work) > 0:
        result.append(
            Measure(name="work lifted", unit="J", before=work[0], after=work[1], error=max(1.0, WORK_ERROR * work[0]))
        )
    result.append(
        _under_load(greatest[0].mean_fraction * before.lasting_s, greatest[1].mean_fraction * after.lasting_s)
    )
    return tuple(result)


def _joint(first: MotionDemand, second: MotionDemand) -> Measure:
    """The joint that the second rung asks most of, against the joint that the first one does."""
    names = second.motion if first.motion == second.motion else f"{first.motion}, then {second.motion}"
    return Measure(
        name=f"hardest joint ({words(names)})",
        unit="of its strength",
        before=first.fraction,
        after=second.fraction,
        error=max(LEAST_FRACTION, MOMENT_ERROR * first.fraction),
    )


def _muscle(first: GroupDemand, second: GroupDemand) -> Measure:
    names = second.group if first.group == second.group else f"{first.group}, then {second.group}"
    return Measure(
        name=f"hardest muscle group ({words(names)})",
        unit="of its strength",
        before=first.peak,
        after=second.peak,
        error=max(LEAST_FRACTION, GROUP_ERROR * first.peak),
    )


def _whole(first: float, second: float) -> Measure:
    """All joints together, as _Most has it."""
    error = MOMENT_ERROR * first
    return Measure(name="all joints together", unit="times one joint", before=first, after=second, error=error)


def _under_load(first: float, second: float) -> Measure:
    """Time under load: the mean part of its strength that the hardest joint needs, times the seconds of the set."""
    return Measure(
        name="time under load",
        unit="s at full strength",
        before=first,
        after=second,
        error=max(0.1, MOMENT_ERROR * first),
    )


@dataclass(frozen=True, slots=True, eq=False)
class _ByIdentity:
    """A demand as a key by itself, for to compare what is in it takes longer than what is asked of it."""

    demand: RungDemand

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _ByIdentity) and self.demand is other.demand

    def __hash__(self) -> int:
        return id(self.demand)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Most:
    """Of one demand the joint and the muscle that are asked most of; and all joints together: the root of the sum of
    squares of their parts, so that working joints count and idle ones don't.
    """

    joint: MotionDemand
    muscle: GroupDemand
    whole: float


@lru_cache(maxsize=KEPT)
def _most_of(key: _ByIdentity) -> _Most:
    from everyrung.terms.demand import GroupDemand, MotionDemand  # loaded with the demands

    one = key.demand
    nothing = MotionDemand(motion="no joint", moment_nm=0.0, fraction=0.0, mean_fraction=0.0, depth=0.0)
    return _Most(
        joint=one.hardest or nothing,
        muscle=max(one.groups, key=lambda each: each.peak, default=GroupDemand(group="no muscle", peak=0.0, mean=0.0)),
        whole=math.sqrt(sum(each.fraction**2 for each in one.motions)),
    )


def words(name: str) -> str:
    """'knee_extension_left' as 'knee extension left'."""
    return name.replace("_", " ")
