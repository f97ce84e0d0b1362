"""What speaks for a proposal, and what of its brief it leaves out."""

from collections.abc import Iterable, Iterator

from everyrung.proposals.columns import Column
from everyrung.proposals.draft import Draft
from everyrung.terms.enums import Pattern
from everyrung.terms.session_brief import SessionBrief


def missing(brief: SessionBrief, selection: Iterable[Column]) -> list[Pattern]:
    """The patterns of the focus that there is nothing for."""
    there = {column.move.pattern for column in selection}
    return [pattern for pattern in brief.focus if pattern not in there]


def reasons(brief: SessionBrief, session: Draft) -> Iterator[str]:
    """What speaks for it: patterns, kit in use, and how much of the slot it takes."""
    patterns = {column.move.pattern for column in session.columns}
    focus = f"{len(patterns & set(brief.focus))} of {len(brief.focus)} patterns in focus, " if brief.focus else ""
    yield f"{focus}{len(patterns)} in all" if focus else f"{len(patterns)} patterns"
    with_load = sum(1 for column in session.columns if any(version.load for version in column.versions))
    yield f"{with_load} of {len(session.columns)} moves with a load" if brief.kit else "nothing to bring"
    yield f"{session.total_ms / session.plan.slot_ms:.0%} of the slot"


def gives_up(brief: SessionBrief, session: Draft) -> Iterator[str]:
    """What the brief asks for that is not in it."""
    for pattern in missing(brief, session.columns):
        yield f"nothing for {pattern}"
    items = {item for column in session.columns for item in column.kit}
    for item in sorted(set(brief.items) - items):
        yield f"does not use the {item}"
