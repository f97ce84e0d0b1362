"""Cards as files: a page for screens and one sheet of paper, A4."""

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import asdict
from itertools import count
from pathlib import Path

from everyrung.publish.card.terms import Card
from everyrung.publish.pages import page
from everyrung.publish.typeset import pdf
from everyrung.results.analysis import Analysis
from everyrung.store.atomic import FOR_THE_COACH_ALONE, replace_bytes
from everyrung.store.owners import Owner, owners

_UNSAFE = re.compile(r"[^a-z0-9]+")
_BARE = str.maketrans(
    {"ø": "o", "æ": "ae", "œ": "oe", "ł": "l", "đ": "d", "ð": "d", "þ": "th"}
)  # no accent to take off
MOST_SIGNS = 80  # file systems take 255 bytes for the whole name


def card_html(card: Card) -> str:
    """The card as one HTML file, without scripts or network."""
    return page("card.html", card=card)


def card_pdf(card: Card) -> bytes:
    """The card as a PDF of one page."""
    return pdf("card.typ", "card", asdict(card))


def write_card(run: Analysis, card: Card, folder: Path, name: str, owner: Owner | None) -> tuple[Path, ...]:
    """Writes <plan>-<name>.html and .pdf, made whole before either is written; returns their paths.

    `name` is one of `file_names`; `owner` whose card it is, noted first, so that it goes when they go. Only the coach's
    own account can open them.
    """
    stem = f"{Path(run.plan.file).stem}-{name}"
    made = {folder / f"{stem}.html": card_html(card).encode(), folder / f"{stem}.pdf": card_pdf(card)}
    owners().note(made, owner)
    for path, content in made.items():
        replace_bytes(path, content, mode=FOR_THE_COACH_ALONE)
    return tuple(made)


def file_names(names: Sequence[str]) -> tuple[str, ...]:
    """A part of a file's name for each, no two alike: plain letters and digits, whatever is in the names."""
    found: list[str] = []
    for plain in map(_plain, names):
        others = (f"{plain}-{number}" for number in count(2))
        found.append(plain if plain not in found else next(each for each in others if each not in found))
    return tuple(found)


def _plain(name: str) -> str:
    """Without accents; a name of no plain letter at all by its signs' numbers."""
    letters = unicodedata.normalize("NFKD", name.casefold().translate(_BARE))
    bare = "".join(sign for sign in letters if not unicodedata.combining(sign))
    plain = _UNSAFE.sub("-", bare).strip("-")[:MOST_SIGNS].strip("-")
    return plain or "card-" + "-".join(f"{ord(sign):x}" for sign in name[:8])
