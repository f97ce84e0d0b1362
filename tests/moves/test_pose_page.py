"""docs/pose-file.md names every word that a pose may use, and its examples are read."""

import re
import tomllib
from pathlib import Path

from everyrung.body.coordinates import coordinate_names
from everyrung.body.pose_vocabulary import ACROSS_LINES, MIDDLE_LINES, MIDDLE_PARTS, SIDED_LINES, SIDED_PARTS, TURNS
from everyrung.moves.pose_file import WORDS, read_pose
from everyrung.parsing.table_reader import FileFaults, Table
from everyrung.terms.pose import ENTRIES, Ground, Push, When

PAGE = (Path(__file__).parents[2] / "docs" / "pose-file.md").read_text(encoding="utf-8")


def test_every_word_of_a_pose_is_on_its_page() -> None:
    angles = {name.removesuffix("_left").removesuffix("_right") for name in coordinate_names()} - {
        "trunk_turn",
        "trunk_bend",
    }
    said = {
        *ENTRIES, *WORDS, *SIDED_PARTS, *MIDDLE_PARTS, *SIDED_LINES, *MIDDLE_LINES, *ACROSS_LINES, *TURNS, *angles,
        *(str(word) for words in (Ground, Push, When) for word in words),
    }  # fmt: skip
    assert sorted(word for word in said if f"`{word}`" not in PAGE and f"`{word} `" not in PAGE) == []


def test_the_examples_of_the_page_are_read() -> None:
    blocks = re.findall(r"```toml\n(.*?)```", PAGE, re.DOTALL)
    assert len(blocks) == 4
    for block in blocks:
        text = block if block.startswith("[pose]") else f"[pose]\n{block}"
        reading = FileFaults("page", text)
        assert read_pose(Table(reading, tomllib.loads(text)["pose"])) != read_pose(Table(FileFaults("page", ""), {}))
        reading.finish()
