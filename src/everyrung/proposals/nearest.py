"""Where a brief has no proposal: the change of it that asks for least less and has one."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import combinations

from everyrung.moves.library import Library
from everyrung.proposals.search import OnStep, propose
from everyrung.store.cache import Cache
from everyrung.terms.enums import Level
from everyrung.terms.session_brief import MOST_MINUTES, SessionBrief

MORE_MINUTES = (5, 10, 15)  # chosen, because a slot is asked for by such steps


@dataclass(frozen=True, slots=True, kw_only=True)
class _Less:
    """One wish fewer: of which field, in words, and what it makes of a brief."""

    field: str
    words: str
    of: Callable[[SessionBrief], SessionBrief]


def nearest_brief(
    brief: SessionBrief, library: Library, *, cache: Cache | None = None, on_step: OnStep | None = None
) -> tuple[str, SessionBrief] | None:
    """What to change, in words, and the brief that is then kept: one wish, or two together; None where that does not
    help.
    """
    for words, other in _easier_briefs(brief, library):
        if next(propose(other, library, count=1, cache=cache, on_step=on_step), None):
            return words, other
    return None


def _easier_briefs(brief: SessionBrief, library: Library) -> Iterator[tuple[str, SessionBrief]]:
    """The brief with one wish fewer, then with two, the smallest first."""
    every = list(_wishes(brief, library))
    for each in every:
        yield each.words, each.of(brief)
    for one, other in combinations(every, 2):
        if one.field != other.field or one.field == "include":
            yield f"{one.words}, and {other.words}", other.of(one.of(brief))


def _wishes(brief: SessionBrief, library: Library) -> Iterator[_Less]:
    """What may be left out, the smallest first; what people have to avoid is no wish, and stays."""
    if brief.rounds:
        yield _less("rounds", "leave the number of rounds open", rounds=0)
    for key in brief.include:
        yield _Less(field="include", words=f"do without {library.move(key).name.lower()}", of=_without(key))
    if brief.exclude:
        yield _less("exclude", "allow the moves you did not want", exclude=())
    for more in MORE_MINUTES:
        if brief.minutes + more <= MOST_MINUTES:
            yield _less("minutes", f"{brief.minutes + more} minutes", minutes=brief.minutes + more)
    levels = list(Level)
    for level in levels[levels.index(brief.level) + 1 :]:
        yield _less("level", f"offer it as {level}", level=level)
    if not brief.floor:
        yield _less("floor", "let people get down to the floor", floor=True)
    if brief.focus:
        yield _less("focus", "train the whole body", focus=())


def _less(field: str, words: str, **changes: object) -> _Less:
    return _Less(field=field, words=words, of=lambda brief: replace(brief, **changes))  # type: ignore[arg-type]


def _without(key: str) -> Callable[[SessionBrief], SessionBrief]:
    return lambda brief: replace(brief, include=tuple(each for each in brief.include if each != key))
