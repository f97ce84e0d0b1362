"""The run sheet: one page for screens, the same in print, and the score as a picture of its own."""

from pathlib import Path

from everyrung.pipeline import Run
from everyrung.publish.score.draw import score_svg
from everyrung.publish.sheet.content import sheet_content
from everyrung.publish.sheet.html import sheet_html
from everyrung.publish.sheet.pdf import sheet_pdf
from everyrung.store.atomic import replace_bytes


def write_sheet(run: Run, folder: Path) -> tuple[Path, ...]:
    """Writes <plan>.html, <plan>.pdf and <plan>-score.svg into `folder` and returns their paths.

    All three are made before any is written. Raises OSError when a file cannot be written.
    """
    sheet = sheet_content(run)
    stem = Path(run.plan.file).stem
    made = {
        f"{stem}.html": sheet_html(sheet, run.session, run.timeline).encode(),
        f"{stem}.pdf": sheet_pdf(sheet, run.session, run.timeline),
        f"{stem}-score.svg": score_svg(run.session, run.timeline).encode(),
    }
    for name, content in made.items():
        replace_bytes(folder / name, content)
    return tuple(folder / name for name in made)
