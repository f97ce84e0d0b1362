"""Cards as files: a page for screens and one sheet of paper, A4."""

import re
from dataclasses import asdict
from pathlib import Path

from everyrung.pipeline import Run
from everyrung.publish.card.terms import Card
from everyrung.publish.pages import page
from everyrung.publish.typeset import pdf
from everyrung.store.atomic import replace_bytes

_UNSAFE = re.compile(r"[^a-z0-9]+")


def card_html(card: Card) -> str:
    """The card as one HTML file, without scripts or network."""
    return page("card.html", card=card)


def card_pdf(card: Card) -> bytes:
    """The card as a PDF of one page."""
    return pdf("card.typ", "card", asdict(card))


def write_card(run: Run, card: Card, folder: Path, name: str) -> tuple[Path, ...]:
    """Writes <plan>-<name>.html and .pdf, made whole before either is written; returns their paths."""
    stem = f"{Path(run.plan.file).stem}-{slug(name)}"
    made = {folder / f"{stem}.html": card_html(card).encode(), folder / f"{stem}.pdf": card_pdf(card)}
    for path, content in made.items():
        replace_bytes(path, content)
    return tuple(made)


def slug(name: str) -> str:
    """A name as part of a file's name; a name without a single plain letter is numbered by its signs."""
    plain = _UNSAFE.sub("-", name.casefold()).strip("-")
    return plain or "card-" + "-".join(f"{ord(sign):x}" for sign in name[:8])
