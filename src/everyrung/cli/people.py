"""List the people of a file and what is not known of them; keep their health answers in a file of its own."""

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path

from everyrung.people.kit_parsing import own_words
from everyrung.terms.person import Health, Person

EPILOG = (
    "FILE is TOML or a spreadsheet saved as CSV. Health answers are counted, never printed. See docs/people-file.md."
)


def arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `people`."""
    parser.add_argument("file", type=Path, metavar="FILE", help="a file of people (.toml or .csv)")
    parser.add_argument("--out", type=Path, metavar="FILE", help="write them there (.toml), health answers beside it")
    parser.add_argument("--replace", action="store_true", help="let --out write over another file")


def run(args: argparse.Namespace) -> int:
    """Prints the people of one file, and writes them where that is asked."""
    from everyrung.people.read import answered_in, read_people
    from everyrung.people.write import write_people

    if args.out:
        _check_out(args.out, args.file, replace=args.replace)
    people = read_people(args.file)
    print("\n".join(people_lines(people)))
    if args.out is None:
        print(health_line(people, answered_in(args.file)))
        return 0
    paths = write_people(people, args.out)
    print(health_line(people, paths[-1:]))
    for path in paths:
        print(f"{path}: written", file=sys.stderr)
    return 0


def _check_out(out: Path, file: Path, *, replace: bool) -> None:
    """Refuses to write over a file other than FILE and the health answers beside it."""
    from everyrung.people.health import health_path
    from everyrung.people.write import check_toml
    from everyrung.terms.errors import Invalid

    check_toml(out)
    same = file.exists() and out.exists() and out.samefile(file)
    there = [path for path in (out, health_path(out)) if path.exists()]
    if there and not same and not replace:
        remedy = "Give another name, or --replace to write over it."
        raise Invalid("--out", "a file that is not there yet", str(there[0]), remedy=remedy)


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


def health_line(people: Sequence[Person], paths: Sequence[Path]) -> str:
    """How many gave health answers and in which files those are; never what they are."""
    count = sum(person.health != Health() for person in people)
    if not count:
        return "No health answers."
    who = "1 person" if count == 1 else f"{count} people"
    apart = all(path.name.endswith(".health.toml") for path in paths)
    remedy = "" if apart else " Keep them apart: --out people.toml."
    return f"Health answers of {who} are kept in {' and '.join(map(str, paths))}.{remedy}"


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
    fields = {"mass": person.mass_kg, "age": person.age, "sex": person.sex, "level": person.level}
    return [key for key, value in fields.items() if value is None]
