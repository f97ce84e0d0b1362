"""Reading people: a TOML file with the health answers kept beside it, or a spreadsheet saved as CSV."""

from collections.abc import Collection, Iterable
from pathlib import Path, PurePath

from everyrung.parsing.table_reader import FileFaults, Table
from everyrung.people.csv_import import people_from_sheet
from everyrung.people.health import (
    HealthAnswer,
    health_path,
    join_health,
    person_tables,
    private_document,
    private_text,
    read_health,
    split,
)
from everyrung.people.person import read_persons
from everyrung.terms.errors import Fault, Faults, Invalid, Where, fault_at, nearest
from everyrung.terms.person import Person

KINDS = (".toml", ".csv")


def read_people(path: Path) -> tuple[Person, ...]:
    """The people at `path`, with their health answers. Raises Faults with every fault found in all files read."""
    check_kind(path)
    if path.suffix.casefold() == ".csv":
        return people_from_text(private_text(path), str(path))
    beside = health_path(path)
    if not beside.exists():
        return people_from_text(private_text(path), str(path))
    faults: list[Fault] = []
    people: tuple[Person, ...] = ()
    answers: tuple[HealthAnswer, ...] = ()
    try:
        people = people_from_text(private_text(path), str(path))
    except Faults as problem:
        faults.extend(problem.faults)
    try:
        answers = read_health(beside)
    except Faults as problem:
        faults.extend(problem.faults)
    if faults:
        raise Faults(faults)
    return join_health(people, answers)


def answered_in(path: Path) -> tuple[Path, ...]:
    """The files that health answers of the people at `path` stand in. Raises Faults."""
    _, own = split(people_from_text(private_text(path), str(path)))
    beside = health_path(path)
    apart = path.suffix.casefold() == ".toml" and beside.exists()
    return (*([path] if own else []), *([beside] if apart else []))


def unknown_people(strangers: Iterable[tuple[Where, str]], names: Collection[str]) -> Faults:
    """What is wrong with names that nobody in `names` has, each with the place where it stands."""
    return Faults(
        fault_at(where, Invalid("person", "one of the people", name, nearest=nearest(name, tuple(names))))
        for where, name in strangers
    )


def people_from_text(text: str, file: str) -> tuple[Person, ...]:
    """The people in a text; the ending of `file` says of which kind it is. Raises Faults."""
    return (people_from_sheet if file.casefold().endswith(".csv") else _from_toml)(text, file)


def check_kind(path: PurePath) -> None:
    """Raises Faults unless the ending says that people are in it."""
    where = Where(file=str(path), line=0, field="file")
    if path.suffix.casefold() not in KINDS:
        remedy = "In a spreadsheet save it as CSV UTF-8."
        raise Faults([Fault(where=where, expected="a .toml or a .csv file", got=path.name, remedy=remedy)])
    if path.name.casefold().endswith(".health.toml"):
        people = f"{path.name[: -len('.health.toml')]}.toml"
        raise Faults([Fault(where=where, expected="a file of people", got="the health answers kept beside one",
                            nearest=people)])  # fmt: skip


def _from_toml(text: str, file: str) -> tuple[Person, ...]:
    reading = FileFaults(file, text)
    table = Table(reading, private_document(text, file))
    people = read_persons(person_tables(table))
    if not people and table.clean:
        problem = Invalid("person", "at least one [[person]]", "none")
        reading.fault(("file",), problem)
    table.finish()
    return people
