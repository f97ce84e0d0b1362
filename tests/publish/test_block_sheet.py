"""The sheet of a block: what is drawn is what was done, well-formed, on one sheet of paper, and in plain words."""

import re
from datetime import date, timedelta
from itertools import pairwise
from xml.etree import ElementTree

import pypdfium2
import pytest

from everyrung.blocks.block_view import BlockView, EveningView, PersonEvening
from everyrung.publish.block_drawing import block_svg
from everyrung.publish.block_sheet import block_html, block_pdf, block_words
from everyrung.terms.block_brief import EveningKind
from everyrung.terms.enums import Pattern
from everyrung.weeks.week_load import WeekLoad

FIRST = date(2027, 1, 11)
SVG = "{http://www.w3.org/2000/svg}"


def view(weeks: int = 6) -> BlockView:
    evenings = [
        EveningView(
            on=FIRST + timedelta(days=7 * week + off),
            week=week + 1,
            kind=EveningKind.EASIER if week == 3 else EveningKind.BUILD,
            change="Two repetitions more: squat & row <all>.",
            minutes=44.2,
            sets={Pattern.KNEE: 3, Pattern.PULL: 2} if off else {Pattern.PUSH: 3},
            balance_minutes=0.0,
            demand=5.0 + week / 4,
            heads=None if week else 7 + off,
        )
        for week in range(weeks)
        for off in (0, 3)
    ]
    aino = [PersonEvening(on=FIRST + timedelta(days=7 * week), kg=4.0 + week, left=5 - week) for week in range(3)]
    loads = {1: WeekLoad.of([300.0, 0, 0, 250.0, 0, 0, 0]), 2: WeekLoad.of([0.0] * 7)}
    return BlockView(
        title="Winter & spring", place="Boathouse", weeks=weeks, evenings=tuple(evenings), people={"Aino": tuple(aino)},
        loads=loads,
    )  # fmt: skip


def drawn(block: BlockView) -> ElementTree.Element:
    return ElementTree.fromstring(block_svg(block))


def test_a_stroke_for_each_set_and_a_ring_for_each_easier_evening() -> None:
    picture = drawn(view())
    strokes = [each for each in picture.iter(f"{SVG}path") if each.get("stroke-width") == "1.6"]
    assert len(strokes) == 6 * (3 + 2 + 3)
    rings = [each for each in picture.iter(f"{SVG}circle") if each.get("r") == "3" and each.get("fill") == "none"]
    assert len(rings) == 2


def test_higher_is_more_that_is_asked() -> None:
    tops = [float(each.get("cy")) for each in drawn(view()).iter(f"{SVG}circle") if each.get("r") == "3"]
    assert tops[::2] == sorted(tops[::2], reverse=True)
    assert tops[0] > tops[-1]


@pytest.mark.parametrize("weeks", [4, 12])
def test_words_stand_inside_the_picture_and_days_do_not_touch(weeks: int) -> None:
    picture = drawn(view(weeks))
    days = [each for each in picture.iter(f"{SVG}text") if re.fullmatch(r"(\w+ )?\d+\.\d+\.", each.text or "")]
    places = [float(each.get("x")) for each in days]
    assert len(places) == 2 * weeks
    widest = max(len(each.text or "") for each in days) * 8.5 * 0.55
    assert min(after - before for before, after in pairwise(places)) > widest
    assert max(places) < 720


def test_people_and_heads_are_there_only_where_they_are_known() -> None:
    words = [each.text for each in drawn(view()).iter(f"{SVG}text")]
    assert {"Aino", "4 kg", "6 kg", "5 left", "3 left", "7", "10"} <= set(words)
    assert "who came" in words


def test_on_screen_and_on_one_sheet_of_paper() -> None:
    page = block_html(view())
    assert "Two repetitions more: squat &amp; row &lt;all&gt;." in page
    assert "all days alike, so monotony and strain are not defined" in page
    document = pypdfium2.PdfDocument(block_pdf(view()))
    assert len(document) == 1
    text = document[0].get_textpage().get_text_range()
    assert "Thursday 14 January" in text
    assert "Estimates, not medical advice." in text


def test_in_plain_words_to_send_on() -> None:
    lines = block_words(view()).splitlines()
    assert lines[0] == "Winter & spring: 6 weeks, Boathouse"
    assert lines[2] == "1. Monday 11 January, 45 min. Two repetitions more: squat & row <all>."
    assert "Aino" not in block_words(view())
