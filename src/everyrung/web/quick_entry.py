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
from everyrung.terms.units import Load

MOST_EFFORT = 10  # of the rating from 0 to 10 (foster2001)
TAPS = (0, 1, 2, 3, 4, 5, 6)  # how many were left; the last stands for itself and more, as one cannot tell them apart


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """A version that could be taken in a set: its move and key, its name, and its load in words."""

    move: str
    version: str
    name: str
    load: str

    @property
    def value(self) -> str:
        """As a form says it."""
        return f"{self.move}/{self.version}"


@dataclass(frozen=True, slots=True, kw_only=True)
class EntryLine:
    """One person's line: what they took last, or what was led; and what was answered already, if it was."""

    number: int
    name: str
    took: str
    load: str
    left: float | None
    effort: float | None


def entry_cells(session: Session) -> tuple[Cell, ...]:
    """The sets that may be asked about, the last round first: what came last is remembered best."""
    return strength_cells(session)[::-1]


def offers(cell: Cell) -> tuple[Choice, ...]:
    """What could be taken in a set: what is led, then its options."""
    every = [(cell.rung, cell.bouts[0]), *((option.rung, option.bouts[0]) for option in cell.options)]
    unique = {
        (rung.move, rung.key): Choice(move=rung.move, version=rung.key, name=rung.name, load=_load_words(bout))
        for rung, bout in reversed(every)
    }
    return tuple(reversed(unique.values()))


def _load_words(bout: Bout) -> str:
    return str(Load(pieces=bout.load.pieces)) if bout.load and bout.load.pieces else ""


def entry_lines(
    people: Sequence[tuple[int, Person]], cell: Cell, history: History, on: date, session: str
) -> tuple[EntryLine, ...]:
    """A line for each person on the list."""
    options = offers(cell)
    lines = []
    for number, person in people:
        own = [each for each in history.of(person.name).current if each.on <= on]
        here = [each for each in own if (each.on, each.session, each.cell) == (on, session, str(cell.ref))]
        before = [each for each in own if any((each.move, each.version) == (one.move, one.version) for one in options)]
        last = next(reversed(here or before), None)
        took = f"{last.move}/{last.version}" if last else options[0].value
        words = str(last.load or "") if last else options[0].load
        left = here[-1].left if here else None
        effort = effort_of(own, on, session)
        lines.append(EntryLine(number=number, name=person.name, took=took, load=words, left=left, effort=effort))
    return tuple(lines)


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
    form: Mapping[str, str], people: Sequence[tuple[int, Person]], cell: Cell, on: date, session: str, history: History
) -> list[SetRecord]:
    """What a form says: a record for each person with a tap, or who says of the evening's effort what is not in the
    history yet; and one for the heads without a name, with how many they had left or without. Raises Invalid.
    """
    options = {each.value: each for each in offers(cell)}
    records = []
    for number, person in people:
        effort = effort_in(form, str(number))
        before = effort_of(history.of(person.name).current, on, session)
        if form.get(f"left-{number}", "") == "" and (effort is None or effort == before):
            continue
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
    return SetRecord(
        on=on,
        session=session,
        person=person,
        heads=heads,
        cell=str(cell.ref),
        move=took.move,
        version=took.version,
        load=load(words) if words else None,
        reps=bout.reps or 0,
        seconds=0.0 if bout.reps else bout.duration_ms / 1000,
        left=float(left) if left else None,
        effort=effort_in(form, who),
        source=Source.ENTRY,
    )
