"""The run sheet as one HTML file that needs nothing else: no network, no scripts."""

from markupsafe import Markup

from everyrung.publish.pages import page
from everyrung.publish.sheet.terms import Sheet
from everyrung.score.draw import score_svg
from everyrung.score.systems import NARROW, WIDE
from everyrung.score.text import score_rows
from everyrung.terms.session import Session
from everyrung.terms.timeline import Timeline

_XML_ONLY = ' xmlns="http://www.w3.org/2000/svg"'  # inside HTML the parser knows what svg is


def sheet_html(sheet: Sheet, session: Session, timeline: Timeline) -> str:
    """The page. Every word of the plan is escaped by the template engine."""
    return page(
        "sheet.html",
        sheet=sheet,
        pictures=Markup(_pictures(sheet)),
        wide=Markup(score_svg(session, timeline, WIDE).replace(_XML_ONLY, "", 1)),  # escaped by score/marks.py
        narrow=Markup(score_svg(session, timeline, NARROW).replace(_XML_ONLY, "", 1)),
        rows=score_rows(session, timeline),
    )


def _pictures(sheet: Sheet) -> str:
    """Every figure once, as symbols that the page shows where it needs them; drawn by publish/figure, names escaped."""
    symbols = []
    for line in sheet.figures:
        head, _, body = line.svg.partition(">")
        box = head.partition('viewBox="')[2].partition('"')[0]
        symbols.append(f'<symbol id="figure-{line.number}" viewBox="{box}">{body.removesuffix("</svg>")}</symbol>')
    return "".join(symbols)
