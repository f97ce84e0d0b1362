"""One evening, run and published once for all tests of publishing; and ways to make other plans."""

import re
import xml.etree.ElementTree as ET
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pypdfium2
import pytest

from everyrung.pipeline import Options, run
from everyrung.publish.sheet.write import write_sheet
from everyrung.publish.video.scenes import Scene, scenes
from everyrung.results.analysis import Analysis
from everyrung.score.draw import score_svg
from everyrung.store.cache import default_cache
from everyrung.terms.enums import SpanKind
from everyrung.terms.session import Cell
from everyrung.terms.timeline import Span

EVENING = Path(__file__).parent / "evening.toml"
SVG = "{http://www.w3.org/2000/svg}"

HOSTILE = """
title = "Разминка <script>alert(1)</script> & \\"quotes\\" \\u0001 a title that goes on and on and on and on"
slot_minutes = 12
cover_notes = "</p><script>alert(2)</script>"
[who]
in_room = 3
[[block]]
kind = "warm-up"
name = "<b onclick='x'>Warm & up"
say = ["</p><img src=x onerror=alert(3)> ' onload='alert(4)"]
  [[block.move]]
  move = "march"
  dose = "0:10"
  name = "Marchmarchmarchmarchmarchmarchmarchmarchmarchmarchmarchonthespot"
  note = "</title></style></svg><script>alert(5)</script>"
  [[block.move]]
  move = "arm-circles"
  dose = "2 reps"
  name = "]]><script>x"
"""


@pytest.fixture(scope="session")
def page_words() -> Callable[[Path], list[str]]:
    """What a reader that paints pages finds written on each page of a PDF, however many lines its pictures have."""

    def read(path: Path) -> list[str]:
        with pypdfium2.PdfDocument(path) as document:
            found = [page.get_textpage().get_text_bounded() for page in document]
        return [words.replace("\ufffe", "-").replace("\x02", "-") for words in found]  # a hyphen at a line's end

    return read


@pytest.fixture(scope="session")
def evening() -> Analysis:
    return run(EVENING)


@pytest.fixture(scope="session")
def said() -> Analysis:
    """The evening with its cues, and bodies as far as they are kept."""
    return run(EVENING, options=Options(cues=True, cache=default_cache()))


@pytest.fixture(scope="session")
def found(said: Analysis) -> tuple[Scene, ...]:
    """The scenes of its film."""
    return scenes(said.session, said.timeline)


@pytest.fixture(scope="session")
def works(said: Analysis) -> list[tuple[Span, Cell]]:
    """Its stretches of work, each with its set."""
    return [(span, span.cell) for span in said.timeline.spans if span.kind is SpanKind.WORK and span.cell]


@pytest.fixture(scope="session")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> Analysis:
    path = tmp_path_factory.mktemp("hostile") / "hostile.toml"
    path.write_text(HOSTILE, encoding="utf-8")
    return run(path)


@pytest.fixture
def plan(tmp_path: Path) -> Callable[[str], Analysis]:
    """A run of a plan with these blocks."""

    def made(blocks: str) -> Analysis:
        path = tmp_path / "plan.toml"
        path.write_text(f'title = "Test"\nslot_minutes = 30\n[who]\nin_room = 4\n{blocks}', encoding="utf-8")
        return run(path)

    return made


@pytest.fixture(scope="session")
def published(evening: Analysis, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The evening's files by their ending."""
    return {path.suffix: path for path in write_sheet(evening, tmp_path_factory.mktemp("sheets"))}


@pytest.fixture(scope="session")
def score(evening: Analysis) -> ET.Element:
    return ET.fromstring(score_svg(evening.session, evening.timeline))


@pytest.fixture(scope="session")
def by_class() -> Callable[[ET.Element, str], list[ET.Element]]:
    """Elements that carry every one of the classes."""

    def found(root: ET.Element, classes: str) -> list[ET.Element]:
        return [each for each in root.iter() if set(classes.split()) <= set(each.get("class", "").split())]

    return found


@pytest.fixture(scope="session")
def points() -> Callable[[str], list[tuple[float, float]]]:
    """The corners of a path of M, L and Z."""

    def read(d: str) -> list[tuple[float, float]]:
        numbers = [float(number) for number in re.findall(r"-?[\d.]+", d)]
        return list(zip(numbers[::2], numbers[1::2], strict=True))

    return read


@pytest.fixture(scope="session")
def placed_woman(woman: Any) -> Any:
    """A body for drawing, loaded only by the tests of the figure."""
    from everyrung.body.configuration import Configuration

    return Configuration(woman)
