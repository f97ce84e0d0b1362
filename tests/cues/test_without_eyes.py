"""Every word that is led by is true for somebody who sees neither the leader nor a picture: nothing points.

What points is listed here (common practice, no source): words that need a finger, a body or a picture for a meaning.
"""

import re
from pathlib import Path

import pytest

from everyrung import load_plan
from everyrung.cues.tracks import cue_texts
from everyrung.moves.library import standard_library
from everyrung.plan.resolve import resolve
from everyrung.timing.timeline import build_timeline

LIBRARY = standard_library()
EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*-[0-9][0-9].toml"))
POINTS = re.compile(
    r"\b(?:like (?:this|so|me|that)|over (?:here|there)|(?:up|down|to|from) (?:here|there)|(?:this|that) way|"
    r"try this|(?:as|what) I do|watch (?:me|how|my)|copy me|follow me|look at me|see (?:how|me|my)|"
    r"this (?:leg|arm|foot|hand|side|knee|one)|these two|as shown|in the picture)\b",
    re.IGNORECASE,
)


@pytest.mark.parametrize(
    "words", ["Do it like this.", "Feet over here.", "Now this leg.", "Watch my knee.", "Turn that way."]
)
def test_what_points_is_found(words: str) -> None:
    assert POINTS.search(words)


def test_no_word_of_the_library_points() -> None:
    rungs = [rung for key in LIBRARY.keys for rung in LIBRARY.move(key).versions]
    texts = {cue.text for rung in rungs for cue in rung.cues} | {rung.entry_test for rung in rungs}
    assert len(texts) > 1000
    assert sorted(text for text in texts if POINTS.search(text)) == []


def test_no_word_of_a_script_points() -> None:
    said = set()
    for path in EXAMPLES:
        session = resolve(load_plan(path), LIBRARY)
        said |= set(cue_texts(session, build_timeline(session), LIBRARY))
    # Said by a leader who asks to be seen, for lips and signs; it tells nobody how to move.
    lips = {text for text in said if "where you can see me" in text}
    assert sorted(text for text in said - lips if POINTS.search(text)) == []
