"""Every rung on the sheet has its picture, once, on screen and in print."""

import re
from pathlib import Path

import pytest

from everyrung.pipeline import Options, run
from everyrung.publish.sheet.content import sheet_content
from everyrung.publish.sheet.write import write_sheet
from everyrung.results.analysis import Analysis
from everyrung.store.cache import default_cache

DEMO = Path(__file__).parents[2] / "examples" / "boathouse-30.toml"


@pytest.fixture(scope="module")
def drawn() -> Analysis:
    return run(DEMO, options=Options(drawings=True, cache=default_cache()))


def test_every_led_rung_and_every_option_is_drawn(drawn: Analysis) -> None:
    sheet = sheet_content(drawn)
    cells = [cell for block in (*sheet.blocks, *sheet.reserve) for each in block.rounds for cell in each.cells]
    options = [option for cell in cells for option in cell.options if option.name != "this one"]
    assert len(cells) > 20
    assert all(cell.figure for cell in cells)
    assert all(option.figure for option in options)


def test_a_picture_is_kept_once_and_named_for_its_rung(drawn: Analysis) -> None:
    lines = sheet_content(drawn).figures
    assert [line.number for line in lines] == list(range(1, len(lines) + 1))
    bodies = [line.svg[line.svg.index("</title>") :] for line in lines]
    assert len(set(bodies)) == len(bodies)
    assert all(f"<title>{line.name}</title>" in line.svg for line in lines)


@pytest.fixture(scope="module")
def written(drawn: Analysis, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """The page and its print."""
    page, pdf, _ = write_sheet(drawn, tmp_path_factory.mktemp("sheet"))
    return page, pdf


def test_the_page_shows_pictures_that_are_in_it_and_says_what_they_show(written: tuple[Path, Path]) -> None:
    page, _ = written
    text = page.read_text(encoding="utf-8")
    kept = set(re.findall(r'<symbol id="(figure-\d+)"', text))
    shown = re.findall(r'<use href="#(figure-\d+)"', text)
    assert len(shown) > len(kept) > 20
    assert set(shown) <= kept
    assert text.count('class="picture" role="img" aria-label="') == len(shown)
    assert "check yourself" in text
    assert text.count("Front knee: a right angle, seen from the side.") == 1


def test_a_figure_stays_small_enough_to_send(written: tuple[Path, Path]) -> None:
    page, pdf = written
    assert page.stat().st_size < 3_000_000  # chosen, because a sheet goes by mail
    assert pdf.stat().st_size < 2_000_000
