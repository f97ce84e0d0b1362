"""A review on one page, for a screen and in print: the two scores, what to know, times, hearts, the next plan."""

from collections.abc import Sequence
from dataclasses import asdict, replace
from pathlib import Path
from typing import Any

from everyrung.lookback.review_values import ReviewView
from everyrung.publish.pages import page
from everyrung.publish.typeset import pdf
from everyrung.store.files import replace_bytes
from everyrung.terms.errors import Invalid

KINDS = (".html", ".pdf")


def review_html(view: ReviewView, answers: Sequence[str] = ()) -> str:
    """The page: it needs nothing else. `answers` are lines on what people said."""
    return page("review.html", **_content(view, answers))


def review_pdf(view: ReviewView, answers: Sequence[str] = ()) -> bytes:
    """The same on paper, tagged for screen readers."""
    return pdf("review.typ", "review", _content(view, answers))


def write_review(view: ReviewView, path: Path, answers: Sequence[str] = ()) -> None:
    """As the file's ending says. Raises Invalid for another one, OSError."""
    if path.suffix.casefold() == ".html":
        replace_bytes(path.resolve(), review_html(view, answers).encode())
    elif path.suffix.casefold() == ".pdf":
        replace_bytes(path.resolve(), review_pdf(view, answers))
    else:
        raise Invalid("report", f"a file ending in {' or '.join(KINDS)}", path.name)


def _content(view: ReviewView, answers: Sequence[str]) -> dict[str, Any]:
    """Edits without their plans' texts, which are long."""
    edits = [
        {"words": each.words, "holds": each.text is not None, "why": each.why, "after": each.after}
        for each in view.edits
    ]
    return {**asdict(replace(view, edits=())), "edits": edits, "answers": list(answers)}
