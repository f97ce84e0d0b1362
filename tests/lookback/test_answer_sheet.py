"""Answers from forms as people fill them in: matched to who is on the list and to sets, or said with the line.

Inputs are invented; the ways in which they are dirty are those of our cases (F28) and common practice, no source.
"""

from datetime import date

import pytest
from led_evening import demo

from everyrung.effort.choices import strength_cells
from everyrung.lookback.answer_sheet import AnswerSheet, read_answer_sheet, records_of_answers
from everyrung.lookback.answer_words import Asks, asks_of, number_of, yes_of
from everyrung.terms.errors import Invalid

PEOPLE = ("Wilma Ek", "Odd", "Åse Lund", "Anna", "Anne")
ON = date(2026, 11, 30)


def read(text: str) -> AnswerSheet:
    return read_answer_sheet(text, PEOPLE, strength_cells(demo().session)[::-1], ON)


@pytest.mark.parametrize(("heading", "asks"), [
    ("Name", Asks.NAME), ("Your name", Asks.NAME), ("Nimi", Asks.NAME), ("Prénom et nom", Asks.NAME),
    ("How many more could you have done?", Asks.LEFT), ("RIR", Asks.LEFT),
    ("Wie viele wären noch möglich gewesen?", Asks.LEFT),
    ("Übrige Wiederholungen", Asks.LEFT), ("Montako olisi vielä jaksanut", Asks.LEFT), ("Kvar", Asks.LEFT),
    ("How hard was it (0-10)", Asks.EFFORT), ("RPE", Asks.EFFORT), ("Anstrengung", Asks.EFFORT),
    ("Esfuerzo", Asks.EFFORT),
    ("Did anything hurt?", Asks.PAIN), ("Schmerzen", Asks.PAIN), ("Douleur", Asks.PAIN), ("Kipua?", Asks.PAIN),
    ("Anything else?", Asks.COMMENT), ("Kommentar", Asks.COMMENT), ("Exercise", Asks.SET), ("Übung", Asks.SET),
    ("Timestamp", Asks.DATE), ("Shoe size", None),
])  # fmt: skip
def test_headings_are_known_in_several_languages(heading: str, asks: Asks | None) -> None:
    assert asks_of(heading) is asks


@pytest.mark.parametrize(("text", "value"), [
    ("2", 2), ("2,5", 2.5), ("2.5", 2.5), ("7/10", 7), ("8 out of 10", 8), ("3-4", 3.5), ("3 to 4", 3.5), ("two", 2),
    ("zwei", 2), ("none", 0), ("3+", 3), ("> 5", 5), ("about 2", 2), ("2 reps", 2), ("4/5", 8),
    ("a few", None), ("", None),
])  # fmt: skip
def test_numbers_as_people_write_them(text: str, value: float | None) -> None:
    assert number_of(text)[0] == value


@pytest.mark.parametrize(("text", "said"), [
    ("yes", True), ("No", False), ("ja", True), ("Nein.", False), ("oui", True), ("ei", False), ("x", True),
    ("no, all fine", False), ("a bit in my knee", True), ("yes, left knee", True), ("", None), ("-", False),
])  # fmt: skip
def test_who_describes_a_pain_has_one(text: str, said: bool | None) -> None:
    assert yes_of(text)[0] is said


def test_a_form_s_file_becomes_records_of_the_last_set() -> None:
    """With the mark of UTF-8, semicolons and decimal commas, as a spreadsheet of our neighbours writes it."""
    sheet = read("\ufeffName;Übrig;Anstrengung;Schmerzen;Kommentar\r\nWilma Ek;2,5;7;nein;gut\r\nodd;0;9;ja, Knie;\r\n")
    last = strength_cells(demo().session)[-1]
    wilma, odd = records_of_answers(sheet.answers, ON, "Evening")
    assert (wilma.person, wilma.left, wilma.effort, wilma.pain, wilma.cell) == (
        "Wilma Ek",
        2.5,
        7,
        False,
        str(last.ref),
    )
    assert (odd.person, odd.left, odd.pain) == ("Odd", 0, True)
    assert sheet.left_out == ()
    assert [each.comment for each in sheet.answers] == ["gut", "ja, Knie"]


def test_near_names_are_taken_and_said_and_doubtful_ones_are_not() -> None:
    sheet = read("name,left\nWilma,1\nAse Lund,2\nWilma Eck,3\nAnn,4\nBirger,5\n,6\n")
    assert [each.person for each in sheet.answers] == ["Åse Lund", "Wilma Ek"]
    assert any("'Wilma' taken for Wilma Ek" in each for each in sheet.guesses)
    assert any("'Wilma Eck' taken for Wilma Ek" in each for each in sheet.guesses)
    assert [each.split(":")[0] for each in sheet.left_out] == ["Line 5", "Line 6", "Line 7"]
    assert "Anna or Anne, it cannot be told which" in sheet.left_out[0]


def test_sets_are_matched_by_name_round_or_place() -> None:
    cells = {str(each.ref): each for each in strength_cells(demo().session)}
    ref = next(ref for ref in cells if ref.startswith("Main/Two"))
    name = cells[ref].rung.name
    sheet = read(f"name,set,round,left\nOdd,{ref},,1\nAnna,{name[:-1]},Two,2\nAnne,backflip,,3\nWilma Ek,,nine,1\n")
    assert [str(each.cell.ref) for each in sheet.answers] == [ref, ref]
    assert len(sheet.left_out) == 2
    assert "'backflip' is not a strength set" in sheet.left_out[0]


def test_what_is_sent_twice_counts_once_and_the_later_one_where_it_differs() -> None:
    sheet = read("name,left,pain\nOdd,2,no\nOdd,2,no\nAnna,1,no\nAnna,3,no\n")
    assert [(each.person, each.left) for each in sheet.answers] == [("Odd", 2), ("Anna", 3)]
    assert [each for each in sheet.guesses if "answered twice" in each and "Anna" in each]
    assert not [each for each in sheet.guesses if "Odd" in each]


def test_odd_numbers_and_other_days_are_said_and_left_out() -> None:
    sheet = read("timestamp,name,left,effort,shoes\n2026-11-30 20:10,Odd,a few,12,43\n2026-11-23 20:00,Anna,2,5,38\n")
    assert sheet.answers == ()
    words = " ".join(sheet.left_out)
    for part in (
        "Column 'shoes'",
        "Line 2, left: 'a few'",
        "Line 2, effort: '12' is not 0 to 10",
        "Line 3: it is of 2026-11-23",
    ):
        assert part in words


@pytest.mark.parametrize("text", ["", "a,b\n1,2\n", "left,effort\n1,2\n", "name\nOdd\n", '"'])
def test_a_file_that_is_none_is_refused_in_words(text: str) -> None:
    with pytest.raises(Invalid, match="answers"):
        read(text)
