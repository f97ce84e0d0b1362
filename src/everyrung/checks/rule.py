"""What a rule is: a function that looks at one thing and yields findings, and what it says of itself."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import cache
from inspect import cleandoc
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from everyrung.terms.enums import Severity
from everyrung.terms.finding import Finding
from everyrung.terms.frozen import dataclass
from everyrung.terms.session import Session
from everyrung.terms.timeline import CueTrack, Timeline

if TYPE_CHECKING:
    from everyrung.terms.demand import Mechanics
    from everyrung.terms.forecast import Forecast

Evidence = TypeVar("Evidence")


@dataclass(frozen=True, slots=True, eq=False)
class LooksAt(Generic[Evidence]):
    """What a rule looks at beside the session. A rule is left out where there is none of it."""

    words: str


TIMELINE: LooksAt[Timeline] = LooksAt("the plan and its clock")
BODIES: LooksAt[Mechanics] = LooksAt("12 reference bodies")
AUDIENCE: LooksAt[Forecast] = LooksAt("the audience")
CUES: LooksAt[Sequence[CueTrack]] = LooksAt("the cues")
ORDER: tuple[LooksAt[Timeline] | LooksAt[Mechanics] | LooksAt[Forecast] | LooksAt[Sequence[CueTrack]], ...]
ORDER = (TIMELINE, BODIES, AUDIENCE, CUES)


@dataclass(frozen=True, slots=True, eq=False)
class Rule(Generic[Evidence]):
    """One rule. Its id, which its findings carry, is its function's name with dashes; its function's docstring has
    what it says, and after that the lines `Severity: `, `Limit: ` and `Source: `.
    """

    looks_at: LooksAt[Evidence]
    judge: Callable[[Session, Evidence], Iterator[Finding]]

    @property
    def id(self) -> str:
        """Its function's name with dashes: 'sides-unequal'."""
        return getattr(self.judge, "__name__", "").replace("_", "-")

    @property
    def source(self) -> str:
        """Who set its limit, as its findings and the page of rules say it; that page, where `python -OO` leaves
        docstrings out. Raises ValueError as rule_text() does.
        """
        return rule_text(self).source if self.judge.__doc__ else "docs/rules.md"

    @property
    def only_notes(self) -> bool:
        """Whether it says that it finds nothing graver than a note."""
        return bool(self.judge.__doc__) and rule_text(self).severity == Severity.NOTE

    def __call__(self, session: Session, evidence: Evidence) -> Iterator[Finding]:
        """Every finding of this rule."""
        return self.judge(session, evidence)


def rule(
    looks_at: LooksAt[Evidence],
) -> Callable[[Callable[[Session, Evidence], Iterator[Finding]]], Rule[Evidence]]:
    """Makes a rule of a function that looks at the session and at one thing more: `@rule(TIMELINE)`."""
    return lambda judge: Rule(looks_at, judge)


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleText:
    """What a rule's docstring says, line by line, for the page of rules."""

    rule: str
    looks_at: str
    says: str
    severity: str
    limit: str
    source: str


@cache
def rule_text(rule: Rule[Any]) -> RuleText:
    """What a rule says of itself. Raises ValueError when its docstring lacks a line."""
    says, fields = [], {}
    for line in cleandoc(rule.judge.__doc__ or "").splitlines():
        name, colon, value = line.partition(": ")
        if colon and name in ("Severity", "Limit", "Source"):
            fields[name.lower()] = value
        elif line.startswith(" ") and fields:
            last = list(fields)[-1]
            fields[last] += f" {line.strip()}"
        elif line.strip():
            says.append(line.strip())
    if not says or len(fields) != 3:
        raise ValueError(f"{rule.id}: a docstring with what it says, Severity, Limit and Source")
    return RuleText(rule=rule.id, looks_at=rule.looks_at.words, says=" ".join(says), **fields)
