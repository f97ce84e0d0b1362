"""All the rules, and the one way to run them: those of the modules in checks/rules, and those of other packages that
the entry point group `everyrung.rules` names.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from everyrung.checks import rules as package
from everyrung.checks.rule import AUDIENCE, BODIES, CUES, ORDER, TIMELINE, LooksAt, Rule, rule_text
from everyrung.plugins import Plugin, instances_in, of_plugins, own_modules, trouble_words
from everyrung.terms.enums import Severity
from everyrung.terms.errors import Where
from everyrung.terms.finding import Finding, WholeSession
from everyrung.terms.frozen import dataclass
from everyrung.terms.session import Session
from everyrung.terms.timeline import CueTrack, Timeline

if TYPE_CHECKING:
    from everyrung.terms.demand import Mechanics
    from everyrung.terms.forecast import Forecast

GROUP = "everyrung.rules"


@dataclass(frozen=True, slots=True, kw_only=True)
class Registry:
    """The rules that are ours; those of others, each with the plug-in it is from; and a sentence for each plug-in that
    cannot be used.
    """

    ours: tuple[Rule[Any], ...]
    others: tuple[tuple[Plugin, Rule[Any]], ...]
    problems: tuple[str, ...]

    @property
    def rules(self) -> tuple[Rule[Any], ...]:
        """Every rule, by what it looks at."""
        every = (*self.ours, *(rule for _, rule in self.others))
        return tuple(sorted(every, key=lambda rule: ORDER.index(rule.looks_at)))


@lru_cache
def registry() -> Registry:
    """Every rule there is; looked for once, then kept."""
    ours = dict.fromkeys(rule for module in own_modules(package) for rule in instances_in(module, Rule))
    others, problems = _of_others({rule.id for rule in ours})
    return Registry(ours=tuple(ours), others=tuple(others), problems=tuple(problems))


def rules(looks_at: LooksAt[Any] | None = None) -> tuple[Rule[Any], ...]:
    """Every rule; those that look at one thing alone where it is named.

    >>> [rule.id for rule in rules(TIMELINE)][:1]
    ['stop-signs-unsaid']
    """
    return tuple(rule for rule in registry().rules if looks_at in (None, rule.looks_at))


def check(
    session: Session,
    timeline: Timeline,
    mechanics: Mechanics | None = None,
    forecast: Forecast | None = None,
    tracks: Sequence[CueTrack] = (),
    *,
    notes: bool = True,
) -> tuple[Finding, ...]:
    """Every finding of every rule, errors first, then in the order of the file; those of the bodies, of the audience
    and of the cues where there are any. A plug-in's rule that fails is a finding that says so. Without `notes` the
    rules are left out that find nothing graver.

    >>> from everyrung import analyze
    >>> evening = analyze("examples/boathouse-30.toml")
    >>> [finding.rule for finding in check(evening.session, evening.timeline)]
    []
    """
    evidence: dict[LooksAt[Any], Any] = {TIMELINE: timeline, BODIES: mechanics, AUDIENCE: forecast, CUES: tracks}
    register = registry()
    findings = [_not_loaded(session, problem) for problem in register.problems]
    for rule in register.ours:
        if evidence[rule.looks_at] and (notes or not rule.only_notes):
            findings += rule(session, evidence[rule.looks_at])
    for plugin, rule in register.others:
        if evidence[rule.looks_at]:
            findings += _of_plugin(plugin, rule, session, evidence[rule.looks_at])
    return gravest_first(findings)


def gravest_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Errors first, then in the order of the file."""
    order = list(Severity)
    return tuple(sorted(findings, key=lambda each: (order.index(each.severity), each.where.line, each.rule)))


def _of_others(ids: set[str]) -> tuple[list[tuple[Plugin, Rule[Any]]], list[str]]:
    """Rules of plug-ins that can be run, and a sentence for each thing that cannot."""

    def refusal(rule: Rule[Any]) -> str:
        problem = f"its id {rule.id!r} is another rule's" if rule.id in ids else _unusable(rule)
        if not problem:
            ids.add(rule.id)
        return problem

    return of_plugins(GROUP, Rule, "a", refusal)


def _unusable(rule: Rule[Any]) -> str:
    if rule.looks_at not in ORDER:
        return f"{rule.id} looks at none of TIMELINE, BODIES, AUDIENCE and CUES"
    try:
        rule_text(rule)
    except ValueError as error:
        return f"it lacks a line of its words ({error})"
    return ""


def _of_plugin(plugin: Plugin, rule: Rule[Any], session: Session, evidence: Any) -> Iterator[Finding]:
    """The findings of another package's rule, each tried for whether it can be shown."""
    try:
        for finding in rule(session, evidence):
            if not isinstance(finding, Finding):
                raise TypeError(f"a finding expected, got {finding!r}")
            hash(finding.identity), str(finding)
            yield finding
    except Exception as error:
        words = f"The rule {rule.id!r} of the plug-in {plugin.name!r} failed: {trouble_words(error)}."
        yield _not_loaded(session, words, rule.id)


def _not_loaded(session: Session, problem: str, what: str = "") -> Finding:
    return Finding(
        rule="plug-in-failed",
        what=what or problem,
        severity=Severity.WARNING,
        where=Where(file=session.where.file, line=0, field="rules"),
        places=(WholeSession(),),
        measured=problem.rstrip("."),
        limit="0 plug-ins that fail",
        source="chosen, because a check that is silently left out would be taken for one that was passed",
        remedy="Update or uninstall the plug-in; every other rule was run.",
    )
