"""History: a spreadsheet of what people did, read with its faults, corrected by later rows, written back the same."""

from datetime import date
from pathlib import Path

import pytest

from everyrung.moves.library import standard_library
from everyrung.people.history import history_from_text, history_text, read_history, write_history
from everyrung.terms.errors import Faults
from everyrung.terms.history import History, SetRecord, Source

TEXT = """\
date;person;cell;move;version;load;reps;left;effort;pain;source
2026-11-16;Aino;Main/Two/row;bent-row;pair;2 x 4 kg;8;3;;no;card
2026-11-23;aino ;Main/Two/row;Bent-over row;Bent-over row, two dumbbells;2 x 4 kg;8;4;6;;
2026-11-23;Aino;Main/Two/row;bent-row;pair;2 x 4 kg;8;2;6;;
2026-11-23;;Main/One/squat;squat;base;;8;3;;;entry
"""


def read(text: str) -> History:
    return history_from_text(text, "history.csv", standard_library())


def test_a_later_row_of_a_set_corrects_an_earlier_one_and_both_stay() -> None:
    history = read(TEXT)
    assert len(history.records) == 4
    mine = history.of("AINO")
    assert [(each.on.day, each.left) for each in mine.current] == [(16, 3.0), (23, 2.0)]
    assert {each.version for each in mine} == {"pair"}
    assert [each.person for each in history.without("Aino")] == [""]


def test_sets_without_a_cell_all_hold() -> None:
    row = {"on": date(2026, 11, 2), "person": "Aino", "move": "squat", "version": "base", "reps": 8}
    history = History(records=(SetRecord(**row, left=3), SetRecord(**row, left=1)))
    assert [each.left for each in history.current] == [3, 1]


def test_what_is_written_reads_back_the_same_and_is_for_the_coach_alone(tmp_path: Path) -> None:
    history, path = read(TEXT), tmp_path / "history.csv"
    write_history(history, path)
    assert read_history(path, standard_library()) == history
    assert path.stat().st_mode & 0o077 == 0
    assert history_text(history).startswith("date,session,person,")
    assert history.records[0].source is Source.CARD
    assert history.records[1].source is Source.FILE


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ("30.11.2026;Aino;;squat;base;;8;3;;;", "expected a day such as 2026-11-30"),
        ("2026-11-30;Aino;;squatt;base;;8;3;;;", "Nearest: squat"),
        ("2026-11-30;Aino;;squat;base;4 stones;8;3;;;", "history.csv:2: load"),
        ("2026-11-30;Aino;;squat;base;;8;-1;;;", "a number of 0 or more"),
        ("2026-11-30;Aino;;squat;base;;8;200;;;", "0 to 100"),
        ("2026-11-30;Aino;Main/Two;squat;base;;8;3;;;", 'a place such as "Main/Two/row"'),
        ("2026-11-30;Aino;;squat;base;;8;3;;perhaps;", "yes or no"),
        ("2026-11-30;Aino;;squat;base;;8;3;;;crad", "Nearest: card"),
        ("2026-11-30;Aino;;;base;;8;3;;;", "move"),
    ],
)
def test_a_wrong_row_says_where_and_what_was_expected(row: str, words: str) -> None:
    with pytest.raises(Faults) as problem:
        read(f"{TEXT.splitlines()[0]}\n{row}\n")
    assert words in str(problem.value)
    assert "history.csv:2" in str(problem.value)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "nothing"),
        ("Aino;8\n", "a line of headings"),
        ("date;person\n2026-11-30;Aino\n", "a column for move"),
        ("date;move;version;rung\n2026-11-30;squat;base;base\n", "Nearest: version"),
        ("date;move;version\n", "at least one set"),
    ],
)
def test_a_file_that_is_no_history_says_what_it_should_be(text: str, words: str) -> None:
    with pytest.raises(Faults) as problem:
        read(text)
    assert words in str(problem.value)
