"""The quick entry after class: one tap a person for how many were left in one set; heads for those without a name."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from everyrung.effort.choices import strength_cells
from everyrung.parsing.units import load
from everyrung.terms.errors import Invalid, require
from everyrung.terms.history import History, SetRecord, Source
from everyrung.terms.person import Person
from everyrung.terms.session import Bout, Cell, Session
from everyrung.terms.units import MAX_REPS, Load
from everyrung.web.card_takes import CardTake

MOST_EFFORT = 10  # of the rating from 0 to 10 (foster2001)
TAPS = (0, 1, 2, 3, 4, 5, 6)  # how many were left; the last stands for itself and more, as one cannot tell them apart


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """A version that could be taken in a set: its move and key, its name, its load in words, and its repetitions; 0 for
    a hold.
    """

    move: str
    version: str
    name: str
    load: str
    reps: int

    @property
    def value(self) -> str:
        """As a form says it."""
        return f"{self.move}/{self.version}"


@dataclass(frozen=True, slots=True, kw_only=True)
class EntryLine:
    """One person's line: what was answered already, or what their card said, else what they took last, or what was led;
    `reps` is 0 for a hold.
    """

    number: int
    name: str
    choices: tuple[Choice, ...]
    took: str
    load: str
    reps: int
    left: float | None
    effort: float | None


def entry_cells(session: Session) -> tuple[Cell, ...]:
    """The sets that may be asked about, the last round first: what came last is remembered best."""
    return strength_cells(session)[::-1]


def offers(cell: Cell) -> tuple[Choice, ...]:
    """What could be taken in a set: what is led, then its options."""
    every = [(cell.rung, cell.bouts[0]), *((option.rung, option.bouts[0]) for option in cell.options)]
    unique = {
        (rung.move, rung.key): Choice(
            move=rung.move, version=rung.key, name=rung.name, load=_load_words(bout), reps=bout.reps or 0
        )
        for rung, bout in reversed(every)
    }
    return tuple(reversed(unique.values()))


def choices_of(cell: Cell, card: CardTake | None) -> tuple[Choice, ...]:
    """What somebody could take in a set: what is offered to all, and what their card said from further up or down the
    ladder.
    """
    every = offers(cell)
    if card is None or any(each.name == card.rung for each in every):
        return every
    return (*every, Choice(move=card.move, version=card.rung, name=card.rung, load=card.load, reps=card.reps))


def _load_words(bout: Bout) -> str:
    return str(Load(pieces=bout.load.pieces)) if bout.load and bout.load.pieces else ""


def entry_lines(
    people: Sequence[tuple[int, Person]],
    cell: Cell,
    history: History,
    on: date,
    session: str,
    cards: Mapping[int, CardTake],
) -> tuple[EntryLine, ...]:
    """A line for each person on the list; `cards` has what their card said for this set, by the person's number."""
    lines = []
    for number, person in people:
        options = choices_of(cell, cards.get(number))
        own = [each for each in history.of(person.name).current if each.on <= on]
        here = [each for each in own if (each.on, each.session, each.cell) == (on, session, str(cell.ref))]
        before = [each for each in own if any((each.move, each.version) == (one.move, one.version) for one in options)]
        took, load_words, reps = _took(options, here[-1:], cards.get(number), before[-1:])
        lines.append(
            EntryLine(
                number=number,
                name=person.name,
                choices=options,
                took=took.value,
                load=load_words,
                reps=reps,
                left=here[-1].left if here else None,
                effort=effort_of(own, on, session),
            )
        )
    return tuple(lines)


def _took(
    options: Sequence[Choice], here: Sequence[SetRecord], card: CardTake | None, before: Sequence[SetRecord]
) -> tuple[Choice, str, int]:
    """What a line begins with: the version, its load in words, and repetitions."""
    by_key = {(each.move, each.version): each for each in options}
    on_card = next((each for each in options if card and each.name == card.rung), None)
    if card and on_card and not here:
        return on_card, card.load, card.reps
    for record in (*here, *before):
        if took := by_key.get((record.move, record.version)):
            return took, str(record.load or ""), (record.reps if here else 0) or took.reps
    return options[0], options[0].load, options[0].reps


def effort_of(records: Iterable[SetRecord], on: date, session: str) -> float | None:
    """How hard the evening was said to be by whom these records are, the last answer; None where nobody asked."""
    return next(
        (
            each.effort
            for each in reversed([*records])
            if (each.on, each.session) == (on, session) and each.effort is not None
        ),
        None,
    )


def records_of(
    form: Mapping[str, str],
    people: Sequence[tuple[int, Person]],
    cell: Cell,
    on: date,
    session: str,
    history: History,
    cards: Mapping[int, CardTake],
) -> list[SetRecord]:
    """What a form says: a record for each person with a tap, or who says of the evening's effort what is not in the
    history yet; and one for the heads without a name, with how many they had left or without. Raises Invalid.
    """
    records = []
    for number, person in people:
        effort = effort_in(form, str(number))
        before = effort_of(history.of(person.name).current, on, session)
        if form.get(f"left-{number}", "") == "" and (effort is None or effort == before):
            continue
        options = {each.value: each for each in choices_of(cell, cards.get(number))}
        took = options.get(form.get(f"took-{number}", ""), offers(cell)[0])
        records.append(_record(form, str(number), took, cell, on, session, person=person.name))
    heads = form.get("heads", "").strip()
    if heads:
        require(heads.isdecimal() and len(heads) < 5, "heads", "a whole number of people", heads)
        records.append(_record(form, "room", offers(cell)[0], cell, on, session, heads=int(heads)))
    elif effort_in(form, "room") is not None:
        raise Invalid("heads", "how many people the room's answer is for", "nothing")
    return records


def effort_in(form: Mapping[str, str], who: str) -> float | None:
    """How hard the evening was, as a form says it of somebody; None for nothing. Raises Invalid."""
    words = form.get(f"effort-{who}", "").strip().replace(",", ".")
    if not words:
        return None
    whole, _, part = words.partition(".")
    if not (whole.isdecimal() and (part.isdecimal() or not part)) or float(words) > MOST_EFFORT:
        raise Invalid("effort", f"0, nothing at all, to {MOST_EFFORT}, the most there is", words)
    return float(words)


def _record(
    form: Mapping[str, str],
    who: str,
    took: Choice,
    cell: Cell,
    on: date,
    session: str,
    *,
    person: str = "",
    heads: int = 1,
) -> SetRecord:
    left, words = form.get(f"left-{who}", ""), form.get(f"load-{who}", took.load).strip()
    if left and (not left.isdecimal() or int(left) not in TAPS):
        raise Invalid("left", f"one of {', '.join(map(str, TAPS))}", left)
    bout = cell.bouts[0]
    reps = form.get(f"reps-{who}", "").strip() or str(took.reps)
    require(reps.isdecimal() and int(reps) <= MAX_REPS, "reps", f"0 to {MAX_REPS} repetitions", reps)
    return SetRecord(
        on=on,
        session=session,
        person=person,
        heads=heads,
        cell=str(cell.ref),
        move=took.move,
        version=took.version,
        load=load(words) if words else None,
        reps=int(reps) if took.reps else 0,
        seconds=0.0 if took.reps else bout.duration_ms / 1000,
        left=float(left) if left else None,
        effort=effort_in(form, who),
        source=Source.ENTRY,
    )
