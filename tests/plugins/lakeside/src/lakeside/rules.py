"""Rules of one boathouse. The entry point group `everyrung.rules` names this module."""

from collections.abc import Iterator

from everyrung.checks.rule import TIMELINE, rule
from everyrung.terms.enums import Severity
from everyrung.terms.finding import Finding, WholeSession
from everyrung.terms.session import Session
from everyrung.terms.timeline import Timeline

MOST_PEOPLE = 10  # mats fit between the boats; measured with a tape in our own (invented) boathouse


@rule(TIMELINE)
def mats_between_boats(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """No more people are in the room than mats fit between the boats.

    Severity: warning
    Limit: 10 people in the room
    Source: the plan's own room: measured in the boathouse
    """
    if session.who.in_room > MOST_PEOPLE:
        yield Finding(
            rule=mats_between_boats.id,
            severity=Severity.WARNING,
            where=session.where,
            places=(WholeSession(),),
            measured=f"{session.who.in_room} people in the room",
            limit=f"at most {MOST_PEOPLE}, for so many mats fit between the boats",
            source=mats_between_boats.source,
            remedy="Carry two boats out before the class, or lead it in two halves.",
        )
