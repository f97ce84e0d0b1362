"""What a rehearsal says: who cannot finish, which rung is nobody's, which step was not earned, who has no path."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from everyrung.checks.cells import and_list, count_words, move_words
from everyrung.checks.rule import AUDIENCE, rule
from everyrung.checks.rules.progression import steps
from everyrung.terms.enums import Severity
from everyrung.terms.finding import Finding, WholeSession
from everyrung.terms.plan import Ref
from everyrung.terms.session import Cell, Session
from everyrung.terms.units import Load

if TYPE_CHECKING:
    from everyrung.terms.forecast import Forecast, RungForecast, Share

LEAST_FINISHING = 0.90  # chosen, because a rung for everyone is what the session promises, and one in ten may watch
FOR_NOBODY = 0.05  # chosen, because fewer than one in twenty is nobody in a room of twenty
MOST_STEP, SAME = 0.10, 1e-6  # ACSM 2009: 2 to 10 %; and what pounds in kilograms may be off
EARNED_LEFT = 2.0  # ACSM 2009: one or two repetitions over the target
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
                rule="few-finish",
                severity=Severity.WARNING,
                where=cells[each.ref].where,
                places=(each.ref,),
                measured=f"{_points(each.some_rung)} can finish some rung; the led one stops {_stops(each.led_rung)}",
                limit=f"at least {LEAST_FINISHING:.0%} of the audience ({_MODEL})",
                source="chosen, because a rung for everyone is what the session promises",
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
                    rule="rung-for-nobody",
                    what=str(rung.kind or ""),
                    severity=Severity.WARNING,
                    where=cells[each.ref].where,
                    places=(each.ref,),
                    measured=f"{_points(rung.finishing)} can finish {rung.name!r}; it stops {_stops(rung)}",
                    limit=f"at least {FOR_NOBODY:.0%} of the audience ({_MODEL})",
                    source="chosen, because fewer than one in twenty is nobody in a room of twenty",
                    remedy=f"{'Lead' if rung.kind is None else 'Offer'} a lower rung or a lighter load in "
                    f"the {move_words(cells[each.ref])}.",
                )


@rule(AUDIENCE)
def load_not_earned(session: Session, forecast: Forecast) -> Iterator[Finding]:
    """A led load rises by more than 10 % only once most could do 2 repetitions over the dose with the load before.

    Severity: warning
    Limit: 10 %, or 2 repetitions over the dose for half the audience
    Source: ACSM 2009: 2 to 10 % when the load can be done for 1 or 2 repetitions over the target
    """
    found = {each.ref: each for each in forecast.cells}
    for before, after in steps(session):
        lighter, heavier = _steepest(before, after)
        rise = _rise(lighter, heavier)
        led = found[before.ref].led_rung if before.ref in found else None
        if rise <= MOST_STEP + SAME or led is None or led.unit != "reps":
            continue
        over = led.possible.p50 - led.asked
        if over < EARNED_LEFT:
            yield Finding(
                rule="load-not-earned",
                severity=Severity.WARNING,
                where=after.where,
                places=(after.ref,),
                measured=f"{lighter} to {heavier}: {rise:.0%} more, and half the audience has "
                f"{max(over, 0):.0f} repetitions over the dose before",
                limit=f"{MOST_STEP:.0%}, or {EARNED_LEFT:.0f} repetitions over the dose ({_MODEL})",
                source="ACSM 2009: 2 to 10 % when the load can be done for 1 or 2 repetitions over the target",
                remedy=f"Add repetitions in round {after.ref.round} first, or take a load between the two.",
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
            rule="newcomers-sore",
            severity=Severity.WARNING,
            where=session.where,
            places=(WholeSession(),),
            measured=f"{_points(forecast.sore)} of the first-timers would lower more than 36 hard repetitions with one "
            "muscle group, and be sore for days",
            limit=f"at most {MOST_SORE:.0%} of them ({_MODEL})",
            source="chosen, because 36 is 3 sets of 12, the top of the novice range (ACSM 2009)",
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
    for (block, name), stopped in forecast.broken.items():
        if stopped and stopped[0][1].part > MOST_BROKEN:
            where = next(
                (each.ref for each in forecast.cells if (each.ref.block, each.ref.round) == (block, name)), None
            )
            cell = _cells(session)[where] if where else None
            yield Finding(
                rule="same-muscle",
                what=str(stopped[0][0]),
                severity=Severity.WARNING,
                where=cell.where if cell else session.where,
                places=(Ref(block=block, round=name),),
                measured=f"the led rungs stop {_points(stopped[0][1])} at the {stopped[0][0]}",
                limit=f"at most {MOST_BROKEN:.0%} of the audience ({_MODEL})",
                source="chosen, because a round that spends one muscle group trains no other",
                remedy=f"Put a move between that rests the {stopped[0][0]}, or lead a lower rung of one of them.",
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
            rule="limit-without-path",
            what=str(caution),
            severity=Severity.WARNING,
            where=cells[refs[0]].where,
            places=refs,
            measured=f"{without.count} of {without.of} who avoid '{caution}' have no rung in "
            f"{count_words(len(refs), 'set')}",
            limit="at most 0 people left without one",
            source="common practice, no source: who has to avoid something comes to take part",
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


def _steepest(before: Cell, after: Cell) -> tuple[Load | None, Load | None]:
    """The loads, before and after, of the side whose load rises most; a side that is new rises from the first one's."""
    loads = {bout.side: bout.load for bout in before.bouts}
    pairs = [(loads.get(bout.side, before.bouts[0].load), bout.load) for bout in after.bouts]
    return max(pairs, key=lambda pair: _rise(*pair))


def _rise(before: Load | None, after: Load | None) -> float:
    """By how much of itself the load rises; 0 where one of the two has none."""
    if before is None or after is None or not before.pieces or not after.pieces:
        return 0.0
    return after.total_kg / before.total_kg - 1
