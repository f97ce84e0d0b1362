"""A move being made from another one on the Moves screen: what the form says, and the text that comes of it."""

import json
from collections.abc import Mapping
from dataclasses import dataclass

import tomli

from everyrung.moves.lever_words import lever_phrase, read_lever
from everyrung.moves.library import Library
from everyrung.moves.move_copy import Slider, copy_text, sliders
from everyrung.moves.own_moves import key_of
from everyrung.terms.errors import Invalid
from everyrung.terms.lever import Lever
from everyrung.terms.move import Rung
from everyrung.web.move_library_view import MOST_LEVERS

FILE = "your move"
DRAFT = "a-draft"  # the key of a move that has no name yet
RUNGS_ALONE = ("range", "reps", "pulse", "extra")  # levers that make rungs, and that no base has
MOST_LETTERS = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class CopyForm:
    """What was asked for: all of it as it was written, so that nothing is lost when some of it cannot be."""

    name: str
    degrees: Mapping[str, str]
    tables: tuple[str, ...]

    @property
    def levers(self) -> tuple[Lever, ...]:
        """Raises Invalid."""
        if len(self.tables) > MOST_LEVERS:
            raise Invalid("levers", f"at most {MOST_LEVERS} levers", len(self.tables))
        return tuple(_lever(table) for table in self.tables)


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveCopy:
    """A move that is not kept yet: the library with it, its own form, its text, and rungs that it does without."""

    library: Library
    key: str
    text: str
    rung: Rung
    left_out: tuple[str, ...]


def copy_form(fields: Mapping[str, str]) -> CopyForm:
    """From an address or a form: `name`, the sliders by their names, and `lever-1` and so on, JSON tables."""
    tables = [value[:200] for name, value in fields.items() if name.startswith("lever-") and value]
    degrees = {name: value.strip()[:20] for name, value in fields.items() if name.count(".") in (1, 2)}
    return CopyForm(name=fields.get("name", "").strip()[:200], degrees=degrees, tables=tuple(dict.fromkeys(tables)))


def copy_sliders(library: Library, move: str) -> tuple[Slider, ...]:
    """The angles of a move that a copy can have otherwise."""
    return sliders(tomli.loads(library.source(move)[0]))


def copy_of(library: Library, move: str, form: CopyForm) -> MoveCopy:
    """The copy. Raises Invalid, or Faults of its text."""
    text, source = library.source(move)
    by_name = {slider.name: slider for slider in sliders(tomli.loads(text))}
    degrees = {name: _number(by_name[name], value) for name, value in form.degrees.items() if name in by_name and value}
    new_text, left_out = copy_text(text, source, form.name or source.move.name, degrees, form.levers)
    key = key_of(form.name) if form.name else DRAFT
    with_it = library.with_text(key, new_text, FILE)
    return MoveCopy(library=with_it, key=key, text=new_text, rung=with_it.rung(key, "base"), left_out=left_out)


def require_name(library: Library, form: CopyForm) -> None:
    """Raises Invalid for a name that no new move can have."""
    if not 1 <= len(form.name) <= MOST_LETTERS or not form.name.isprintable():
        raise Invalid("name", f"a name on one line, of up to {MOST_LETTERS} letters", form.name)
    names = {library.move(key).name.casefold() for key in library.keys}
    if key_of(form.name) in library.keys or form.name.casefold() in names:
        raise Invalid("name", "a name that no other move has", form.name, remedy="Call yours something else.")


def phrase(table: str) -> str:
    """A lever's table in words; '' for one that is none."""
    try:
        return lever_phrase(_lever(table))
    except Invalid:
        return ""


def _number(slider: Slider, value: str) -> float:
    try:
        number = float(value)
    except ValueError:
        number = float("nan")
    if not slider.low <= number <= slider.high:  # not for what is no number either
        raise Invalid(slider.words, f"{slider.low:g} to {slider.high:g} degrees", value)
    return number


def _lever(table: str) -> Lever:
    try:
        value = json.loads(table)
    except (ValueError, RecursionError):
        raise Invalid("levers", "a lever", table[:60]) from None
    return read_lever(value)
