"""Findings as they are read: those of one rule together, the gravest first, no more at once than can be taken in."""

from collections.abc import Iterable, Sequence

from everyrung.terms.enums import Severity
from everyrung.terms.finding import Finding
from everyrung.terms.frozen import dataclass

MOST_GROUPS = 7  # at once; chosen, because more is a list that nobody works through. Errors are shown however many


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """The findings of one rule, one or more, the gravest first."""

    findings: tuple[Finding, ...]

    @property
    def rule(self) -> str:
        """What all of them are of."""
        return self.findings[0].rule

    @property
    def severity(self) -> Severity:
        """That of its gravest finding."""
        return self.findings[0].severity


def group_findings(findings: Iterable[Finding]) -> tuple[Group, ...]:
    """Each finding once: by rule, the rule with the gravest finding first, else in the order given."""
    order = list(Severity)
    by_rule: dict[str, list[Finding]] = {}
    for each in sorted(findings, key=lambda one: order.index(one.severity)):
        by_rule.setdefault(each.rule, []).append(each)
    return tuple(Group(findings=tuple(members)) for members in by_rule.values())


def first_groups(groups: Sequence[Group]) -> tuple[tuple[Group, ...], tuple[Group, ...]]:
    """What is shown at once, and what waits: seven groups, and every one with an error."""
    errors = sum(group.severity is Severity.ERROR for group in groups)
    count = max(MOST_GROUPS, errors)
    return tuple(groups[:count]), tuple(groups[count:])
