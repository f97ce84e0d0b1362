"""Print from our templates: PDF set by typst, tagged for screen readers (PDF/UA-1), the same content the same bytes."""

import json
import re
from importlib.resources import files
from typing import Any, Literal

import typst

from everyrung.publish.pages import font_folder

# First our own font alone, the same on every machine. A script that it lacks takes the machine's fonts;
# a sign that no font has leaves a box, and with it the file cannot claim PDF/UA-1.
_ATTEMPTS: tuple[tuple[bool, list[Literal["ua-1"]]], ...] = ((False, ["ua-1"]), (True, ["ua-1"]), (True, []))


def pdf(template: str, name: str, content: dict[str, Any]) -> bytes:
    """The PDF's bytes; the template finds the content as JSON under `name`."""
    source = (files("everyrung.publish") / "templates" / template).read_bytes()
    for system_fonts, standards in _ATTEMPTS:
        compiler = typst.Compiler(
            source,
            font_paths=typst.Fonts(include_system_fonts=system_fonts, font_paths=[str(font_folder())]),
            sys_inputs={name: json.dumps(content)},
        )
        try:
            result = compiler.compile(format="pdf", pdf_standards=list(standards), timestamp=0)
        except typst.TypstError as problem:
            if not standards or "could not be displayed" not in str(problem):
                raise
            continue
        if isinstance(result, bytes):
            return result
    raise AssertionError("the last attempt either returns or raises")


def page_count(document: bytes) -> int:
    """How many pages a PDF of ours has."""
    return len(re.findall(rb"/Type\s*/Page\b", document))
