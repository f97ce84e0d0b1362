"""The page of rules, written from what the rules say of themselves.

`python -m everyrung.checks.page > docs/rules.md` writes it anew; with `--all` it has the rules of plug-ins too.
"""

import sys

from everyrung.checks.registry import registry
from everyrung.checks.rule import rule_text

_HEAD = """\
# The rules

What is looked at in a plan, and by which limit.

An **error** means: don't lead it like this. A **warning** means: change it, or know why not.
A **note** is for information.
Everyrung is a planning aid and gives no medical advice. Local rules and licensed practice come first, always.

Written by `python -m everyrung.checks.page > docs/rules.md` from the rules' own words; change them there.

| Rule | Looks at | Severity | What it says | Limit | Who set it |
|---|---|---|---|---|---|
"""


def page(*, plug_ins: bool = False) -> str:
    """The Markdown of docs/rules.md; with the rules of plug-ins where `plug_ins` asks for them."""
    register = registry()
    rows = [rule_text(rule) for rule in register.rules if plug_ins or rule in register.ours]
    lines = [
        f"| `{row.rule}` | {row.looks_at} | {row.severity} | {row.says} | {row.limit} | {row.source} |" for row in rows
    ]
    return _HEAD + "\n".join(lines) + "\n"


if __name__ == "__main__":
    sys.stdout.write(page(plug_ins="--all" in sys.argv[1:]))
