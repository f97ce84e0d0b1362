"""The run sheet in print: A4, from the same content as its page."""

from dataclasses import asdict

from everyrung.publish.sheet.terms import Sheet
from everyrung.publish.typeset import pdf
from everyrung.score.draw import score_pages
from everyrung.score.lanes import score_lanes
from everyrung.score.text import score_summary
from everyrung.terms.session import Session
from everyrung.terms.timeline import Timeline


def sheet_pdf(sheet: Sheet, session: Session, timeline: Timeline) -> bytes:
    """The PDF's bytes. The same sheet gives the same bytes."""
    content = {
        **asdict(sheet),
        "score": score_pages(session, timeline),
        "score_alt": score_summary(score_lanes(session, timeline)),
    }
    return pdf("sheet.typ", "sheet", content)
