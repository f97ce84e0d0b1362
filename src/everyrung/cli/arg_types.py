"""Values given on the command line, refused in words when they make no sense."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from everyrung.parsing import body_size
from everyrung.parsing.units import mass
from everyrung.terms.errors import Invalid
from everyrung.terms.units import Mass

if TYPE_CHECKING:
    from datetime import date, datetime, tzinfo

    from everyrung.moves.library import Library


def add_own_cues(parser: argparse.ArgumentParser) -> None:
    """The option of commands that say something: `library` takes it."""
    parser.add_argument(
        "--own-cues", type=Path, metavar="FILE", help="your own cues, said before the library's (.toml)"
    )


def add_room(parser: argparse.ArgumentParser) -> None:
    """The options of commands that know the room: `room_options` takes them."""
    parser.add_argument("--room", type=Path, metavar="FILE", help="the room it is led in (.toml, see docs/room.md)")
    parser.add_argument("--room-people", type=int, metavar="N", help="people in it (default: as the plan says)")


def room_options(args: argparse.Namespace) -> dict[str, Any]:
    """What of `add_room` was given, for `progress.options`. Raises Faults for a file that is no room."""
    if not args.room:
        return {}
    from everyrung.room.read import read_room  # shapely: only when asked for

    return {"room": read_room(args.room), "room_people": args.room_people}


def library(args: argparse.Namespace) -> "Library":
    """The library, with the coach's own cues where a file of them is given. Raises Faults."""
    from everyrung.moves.library import standard_library

    moves = standard_library()
    if not args.own_cues:
        return moves
    from everyrung.moves.own_cue_file import read_own_cues

    return standard_library(read_own_cues(args.own_cues, moves))


def add_cluster(parser: argparse.ArgumentParser) -> None:
    """The option of commands that compute much: `everyrung.cli.main` turns to it."""
    words = "compute on the Dask cluster with this scheduler, tcp://HOST:PORT (default: EVERYRUNG_CLUSTER, or here)"
    parser.add_argument("--cluster", type=cluster, metavar="ADDRESS", help=words)


def cluster(text: str) -> str:
    """A scheduler's address, such as tcp://192.0.2.7:8786."""
    from everyrung.executors.address import check_address

    try:
        return check_address(text)
    except Invalid as problem:
        raise argparse.ArgumentTypeError(f"expected {problem.expected}, got {text!r}. {problem.remedy}") from None


def day(text: str) -> "date":
    """A day such as 2026-11-30."""
    from datetime import date

    try:
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"expected a day such as 2026-11-30, got {text!r}") from None


def minutes(text: str) -> int:
    """A slot from 5 to 240 minutes."""
    if not text.isascii() or not text.isdigit() or not 5 <= int(text) <= 240:
        raise argparse.ArgumentTypeError(f"expected a whole number of minutes from 5 to 240, got {text!r}")
    return int(text)


def stature(text: str) -> float:
    """A stature in m from "165cm", "1.65 m" or "5 ft 5 in"."""
    try:
        return body_size.stature(text)
    except Invalid as problem:
        usual = 'a stature such as 165cm, "1.65 m" or "5 ft 5 in"'
        raise argparse.ArgumentTypeError(f"expected {usual}, got {text!r}. {problem.remedy}".rstrip()) from None


def body_mass(text: str) -> float:
    """A body's mass in kg from "62kg" or "137 lb"."""
    try:
        return body_size.body_mass(text)
    except Invalid as problem:
        usual = 'a mass such as 62kg, "137 lb" or "9 st 11 lb"'
        raise argparse.ArgumentTypeError(f"expected {usual}, got {text!r}. {problem.remedy}".rstrip()) from None


def piece(text: str) -> Mass:
    """A mass with its unit, such as 10lb or 62kg."""
    try:
        return mass(text)
    except Invalid as problem:
        raise argparse.ArgumentTypeError(f"expected {problem.expected}, got {text!r}. {problem.remedy}") from None


def count(text: str) -> int:
    """People to simulate, 1 to ten million."""
    return _whole(text, 1, 10_000_000, "people")


def seed(text: str) -> int:
    """A number that says which people are drawn."""
    return _whole(text, 0, 2**32 - 1, "whole numbers")


def _whole(text: str, low: int, high: int, what: str) -> int:
    plain = text.replace("_", "").replace(",", "")
    if not plain.isascii() or not plain.isdigit() or not low <= int(plain) <= high:
        raise argparse.ArgumentTypeError(f"expected {low:,} to {high:,} {what}, got {text!r}")
    return int(plain)


def moment(text: str) -> "datetime":
    """A moment with its zone, such as 2026-03-19T18:30+02:00."""
    from datetime import datetime

    try:
        value = datetime.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"expected a time such as 2026-03-19T18:30+02:00, got {text!r}") from None
    if value.tzinfo is None:
        raise argparse.ArgumentTypeError(f"expected a time with its zone, such as {text}+02:00, got {text!r}")
    return value


def zone(text: str) -> "tzinfo":
    """A time zone such as Europe/Helsinki."""
    from zoneinfo import ZoneInfo

    try:
        return ZoneInfo(text)
    except (LookupError, ValueError, OSError):
        raise argparse.ArgumentTypeError(f"expected a zone such as Europe/Helsinki, got {text!r}") from None
