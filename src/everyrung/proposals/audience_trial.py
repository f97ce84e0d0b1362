"""A draft trial on people: how many repetitions its sets leave them, doses that leave the middle person a few, and what
is still found of an audience.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from everyrung.checks.registry import rules
from everyrung.checks.rule import AUDIENCE
from everyrung.checks.rules.audience import (
    MOST_LEFT,
    NOT_BY_REPS,
    few_finish,
    newcomers_sore,
    rung_for_nobody,
    same_muscle,
)
from everyrung.effort.choices import known_offers
from everyrung.effort.mix import read_mix
from everyrung.effort.rehearsal import walk_through
from everyrung.moves.library import Library
from everyrung.plan.resolve import resolve
from everyrung.proposals.columns import MORE_REPS, Column
from everyrung.proposals.fit_doses import FEWER, MORE
from everyrung.terms.enums import Level, Mode, Pattern, Severity, Sidedness
from everyrung.terms.finding import Finding
from everyrung.terms.forecast import Forecast
from everyrung.terms.plan import Plan, Ref
from everyrung.terms.session import Session
from everyrung.timing.timeline import build_timeline

# Of those that Write rehearses with, the first; chosen, because a middle and a share of one in ten need no more.
MIX, PEOPLE, SEED = "boathouse", 200, 1
MANY_PEOPLE = 1000  # of whom it is said what is found; chosen, half of those of Write, for who proposes waits
MOST_MORE = MORE + 2 * MORE_REPS  # over a plain dose, in the last round; two steps from the most in the first
_ASKS_FEWER = (few_finish.id, rung_for_nobody.id)
NEARLY = 1.0  # a repetition; chosen, because the middle of a few people is off by so many
FEW_TOO_HARD = 0.25  # of the moves; chosen: for these there is the easier version
MOST_STEP = 4  # repetitions that a dose is changed by at once; chosen, because what comes after it changes with it


@dataclass(frozen=True, slots=True, kw_only=True)
class AudienceTrial:
    """A draft before its audience: what became of people, and what is found of that."""

    session: Session
    forecast: Forecast
    findings: tuple[Finding, ...]

    @property
    def grave(self) -> tuple[Finding, ...]:
        return tuple(each for each in self.findings if each.severity is not Severity.NOTE)

    @property
    def serves(self) -> bool:
        """Whether nothing grave is found, and the middle person finishes all but a few moves as they are led."""
        return not (self.grave or self.too_light) and len(self.too_hard) <= FEW_TOO_HARD * len(self.left())

    @property
    def faults(self) -> tuple[int, float]:
        """How many findings there are; and how many moves are too hard for the middle person, or too light, each of
        these for every time that what is left of it is twice too much.
        """
        left = self.left()
        too_light = sum(math.log2(left[key] / (MOST_LEFT - NEARLY)) for key in self.too_light)
        return len(self.grave), len(self.too_hard) + too_light

    @property
    def too_light(self) -> frozenset[str]:
        """The moves of which the middle person has too many left and whose pattern has none that trains, whatever the
        doses; nearly too many among a few people may be too many among all.
        """
        if self.session.level is Level.GENTLE:
            return frozenset()
        left, by_pattern = self.left(), dict[Pattern, list[str]]()
        for cell in self.session.cells:
            if cell.ref.cell in left and cell.move.pattern not in NOT_BY_REPS:
                by_pattern.setdefault(cell.move.pattern, []).append(cell.ref.cell)
        groups = (keys for keys in by_pattern.values() if min(left[key] for key in keys) > MOST_LEFT - NEARLY)
        return frozenset(key for keys in groups for key in keys)

    @property
    def lightest(self) -> frozenset[str]:
        """Of those that are too light the lightest: what is nearly right may do beside other moves."""
        left = self.left()
        most = max((left[key] for key in self.too_light), default=0.0)
        return frozenset(key for key in self.too_light if left[key] ** 2 >= most * MOST_LEFT)

    @property
    def too_hard(self) -> frozenset[str]:
        """The moves of which the middle person can't finish the last round, whatever the doses."""
        return frozenset(key for key, left in self.left().items() if left < 0)

    def left(self) -> Mapping[str, float]:
        """By move, how many repetitions the middle person has left of it in the last round; of holds none is told."""
        result = {}
        for each in self.forecast.cells:
            if each.led_rung is not None and each.led_rung.unit == "reps":
                result[each.ref.cell] = each.led_rung.possible.p50 - each.led_rung.asked
        return result


def try_on_people(plan: Plan, library: Library, people: int = PEOPLE) -> AudienceTrial:
    """The plan before an audience, with those demands that are shipped."""
    session = resolve(plan, library)
    timeline = build_timeline(session)
    forecast = walk_through(session, timeline, known_offers(session, library), read_mix(MIX), people, SEED)
    findings = tuple(finding for rule in rules(AUDIENCE) for finding in rule(session, forecast))
    return AudienceTrial(session=session, forecast=forecast, findings=findings)


def with_doses(columns: Sequence[Column], trial: AudienceTrial, aim: int, most: int = MOST_STEP) -> tuple[Column, ...]:
    """The columns with as many repetitions more or fewer as leave the middle person `aim` in the last round, as far as
    doses go; `most` at once.
    """
    left = trial.left()
    return tuple(
        _shift(column, max(-most, min(most, math.floor((left[column.move.key] - aim) / _sides(column)))))
        if column.move.key in left
        else column
        for column in columns
    )


def mend(columns: Sequence[Column], trial: AudienceTrial) -> tuple[Column, ...]:
    """The columns with a repetition fewer where too few can finish a set, and where one muscle group stops most in a
    round; but none that would be too light then.
    """
    left, places = trial.left(), [place for each in trial.grave if each.rule in _ASKS_FEWER for place in each.places]
    sets = {place.cell for place in places if isinstance(place, Ref) and place.cell}
    for finding in trial.grave:
        if finding.rule == same_muscle.id:
            sets |= _stopped_at(trial.forecast, finding)
    return tuple(
        _shift(column, -1) if column.move.key in sets and _spare(column, left) >= 1 else column for column in columns
    )


def fewer_rounds(trial: AudienceTrial, rounds: int | None) -> int | None:
    """How many rounds first-timers are led through: one fewer where they would be sore, but one."""
    if any(each.rule == newcomers_sore.id for each in trial.grave):
        return max(1, (rounds or trial.session.newcomer_rounds) - 1)
    return rounds


def _stopped_at(forecast: Forecast, finding: Finding) -> set[str]:
    """The moves of a round whose led version stops most people at the muscle group that a finding is about."""
    rounds = {(place.block, place.round) for place in finding.places if isinstance(place, Ref)}
    return {
        each.ref.cell
        for each in forecast.cells
        if (each.ref.block, each.ref.round) in rounds
        and each.led_rung
        and each.led_rung.limiting
        and each.led_rung.limiting[0][0] == finding.what
    }


def _spare(column: Column, left: Mapping[str, float]) -> float:
    """How many repetitions fewer it may have before it is too light for the middle person."""
    return (MOST_LEFT - left.get(column.move.key, -math.inf)) / _sides(column) if column.move.key in left else math.inf


def _sides(column: Column) -> int:
    """How many repetitions of a bout one repetition more comes to."""
    return 2 if column.versions[-1].variant.form.sides is Sidedness.ALTERNATING else 1


def _shift(column: Column, by: int) -> Column:
    last = column.versions[-1]
    if last.by_clock:
        return column
    by *= MORE_REPS if last.variant.form.mode is Mode.HOLD else 1
    least, most = min(one.more for one in column.versions), max(one.more for one in column.versions)
    by = max(FEWER - least, min(MOST_MORE - most, by))
    return (
        replace(column, versions=tuple(replace(one, more=one.more + by) for one in column.versions)) if by else column
    )
