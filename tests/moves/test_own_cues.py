"""The coach's own cues go before the library's, at the rungs they are for and nowhere else."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from everyrung.moves.library import standard_library
from everyrung.moves.own_cue_file import own_cues_text, read_own_cues
from everyrung.pipeline import run
from everyrung.terms.enums import CueKind
from everyrung.terms.errors import Faults, Invalid
from everyrung.terms.timeline import WRITTEN_KINDS, OwnCue

DEMO = Path(__file__).parents[2] / "examples" / "boathouse-30.toml"
HIPS = OwnCue(move="squat", kind=CueKind.FORM, text="Hips down between the heels.")
DEEP = OwnCue(move="squat", rung="base", kind=CueKind.SAFETY, text="Only as low as it stays easy.")
WELL = OwnCue(kind=CueKind.ENCOURAGEMENT, text="Well rowed.")


def said(own: tuple[OwnCue, ...], move: str, rung: str) -> list[str]:
    return [cue.text for cue in standard_library(own).rung(move, rung).cues]


def test_own_words_stand_before_the_library_s_the_most_particular_first_and_none_is_lost() -> None:
    before = said((), "squat", "base")
    assert said((WELL, HIPS, DEEP), "squat", "base") == [DEEP.text, HIPS.text, WELL.text, *before]


def test_words_for_one_rung_or_one_move_are_said_there_alone() -> None:
    ladder = [rung.key for rung in standard_library().move("squat").versions]
    assert all((DEEP.text in said((DEEP,), "squat", key)) == (key == "base") for key in ladder)
    assert HIPS.text not in said((HIPS,), "split-squat", "base")
    assert WELL.text in said((WELL,), "split-squat", "base")


def test_a_rung_borrowed_from_another_move_takes_only_what_names_it() -> None:
    """Points on a move would mislead at a rung that is another one's (common practice, no source)."""
    library = standard_library()
    move, rung, home = next(
        (key, rung.key, rung.levers[0].move)
        for key in library.keys
        for rung in library.move(key).versions
        if rung.levers and rung.levers[0].word == "swap"
    )
    on_move = OwnCue(move=move, kind=CueKind.FORM, text="For this move.")
    on_rung = OwnCue(move=move, rung=rung, kind=CueKind.FORM, text="For this rung.")
    on_home = OwnCue(move=home, kind=CueKind.FORM, text="For the other move.")
    found = said((on_move, on_rung, on_home), move, rung)
    assert on_move.text not in found
    assert on_rung.text in found
    assert on_home.text in found or home == move


def test_a_session_says_them(tmp_path: Path) -> None:
    path = tmp_path / "own.toml"
    path.write_text(own_cues_text((OwnCue(move="split-squat", kind=CueKind.FORM, text="Tall as a mast."),)))
    library = standard_library(read_own_cues(path, standard_library()))
    lunges = [cell for cell in run(DEMO, library=library).session.cells if cell.move.key == "split-squat"]
    assert lunges
    assert all("Tall as a mast." in [cue.text for cue in cell.rung.cues] for cell in lunges)


@given(
    st.lists(
        st.builds(
            OwnCue,
            move=st.sampled_from(["", "squat", "calf-raise"]),
            kind=st.sampled_from(WRITTEN_KINDS),
            text=st.text(st.characters(exclude_categories=["C", "Z"]), min_size=1, max_size=40),
        ),
        max_size=4,
    )
)
def test_a_written_file_is_read_back_as_it_was(own: list[OwnCue]) -> None:
    import tomllib

    written = tomllib.loads(own_cues_text(own)).get("cue", [])
    assert [OwnCue(**each | {"kind": CueKind(each["kind"])}) for each in written] == own


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ('[[cue]]\nmove = "squatt"\nkind = "form"\ntext = "Low."\n', 2, "squat"),
        ('[[cue]]\nmove = "squat"\nrung = "bass"\nkind = "form"\ntext = "Low."\n', 3, "base"),
        ('[[cue]]\nkind = "shouting"\ntext = "Low."\n', 2, "encouragement"),
        ('[[cue]]\nkind = "count"\ntext = "Nine."\n', 2, "'set-up'"),
        ('[[cue]]\nkind = "form"\ntext = ""\n', 3, "some words"),
        ('[[cue]]\nkind = "form"\ntext = "Low."\nrung = "base"\n', 4, "a move"),
        ('[[cue]]\nkind = "form"\ntext = "Low."\ncolour = "red"\n', 4, "colour"),
        ("cue = 3\n", 1, "list"),
        ('[[clue]]\nkind = "form"\n', 1, "cue"),
    ],
)
def test_what_is_wrong_in_the_file_is_told_with_its_line(text: str, line: int, words: str, tmp_path: Path) -> None:
    path = tmp_path / "own.toml"
    path.write_text(text)
    with pytest.raises(Faults) as caught:
        read_own_cues(path, standard_library())
    (fault,) = caught.value.faults
    assert fault.where.line == line
    assert words in str(fault)


@pytest.mark.parametrize("text", ["", "  ", "two\nlines", "x" * 121])
def test_words_are_one_line_of_a_length_that_can_be_said(text: str) -> None:
    with pytest.raises(Invalid):
        OwnCue(kind=CueKind.FORM, text=text)
