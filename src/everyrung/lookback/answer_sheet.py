"""What people answered after a session, from a form's spreadsheet: matched to who is on the list and to its sets.

Nothing is dropped in silence: what could not be matched is said with its line, and so is every guess.
"""

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from rapidfuzz import fuzz, process

from everyrung.lookback.answer_words import Asks, asks_of, number_of, plain, yes_of
from everyrung.lookback.plan_sets import round_words
from everyrung.terms.errors import Invalid
from everyrung.terms.history import MOST_LEFT, SetRecord, Source
from everyrung.terms.session import Cell

MOST_ROWS = 2_000  # chosen, because a hall holds fewer
NEAR = 82.0  # of 100, from which a name is taken for a near one; chosen: one wrong letter in six
APART = 6.0  # by which the next best must be worse; chosen
SIGNS = (",", ";", "\t")


@dataclass(frozen=True, slots=True, kw_only=True)
class OneAnswer:
    """One answer of one person: the set it is about, and words of their own. `line` is that of the file."""

    line: int
    person: str
    cell: Cell
    left: float | None = None
    effort: float | None = None
    pain: bool | None = None
    comment: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class AnswerSheet:
    """What could be matched, in order; what was guessed in doing so; what could not be matched, and why."""

    answers: tuple[OneAnswer, ...]
    guesses: tuple[str, ...]
    left_out: tuple[str, ...]


@dataclass(slots=True, kw_only=True)
class _Reading:
    """A sheet while it is read. `cells` are those that may be asked about, the last one that was done first."""

    people: Sequence[str]
    cells: Sequence[Cell]
    guesses: list[str] = field(default_factory=list)
    left_out: list[str] = field(default_factory=list)


def read_answer_sheet(text: str, people: Sequence[str], cells: Sequence[Cell], on: date | None = None) -> AnswerSheet:
    """The answers of a spreadsheet saved as text. `people` are the names on the list; `cells` the sets that may be
    asked about, the last one that was done first: an answer that names none is about that one. Rows that name another
    day than `on` are left out.

    Raises Invalid where no heading is known, or nothing can be asked about.
    """
    if not cells:
        raise Invalid("answers", "a session with a set of strength", "none", remedy="There is nothing to ask about.")
    rows = _rows(text)
    columns = _columns(rows[0][1]) if rows else {}
    if Asks.NAME not in columns or len(set(columns) - {Asks.NAME, Asks.DATE}) == 0:
        remedy = "Name the columns in the first line: name, set, left, effort, pain, comment. Only the name is needed."
        got = ", ".join(rows[0][1])[:80] if rows else "nothing"
        raise Invalid("answers", "a column for the name, and one for an answer", got, remedy=remedy)
    reading = _Reading(people=people, cells=cells)
    columns_at = set(columns.values())
    for at, heading in enumerate(rows[0][1]):
        if heading.strip() and at not in columns_at:
            reading.left_out.append(f"Column {heading.strip()[:60]!r}: not clear what it asks.")
    answers = [each for line, row in rows[1:] if (each := _answer(reading, line, row, columns, on))]
    return AnswerSheet(
        answers=tuple(_latest(answers, reading)), guesses=tuple(reading.guesses), left_out=tuple(reading.left_out)
    )


def _rows(text: str) -> list[tuple[int, list[str]]]:
    """Lines that hold something, with their numbers, by the sign that takes the first one apart most."""
    lines = text.lstrip("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    first, _, rest = lines.partition("\n")
    sign = max(SIGNS, key=first.count)
    if first.casefold().startswith("sep=") and len(first) == 5:
        sign, lines = first[4], f"\n{rest}"
    reader = csv.reader(io.StringIO(lines, newline=""), delimiter=sign, skipinitialspace=True)
    result, line = [], 1
    try:
        for row in reader:
            if any(cell.strip() for cell in row):
                result.append((line, [cell.strip() for cell in row]))
            line = reader.line_num + 1
            if len(result) > MOST_ROWS:
                raise Invalid("answers", f"at most {MOST_ROWS} rows", "more")
    except csv.Error as problem:
        raise Invalid("answers", "a spreadsheet saved as CSV", f"line {line}: {problem}") from None
    return result


def _columns(headings: Sequence[str]) -> dict[Asks, int]:
    """The first column that asks each thing."""
    columns: dict[Asks, int] = {}
    for at, heading in enumerate(headings):
        asks = asks_of(heading)
        if asks:
            columns.setdefault(asks, at)
    return columns


def _answer(
    reading: _Reading, line: int, row: Sequence[str], columns: Mapping[Asks, int], on: date | None
) -> OneAnswer | None:
    def value(asks: Asks) -> str:
        at = columns.get(asks, len(row))
        return row[at] if at < len(row) else ""

    day = _day(value(Asks.DATE))
    if on and day and day != on:
        reading.left_out.append(f"Line {line}: it is of {day.isoformat()}, and this session of {on.isoformat()}.")
        return None
    person = _person(reading, line, value(Asks.NAME))
    if not person:
        return None
    cell = _cell(reading, line, value(Asks.SET), value(Asks.ROUND))
    if cell is None:
        return None
    left = _number(reading, line, "left", value(Asks.LEFT), MOST_LEFT)
    effort = _number(reading, line, "effort", value(Asks.EFFORT), 10)
    pain, words = yes_of(value(Asks.PAIN))
    if pain and words and plain(words) != plain(value(Asks.COMMENT)):
        reading.guesses.append(f"Line {line}: {words[:60]!r} under pain taken for yes.")
    comment = "; ".join(each for each in (words, value(Asks.COMMENT)) if each)[:500]
    if left is None and effort is None and pain is None and not comment:
        return None
    return OneAnswer(line=line, person=person, cell=cell, left=left, effort=effort, pain=pain, comment=comment)


def _day(text: str) -> date | None:
    """Of a day that can be read without knowing whose order it is in: 2026-11-30, or with the time behind it."""
    try:
        return date.fromisoformat(text[:10].replace("/", "-").replace(".", "-"))
    except ValueError:
        return None


def _person(reading: _Reading, line: int, text: str) -> str:
    """The name on the list: the same, the only one of this first name, or the only near one. '' for none."""
    if not text:
        reading.left_out.append(f"Line {line}: no name.")
        return ""
    names = {plain(name): name for name in reading.people}
    word = plain(text)
    if word in names:
        return names[word]
    firsts = [name for key, name in names.items() if key.split()[:1] == word.split()[:1]]
    if len(firsts) == 1 and (len(word.split()) == 1 or len(plain(firsts[0]).split()) == 1):
        reading.guesses.append(f"Line {line}: {text[:60]!r} taken for {firsts[0]}.")
        return firsts[0]
    near = process.extract(word, names.keys(), scorer=fuzz.ratio, limit=2)
    if near and near[0][1] >= NEAR and (len(near) == 1 or near[0][1] - near[1][1] >= APART):
        name = names[near[0][0]]
        reading.guesses.append(f"Line {line}: {text[:60]!r} taken for {name}.")
        return name
    may = " or ".join(dict.fromkeys([*firsts, *(names[each[0]] for each in near if each[1] >= NEAR)]))
    reading.left_out.append(
        f"Line {line}: {text[:60]!r} is {f'{may}, it cannot be told which' if may else 'nobody on your list'}."
    )
    return ""


def _cell(reading: _Reading, line: int, text: str, round_text: str) -> Cell | None:
    """The set that is meant; without one the last that was done, and of a move that comes again its last round."""
    if not text and not round_text:
        return reading.cells[0]
    cells = [each for each in reading.cells if not round_text or _is_round(each, round_text)]
    if not cells:
        reading.left_out.append(f"Line {line}: there is no strength round {round_text[:40]!r}.")
        return None
    if not text:
        return cells[0]
    exact = [each for each in cells if plain(str(each.ref)) == plain(text)]
    if exact:
        return exact[0]
    scores = [(_likeness(each, text), -place) for place, each in enumerate(cells)]
    best, place = max(scores)
    if best < NEAR:
        reading.left_out.append(f"Line {line}: {text[:60]!r} is not a strength set of this session.")
        return None
    cell = cells[-place]
    if sum(score == best for score, _ in scores) > 1:
        reading.guesses.append(
            f"Line {line}: {text[:60]!r} comes more than once; taken for that in {round_words(cell.ref)}."
        )
    elif best < 100:
        reading.guesses.append(f"Line {line}: {text[:60]!r} taken for {cell.rung.name} in {round_words(cell.ref)}.")
    return cell


def _is_round(cell: Cell, text: str) -> bool:
    """By its name, or as a number by its place."""
    word = plain(text).removeprefix("round").strip()
    ordinal = {"1": "one", "2": "two", "3": "three", "4": "four", "5": "five", "6": "six"}
    return plain(cell.ref.round) in (word, ordinal.get(word, word), plain(text))


def _likeness(cell: Cell, text: str) -> float:
    """Of what was written to the set's names."""
    names = (cell.rung.name, cell.move.name, str(cell.ref).rpartition("/")[2], str(cell.ref))
    return max(fuzz.token_sort_ratio(plain(name), plain(text)) for name in names)


def _number(reading: _Reading, line: int, what: str, text: str, most: float) -> float | None:
    if not text:
        return None
    value, note = number_of(text)
    if value is None or not 0 <= value <= most:
        reading.left_out.append(f"Line {line}, {what}: {text[:40]!r} is not 0 to {most:g}.")
        return None
    if note:
        reading.guesses.append(f"Line {line}, {what}: {note}.")
    return value


def _latest(answers: Sequence[OneAnswer], reading: _Reading) -> list[OneAnswer]:
    """One for each person and set: what was sent twice counts once, and where it differs the later one counts."""
    result: dict[tuple[str, str], OneAnswer] = {}
    for each in answers:
        key = each.person, str(each.cell.ref)
        before = result.pop(key, None)
        if before and _facts(before) != _facts(each):
            name = f"{each.cell.rung.name} in {round_words(each.cell.ref)}"
            where = f"lines {before.line} and {each.line}"
            reading.guesses.append(f"{each.person} answered twice for {name} ({where}); the later one counts.")
        result[key] = each
    return list(result.values())


def _facts(each: OneAnswer) -> tuple[object, ...]:
    return each.left, each.effort, each.pain, each.comment


def records_of_answers(answers: Sequence[OneAnswer], on: date, session: str) -> list[SetRecord]:
    """As the history has them: the set as it was led, with what was said of it. Comments are no part of it."""
    return [
        SetRecord(
            on=on,
            session=session,
            person=each.person,
            cell=str(each.cell.ref),
            move=each.cell.rung.move,
            version=each.cell.rung.key,
            load=replace(bout.load, carry=None) if bout.load else None,
            reps=bout.reps or 0,
            seconds=0.0 if bout.reps else bout.duration_ms / 1000,
            left=each.left,
            effort=each.effort,
            pain=each.pain,
            source=Source.FILE,
        )
        for each in answers
        for bout in each.cell.bouts[:1]
        if (each.left, each.effort, each.pain) != (None, None, None)
    ]
