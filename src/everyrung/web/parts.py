"""A page as a tree of parts, each with a digest of what it shows: an answer carries only the parts that changed.

The browser says which parts it holds, so nothing is kept about it here, and a page that holds other parts, or none, is
given them whole.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from hashlib import sha256
from secrets import token_hex

from jinja2 import pass_context
from jinja2.runtime import Context
from markupsafe import Markup

_DIGEST_SIGNS = 10  # of base 16; chosen, because 40 bits tell a page's hundreds of parts from what they were


@dataclass(frozen=True, kw_only=True)
class Part:
    """An element with an id: `pieces` are its markup, and the parts within it. `svg`: it stands within a picture."""

    id: str
    pieces: tuple["str | Part", ...]
    svg: bool = False

    @cached_property
    def digest(self) -> str:
        """Of its own markup and of which parts stand where in it, not of what these show."""
        own = "\0".join(each if isinstance(each, str) else f"\0{each.id}" for each in self.pieces)
        return sha256(own.encode()).hexdigest()[:_DIGEST_SIGNS]

    def whole(self, mark: str = "") -> str:
        """Its markup with everything within it; `mark` is said of its element beside the digest."""
        markup = "".join(each if isinstance(each, str) else each.whole() for each in self.pieces)
        return markup.replace(f' id="{self.id}"', f' id="{self.id}" data-digest="{self.digest}"{mark}', 1)

    def news(self, holds: Mapping[str, str]) -> Iterator["Part"]:
        """The parts that a page holding `holds` (digests by id) has to be given, the outermost ones only."""
        if holds.get(self.id) != self.digest:
            yield self
            return
        for each in self.pieces:
            if isinstance(each, Part):
                yield from each.news(holds)


class Parts:
    """The parts of one page while its templates are rendered."""

    def __init__(self) -> None:
        self._parts: dict[str, Part] = {}
        self._mark = token_hex(12)  # around the id of a part within another; no text that is shown can hold it

    def add(self, name: str, markup: str, *, svg: bool = False) -> str:
        """What stands for the part with this id in the markup around it."""
        self._parts[name] = Part(id=name, pieces=tuple(self._pieces(markup)), svg=svg)
        return f"{self._mark}{name}{self._mark}"

    def whole(self, markup: str) -> str:
        """A page's markup with its parts in it."""
        return "".join(each if isinstance(each, str) else each.whole() for each in self._pieces(markup))

    def news(self, markup: str, holds: Mapping[str, str], instead: str) -> tuple[str, bool]:
        """The markup of the parts that changed, each for its own place on the page (htmx's out-of-band swaps); and
        whether the part `instead` is among them, which is what the answer as such stands for.
        """
        roots = [each for each in self._pieces(markup) if isinstance(each, Part)]
        news = [part for root in roots for part in root.news(holds)]
        return "".join(_markup_of(part, apart=part.id != instead) for part in news), instead in {p.id for p in news}

    def _pieces(self, markup: str) -> Iterator["str | Part"]:
        for place, piece in enumerate(markup.split(self._mark)):
            yield self._parts.pop(piece) if place % 2 else piece


def _markup_of(part: Part, *, apart: bool) -> str:
    markup = part.whole(' hx-swap-oob="true"' if apart else "")
    return f"<template><svg>{markup}</svg></template>" if part.svg else markup


@pass_context
def render_part(context: Context, name: str, template: str, **content: object) -> Markup:
    """In a template: a part of the page from a template of its own, which sees what this one sees."""
    markup = context.environment.get_template(template).render({**context.get_all(), **content})
    return Markup(context["parts"].add(name, markup))


@pass_context
def svg_part(context: Context, name: str, markup: str) -> Markup:
    """The same from a picture's markup that is drawn already."""
    return Markup(context["parts"].add(name, markup, svg=True))


def digests_by_id(text: str) -> dict[str, str]:
    """The digests by id, as a page says them: "id=digest id=digest"."""
    pairs = (each.partition("=") for each in text.split())
    return {name: digest for name, _, digest in pairs}
