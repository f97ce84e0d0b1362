"""The second answer on a card: the next piece up or the next rung, with a question about the set just done."""

from everyrung.effort.select_rung import NOTHING, S_A_REP, TARGET_LEFT, Candidate
from everyrung.effort.simulate import CellOutcome, SimulationPlan
from everyrung.effort.uncertainty import OVERSTATED
from everyrung.terms.enums import OptionKind

USUAL_STEP = 0.10  # of the load; 2 to 10 % at a time (ACSM 2009, position stand on progression, V)
MOST_STEP = 2.0  # times the load; chosen, because more in one evening is not a step: it waits for another day
ASKED_LEFT = 4  # repetitions; chosen, because it is above every target
ASKED_LEFT_BIG = 6  # chosen, because a leap to the next piece needs two more


def left_at_least(step: CellOutcome, place: int, row: int) -> float:
    """Repetitions that a person has left in a candidate even if the model foretells too many."""
    one = step.candidates[place]
    return float((one.left[row] + one.asked) / OVERSTATED - one.asked)


def next_up(step: CellOutcome, along: SimulationPlan, taken: int, row: int, *, new: bool) -> int:
    """The candidate that may be offered beside the one that is taken; NOTHING for none. Never for first-timers.

    Of loads only the next piece that is owned for that rung; of rungs only one that leaves less, with no heavier
    load, or from empty hands with the lightest. Either has to leave the target by the forecast less its error.
    """
    if new or taken == NOTHING:
        return NOTHING
    one = step.candidates[taken]
    own = [place for place, each in enumerate(step.candidates) if each.may[row] and place != taken]
    target = TARGET_LEFT[along.session.level]
    sound = [place for place in own if left_at_least(step, place, row) >= target]
    heavier = [place for place in own if step.candidates[place].offer == one.offer]
    heavier = [place for place in heavier if step.candidates[place].load_kg > one.load_kg]
    if heavier:
        lightest = min(heavier, key=lambda place: step.candidates[place].load_kg)
        near = step.candidates[lightest].load_kg <= MOST_STEP * one.load_kg
        return lightest if near and lightest in sound else NOTHING
    lightest_of: dict[int, int] = {}
    for place in sorted(own, key=lambda place: step.candidates[place].load_kg):
        lightest_of.setdefault(step.candidates[place].offer, place)
    rungs = [place for place in lightest_of.values() if place in sound and _next_rung(one, step.candidates[place], row)]
    return max(rungs, key=lambda place: step.candidates[place].left[row], default=NOTHING)


def _next_rung(one: Candidate, other: Candidate, row: int) -> bool:
    """Whether the other is a harder rung for this person, without a heavier load in hands that hold one."""
    higher = other.kind is OptionKind.HARDER or (other.kind is None and one.kind is not OptionKind.HARDER)
    leaves_less = bool(other.left[row] < one.left[row])
    return (
        higher
        and other.offer != one.offer
        and leaves_less
        and (not one.load_kg or not is_leap(one.load_kg, other.load_kg))
    )


def is_leap(from_kg: float, to_kg: float) -> bool:
    """Whether a step of load is greater than is usual."""
    return to_kg > from_kg * (1 + USUAL_STEP)


def question(step: CellOutcome, taken: int, offered: int) -> str:
    """What the set just done has to have been like: it names the load that was lighter."""
    one, other = step.candidates[taken], step.candidates[offered]
    piece, pieces = step.tried[taken].piece, step.offers[one.offer].pieces
    load = "" if piece is None else str(piece.mass) if pieces == 1 else f"{pieces} x {piece.mass}"
    hold, leap = not step.offers[one.offer].bouts[0].reps, is_leap(one.load_kg, other.load_kg)
    if hold:
        return (
            f"Big step: {load or 'that hold'} easily held?"
            if leap
            else f"{load or 'That hold'} easy, {ASKED_LEFT * S_A_REP:g} seconds left?"
        )
    if leap:
        return f"Big step: {load or 'that set'} easy, {ASKED_LEFT_BIG} left?"
    return f"Was {load or 'that set'} easy, {ASKED_LEFT} left?"
