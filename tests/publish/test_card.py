"""Person cards: one page, readable by people and by screen readers, and silent about health."""

import html
import re
from collections.abc import Callable
from dataclasses import replace
from io import BytesIO
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from everyrung.effort.balls import ball_lines, chart_lines
from everyrung.effort.recommend import question_on_card
from everyrung.moves.kit import kit_of
from everyrung.moves.library import standard_library
from everyrung.people.read import read_people
from everyrung.pipeline import AudienceSpec, Options, run
from everyrung.publish.card import (
    SIZES,
    Card,
    _card_pdf,
    card_html,
    card_pdf,
    card_text,
    file_names,
    large_card_pdf,
    person_card,
    poster,
    write_card,
)
from everyrung.publish.typeset import page_count
from everyrung.results.analysis import Analysis
from everyrung.store.cache import default_cache
from everyrung.terms.enums import Caution, KitItem
from everyrung.terms.errors import Where
from everyrung.terms.forecast import Take
from everyrung.terms.person import Own, Person

ROOT = Path(__file__).parents[2]
SMALL = ROOT / "tests" / "cli" / "small.toml"
PEOPLE = """name;stature;mass;age;sex;level;kit;limits;medicine
Åse <b>&;165 cm;62 kg;41;female;regular;2 x 4 kg;;no
Odd;5' 11";82 kg;67;male;new;rucksack 6 kg, ball 65 cm;deep knee bend, lying on the back;yes
"""


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Analysis:
    folder = tmp_path_factory.mktemp("cards")
    (folder / "people.csv").write_text(PEOPLE, encoding="utf-8")
    expected = AudienceSpec(count=300, people=read_people(folder / "people.csv"))
    return run(SMALL, options=Options(drawings=True, audience=expected, cache=default_cache()))


@pytest.fixture(scope="module")
def cards(small: Analysis) -> list[Card]:
    return [*(person_card(small, one) for one in small.advice), poster(small, chart_lines(small.session))]


def printed(card: Card, tmp_path: Path) -> PdfReader:
    path = tmp_path / "card.pdf"
    path.write_bytes(card_pdf(card))
    return PdfReader(path)


def plain(text: str) -> str:
    """Text without breaks and hyphens, since print puts its own."""
    return re.sub(r"[\s\-\u00ad\u2010]+", "", text)


def words(card: Card) -> set[str]:
    """All that a card says."""
    found = {card.title, card.whom, *card.kit, *card.balls, *card.how, *card.stop, card.heart}
    for block in card.blocks:
        found |= {block.name, *block.rounds}
        for row in block.rows:
            found |= {row.name, *row.checks}
            for entry in row.entries:
                found |= {entry.effort, entry.skip}
                for choice in entry.choices:
                    found |= {choice.when, choice.rung, choice.dose, choice.load, choice.test}
    return found - {""}


def test_every_word_of_a_card_is_on_its_page_and_on_its_sheet(
    cards: list[Card], tmp_path: Path, page_words: Callable[[Path], list[str]]
) -> None:
    for card in cards:
        printed(card, tmp_path)
        pages = page_words(tmp_path / "card.pdf")
        assert len(pages) <= (1 if card.kind == "For everyone" else 2)  # both sides of one sheet
        sheet, page = plain("".join(pages)), card_html(card)
        for said in words(card):
            assert plain(said) in sheet, said
            assert html.escape(said).replace("&#x27;", "&#39;").replace("&quot;", "&#34;") in page, said


def test_large_print_and_plain_text_say_all_of_it(
    cards: list[Card], tmp_path: Path, page_words: Callable[[Path], list[str]]
) -> None:
    """18 points in print: large print begins at 16 (RNIB, clear print guidelines, from memory)."""
    path = tmp_path / "large.pdf"
    for card in cards:
        path.write_bytes(large_card_pdf(card))
        large, text = plain("".join(page_words(path))), plain(card_text(card))
        for said in words(card):
            assert plain(said) in large, said
            assert plain(said) in text, said
        assert min(sizes_of(PdfReader(path))) >= 18


def test_a_ball_of_one_s_own_is_spoken_of_once() -> None:
    one = Person(
        where=Where(file="", line=0, field=""), name="Odd", stature_m=1.7, mass_kg=70.0,
        kit=(Own(item=KitItem.BALL, diameter_cm=55.0, rated_kg=250.0),),
    )  # fmt: skip
    session = run(ROOT / "examples" / "boathouse-30.toml").session
    forms = [cell.rung.form for cell in session.cells]
    lines = ball_lines(session, one, forms, in_room=False)
    assert [line for line in lines if "our 55 cm ball" in line] == ["Your 55 cm ball is the right size."]
    small_one = replace(one, stature_m=1.95)
    said = [line for line in ball_lines(session, small_one, forms, in_room=False) if "our 55 cm ball" in line]
    assert len(said) == 1
    weak = replace(one, kit=(Own(item=KitItem.BALL, diameter_cm=55.0, rated_kg=50.0),))
    said = [line for line in ball_lines(session, weak, forms, in_room=False) if "our 55 cm ball" in line]
    assert len(said) == 2  # no body weight comes on it overhead
    assert said[0].startswith("Wall, heels: your 55 cm ball")
    assert "too little" in said[0]


def test_a_card_holds_what_the_advice_says_for_each_round(small: Analysis, cards: list[Card]) -> None:
    for advice, card in zip(small.advice, cards, strict=False):
        entries = [entry for block in card.blocks for row in block.rows for entry in row.entries]
        takes = [each.take for each in advice.cells]
        assert len(entries) == len(takes) == 4
        shown = {entry.choices[0].rung if entry.choices else "" for entry in entries}
        assert shown == {take.rung if take else "" for take in takes}
        assert all(entry.skip for entry in entries if not entry.choices)
        loads = {take.load for each in advice.cells for take in (each.take, each.harder) if take and take.load}
        assert all(any(load in line for line in card.kit) for load in loads)


def sizes_of(sheet: PdfReader) -> set[float]:
    """The sizes of all letters, in points."""
    sizes: set[float] = set()
    for page in sheet.pages:
        page.extract_text(
            visitor_text=lambda text, _cm, matrix, _font, size: (
                sizes.add(round(abs(size * matrix[3]), 1)) if text.strip() else None
            )
        )
    return sizes


def test_a_card_is_set_in_11_points_or_more(cards: list[Card], tmp_path: Path) -> None:
    for card in cards[:2]:
        assert min(sizes_of(printed(card, tmp_path))) >= 11


def test_each_version_of_one_s_own_is_drawn_from_start_to_end_where_it_is_new(cards: list[Card]) -> None:
    for card in cards[:2]:
        for block in card.blocks:
            for row in block.rows:
                choices = [entry.choices[0] for entry in row.entries if entry.choices]
                assert all(choice.svg.startswith("<svg") for choice in choices[:1])
                assert not choices or not choices[0].new
                for before, after in pairwise(choices):
                    new = {name for name in ("rung", "dose", "load") if getattr(before, name) != getattr(after, name)}
                    assert set(after.new) == new
        assert card_html(card).count('class="write"') == sum(
            bool(entry.choices) for block in card.blocks for row in block.rows for entry in row.entries
        )


def test_nobody_reads_of_balls_whose_versions_have_none(small: Analysis) -> None:
    for advice in small.advice:
        takes = [take for each in advice.cells for take in (each.take, each.harder) if take]
        with_ball = any(need.item is KitItem.BALL for take in takes for need in kit_of(take.form))
        card = person_card(small, replace(advice, balls=("A ball of 55 cm.",)))
        assert bool(card.balls) == with_ball


def test_the_poster_has_every_rung_that_is_offered(small: Analysis, cards: list[Card]) -> None:
    offered = {rung.name for cell in small.session.cells for rung in (cell.rung, *(each.rung for each in cell.options))}
    assert offered <= words(cards[-1])


def test_the_poster_is_one_sheet_that_shows_what_is_led_wherever_it_changes(cards: list[Card], tmp_path: Path) -> None:
    assert len(printed(cards[-1], tmp_path).pages) == 1
    for block in cards[-1].blocks:
        for row in block.rows:
            drawn = [[bool(one.svg) for one in each.choices] for each in row.entries if each.choices]
            assert any(drawn[0])
            assert all(sum(each) <= 1 for each in drawn)


@pytest.mark.parametrize("place", [0, 1, 2])
def test_a_card_is_a_page_for_screen_readers_too(cards: list[Card], place: int, tmp_path: Path) -> None:
    # ISO 14289-1 (PDF/UA-1): tagged, titled, a natural language, the identifier in XMP
    reader = printed(cards[place], tmp_path)
    root: Any = reader.trailer["/Root"]
    assert "/StructTreeRoot" in root
    assert str(root["/Lang"]).lower().startswith("en")
    assert b"<pdfuaid:part>1</pdfuaid:part>" in root["/Metadata"].get_data()
    assert reader.metadata
    assert cards[place].whom in (reader.metadata.title or "")
    width, height = sorted((float(reader.pages[0].mediabox.width), float(reader.pages[0].mediabox.height)))
    a4, a3 = (595, 842), (842, 1191)  # ISO 216: 210 x 297 and 297 x 420 mm, in points
    assert (round(width), round(height)) == (a3 if place == 2 else a4)  # the last is for the wall


def test_the_page_runs_and_fetches_nothing_and_names_are_escaped(cards: list[Card]) -> None:
    page = card_html(cards[0])
    assert "default-src 'none'" in page
    assert "<script" not in page
    assert not re.search(r"""(?:src|href)=["']?(?!data:)[a-z]+:""", page)
    assert "<b>&;" not in page
    assert "Åse &lt;b&gt;&amp;" in page


def test_no_card_has_a_word_about_health(cards: list[Card]) -> None:
    for card in cards:
        tests = {choice.test for block in card.blocks for row in block.rows
                 for entry in row.entries for choice in entry.choices}  # fmt: skip
        own = " ".join(words(card) - set(card.how) - set(card.stop) - tests).casefold()
        assert not [word for word in (*map(str, Caution), "medicine", "limit") if word in own]


def test_the_same_card_gives_the_same_bytes(cards: list[Card]) -> None:
    assert card_pdf(cards[0]) == card_pdf(cards[0])


NAMES = ["Åse", "Ase", "ÅSE", "../x", "..\\x", "", "☃☃", "☃☃☃", "Søren Ægir", "a" * 300, "con", "Åse-2", "李雷"]


def test_file_names_are_plain_and_no_two_alike() -> None:
    found = file_names(NAMES)
    assert len(set(found)) == len(NAMES)
    assert all(re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*-?", name) and len(name) < 100 for name in found)
    assert found[:3] == ("ase", "ase-2", "ase-3")
    assert found[8] == "soren-aegir"


def test_cards_are_written_whole_or_not_at_all(
    small: Analysis, cards: list[Card], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    old = {path: path.read_bytes() for path in write_card(small, cards[0], tmp_path, "ase", None)}
    assert sorted(path.name for path in old) == [
        "small-ase-large.pdf", "small-ase.html", "small-ase.pdf", "small-ase.txt",
    ]  # fmt: skip

    def fail(*_: object) -> bytes:
        raise OSError("no room")

    monkeypatch.setattr("everyrung.publish.card.card_pdf", fail)
    with pytest.raises(OSError, match="no room"):
        write_card(small, cards[1], tmp_path, "ase", None)
    assert {path: path.read_bytes() for path in tmp_path.iterdir()} == old


@pytest.mark.slow
@pytest.mark.parametrize("plan", sorted((ROOT / "examples").glob("*-[0-9][0-9].toml")), ids=lambda path: path.stem)
def test_every_example_s_cards_fit_one_sheet(plan: Path, tmp_path: Path) -> None:
    expected = AudienceSpec(count=200, people=read_people(ROOT / "examples" / "boathouse-people.csv"))
    done = run(plan, options=Options(drawings=True, audience=expected))
    made: list[Callable[[], Card]] = [lambda one=one: person_card(done, one) for one in done.advice]  # type: ignore[misc]
    for make in (*made, lambda: poster(done, chart_lines(done.session))):
        card = make()
        assert len(printed(card, tmp_path).pages) <= (1 if card.kind == "For everyone" else 2)


def test_whoever_goes_to_a_lighter_load_is_not_asked_whether_the_heavier_one_was_easy() -> None:
    form = standard_library().move("hip-hinge").versions[0].form
    heavy, light = (
        Take(kind=None, rung="Hip hinge", dose="8 reps", reps=8, load=words, entry_test="Fine?", form=form)
        for words in ("2 x 6 kg", "2 x 4 kg")
    )
    assert question_on_card(heavy, light) == "Lighter than in the last round: still steady and pain-free?"
    assert question_on_card(light, heavy) == "Was 2 x 4 kg easy, 4 left?"


def test_where_two_sides_are_full_pictures_shrink_before_letters(cards: list[Card]) -> None:
    card = cards[0]
    first, *others = (part for part in card.blocks if part.rows)
    entry = next(each for each in first.rows[0].entries if each.choices and each.choices[0].svg)
    short = replace(entry, choices=(replace(entry.choices[0], test=""),), effort="")
    row = replace(first.rows[0], entries=(short,) * len(first.rounds), checks=())
    long, sides = card, 0
    while sides <= 2:  # until a row more is too much for the largest pictures
        first = replace(first, rows=(*first.rows, row))
        long = replace(card, blocks=(first, *others))
        sides = page_count(_card_pdf(long, SIZES[0]))
    sheet = PdfReader(BytesIO(card_pdf(long)))
    assert len(sheet.pages) == 2
    assert min(sizes_of(sheet)) >= 11
