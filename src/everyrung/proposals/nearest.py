"""Where a brief has no proposal: the change of it that asks for least less and has one."""

from collections.abc import Iterator
from dataclasses import replace

from everyrung.moves.library import Library
from everyrung.proposals.search import OnStep, propose
from everyrung.store.cache import Cache
from everyrung.terms.enums import Level
from everyrung.terms.session_brief import MOST_MINUTES, SessionBrief

MORE_MINUTES = (5, 10, 15)  # chosen, because a slot is asked for by such steps


def nearest_brief(
    brief: SessionBrief, library: Library, *, cache: Cache | None = None, on_step: OnStep | None = None
) -> tuple[str, SessionBrief] | None:
    """What to change, in words, and the brief that is then kept; None where no single change helps."""
    for words, other in _easier_briefs(brief, library):
        if next(propose(other, library, count=1, cache=cache, on_step=on_step), None):
            return words, other
    return None


def _easier_briefs(brief: SessionBrief, library: Library) -> Iterator[tuple[str, SessionBrief]]:
    """The brief with one wish fewer, the smallest first; what people have to avoid is no wish, and stays."""
    if brief.rounds:
        yield "leave the number of rounds open", replace(brief, rounds=0)
    for key in brief.include:
        left = tuple(each for each in brief.include if each != key)
        yield f"do without {library.move(key).name.lower()}", replace(brief, include=left)
    if brief.exclude:
        yield "allow the moves you did not want", replace(brief, exclude=())
    for more in MORE_MINUTES:
        if brief.minutes + more <= MOST_MINUTES:
            yield f"{brief.minutes + more} minutes", replace(brief, minutes=brief.minutes + more)
    levels = list(Level)
    for level in levels[levels.index(brief.level) + 1 :]:
        yield f"offer it as {level}", replace(brief, level=level)
    if not brief.floor:
        yield "let people get down to the floor", replace(brief, floor=True)
    if brief.focus:
        yield "train the whole body", replace(brief, focus=())
