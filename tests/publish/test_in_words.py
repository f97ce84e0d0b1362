"""The session in words tells all without a picture: each set, dose, side, kit and version, and nothing that points."""

import re
from pathlib import Path

import pytest

from everyrung import load_plan
from everyrung.cues.version_words import versions
from everyrung.moves.library import standard_library
from everyrung.plan.resolve import resolve
from everyrung.publish.in_words import in_words
from everyrung.runsheet.words import dose_words
from everyrung.terms.enums import CueKind
from everyrung.timing.timeline import build_timeline

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*-[0-9][0-9].toml"))
# Words that need a finger, a body or a picture for a meaning; common practice, no source (as tests/cues has them).
POINTS = re.compile(
    r"\b(?:like (?:this|so|me|that)|over (?:here|there)|(?:this|that) way|watch (?:me|how|my)|copy me|follow me|"
    r"look at me|see (?:how|me|my)|this (?:leg|arm|foot|hand|side|knee|one)|as shown|in the picture)\b",
    re.IGNORECASE,
)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_every_set_is_told_in_words_that_point_nowhere(path: Path) -> None:
    session = resolve(load_plan(path), standard_library())
    text = in_words(session, build_timeline(session))
    lines = text.splitlines()
    sets = [line for line in lines if line.startswith("- ")]
    cells = list(session.cells)
    assert len(sets) == len(cells)
    for line, cell in zip(sets, cells, strict=True):
        assert line.startswith(f"- {cell.rung.name}: {dose_words(cell)}")
        for each in versions(cell, session.who.limits, after_first_set=False):
            assert f"  {each.text}" in lines
        place = next(cue.text for cue in cell.rung.cues if cue.kind is CueKind.SET_UP)
        assert place in text
    lips = text.replace("where you can see me", "")
    assert POINTS.findall(lips) == []
