"""What a rehearsal says: who cannot finish, which rung is nobody's, what is too light, who has no path."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from everyrung.checks.cells import and_list, count_words, move_words
from everyrung.checks.rule import AUDIENCE, rule
from everyrung.plan.doses import NOVICE_REPS
from everyrung.terms.enums import Level, Pattern, Position, Severity, Support
from everyrung.terms.finding import Finding, WholeSession
from everyrung.terms.plan import Ref
from everyrung.terms.session import Cell, Session

if TYPE_CHECKING:
    from everyrung.terms.forecast import Forecast, RungForecast, Share

LEAST_FINISHING = 0.90  # chosen, because a rung for everyone is what the session promises, and one in ten may watch
FOR_NOBODY = 0.05  # chosen, because fewer than one in twenty is nobody in a room of twenty
MOST_LEFT = 6.0  # repetitions; chosen, because sets that stop farther from the last one train little
# What is trained there is breath or steadiness, and repetitions left in the muscles say nothing of either.
NOT_BY_REPS = frozenset({Pattern.CONDITIONING, Pattern.BALANCE})
MANY_OLDER = 0.25  # of the audience, 65 or older; chosen, because then the session is theirs too
_NARROW = (Support.ONE_FOOT, Support.NARROW, Support.TOES, Support.HEELS)
MOST_SORE = 0.10  # of first-timers; chosen, because one in ten may be sorer than they like
MOST_BROKEN = 0.50  # of the audience, by one muscle in one round: "most"
_MODEL = "simulated audience"


@rule(AUDIENCE)
def few_finish(session: Session, forecast: Forecast) -> Iterator[Finding]:
    """Nearly everyone can finish some rung of every cell that their kit and limits allow.

    Severity: warning
    Limit: 90 % of the audience
    Source: chosen, because a rung for everyone is what the session promises
    """
    cells = _cells(session)
    for each in forecast.cells:
        if each.some_rung.part < LEAST_FINISHING:
            yield Finding(
                rule=few_finish.id,
                severity=Severity.WARNING,
                where=cells[each.ref].where,
                places=(each.ref,),
                measured=f"{_points(each.some_rung)} can finish some rung; the led one stops {_stops(each.led_rung)}",
                limit=f"at least {LEAST_FINISHING:.0%} of the audience ({_MODEL})",
                source=few_finish.source,
                remedy=f"Give the {move_words(cells[each.ref])} an easier or no-kit option lower on its ladder, "
                "or fewer repetitions.",
                hint=f"Options are options.easier and options.no_kit of {each.ref.cell}.",
            )


@rule(AUDIENCE)
def rung_for_nobody(session: Session, forecast: Forecast) -> Iterator[Finding]:
    """Every rung that is led or offered can be finished by some, with the plan's load.

    Severity: warning
    Limit: 5 % of the audience
    Source: chosen, because fewer than one in twenty is nobody in a room of twenty
    """
    cells = _cells(session)
    for each in forecast.cells:
        for rung in each.rungs:
            if rung.finishing.part < FOR_NOBODY:
                yield Finding(
                    rule=rung_for_nobody.id,
                    what=str(rung.kind or ""),
                    severity=Severity.WARNING,
                    where=cells[each.ref].where,
                    places=(each.ref,),
                    measured=f"{_points(rung.finishing)} can finish {rung.name!r}; it stops {_stops(rung)}",
                    limit=f"at least {FOR_NOBODY:.0%} of the audience ({_MODEL})",
                    source=rung_for_nobody.source,
                    remedy=f"{'Lead' if rung.kind is None else 'Offer'} a lower rung or a lighter load in "
                    f"the {move_words(cells[each.ref])}.",
                )


@rule(AUDIENCE)
def too_light(session: Session, forecast: Forecast) -> Iterator[Finding]:
    """In some set of each pattern the led rung leaves the middle person six repetitions or fewer, but for balance and
    conditioning, and for sessions called gentle: there moves are learnt, and nobody is to be sore.

    Severity: warning
    Limit: 6 repetitions left on the led rung, for half of the audience
    Source: chosen, because with more than six left sets train little (ACSM 2009: 8 to 12 of what can be done as often)
    """
    if session.level is Level.GENTLE:
        return
    cells = _cells(session)
    left: dict[Pattern, dict[Ref, float]] = {}
    for each in forecast.cells:
        pattern = cells[each.ref].move.pattern
        reps = _left_as_led(each.led_rung) if each.led_rung and pattern not in NOT_BY_REPS else None
        if reps is not None:
            left.setdefault(pattern, {})[each.ref] = reps
    light = {pattern: refs for pattern, refs in left.items() if min(refs.values()) > MOST_LEFT}
    if light:
        least = {pattern: min(refs.values()) for pattern, refs in light.items()}
        refs = tuple(ref for each in light.values() for ref in each)
        words = and_list(f"{pattern} {number:.0f}" for pattern, number in least.items())
        yield Finding(
            rule=too_light.id,
            severity=Severity.WARNING,
            where=cells[refs[0]].where,
            places=refs,
            measured=f"half the audience has more than {MOST_LEFT:.0f} repetitions left in every led set of "
            f"{len(light)} of {len(left)} patterns; least left: {words}",
            limit=f"at most {MOST_LEFT:.0f} left in one set of each pattern ({_MODEL})",
            source=too_light.source,
            remedy="Add repetitions, a slower tempo, a pause, a heavier load or the next rung in the last round.",
        )


def _left_as_led(rung: RungForecast) -> float | None:
    """Repetitions that the middle person has left on the led rung; None of a hold, whose seconds are no repetitions."""
    return rung.possible.p50 - rung.asked if rung.unit == "reps" else None


@rule(AUDIENCE)
def balance_missing(session: Session, forecast: Forecast) -> Iterator[Finding]:
    """Where many are 65 or older, something is done on one foot, with feet together or on tiptoe.

    Severity: warning
    Limit: 1 set of balance while a quarter of the audience is 65 or older
    Source: chosen, because WHO 2020 asks for balance and strength on three days a week from 65 (seen quoted)
    """
    if forecast.older.part >= MANY_OLDER and not any(_is_balance(cell) for cell in session.cells):
        yield Finding(
            rule=balance_missing.id,
            severity=Severity.WARNING,
            where=session.where,
            places=(WholeSession(),),
            measured=f"{_points(forecast.older)} are 65 or older, and 0 sets train balance",
            limit=f"1 set of balance where {MANY_OLDER:.0%} are 65 or older",
            source=balance_missing.source,
            remedy="Add a set on one foot, with feet together or on tiptoe, a wall or a chair within reach.",
        )


@rule(AUDIENCE)
def newcomers_sore(session: Session, forecast: Forecast) -> Iterator[Finding]:
    """Few first-timers do more than three sets of twelve hard lowerings with any muscle group.

    Hard: half of its strength or more, on the rungs that they are advised to.
    Severity: warning
    Limit: 10 % of the first-timers with more than 36
    Source: chosen, because 36 is 3 sets of 12, the top of the novice range (ACSM 2009)
    """
    if forecast.sore.part > MOST_SORE:
        yield Finding(
            rule=newcomers_sore.id,
            severity=Severity.WARNING,
            where=session.where,
            places=(WholeSession(),),
            measured=f"{_points(forecast.sore)} of the first-timers would lower more than {NOVICE_REPS} hard "
            "repetitions with one muscle group, and be sore for days",
            limit=f"at most {MOST_SORE:.0%} of them ({_MODEL})",
            source=newcomers_sore.source,
            remedy="Lead first-timers through fewer rounds, or give the easier options fewer repetitions.",
            hint="Rounds for first-timers are newcomer_rounds.",
        )


@rule(AUDIENCE)
def same_muscle(session: Session, forecast: Forecast) -> Iterator[Finding]:
    """No round stops most of the audience, on its led rungs, at one and the same muscle group.

    Severity: warning
    Limit: half of the audience
    Source: chosen, because a round that spends one muscle group trains no other
    """
    for (block, name), shares in forecast.broken.items():
        muscle, most = shares[0] if shares else ("", None)
        if most is not None and most.part > MOST_BROKEN:
            where = next(
                (each.ref for each in forecast.cells if (each.ref.block, each.ref.round) == (block, name)), None
            )
            cell = _cells(session)[where] if where else None
            yield Finding(
                rule=same_muscle.id,
                what=muscle,
                severity=Severity.WARNING,
                where=cell.where if cell else session.where,
                places=(Ref(block=block, round=name),),
                measured=f"the led rungs stop {_points(most)} at the {muscle}",
                limit=f"at most {MOST_BROKEN:.0%} of the audience ({_MODEL})",
                source=same_muscle.source,
                remedy=f"Put a move between that rests the {muscle}, or lead a lower rung of one of them.",
            )


@rule(AUDIENCE)
def limit_without_path(session: Session, forecast: Forecast) -> Iterator[Finding]:
    """Whoever avoids something has a rung in every cell, with the kit that they have.

    Severity: warning
    Limit: nobody without a rung for that reason
    Source: common practice, no source: who has to avoid something comes to take part
    """
    cells = _cells(session)
    for caution, (without, refs) in forecast.without_path.items():
        yield Finding(
            rule=limit_without_path.id,
            what=str(caution),
            severity=Severity.WARNING,
            where=cells[refs[0]].where,
            places=refs,
            measured=f"{without.count} of {without.of} who avoid '{caution}' have no rung in "
            f"{count_words(len(refs), 'set')}",
            limit="at most 0 people left without one",
            source=limit_without_path.source,
            remedy=f"Give {and_list(sorted({move_words(cells[ref]) for ref in refs}))} an option without '{caution}', "
            "without kit.",
        )


def _cells(session: Session) -> Mapping[Ref, Cell]:
    return {cell.ref: cell for cell in session.cells}


def _points(share: Share) -> str:
    """'82.3% (70 to 91)': to a tenth, for a limit may lie as near as that."""
    return f"{share.part:.1%} {share.band}".rstrip()


def _stops(rung: RungForecast | None) -> str:
    if rung is None or not rung.limiting:
        return "nobody"
    most = f"most at the {rung.limiting[0][0]}"
    if rung.possible.p50 >= rung.most:
        return most
    beyond = (
        f"repetition {rung.possible.p50 + 1:.0f}" if rung.unit == "reps" else f"more than {rung.possible.p50:.0f} s"
    )
    return f"{most}; half the audience can't do {beyond}"


def _is_balance(cell: Cell) -> bool:
    form = cell.rung.form
    return form.position is Position.STANDING and form.support in _NARROW
