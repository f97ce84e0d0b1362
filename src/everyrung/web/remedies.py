"""The buttons under a finding: remedies that were tried, each with the form that it sends."""

from collections.abc import Mapping
from dataclasses import dataclass

from everyrung.compose.case import Remedy
from everyrung.terms.finding import Finding, Identity
from everyrung.web.edit_form import form_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Button:
    """Words for a button, and the form that it sends; `silent`: it changes nothing in the session."""

    words: str
    fields: dict[str, str]
    silent: bool


def buttons_of(finding: Finding, tried: Mapping[Identity, tuple[Remedy, ...]]) -> tuple[Button, ...]:
    """The buttons of a finding; none while its remedies are still being tried, or where none of them holds."""
    held = tried.get(finding.identity, ())
    return tuple(Button(words=each.words, fields=form_of(each.edit), silent=each.silent) for each in held)
