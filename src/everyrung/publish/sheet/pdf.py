"""The run sheet in print: A4, tagged for screen readers (PDF/UA-1), set by typst from the same content."""

import json
from dataclasses import asdict
from importlib.resources import files
from typing import Literal

import typst

from everyrung.publish.font import font_folder
from everyrung.publish.score.draw import score_pages
from everyrung.publish.score.lanes import score_lanes
from everyrung.publish.score.text import score_summary
from everyrung.publish.sheet.terms import Sheet
from everyrung.terms.session import Session
from everyrung.terms.timeline import Timeline

# First our own font alone, the same on every machine. A script that it lacks takes the machine's fonts;
# a sign that no font has leaves a box, and with it the file cannot claim PDF/UA-1.
_ATTEMPTS: tuple[tuple[bool, list[Literal["ua-1"]]], ...] = ((False, ["ua-1"]), (True, ["ua-1"]), (True, []))


def sheet_pdf(sheet: Sheet, session: Session, timeline: Timeline) -> bytes:
    """The PDF's bytes. The same sheet gives the same bytes."""
    content = {
        **asdict(sheet),
        "score": score_pages(session, timeline),
        "score_alt": score_summary(score_lanes(session, timeline)),
    }
    template = (files("everyrung.publish.sheet") / "templates" / "sheet.typ").read_bytes()
    for system_fonts, standards in _ATTEMPTS:
        compiler = typst.Compiler(
            template,
            font_paths=typst.Fonts(include_system_fonts=system_fonts, font_paths=[str(font_folder())]),
            sys_inputs={"sheet": json.dumps(content)},
        )
        try:
            made = compiler.compile(format="pdf", pdf_standards=list(standards), timestamp=0)
        except typst.TypstError as problem:
            if not standards or "could not be displayed" not in str(problem):
                raise
            continue
        if isinstance(made, bytes):
            return made
    raise AssertionError("the last attempt either returns or raises")
