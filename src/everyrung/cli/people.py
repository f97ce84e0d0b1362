"""List the people of a file and what is not known of them; keep their health answers in a file of its own."""

import argparse
import sys
from pathlib import Path

EPILOG = (
    "FILE is TOML or a spreadsheet saved as CSV. Health answers are counted, never printed. See docs/people-file.md."
)


def arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `people`."""
    parser.add_argument("file", type=Path, metavar="FILE", help="a file of people (.toml or .csv)")
    parser.add_argument("--out", type=Path, metavar="FILE", help="write them there (.toml), health answers beside it")
    parser.add_argument("--replace", action="store_true", help="let --out write over another file")


def run(parsed: argparse.Namespace) -> int:
    """Prints the people of one file, and writes them where that is asked."""
    from everyrung.cli.people_words import health_line, people_lines
    from everyrung.people.read import answered_in, read_people
    from everyrung.people.write import write_people

    if parsed.out:
        _check_out(parsed.out, parsed.file, replace=parsed.replace)
    people = read_people(parsed.file)
    print("\n".join(people_lines(people)))
    if parsed.out is None:
        print(health_line(people, answered_in(parsed.file)))
        return 0
    written = write_people(people, parsed.out)
    print(health_line(people, written[-1:]))
    for path in written:
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
