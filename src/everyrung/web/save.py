"""Changing a session: an edit on top of what its page showed, brought together with what others did in between."""

from dataclasses import dataclass

from everyrung.moves.library import standard_library
from everyrung.plan.diff import Change, changes, clashes
from everyrung.plan.edit import apply_edit
from everyrung.plan.read import plan_from_text
from everyrung.store.sessions import Conflict, Draft, Revision, Sessions
from everyrung.terms.edit import Edit, Several
from everyrung.terms.errors import Faults, Invalid
from everyrung.terms.plan import Plan
from everyrung.web.difference import between, in_short
from everyrung.web.field_words import refusals

FILE = "plan.toml"  # what faults of a session's text are said to be in
TRIES = 20  # of saving while others save too; chosen, because ten people at once need a handful
NO_TITLE, NO_MINUTES = "A plan that can't be read yet", 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Clash:
    """Nothing was saved: `theirs` says what others changed at the same place since the page was made."""

    head: Revision
    mine: tuple[Change, ...]
    theirs: tuple[Change, ...]
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class NewVersion:
    """The new current version; `theirs` says what others had changed elsewhere."""

    head: Revision
    theirs: tuple[Change, ...] = ()


def change(sessions: Sessions, session: str, base: int, edit: Edit) -> NewVersion | Clash:
    """Saves one edit. Raises NotFound, Invalid for a place that is not there, Faults when the result is no plan."""
    library = standard_library()
    for _ in range(TRIES):
        head = sessions.head(session)
        under = head if head.number == base else sessions.revision(session, base)
        theirs = differing(under.text, head.text) if under is not head else ()
        if under is not head:
            mine_alone = apply_edit(under.text, edit, library, FILE)
            if clashes(*(changes(_plan(under.text), _plan(text)) for text in (mine_alone, head.text))):
                return Clash(head=head, mine=differing(under.text, mine_alone), theirs=theirs)
        try:
            text = apply_edit(head.text, edit, library, FILE)
        except (Invalid, Faults) as problem:
            if under is head:
                raise
            mine = differing(under.text, apply_edit(under.text, edit, library, FILE))
            return Clash(head=head, mine=mine, theirs=theirs, why=" ".join(refusals(problem)))
        if text == head.text:
            return NewVersion(head=head, theirs=theirs)
        try:
            words = in_short(differing(head.text, text))
            what = f"{edit}: {words}" if isinstance(edit, Several) else words
            return NewVersion(head=sessions.save(session, head.number, draft(text, what)), theirs=theirs)
        except Conflict:
            continue
    raise TimeoutError("too many others save at once")


def replace_text(sessions: Sessions, session: str, base: int, text: str, what: str) -> NewVersion | Clash:
    """Saves a whole text, one that can't be read yet too; only on top of what its page showed. Raises NotFound."""
    try:
        return NewVersion(head=sessions.save(session, base, draft(text, what)))
    except Conflict as conflict:
        under = sessions.revision(session, base)
        return Clash(
            head=conflict.head, mine=differing(under.text, text), theirs=differing(under.text, conflict.head.text)
        )


def draft(text: str, what: str) -> Draft:
    """A text to be saved, under the title that it has."""
    try:
        plan = _plan(text)
    except Faults:
        return Draft(text=text, title=NO_TITLE, slot_minutes=NO_MINUTES, what=what)
    return Draft(text=text, title=plan.title, slot_minutes=plan.slot_ms // 60_000, what=what)


def _plan(text: str) -> Plan:
    return plan_from_text(text, FILE)


def differing(before: str, after: str) -> tuple[Change, ...]:
    """What differs between two texts of a session, also where one is no plan."""
    try:
        return between(before, after, standard_library(), FILE)
    except Faults:
        return (Change(place="Text", was="as it was", now="changed, and can't be read as a plan"),)
