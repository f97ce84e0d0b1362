"""The run sheet as files: one page for screens, the same in print, and the score as a picture of its own."""

from dataclasses import asdict
from pathlib import Path

from markupsafe import Markup

from everyrung.publish.pages import page
from everyrung.publish.sheet.content import sheet_content
from everyrung.publish.sheet.terms import Sheet
from everyrung.publish.typeset import pdf
from everyrung.results.analysis import Analysis
from everyrung.score.draw import score_pages, score_rows, score_summary, score_svg
from everyrung.score.lanes import score_lanes
from everyrung.score.layout import NARROW, WIDE
from everyrung.store.files import replace_bytes
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


def sheet_pdf(sheet: Sheet, session: Session, timeline: Timeline) -> bytes:
    """The PDF's bytes. The same sheet gives the same bytes."""
    content = {
        **asdict(sheet),
        "score": score_pages(session, timeline),
        "score_alt": score_summary(score_lanes(session, timeline)),
    }
    return pdf("sheet.typ", "sheet", content)


def write_sheet(run: Analysis, folder: Path) -> tuple[Path, ...]:
    """Writes the files of `sheet_paths` and returns their paths.

    All three are made before any is written. Raises OSError when a file cannot be written.
    """
    sheet, paths = sheet_content(run), sheet_paths(run, folder)
    contents = (
        sheet_html(sheet, run.session, run.timeline).encode(),
        sheet_pdf(sheet, run.session, run.timeline),
        score_svg(run.session, run.timeline).encode(),
    )
    for path, content in zip(paths, contents, strict=True):
        replace_bytes(path, content)
    return paths


def sheet_paths(run: Analysis, folder: Path) -> tuple[Path, ...]:
    """<plan>.html, <plan>.pdf and <plan>-score.svg; fitted to another slot, <plan>-25min.html and so on."""
    stem = Path(run.plan.file).stem
    if run.refit:
        stem += f"-{run.refit.slot_ms // 60_000}min"  # so that the full sheet stays
    return tuple(folder / f"{stem}{ending}" for ending in (".html", ".pdf", "-score.svg"))
