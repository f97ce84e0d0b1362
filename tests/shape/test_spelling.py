"""British spelling in everything that people read, and the words that participants hear: common practice, no source."""

import re
from pathlib import Path

import pytest

from everyrung.moves.library import standard_library
from everyrung.plan.read import read_plan
from everyrung.publish.card import HOW
from everyrung.publish.sheet.content import STOP_SIGNS

ROOT = Path(__file__).parents[2]
# American forms of words that a coach writes; names of the language, of CSS and of the public interface are no words.
AMERICAN = re.compile(
    r"\b(gray|centers?|centered|favorites?|behaviors?|neighbors?|neighboring|fibers?|judgment|labored|traveled|labeled|"
    r"modeled|canceled|practiced|practicing|licensed? plates?|meters|skeptical|program(?:me)?ing sessions?|"
    r"organiz\w+|recogniz\w+|optimiz\w+|generaliz\w+|minimiz\w+|emphasiz\w+|stabiliz\w+|color(?:s|ed|ful)?)\b",
    re.IGNORECASE,
)
CODE = re.compile(r"```.*?```|`[^`]*`|<[^>]*>|\{\{.*?\}\}|\{%.*?%\}|https?://\S+", re.DOTALL)
PAGES = [ROOT / "README.md", ROOT / "CHANGES.md", *sorted((ROOT / "docs").glob("*.md"))]
MOVES = sorted((ROOT / "src" / "everyrung" / "moves" / "library").glob("*.toml"))
PLANS = sorted((ROOT / "examples").glob("*.toml"))
OURS = re.compile(r"\b(rungs?|ladders?)\b", re.IGNORECASE)  # the coach's words, not the participants'
SEAT = re.compile(r"\b(?:your seat|the seat|seat)\b(?! (?:of|edge))", re.IGNORECASE)
OF_A_CHAIR = re.compile(
    r"\b(?:touch the seat|(?:hands )?on the seat|(?:front|half) of the seat|where the seat|raised seat)\b",
    re.IGNORECASE,
)


def prose(path: Path) -> str:
    return CODE.sub(" ", path.read_text(encoding="utf-8"))


@pytest.mark.parametrize("path", [*PAGES, *MOVES, *PLANS], ids=lambda path: path.stem)
def test_spelling_is_british(path: Path) -> None:
    assert sorted({match[0] for match in AMERICAN.finditer(prose(path))}) == []


def heard() -> list[str]:
    """What participants hear or read: the library's cues and questions, the examples' words, the card's own lines."""
    library = standard_library()
    rungs = [rung for key in library.keys for rung in library.move(key).versions]
    said = [text for rung in rungs for text in (rung.name, rung.entry_test, *(cue.text for cue in rung.cues))]
    blocks = [block for path in PLANS for block in read_plan(path).blocks]
    return [*said, *(line for block in blocks for line in block.say), *HOW, *STOP_SIGNS]


def test_participants_hear_of_versions_not_of_rungs() -> None:
    assert sorted({text for text in heard() if OURS.search(text)}) == []


def test_a_seat_is_a_chairs_and_never_a_persons() -> None:
    assert sorted({text for text in heard() if SEAT.search(OF_A_CHAIR.sub("", text))}) == []
