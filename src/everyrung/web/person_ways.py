"""Each person's way through a session before it is led: who on the list, by initials, takes what instead of it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from everyrung.moves.library import Library
from everyrung.room.paths import Source, Step, path
from everyrung.terms.enums import Caution
from everyrung.terms.finding import name_list
from everyrung.terms.person import Person
from everyrung.terms.session import Session
from everyrung.web.who_takes import initials

NOTHING = "no version without it: march, or rest"
MOST_PEOPLE = 200  # shown; chosen, because a list longer than a class is not read before it
KNOW = "know it beforehand"
SOURCES = {Source.OFFERED: "offered", Source.LADDER: KNOW, Source.OTHER_MOVE: KNOW}


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonWay:
    """One person: what they avoid, how many of all sets they do in another version, and which; `gaps` have none."""

    name: str
    avoids: str
    sets: int
    others: int
    gaps: int
    lines: tuple[tuple[str, str, str], ...]


def person_ways(session: Session, library: Library, people: Sequence[Person]) -> tuple[PersonWay, ...]:
    """Those who avoid something, in the order of the list, by initials; and whoever the plan says may come."""
    short = initials([each.name for each in people])
    limits = [(name, each.health.limits if each.health else ()) for name, each in zip(short, people, strict=True)]
    ways = [_way(session, library, name, avoid) for name, avoid in limits[:MOST_PEOPLE] if avoid]
    if session.who.limits:
        ways.append(_way(session, library, "Somebody who comes, as the plan says", session.who.limits))
    return tuple(ways)


def _way(session: Session, library: Library, name: str, avoid: Sequence[Caution]) -> PersonWay:
    steps = path(session, library, avoid)
    others = [step for step in steps if step.source is not Source.LED]
    return PersonWay(
        name=name,
        avoids=name_list(map(str, avoid)),
        sets=len(steps),
        others=len(others),
        gaps=sum(step.rung is None for step in steps),
        lines=tuple(_lines(others, library)),
    )


def _lines(steps: Sequence[Step], library: Library) -> Iterator[tuple[str, str, str]]:
    """Move, what is done instead, and whether it is offered; rounds that are alike stand together."""
    rounds: dict[tuple[str, str, str], list[str]] = {}
    for step in steps:
        words = step.rung.name if step.rung else NOTHING
        if step.rung and step.source is Source.OTHER_MOVE:
            move = library.move(step.rung.move).name
            words = words if move in words else f"{move}: {words}"
        offer = SOURCES.get(step.source, "tell them") if step.source else "tell them"
        rounds.setdefault((step.cell.move.name, words, offer), []).append(step.cell.ref.round)
    for (move, words, offer), names in rounds.items():
        yield f"{move}, {name_list(dict.fromkeys(names))}", words, offer
