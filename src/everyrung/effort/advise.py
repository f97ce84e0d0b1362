"""Advice for people who are known: the choice of each cell in words, both answers where it is close."""

from collections.abc import Sequence

from everyrung.effort.balls import ball_lines
from everyrung.effort.choose import NOTHING, S_A_REP
from everyrung.effort.known import COPIES, known, known_people
from everyrung.effort.offered import Offer, Offered
from everyrung.effort.pulse import heart_words
from everyrung.effort.slots import slots
from everyrung.effort.walk import Course, Step, Tried, course, walk
from everyrung.effort.words import effort, left_words
from everyrung.terms.advice import Advice, PersonAdvice, Take
from everyrung.terms.amount import clock_text
from everyrung.terms.participant import Experience, Participant
from everyrung.terms.session import Session
from everyrung.terms.timeline import Timeline
from everyrung.terms.vocabulary import OptionKind, Side, Sidedness

WEAK, USUAL, STRONG = range(len(COPIES))


def person_advice(
    session: Session, timeline: Timeline, offered: Offered, people: Sequence[Participant], *, in_room: bool
) -> tuple[PersonAdvice, ...]:
    """Everything for each participant: rungs and loads, balls, and what was taken where nothing was known."""
    cells = advise(session, timeline, offered, people, in_room=in_room) if people else ()
    return tuple(
        PersonAdvice(
            name=one.name,
            taken=known(one).taken,
            cells=found,
            balls=ball_lines(session, one, in_room=in_room),
            heart=heart_words(known(one).age, one.health.rate_limiting),
        )
        for one, found in zip(people, cells, strict=True)
    )


def advise(
    session: Session, timeline: Timeline, offered: Offered, people: Sequence[Participant], *, in_room: bool
) -> tuple[tuple[Advice, ...], ...]:
    """For each participant the advice of each strength cell."""
    along = course(session, slots(session, timeline), offered)
    found: list[list[Advice]] = [[] for _ in people]
    for step in walk(known_people(people, in_room=in_room), along):
        for place, one in enumerate(people):
            found[place].append(_advice(step, along, place, one))
    return tuple(tuple(each) for each in found)


def _advice(step: Step, along: Course, place: int, one: Participant) -> Advice:
    rows = [len(COPIES) * place + copy for copy in (WEAK, USUAL, STRONG)]
    weak, usual, strong = (int(step.chosen[row]) for row in rows)
    sure = weak if weak != NOTHING else usual
    take = _take(step, sure)
    harder = _take(step, strong) if strong not in (NOTHING, sure) else None
    if take is None and harder is not None:
        take, harder, sure = harder, None, strong
    row = rows[USUAL] if sure != NOTHING else rows[STRONG]
    left, unit = _left(step, sure, row)
    new = known(one).level is Experience.NEW
    return Advice(
        ref=step.slot.cell.ref,
        move=step.slot.cell.move.name,
        take=take,
        reason=_reason(step, along, sure, rows[USUAL], new),
        effort="" if left is None else f"{effort(left)}: {left_words(left * (S_A_REP if unit == 's' else 1), unit)}",
        harder=harder if harder and _is_harder(step, sure, strong) else None,
    )


def _take(step: Step, chosen: int) -> Take | None:
    if chosen == NOTHING:
        return None
    one = step.tried[chosen]
    offer = step.offers[one.offer]
    return Take(
        kind=offer.kind,
        rung=offer.name,
        dose=dose_words(offer),
        load=load_words(offer, one),
        entry_test=offer.entry_test,
    )


def dose_words(offer: Offer) -> str:
    """'8 reps', '6 a side', '12 in all', '0:30'."""
    bout = offer.bouts[0]
    amount = str(bout.reps) if bout.reps else clock_text(bout.duration_ms)
    if bout.side is not Side.BOTH:
        return f"{amount} a side"
    if offer.form.sides is Sidedness.ALTERNATING:
        return f"{amount} in all"
    return f"{amount} reps" if bout.reps else amount


def load_words(offer: Offer, one: Tried) -> str:
    """What is held: '2 x 10 lb', 'rucksack of 6 kg', 'light band', or nothing."""
    if one.piece is not None:
        return str(one.piece) if offer.pieces == 1 else f"{offer.pieces} x {one.piece}"
    load = offer.bouts[0].load
    return str(load.band) if load and load.band else ""


def _left(step: Step, chosen: int, row: int) -> tuple[float | None, str]:
    if chosen == NOTHING:
        return None, ""
    one = step.candidates[chosen]
    unit = "reps" if step.offers[one.offer].bouts[0].reps else "s"
    return max(float(one.left[row]), 0.0), unit


def _is_harder(step: Step, sure: int, strong: int) -> bool:
    """Whether the stronger person's answer is more than the sure one, for one and the same person."""
    if sure == NOTHING:
        return True
    low, high = step.candidates[sure], step.candidates[strong]
    both = low.may & high.may
    return bool(both.any() and (high.left[both] < low.left[both]).all())


def _reason(step: Step, along: Course, chosen: int, row: int, new: bool) -> str:
    if chosen == NOTHING:
        return "Nothing offered here can be finished with this kit."
    one = step.candidates[chosen]
    late = new and step.slot.number >= along.session.newcomer_rounds
    if late:
        return "First-timers are led through no more than the rounds before: take this, or watch."
    if one.kind is OptionKind.HARDER:
        return "The led rung would leave more than anyone can judge."
    if one.kind is None:
        return _led_reason(step, chosen, row, new)
    led = [each for each in step.candidates if each.kind is None and each.may[row]]
    if not led:
        return "What the led rung needs is not there, or it is not for everyone: this one is."
    best = max(led, key=lambda each: each.left[row])
    if best.left[row] < 0:
        return "The led rung would end early."
    return f"The led rung would leave too little: {left_words(max(float(best.left[row]), 0.0))}."


def _led_reason(step: Step, chosen: int, row: int, new: bool) -> str:
    one = step.candidates[chosen]
    offer = step.offers[one.offer]
    if not offer.pieces:
        return "The led rung suits."
    words = load_words(offer, step.tried[chosen])
    others = [
        number
        for number, each in enumerate(step.candidates)
        if each.kind is None and each.may[row] and each.load_kg > one.load_kg
    ]
    if new and others:
        return f"First time: {words} is the lightest there is."
    if others:
        heavier = min(others, key=lambda number: step.candidates[number].load_kg)
        left = float(step.candidates[heavier].left[row])
        told = "could not be finished" if left < 0 else f"would leave {left_words(left).removesuffix(' left')}"
        return f"{words} suits; {load_words(offer, step.tried[heavier])} {told}."
    return f"{words} is the heaviest there is for it."
