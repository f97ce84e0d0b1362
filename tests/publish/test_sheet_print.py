"""The run sheet in print: readable by people and by screen readers, the same every time, written whole."""

import math
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from everyrung.cli import main
from everyrung.pipeline import run
from everyrung.publish.sheet import write as sheet_module
from everyrung.publish.sheet.content import sheet_content
from everyrung.publish.sheet.write import sheet_pdf, write_sheet
from everyrung.results.analysis import Analysis

ROOT = Path(__file__).parents[2]
EVENING = ROOT / "tests" / "publish" / "evening.toml"


@pytest.fixture(scope="module")
def pdf(published: dict[str, Path]) -> PdfReader:
    return PdfReader(published[".pdf"])


def plain(text: str) -> str:
    """Text without breaks and hyphens, since print puts its own."""
    return re.sub(r"[\s\-\u00ad\u2010]+", "", text)


@pytest.fixture(scope="module")
def said(published: dict[str, Path], evening: Analysis, page_words: Callable[[Path], list[str]]) -> str:
    """All pages without their footers, so that a sentence may go over to the next page."""
    pages = [plain(words) for words in page_words(published[".pdf"])]
    footers = [plain(f"{evening.session.title} {place} of {len(pages)}") for place in range(1, len(pages) + 1)]
    assert all(footer in page for footer, page in zip(footers, pages, strict=True))
    return "".join(page.replace(footer, "") for footer, page in zip(footers, pages, strict=True))


def test_every_set_dose_and_entry_test_is_printed(evening: Analysis, said: str) -> None:
    sheet = sheet_content(evening)
    cells = [cell for part in (*sheet.blocks, *sheet.reserve) for each in part.rounds for cell in each.cells]
    assert len(cells) == 25
    for cell in cells:
        for words in (cell.name, cell.dose, cell.test, cell.load, cell.note):
            assert plain(words) in said
        for option in cell.options:
            assert plain(option.name) in said
            assert plain(option.test) in said


def test_moves_cautions_kit_and_cover_are_printed(evening: Analysis, said: str) -> None:
    sheet = sheet_content(evening)
    for words in (
        *sheet.stop_signs,
        *(line.what for line in sheet.kit),
        *(block.said for block in sheet.cover.blocks),
        *(words for block in sheet.cover.blocks for row in block.rows for words in (row.name, row.kit)),
        *sheet.cover.lines,
        *sheet.instead,
        *(f"{note.place}. {note.remedy}" for note in sheet.notes),
        sheet.view,
        sheet.newcomers,
    ):
        assert plain(words) in said
    beside = [text for part in sheet.blocks for each in part.rounds for cell in each.cells for text in cell.say]
    assert len(beside) > 40
    assert all(plain(text) in said for text in beside)


def test_no_words_of_the_checks_stand_on_the_first_two_pages(
    evening: Analysis, tmp_path: Path, page_words: Callable[[Path], list[str]]
) -> None:
    """A cover coach with five minutes needs times, sets, kit and who takes what (a finding of 30 November 2026)."""
    sheet = sheet_content(evening)
    assert sheet.notes
    path = tmp_path / "sheet.pdf"
    path.write_bytes(sheet_pdf(sheet, evening.session, evening.timeline))
    pages = [plain(words) for words in page_words(path)]
    remedies = [plain(note.remedy) for note in sheet.notes]
    assert not [words for words in remedies if words in pages[0] or words in pages[1]]
    assert all(any(words in page for page in pages[2:]) for words in remedies)


def test_it_is_tagged_titled_and_says_its_language(pdf: PdfReader, evening: Analysis) -> None:
    # ISO 14289-1 (PDF/UA-1): 7.1 tagged and marked, title shown, 7.2 natural language; 5 the identifier in XMP
    root: Any = pdf.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"] is True or root["/MarkInfo"]["/Marked"].value is True
    assert "/StructTreeRoot" in root
    assert str(root["/Lang"]).lower().startswith("en")
    assert pdf.metadata
    assert pdf.metadata.title == f"{evening.session.title}: run sheet"
    assert b"<pdfuaid:part>1</pdfuaid:part>" in root["/Metadata"].get_data()


def structure(node: Any) -> list[Any]:
    """Every element of a structure tree under a node."""
    node = node.get_object()
    if isinstance(node, list):
        return [each for child in node for each in structure(child)]
    if not hasattr(node, "get"):
        return []
    return [node, *(structure(node["/K"]) if "/K" in node else [])]


def test_the_score_has_words_and_tables_have_heads(pdf: PdfReader) -> None:
    elements = structure(pdf.trailer["/Root"]["/StructTreeRoot"])  # type: ignore[index]
    figures = [each for each in elements if each.get("/S") == "/Figure"]
    assert figures
    assert all("/Alt" in each for each in figures)
    assert any("Both sides are worked equally" in str(each["/Alt"]) for each in figures)
    kinds = [each.get("/S") for each in elements]
    assert kinds.count("/H1") == 1
    assert kinds.count("/TH") > 10


def test_a_half_hour_fits_on_three_to_five_numbered_pages(
    pdf: PdfReader, published: dict[str, Path], evening: Analysis, page_words: Callable[[Path], list[str]]
) -> None:
    assert 3 <= len(pdf.pages) <= 5  # issue 21
    for place, (page, text) in enumerate(zip(pdf.pages, page_words(published[".pdf"]), strict=True), start=1):
        assert f"{place} of {len(pdf.pages)}" in text
        assert evening.session.title in text
        width, height = sorted((float(page.mediabox.width), float(page.mediabox.height)))
        assert (round(width), round(height)) == (595, 842)  # ISO 216 A4, 210 x 297 mm, in points


def letter_heights_mm(page: Any) -> dict[float, str]:
    """The words of a page by the height of their capitals as they lie on paper, whatever the page scales them by.

    Hanken Grotesk's capitals are 0.69 of its size (CapHeight 690 of 1000 in the descriptors of the PDF itself).
    """
    heights: dict[float, str] = {}

    def visit(text: str, around: list[float], matrix: list[float], _font: object, size: float) -> None:
        if text.strip():
            key = round(abs(size * matrix[3] * around[3]) * 0.69 * 25.4 / 72, 2)
            heights[key] = heights.get(key, "") + text

    page.extract_text(visitor_text=visit)
    return heights


# Letters of 5 minutes of arc are what eyes of 6/6 still read (ISO 8596; from memory): 2.9 mm at two metres. Six minutes
# leave a margin of a fifth; more does not fit eight moves, their kit, who takes what and the cuts on one page (chosen).
READ_AT_2_M_MM = 2000 * math.tan(math.radians(6 / 60))
PLANS = ["tests/publish/evening.toml", *(f"examples/{name}.toml" for name in ("boathouse-30", "whole-body-45"))]


@pytest.mark.parametrize("plan", PLANS)
def test_the_cover_fills_one_page_on_its_side_and_is_read_at_two_metres(
    plan: str, tmp_path: Path, page_words: Callable[[Path], list[str]]
) -> None:
    done = run(ROOT / plan)
    _, made, _ = write_sheet(done, tmp_path)
    pages = PdfReader(made).pages
    page = pages[0]
    small = {mm: words for mm, words in letter_heights_mm(page).items() if mm < READ_AT_2_M_MM}
    assert len(small) == 1  # the footer
    assert "".join(small.values()).replace("\n", "").endswith(f"1 of {len(pages)}")
    cover = sheet_content(done).cover
    for words in (f"0:00 {cover.blocks[0].name}", *cover.lines):
        assert plain(words) in plain(page_words(made)[0])
    assert len(pages) <= (5 if done.session.slot_ms <= 30 * 60_000 else 8)  # issue 21
    assert page.mediabox.width > page.mediabox.height


def test_only_our_own_typeface_is_in_it(pdf: PdfReader) -> None:
    fonts = {
        str(font.get_object()["/BaseFont"])
        for page in pdf.pages
        for font in page["/Resources"].get("/Font", {}).values()  # type: ignore[union-attr]
    }
    assert fonts
    assert all("HankenGrotesk" in name for name in fonts)


def test_the_same_sheet_gives_the_same_bytes(evening: Analysis, published: dict[str, Path]) -> None:
    again = sheet_pdf(sheet_content(evening), evening.session, evening.timeline)
    assert again == published[".pdf"].read_bytes()


def test_any_script_and_any_hostile_word_can_be_printed(hostile: Analysis) -> None:
    made = sheet_pdf(sheet_content(hostile), hostile.session, hostile.timeline)
    assert made.startswith(b"%PDF-")
    assert b"/Marked true" in made


def test_three_files_are_named_after_the_plan(published: dict[str, Path]) -> None:
    assert sorted(path.name for path in published.values()) == ["evening-score.svg", "evening.html", "evening.pdf"]
    folder = published[".pdf"].parent
    assert sorted(folder.iterdir()) == sorted(published.values())


def test_a_sheet_for_another_slot_leaves_the_full_one_alone(evening: Analysis, tmp_path: Path) -> None:
    full = {path: path.read_bytes() for path in write_sheet(evening, tmp_path)}
    shorter = write_sheet(run(EVENING, minutes=25), tmp_path)
    assert [path.name for path in shorter] == ["evening-25min.html", "evening-25min.pdf", "evening-25min-score.svg"]
    assert all(path.read_bytes() == content for path, content in full.items())


def test_the_command_says_which_files_it_replaces(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    command = ["sheet", str(EVENING), "--out", str(tmp_path)]
    main(command)
    assert "replaced" not in capsys.readouterr().err
    main(command)
    out, err = capsys.readouterr()
    assert [line for line in err.splitlines() if "replaced" in line] == [f"replaced {path}" for path in out.split()]


def test_when_one_cannot_be_made_the_old_ones_stay(
    evening: Analysis, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    old = {path: path.read_bytes() for path in write_sheet(evening, tmp_path)}

    def fail(*_: object) -> bytes:
        raise OSError("no room")

    monkeypatch.setattr(sheet_module, "sheet_pdf", fail)
    with pytest.raises(OSError, match="no room"):
        write_sheet(evening, tmp_path)
    assert {path: path.read_bytes() for path in tmp_path.iterdir()} == old
