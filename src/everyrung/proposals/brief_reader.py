"""A brief's words while they are read: what is understood is blanked out, so that each word is read once."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from everyrung.proposals.kit_words import blank_out, number
from everyrung.terms.errors import Invalid
from everyrung.terms.session_brief import SessionBrief

_ONE = {"minutes", "rounds", "level", "style"}  # of which a session has one
Meaning = tuple[dict[str, Any], str]  # what changes in the brief, and how that is said


@dataclass(slots=True, kw_only=True)
class BriefText:
    """The text that is not understood yet, with what is."""

    rest: str
    brief: SessionBrief
    meanings: list[tuple[str, str]]
    once: dict[str, tuple[Any, str]] = field(default_factory=dict)  # of what can be but one thing: its value, the words

    def take(self, pattern: str, mean: Callable[[re.Match[str]], Meaning]) -> None:
        """Every place of a pattern: what it changes in the brief, and what it means in words."""
        for match in list(re.finditer(rf"\b(?:{pattern})\b", self.rest, re.IGNORECASE)):
            changes, meaning = mean(match)
            self._hold_to_one(changes, match[0])
            self.brief = replace(self.brief, **changes)
            self.meanings.append((match[0], meaning))
            self.rest = blank_out(self.rest, match)

    def _hold_to_one(self, changes: dict[str, Any], words: str) -> None:
        """Raises Invalid where a text says two lengths, numbers of rounds, levels or orders."""
        for name in _ONE & changes.keys():
            value, earlier = self.once.setdefault(name, (changes[name], words))
            if value != changes[name]:
                raise Invalid(
                    name,
                    "one and no other",
                    f"{earlier!r} and {words!r}",
                    nearest=earlier,
                    remedy="Say one of the two.",
                )

    def take_as(self, pattern: str, meaning: str, **changes: Any) -> None:
        """The same where every place of the pattern changes the same."""
        self.take(pattern, lambda _: (changes, meaning))

    def take_more(self, pattern: str, meaning: str, name: str, values: Sequence[Any]) -> None:
        """The same where it adds to what the brief's field `name` has."""
        self.take(pattern, lambda _: ({name: tuple(dict.fromkeys((*getattr(self.brief, name), *values)))}, meaning))

    def take_number(self, pattern: str, meaning: str, name: str, **others: Any) -> None:
        """The same where a number in the pattern is the field's value; its meaning has a place for it."""
        self.take(pattern, lambda match: ({name: number(match[1]), **others}, meaning.format(number(match[1]))))
