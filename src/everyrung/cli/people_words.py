"""The lines that `people` prints: a table without health answers, and what is not known."""

from collections.abc import Sequence
from pathlib import Path

from everyrung.people.kit_parsing import own_words
from everyrung.terms.person import Health, Person

_HEADINGS = ("name", "stature", "mass", "age", "sex", "level", "kit")
_UNKNOWN = "-"


def people_lines(people: Sequence[Person]) -> list[str]:
    """A row for each person, then what was not given."""
    rows = [_HEADINGS, *(_row(person) for person in people)]
    widths = [max(len(row[at]) for row in rows) for at in range(len(_HEADINGS))]
    lines = ["  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows]
    missing = [(person.name, _missing(person)) for person in people]
    lines += ["", f"{len(people)} {'person' if len(people) == 1 else 'people'}."]
    return lines + [f"Not given for {name}: {', '.join(fields)}." for name, fields in missing if fields]


def health_line(people: Sequence[Person], kept: Sequence[Path]) -> str:
    """How many gave health answers and in which files those are; never what they are."""
    count = sum(person.health != Health() for person in people)
    if not count:
        return "No health answers."
    who = "1 person" if count == 1 else f"{count} people"
    apart = all(path.name.endswith(".health.toml") for path in kept)
    remedy = "" if apart else " Keep them apart: --out people.toml."
    return f"Health answers of {who} are kept in {' and '.join(map(str, kept))}.{remedy}"


def _row(person: Person) -> tuple[str, ...]:
    return (
        person.name,
        f"{person.stature_m * 100:.1f}".removesuffix(".0") + " cm",
        f"{person.mass_kg:.1f}".removesuffix(".0") + " kg" if person.mass_kg else _UNKNOWN,
        str(person.age or _UNKNOWN),
        str(person.sex or _UNKNOWN),
        str(person.level or _UNKNOWN),
        "; ".join(map(own_words, person.kit)) or "none",
    )


def _missing(person: Person) -> list[str]:
    known = {"mass": person.mass_kg, "age": person.age, "sex": person.sex, "level": person.level}
    return [key for key, value in known.items() if value is None]
