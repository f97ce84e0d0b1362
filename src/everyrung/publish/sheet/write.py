"""The run sheet: one page for screens, the same in print, and the score as a picture of its own."""

from pathlib import Path

from everyrung.publish.sheet.content import sheet_content
from everyrung.publish.sheet.html import sheet_html
from everyrung.publish.sheet.pdf import sheet_pdf
from everyrung.results.analysis import Analysis
from everyrung.score.draw import score_svg
from everyrung.store.atomic import replace_bytes


def write_sheet(run: Analysis, folder: Path) -> tuple[Path, ...]:
    """Writes the files of `sheet_paths` and returns their paths.

    All three are made before any is written. Raises OSError when a file cannot be written.
    """
    sheet, paths = sheet_content(run), sheet_paths(run, folder)
    made = (
        sheet_html(sheet, run.session, run.timeline).encode(),
        sheet_pdf(sheet, run.session, run.timeline),
        score_svg(run.session, run.timeline).encode(),
    )
    for path, content in zip(paths, made, strict=True):
        replace_bytes(path, content)
    return paths


def sheet_paths(run: Analysis, folder: Path) -> tuple[Path, ...]:
    """<plan>.html, <plan>.pdf and <plan>-score.svg; fitted to another slot, <plan>-25min.html and so on."""
    stem = Path(run.plan.file).stem
    if run.refit:
        stem += f"-{run.refit.slot_ms // 60_000}min"  # so that the full sheet stays
    return tuple(folder / f"{stem}{ending}" for ending in (".html", ".pdf", "-score.svg"))
