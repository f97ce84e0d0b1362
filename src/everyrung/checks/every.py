"""All the rules, and the one way to run them."""

from collections.abc import Callable, Iterator

from everyrung.terms.finding import Finding
from everyrung.terms.session import Session
from everyrung.terms.timeline import Timeline
from everyrung.terms.vocabulary import Severity

Rule = Callable[[Session, Timeline], Iterator[Finding]]
RULES: tuple[Rule, ...] = ()


def check(session: Session, timeline: Timeline) -> tuple[Finding, ...]:
    """Every finding of every rule, errors first, then in the order of the file."""
    found = [finding for rule in RULES for finding in rule(session, timeline)]
    order = list(Severity)
    return tuple(sorted(found, key=lambda each: (order.index(each.severity), each.where.line, each.rule)))
