"""The second answer on a card: the next piece up or the next rung, with a question about the set just done.

Advice for people who are known: the choice of each cell in words, both answers where it is close.
"""

from collections.abc import Sequence

from everyrung.effort.balls import ball_lines
from everyrung.effort.choices import Offer, SessionOffers, schedule
from everyrung.effort.heart import heart_words
from everyrung.effort.known_people import COPIES, known_people, known_person
from everyrung.effort.outcomes import Attempt, CellOutcome
from everyrung.effort.select_rung import NOTHING, S_A_REP, TARGET_LEFT, Candidate
from everyrung.effort.simulate import SimulationPlan, simulate, simulation_plan
from everyrung.effort.uncertainty import OVERSTATED
from everyrung.effort.words import effort, left_words
from everyrung.moves.entry_tests import asks_of_a_set, first_question
from everyrung.parsing.units import load
from everyrung.terms.enums import OptionKind, Side, Sidedness
from everyrung.terms.errors import Invalid
from everyrung.terms.forecast import Advice, PersonAdvice, Take
from everyrung.terms.move import Form
from everyrung.terms.person import Experience, Person
from everyrung.terms.session import Session
from everyrung.terms.timeline import Timeline
from everyrung.terms.units import clock_text

USUAL_STEP = 0.10  # of the load; 2 to 10 % at a time (ACSM 2009, position stand on progression, V)
MOST_STEP = 2.0  # times the load; chosen, because more in one evening is not a step: it waits for another day
ASKED_LEFT = 4  # repetitions; chosen, because it is above every target
ASKED_LEFT_BIG = 6  # chosen, because a leap to the next piece needs two more


def left_at_least(step: CellOutcome, place: int, row: int) -> float:
    """Repetitions that the person of a `row` has left in a candidate even if the model foretells too many."""
    one = step.candidates[place]
    return float((one.left[row] + one.dose) / OVERSTATED - one.dose)


def next_up(step: CellOutcome, along: SimulationPlan, choice: int, row: int, *, new: bool) -> int:
    """The place of the candidate that may be offered beside the one that is taken; NOTHING for none. Never for
    first-timers.

    Of loads only the next piece that is owned for that rung; of rungs only one that leaves less, with no heavier load,
    or from empty hands with the lightest. Either has to leave the target by the forecast less its error.
    """
    if new or choice == NOTHING:
        return NOTHING
    one = step.candidates[choice]
    own = [place for place, each in enumerate(step.candidates) if each.may[row] and place != choice]
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
    """Whether a step of load is greater than the usual 10 % (ratamess2009).

    >>> is_leap(10.0, 11.0), is_leap(10.0, 12.0)
    (False, True)
    """
    return to_kg > from_kg * (1 + USUAL_STEP)


def question(step: CellOutcome, choice: int, harder: int) -> str:
    """What the set just done has to have been like before the harder one is taken, as a question that names the lighter
    load.
    """
    one, other = step.candidates[choice], step.candidates[harder]
    piece, pieces = step.attempts[choice].piece, step.offers[one.offer].pieces
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


def question_on_card(before: Take | None, now: Take) -> str:
    """What the round before on the same card has to have been like: of the same rung what stays or gets heavier, of
    another one what can be tried of it, or how the round was; without a round before, something to try.
    """
    if before is None:
        return first_question(now.entry_test, now.form)
    if before.rung != now.rung:
        return "Was the last round easy, steady and pain-free?" if asks_of_a_set(now.entry_test) else now.entry_test
    if before.load == now.load:
        return "As in the last round: still steady and pain-free?"
    if _kg(now) < _kg(before):
        return "Lighter than in the last round: still steady and pain-free?"
    return f"Was {before.load or 'that set'} easy, {ASKED_LEFT} left?"


def _kg(take: Take) -> float:
    """What is held in all, as far as its words say it in masses; 0 for nothing, a band or a bag."""
    try:
        return load(take.load).total_kg if take.load else 0.0
    except Invalid:
        return 0.0


WEAK, USUAL = 0, 1  # places in COPIES


def person_advice(
    session: Session, timeline: Timeline, offers: SessionOffers, people: Sequence[Person], *, in_room: bool
) -> tuple[PersonAdvice, ...]:
    """Everything for each participant's card: rungs and loads, balls, heart rate, and what was assumed where nothing
    was known. Raises Invalid for a ball in the kit without a diameter.
    """
    cells = recommend(session, timeline, offers, people, in_room=in_room) if people else ()
    return tuple(
        PersonAdvice(
            name=one.name,
            taken=known_person(one).taken,
            cells=advice,
            balls=ball_lines(session, one, _forms(advice), in_room=in_room),
            heart=heart_words(known_person(one).age, one.health.rate_limiting),
        )
        for one, advice in zip(people, cells, strict=True)
    )


def _forms(cells: Sequence[Advice]) -> list[Form]:
    """Of every rung that is advised or offered."""
    return [take.form for cell in cells for take in (cell.take, cell.harder) if take]


def recommend(
    session: Session, timeline: Timeline, offers: SessionOffers, people: Sequence[Person], *, in_room: bool
) -> tuple[tuple[Advice, ...], ...]:
    """For each participant, in order, the advice of each strength cell; `in_room`: all have the room's kit, not their
    own.
    """
    along = simulation_plan(session, schedule(session, timeline), offers)
    advice: list[list[Advice]] = [[] for _ in people]
    for step in simulate(known_people(people, in_room=in_room), along):
        for place, one in enumerate(people):
            advice[place].append(_advice(step, along, place, one))
    return tuple(tuple(each) for each in advice)


def _advice(step: CellOutcome, along: SimulationPlan, place: int, one: Person) -> Advice:
    new = known_person(one).level is Experience.NEW
    choice, row = taking(step, place)
    harder = next_up(step, along, choice, len(COPIES) * place + USUAL, new=new)
    left, unit = _left(step, choice, row)
    return Advice(
        ref=step.slot.cell.ref,
        move=step.slot.cell.move.name,
        take=take_of(step, choice),
        reason=_reason(step, along, choice, row, new),
        effort="" if left is None else effort_words(left, unit),
        harder=None if harder == NOTHING else take_of(step, harder, question(step, choice, harder)),
    )


def taking(step: CellOutcome, place: int) -> tuple[int, int]:
    """The place of the candidate that the person at `place` is advised, NOTHING to hold or skip; and the row of the
    copy that it suits: the weak one's choice, else the usual one's, so long as the usual one can finish it by the
    forecast less its error.
    """
    first = len(COPIES) * place
    for row in (first + WEAK, first + USUAL):
        choice = int(step.choice[row])
        if choice != NOTHING and step.candidates[choice].may[row] and left_at_least(step, choice, first + USUAL) >= 0:
            return choice, row
    return NOTHING, first + USUAL


def effort_words(left: float, unit: str) -> str:
    """How hard a set will be with this many repetitions left; of a hold ('s') they are said in seconds."""
    return f"{effort(left)}: {left_words(left * (S_A_REP if unit == 's' else 1), unit)}"


def take_of(step: CellOutcome, choice: int, entry_test: str | None = None) -> Take | None:
    """The version with its dose and load at the place of a candidate; None for NOTHING."""
    if choice == NOTHING:
        return None
    one = step.attempts[choice]
    offer = step.offers[one.offer]
    return Take(
        kind=offer.kind,
        rung=offer.name,
        dose=dose_words(offer),
        reps=offer.bouts[0].reps or 0,
        load=load_words(offer, one),
        entry_test=offer.entry_test if entry_test is None else entry_test,
        form=offer.form,
    )


def dose_words(offer: Offer) -> str:
    """How much is asked, in words: '8 reps', '6 a side', '12 in all', '0:30'."""
    bout = offer.bouts[0]
    amount = str(bout.reps) if bout.reps else clock_text(bout.duration_ms)
    if bout.side is not Side.BOTH:
        return f"{amount} a side"
    if offer.form.sides is Sidedness.ALTERNATING:
        return f"{amount} in all"
    return f"{amount} reps" if bout.reps else amount


def load_words(offer: Offer, one: Attempt) -> str:
    """What is held: '2 x 10 lb', 'rucksack of 6 kg', 'light band', or nothing."""
    if one.piece is not None:
        return str(one.piece) if offer.pieces == 1 else f"{offer.pieces} x {one.piece}"
    load = offer.bouts[0].load
    return str(load.band) if load and load.band else ""


def _left(step: CellOutcome, choice: int, row: int) -> tuple[float | None, str]:
    if choice == NOTHING:
        return None, ""
    one = step.candidates[choice]
    unit = "reps" if step.offers[one.offer].bouts[0].reps else "s"
    return max(float(one.left[row]), 0.0), unit


def _reason(step: CellOutcome, along: SimulationPlan, choice: int, row: int, new: bool) -> str:
    """Why, in plain words; `row` is the copy of the person by whom it was decided."""
    if choice == NOTHING:
        return "Nothing here can be finished with this kit today."
    one = step.candidates[choice]
    rounds = along.session.newcomer_rounds
    if new and step.slot.number >= rounds:
        count = {1: "One round is", 2: "Two rounds are"}.get(rounds, f"{rounds} rounds are")
        return f"{count} plenty the first time. Rest, or do this."
    if one.kind is None:
        return _led_reason(step, choice, row, new)
    if not any(each.kind is None and each.may[row] for each in step.candidates):
        return "Your version today."
    if one.kind is OptionKind.HARDER:
        return "The version shown is too easy: take this."
    return "The version shown is too hard today: take this."


def _led_reason(step: CellOutcome, choice: int, row: int, new: bool) -> str:
    one = step.candidates[choice]
    offer = step.offers[one.offer]
    if not offer.pieces:
        return "Do it as shown."
    words = load_words(offer, step.attempts[choice])
    others = [
        number
        for number, each in enumerate(step.candidates)
        if each.kind is None and each.may[row] and each.load_kg > one.load_kg
    ]
    if new and others:
        return f"First time: {words} is the lightest you have."
    if others:
        heavier = min(others, key=lambda number: step.candidates[number].load_kg)
        left = float(step.candidates[heavier].left[row])
        outcome = "could not be finished" if left < 0 else f"would leave {left_words(left).removesuffix(' left')}"
        return f"{words} suits; {load_words(offer, step.attempts[heavier])} {outcome}."
    return f"{words} is the heaviest you have for it."
