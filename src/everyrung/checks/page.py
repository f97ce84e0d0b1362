"""The page of rules, written from what the rules say of themselves.

`python -m everyrung.checks.page > docs/rules.md` writes it anew.
"""

import sys
from dataclasses import dataclass
from inspect import getdoc

from everyrung.checks.registry import (
    AUDIENCE_RULES,
    BODY_RULES,
    CUE_RULES,
    RULES,
    AudienceRule,
    BodyRule,
    CueRule,
    Rule,
    rule_id,
)

_HEAD = """\
# The rules

Written by `python -m everyrung.checks.page > docs/rules.md` from the rules' own words; change them there.

An **error** means: do not lead it so. A **warning** means: change it, or know why not. A **note** is for information.
Everyrung is a planning aid and gives no medical advice. Local rules and licensed practice come first, always.

| Rule | Severity | What it says | Limit | Who set it |
|---|---|---|---|---|
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleText:
    """One rule in words, as its docstring gives them."""

    rule: str
    says: str
    severity: str
    limit: str
    source: str


def rule_text(rule: Rule | BodyRule | AudienceRule | CueRule) -> RuleText:
    """What a rule says of itself. Raises ValueError when its docstring lacks a line."""
    says, fields = [], {}
    for line in (getdoc(rule) or "").splitlines():
        name, colon, value = line.partition(": ")
        if colon and name in ("Severity", "Limit", "Source"):
            fields[name.lower()] = value
        elif line.startswith(" ") and fields:
            last = list(fields)[-1]
            fields[last] += f" {line.strip()}"
        elif line.strip():
            says.append(line.strip())
    if not says or len(fields) != 3:
        raise ValueError(f"{rule_id(rule)}: a docstring with what it says, Severity, Limit and Source")
    return RuleText(rule=rule_id(rule), says=" ".join(says), **fields)


def page() -> str:
    """The Markdown of docs/rules.md."""
    every: tuple[Rule | BodyRule | AudienceRule | CueRule, ...] = (*RULES, *BODY_RULES, *AUDIENCE_RULES, *CUE_RULES)
    rows = [rule_text(rule) for rule in every]
    lines = [f"| `{row.rule}` | {row.severity} | {row.says} | {row.limit} | {row.source} |" for row in rows]
    return _HEAD + "\n".join(lines) + "\n"


if __name__ == "__main__":
    sys.stdout.write(page())
