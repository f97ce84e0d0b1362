"""Opening files that may hold health answers, so that no fault shows a piece of one.

What people said of their health: read, kept in a file of its own, and never shown in a fault.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

from everyrung.moves.limit_words import probably
from everyrung.parsing.document import parse, read_text
from everyrung.parsing.table_reader import MAX_FAULTS, FileFaults, Table, attempt, words
from everyrung.terms.enums import Caution
from everyrung.terms.errors import Fault, Faults, Invalid, Where, fault_at, nearest, or_list
from everyrung.terms.person import Health, Person, same_name

HIDDEN = "not shown (health answer)"


def private_text(path: Path) -> str:
    """The file's text; when it is not UTF-8 the fault shows no sample, which might hold an answer."""
    try:
        return read_text(path)
    except Faults as faults:
        remedy = 'Save it as UTF-8; in a spreadsheet the kind of file is "CSV UTF-8".'
        hidden = [replace(each, remedy=remedy) if "byte 0x" in each.got else each for each in faults.faults]
        raise Faults(hidden) from None


def private_document(text: str, file: str) -> dict[str, Any]:
    """The TOML document; when it is not TOML the fault names the line and does not show it."""
    try:
        return parse(text, file)
    except Faults as faults:
        raise Faults(
            replace(each, got="a line that is not (not shown: it may hold a health answer)") for each in faults.faults
        ) from None


def person_tables(table: Table) -> Iterator[Table]:
    """The [[person]] tables; anything else under that name is a fault that shows none of it."""
    nobody: list[dict[str, Any]] = []
    for place, values in enumerate(table.take("person", _list_of_tables, nobody) or nobody):
        yield Table(table.reading, values, ("person", place))


def _list_of_tables(value: Any) -> list[dict[str, Any]]:
    if not isinstance(value, list) or not all(isinstance(each, dict) for each in value):
        got = "one table" if isinstance(value, dict) else "something else"
        raise Invalid("", "[[person]] above the fields of each person", got, remedy="Write two brackets: [[person]].")
    return value


YES, NO = ("yes", "y", "true"), ("no", "n", "false")
_KNOWN = {each.value: each for each in Caution}
_BETWEEN = re.compile(r"[;/|,\n]")
HealthAnswer = tuple[Where, str, Health]


def health_path(path: Path) -> Path:
    """'people.health.toml' beside 'people.toml'."""
    return path.with_name(f"{path.stem}.health.toml")


def split(people: Iterable[Person]) -> tuple[tuple[Person, ...], dict[str, Health]]:
    """The people without their health answers, and the answers of those who gave any, by name."""
    everyone = tuple(people)
    answers = {person.name: person.health for person in everyone if person.health != Health()}
    return tuple(replace(person, health=Health()) for person in everyone), answers


def take_health(table: Table) -> Health:
    """The fields `limits` and `medicine` of one person."""
    limits: list[Caution] = []
    nothing: tuple[str, ...] = ()
    for place, word in enumerate(table.take("limits", _limit_words, nothing) or nothing):
        if word.casefold() in _KNOWN:
            limits.append(_KNOWN[word.casefold()])
        else:
            remedy = f"Mend word {place + 1} of the limits. {probably(word)}".strip()
            problem = Invalid("", f"limits among {or_list(_KNOWN, 30)}", HIDDEN, remedy=remedy)
            table.reading.fault((*table.path, "limits", place), problem)
    return Health(limits=tuple(limits), rate_limiting=bool(table.take("medicine", _medicine, False)))


def read_health(path: Path) -> tuple[HealthAnswer, ...]:
    """The entries of a health file. Raises Faults that show nothing of what was answered."""
    return health_from_text(private_text(path), str(path))


def health_from_text(text: str, file: str) -> tuple[HealthAnswer, ...]:
    """The entries of a health file's text. Raises Faults."""
    reading = FileFaults(file, text)
    table = Table(reading, private_document(text, file))
    result = attempt(person_tables(table), _answer)
    table.finish()
    return result


def join_health(people: tuple[Person, ...], answers: tuple[HealthAnswer, ...]) -> tuple[Person, ...]:
    """The people with their answers. Raises Faults for a name that nobody has, or that is answered for twice."""
    names = {same_name(person.name): person for person in people}
    faults: list[Fault] = []
    for where, name, health in answers:
        person = names.get(same_name(name))
        if person is None:
            near = nearest(name, [each.name for each in people])
            problem = Invalid("", "a name from the people file", name, nearest=near)
        elif person.health not in (Health(), health):
            remedy = f"Keep one of the two; the other is on line {person.where.line} of {person.where.file}."
            problem = Invalid("", "one set of health answers for each person", f"two for {name}", remedy=remedy)
        else:
            names[same_name(name)] = replace(person, health=health)
            continue
        faults.append(fault_at(where, problem))
        if len(faults) == MAX_FAULTS:
            break
    if faults:
        raise Faults(faults)
    return tuple(names.values())


def _answer(table: Table) -> HealthAnswer:
    name = table.take("name", words)
    health = take_health(table)
    table.check_fields()
    return table.reading.where((*table.path, "name")), name, health


def _limit_words(value: Any) -> tuple[str, ...]:
    texts = value if isinstance(value, list) else [value]
    if not all(isinstance(each, str) for each in texts):
        raise Invalid("", f"words among {or_list(_KNOWN, 30)}", HIDDEN)
    parts = [" ".join(part.split()) for each in texts for part in _BETWEEN.split(each)]
    limits = tuple(part for part in parts if part)
    return () if len(limits) == 1 and limits[0].casefold() in ("none", "no") else limits


def _medicine(value: Any) -> bool:
    word = str(value).strip().casefold() if isinstance(value, str | bool) else ""
    if word not in (*YES, *NO):
        remedy = "This asks whether they take medicine that limits the heart rate: no names, no doses."
        raise Invalid("", "yes or no", HIDDEN, remedy=remedy)
    return word in YES
