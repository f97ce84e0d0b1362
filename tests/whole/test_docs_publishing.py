"""docs/publishing.md: its tables, its command and its numbers are those of the code."""

import re
import shlex
from pathlib import Path

import pytest

from everyrung.cli import load, parser
from everyrung.cues.mirroring import leader_side
from everyrung.cues.tracks import EASY_SHARE, HARD_SHARE
from everyrung.publish.audio.loudness import TARGET_LUFS
from everyrung.publish.audio.sound import HURRIES
from everyrung.publish.folder.bundle import NOTES_FILE
from everyrung.publish.folder.contents import MANIFEST
from everyrung.publish.folder.sound import BEEPS_UNDER_VOICE_DB
from everyrung.publish.folder.texts import GENTLE, MODERATE
from everyrung.publish.registry import registry
from everyrung.terms.enums import Side, View
from everyrung.voice.engine import SLOWEST_WPM

PAGE = (Path(__file__).parents[2] / "docs" / "publishing.md").read_text(encoding="utf-8")
ROWS = {
    "facing": View.FACING, "with your back turned": View.BACK_TURNED, "filmed, not flipped": View.FILMED,
    "filmed and flipped": View.FILMED_FLIPPED,
}  # fmt: skip


@pytest.mark.parametrize(("words", "view"), ROWS.items())
def test_the_table_of_sides_is_the_code_s(words: str, view: View) -> None:
    found = leader_side(Side.LEFT, view)
    reads = "reads" if found.print_reads else "is mirrored"
    assert f"| {words} | your {found.moves} | {reads} |" in PAGE


def test_the_command_on_the_page_is_understood() -> None:
    line = re.search(r"^everyrung (publish .*)$", PAGE, re.MULTILINE)
    assert line
    name, *rest = shlex.split(line[1])
    parsed = parser(name, load(name)).parse_args(rest)
    assert (parsed.zone, parsed.video, parsed.weeks) == ("Europe/Helsinki", True, 6)


def test_every_file_that_can_be_made_is_on_the_page() -> None:
    """Each of the outputs' own patterns, and the two files that every folder has."""
    names = [name for output in registry().outputs for name in output.files if not name.startswith("*")]
    assert len(names) >= 12
    for name in [*names, MANIFEST, NOTES_FILE]:
        stem, _, ending = name.replace("*", "").partition(".")
        assert stem in PAGE, name
        assert not ending or f".{ending}" in PAGE


def test_the_numbers_on_the_page_are_the_code_s() -> None:
    assert f"{TARGET_LUFS:g} LUFS" in PAGE
    assert (GENTLE, MODERATE) == (2 / 5, 3 / 5)  # two fifths, three fifths
    assert SLOWEST_WPM == 80
    assert f"{-BEEPS_UNDER_VOICE_DB:g} dB softer" in PAGE
    assert max(HURRIES) == pytest.approx(4 / 3, abs=0.01)  # a third faster
    assert (EASY_SHARE, HARD_SHARE) == (1 / 2, 1 / 5)  # half, a fifth
