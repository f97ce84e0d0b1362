"""The page about rehearsals: its mix and its answers can be read, its commands are known, its numbers are true."""

import re
from pathlib import Path

import pytest

from everyrung.cli import COMMANDS, load, parser
from everyrung.effort import select_rung
from everyrung.effort.mix import mix_names, read_mix
from everyrung.people.answers import read_answers
from everyrung.terms.enums import Level

PAGE = (Path(__file__).parents[2] / "docs" / "rehearsal.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"```(\w+)\n(.*?)```", PAGE, flags=re.DOTALL)


def toml_with(word: str) -> str:
    return next(text for kind, text in BLOCKS if kind == "toml" and word in text)


def test_the_mix_on_the_page_can_be_read(tmp_path: Path) -> None:
    path = tmp_path / "thursday.toml"
    path.write_text(toml_with("[[group]]"), encoding="utf-8")
    mix = read_mix(str(path))
    assert mix.title == "Thursday evening"
    assert len(mix.limits) == 13
    assert [len(bundle.items) for bundle in mix.groups[0].bundles] == [2, 0]


def test_the_answers_on_the_page_can_be_read(tmp_path: Path) -> None:
    path = tmp_path / "answers.toml"
    path.write_text(toml_with("[[answer]]"), encoding="utf-8")
    assert [answer.left for answer in read_answers(path)] == [3, 6]


@pytest.mark.parametrize("line", [line for kind, text in BLOCKS if kind == "sh" for line in text.splitlines()])
def test_the_commands_on_the_page_are_understood(line: str) -> None:
    words = re.findall(r'"[^"]*"|[^\s]+', line.partition("   #")[0].partition(" # ")[0])
    name, given = words[1], [word.strip('"') for word in words[2:]]
    assert name in COMMANDS
    parser(name, load(name)).parse_args(given)


def test_every_mix_that_comes_with_it_is_named_or_is_the_survey() -> None:
    assert {name for name in mix_names() if f"`{name}`" not in PAGE} == {"survey"}


def test_the_targets_on_the_page_are_those_of_the_code() -> None:
    said = re.search(r"\((\d) repetitions at a moderate level, (\d) at a gentle one, (\d) at\s+a hard one; (\d)", PAGE)
    assert said
    wanted = [select_rung.TARGET_LEFT[level] for level in (Level.MODERATE, Level.GENTLE, Level.HARD)]
    assert [float(each) for each in said.groups()] == [*wanted, select_rung.NEWCOMER_LEFT]
