"""The next step of people who are known, cell by cell of a plan, from what they did before: with a reason in one line,
and what it would be to keep as it was.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from everyrung.effort.known_people import COPIES, known_people
from everyrung.effort.outcomes import CellOutcome
from everyrung.effort.recommend import USUAL, effort_words, load_words, take_of, taking
from everyrung.effort.select_rung import NOTHING, TARGET_LEFT
from everyrung.effort.simulate import SimulationPlan, simulate
from everyrung.moves.library import Library
from everyrung.terms.block_brief import day_words
from everyrung.terms.enums import Sidedness
from everyrung.terms.forecast import HOLD_OR_SKIP, Take
from everyrung.terms.history import History, SetRecord
from everyrung.terms.person import Person
from everyrung.terms.plan import Ref
from everyrung.terms.units import SAME_MASS_KG
from everyrung.weeks.next_step import (
    BELOW_EVENINGS,
    EARNED_EVENINGS,
    EASY_LEFT,
    STEP_WEEKS,
    Dose,
    Menu,
    Record,
    Why,
    after_evening,
    led_dose,
    next_entry,
    next_piece_up,
    set_reps,
)
from everyrung.weeks.person_belief import DAYS_A_WEEK, SetAnswer, curve_of, possible_now

_Sets = Sequence[SetRecord]  # of one evening
HEAVIER_TEST = f"Were {EASY_LEFT} or more left in the set before?"


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonStep:
    """What one person takes in one cell, and what they took `before` ('' for nothing), both in words; `why`, with the
    `reason` in one line; the same as a card has it (None: nothing), and how hard it will be after what they said.
    `heavier` is the next piece, for the set after one of this evening that left EASY_LEFT or more.
    """

    ref: Ref
    move: str
    take: str
    before: str
    why: Why
    reason: str
    version: Take | None
    effort: str
    heavier: Take | None = None

    @property
    def keeps(self) -> bool:
        """Whether it is as last time."""
        return self.take == self.before


def person_steps(
    along: SimulationPlan,
    people: Sequence[Person],
    history: History,
    library: Library,
    today: date,
    *,
    in_room: bool,
    coming: Sequence[date] = (),
) -> tuple[tuple[PersonStep, ...], ...]:
    """For each person, in order, a step for every cell in which they may do something. Who was away two weeks steps up
    nowhere, whatever they earned. `coming` are the evenings after this one with the same moves, where they are known.
    """
    pasts = [_Past(one, history.of(one.name), library, today, tuple(coming)) for one in people]
    steps: list[list[PersonStep]] = [[] for _ in people]
    for outcome in simulate(known_people(people, in_room=in_room), along):
        dose = _dose(outcome, along)
        for place, past in enumerate(pasts):
            if any(one.may[len(COPIES) * place + USUAL] for one in outcome.candidates):
                steps[place].append(_step(outcome, place, past, dose))
    return tuple(tuple(each) for each in steps)


def _dose(outcome: CellOutcome, along: SimulationPlan) -> Dose:
    """What of the led dose people may do: of counted repetitions they may stop earlier; a hold, here in repetitions as
    everywhere, and what goes by the clock are for everybody the same.
    """
    reps, target_left = round(outcome.candidates[0].dose) if outcome.candidates else 1, TARGET_LEFT[along.session.level]
    bouts = outcome.slot.cell.bouts
    if bouts and bouts[0].reps and outcome.slot.cell.dose.reps:
        return led_dose(reps, target_left)
    return Dose(low=reps, high=reps, target_left=target_left)


class _Past:
    """What one person did, as the rule of steps needs it."""

    def __init__(
        self, person: Person, history: History, library: Library, today: date, coming: tuple[date, ...]
    ) -> None:
        self.person, self.today, self.coming = person, today, coming
        self._evenings = {day: records for day, records in history.evenings().items() if day < today}
        self._library = library

    @property
    def away_weeks(self) -> float:
        """Since the last evening of all, weeks."""
        last = max(self._evenings, default=self.today)
        return (self.today - last).days / DAYS_A_WEEK

    def sets(self, ref: Ref, moves: set[str]) -> list[list[SetRecord]]:
        """The sets of every evening in this cell, or of its moves where no cell is written; the last evening last."""
        every = [
            [each for each in records if (each.cell == str(ref) if each.cell else each.move in moves)]
            for records in self._evenings.values()
        ]
        return [each for each in every if each]

    def name(self, record: SetRecord) -> str:
        """What the version of a record is called; one that a coach made is written by its name."""
        names = {rung.key: rung.name for rung in self._library.move(record.move).versions}
        return names.get(record.version, record.version)


def _step(outcome: CellOutcome, place: int, past: _Past, dose: Dose) -> PersonStep:
    """The step of the person at `place`; the first time it is what their card advises anyway."""
    row = len(COPIES) * place + USUAL
    menu = _menu(outcome, row)
    evenings = past.sets(outcome.slot.cell.ref, {offer.form.move for offer in outcome.offers})
    last = _place(outcome, row, past, evenings[-1][-1]) if evenings else NOTHING
    if last != NOTHING:
        menu = _with_belief(menu, outcome, place, past, evenings)
    merit, below = _counts(evenings, dose)
    record = Record(
        last=np.array([last]),
        merit=np.array([merit]),
        below=np.array([below]),
        away_weeks=np.array([past.away_weeks]),
    )
    entries, whys = next_entry(menu, record, dose)
    is_first = whys[0] is Why.FIRST
    entry = taking(outcome, place)[0] if is_first else int(entries[0])
    version = take_of(outcome, entry) if is_first else _own(outcome, entry, menu, dose)
    take, before = _words(outcome, entry), _record_words(past, evenings[-1][-1]) if evenings else ""
    return PersonStep(
        ref=outcome.slot.cell.ref,
        move=outcome.slot.cell.move.name,
        take=take,
        before=before,
        why=whys[0],
        reason=_reason(whys[0], before, merit, len(evenings), past, dose),
        version=version,
        effort=_effort(outcome, entry, menu, version),
        heavier=_heavier(outcome, entry, menu, dose),
    )


def _own(outcome: CellOutcome, entry: int, menu: Menu, dose: Dose, entry_test: str | None = None) -> Take | None:
    """An entry as this person does it: with as many repetitions as leave the target, where that is fewer than are led;
    of moves that take turns an even number.
    """
    whole = take_of(outcome, entry, entry_test)
    if whole is None or not whole.reps or dose.low == dose.high:
        return whole
    own = int(set_reps(menu.possible[:, entry], replace(dose, high=whole.reps), np.zeros(1))[0])
    if whole.form.sides is Sidedness.ALTERNATING:
        own -= own % 2
    return whole if own >= whole.reps else replace(whole, reps=own, dose=f"{own} of {whole.dose}")


def _effort(outcome: CellOutcome, entry: int, menu: Menu, version: Take | None) -> str:
    """How hard it will be, by the forecast as what was said has moved it."""
    if version is None:
        return ""
    reps, unit = (version.reps, "reps") if version.reps else (outcome.candidates[entry].dose, "s")
    return effort_words(max(float(menu.possible[0, entry]) - reps, 0.0), unit)


def _heavier(outcome: CellOutcome, entry: int, menu: Menu, dose: Dose) -> Take | None:
    """The next piece up, where it leaves enough; None where there is none."""
    if entry == NOTHING:
        return None
    up = int(next_piece_up(menu, np.array([entry]))[0])
    if up == entry or menu.possible[0, up] < dose.least:
        return None
    return _own(outcome, up, menu, dose, HEAVIER_TEST)


def _menu(outcome: CellOutcome, row: int) -> Menu:
    """The candidates of a cell for one person."""
    some = outcome.candidates
    peaks = [_peak(outcome, at, row) for at in range(len(some))]
    return Menu(
        rung=np.array([one.offer for one in some]),
        load_kg=np.array([one.load_kg for one in some]),
        may=np.array([[bool(one.may[row]) for one in some]]),
        possible=np.array([[max(float(one.left[row]) + one.dose, 0.0) for one in some]]),
        peak=np.array([peaks]),
    )


def _with_belief(menu: Menu, outcome: CellOutcome, place: int, past: "_Past", evenings: Sequence[_Sets]) -> Menu:
    """The menu with the forecast that is believed after all that was said, evening by evening."""
    row = len(COPIES) * place + USUAL
    answers = [
        SetAnswer(on=each.on, candidate=at, reps=each.reps, left=each.left)
        for sets in evenings
        for each in sets
        if each.left is not None and each.reps and (at := _place(outcome, row, past, each)) != NOTHING
    ]
    if not answers:
        return menu
    curve = curve_of(outcome, place, past.person)
    return replace(menu, possible=possible_now(curve, past.person, answers, past.today)[None])


def _peak(outcome: CellOutcome, at: int, row: int) -> float:
    """The hardest joint's part of strength in a candidate that the person may do; of another 0."""
    attempt = outcome.attempts[at]
    inside = np.flatnonzero(attempt.places == row)
    return max((float(each.peak[inside[0]].max()) for each in attempt.outcomes), default=0.0) if len(inside) else 0.0


def _place(outcome: CellOutcome, row: int, past: _Past, record: SetRecord) -> int:
    """The candidate that a record was: the same version with the same load, else the nearest lighter one of it."""
    name, kg = past.name(record), record.load.total_kg if record.load else 0.0
    same = [
        at
        for at, one in enumerate(outcome.candidates)
        if outcome.offers[one.offer].name == name and one.load_kg <= kg + SAME_MASS_KG and one.may[row]
    ]
    return max(same, key=lambda at: outcome.candidates[at].load_kg, default=NOTHING)


def _counts(evenings: Sequence[Sequence[SetRecord]], dose: Dose) -> tuple[int, int]:
    """How many evenings running have earned a step with the version and load of the last, and stayed below."""
    merit, below = np.array([0]), np.array([0])
    for number, sets in enumerate(evenings):
        answers = [each for each in sets if each.left is not None]
        if number and not _same(evenings[number - 1][-1], sets[0]):
            merit, below = np.array([0]), np.array([0])
        if answers:
            left = np.array([[each.left for each in answers]], dtype=float)
            reps = np.array([[each.reps or dose.high for each in answers]])
            merit, below = after_evening(merit, below, left, reps, np.maximum(reps, dose.low), dose)
    return int(merit[0]), int(below[0])


def _same(one: SetRecord, other: SetRecord) -> bool:
    return (one.move, one.version, str(one.load)) == (other.move, other.version, str(other.load))


def _words(outcome: CellOutcome, entry: int) -> str:
    if entry == NOTHING:
        return HOLD_OR_SKIP.rstrip(".")
    attempt = outcome.attempts[entry]
    offer = outcome.offers[attempt.offer]
    return ", ".join(filter(None, (offer.name, load_words(offer, attempt) if offer.pieces else "")))


def _record_words(past: _Past, record: SetRecord) -> str:
    return ", ".join(filter(None, (past.name(record), str(record.load or ""))))


def _reason(why: Why, before: str, merit: int, evenings: int, past: _Past, dose: Dose) -> str:
    """One line for the person: what is new, why, and that it may stay as it was; or when the next step comes."""
    away_weeks = past.away_weeks
    keep = f"Or keep {before}." if before else ""
    weeks = f"{away_weeks:.0f} weeks away"
    match why:
        case Why.FIRST:
            return "First time here." if not before else f"New, since {before} is not there today."
        case Why.KEEP if away_weeks >= STEP_WEEKS:
            return f"As last time, after {weeks}."
        case Why.KEEP:
            missing = EARNED_EVENINGS - merit
            if missing < 1:
                return "As last time: anything harder here would still leave too little."
            how = "1 more evening" if missing == 1 else f"{missing} more evenings running"
            when = f", on {day_words(past.coming[missing - 1])} at the earliest" if len(past.coming) >= missing else ""
            most = "" if dose.low == dose.high else f"{dose.earns} reps or more and "
            return f"As last time. The next step comes after {how} with {most}two left in every set{when}."
        case Why.UP:
            because = "two evenings running with two or more left" if evenings > 1 else "six or more left in every set"
            return f"New: {because}. {keep}"
        case Why.BELOW:
            return f"Easier today: {BELOW_EVENINGS} evenings running with nothing left. {keep}"
        case Why.AWAY:
            return f"Easier today, after {weeks}. {keep}"
        case Why.EASIER:
            return f"Easier today: it would leave too little. {keep}"


def step_lines(steps: Sequence[PersonStep]) -> Iterator[str]:
    """One person's steps as lines of text: where, what, why."""
    for step in steps:
        dose = f", {step.version.dose}" if step.version else ""
        yield f"{step.ref}: {step.take}{dose}. {step.reason}"
