"""The page on plan files is true: its examples work, its refusals are refused, its lists are complete."""

import re
import tomllib
from collections.abc import Iterator
from enum import StrEnum
from pathlib import Path

import pytest

from everyrung.moves.lever_words import read_lever
from everyrung.moves.library import standard_library
from everyrung.parsing.units import dose, duration, load
from everyrung.plan.read import plan_from_text
from everyrung.plan.resolve import resolve
from everyrung.tables.reader import read_table
from everyrung.terms import enums as words
from everyrung.terms.errors import Faults
from everyrung.terms.lever import LEVER_WORDS
from everyrung.terms.session import Session

PAGE = (Path(__file__).parents[2] / "docs" / "plan-file.md").read_text(encoding="utf-8")
EXAMPLES = re.findall(r"^```toml (\w+)\n(.*?)^```$", PAGE, re.MULTILINE | re.DOTALL)

HEAD = 'title = "Page"\nslot_minutes = 30\n'
TABLES = {
    "who": "[who]\nin_room = 6\n",
    "kit": '[[kit]]\nitem = "dumbbells"\nmass = "10 lb"\nas = "pairs"\ncount = 6\n',
    "block": '[[block]]\nkind = "main"\n',
}
COLUMNS = """\
[[block.move]]
move = "split-squat"
as = "lunge"
dose = "8 a side"
[[block.move]]
move = "hip-hinge"
as = "hinge"
dose = "10 reps"
"""
ROUNDS = '[[block.round]]\nname = "One"\n[[block.round]]\nname = "Three"\n[[block.round]]\nname = "Two"\n'
CELL = "[block.round.cell.lunge]\n"


def whole(kind: str, text: str) -> str:
    """A fragment of the page inside the rest of a plan."""
    if kind == "plan":
        return text
    if kind == "top":
        named = tomllib.loads(text)
        rest = "".join(part for name, part in TABLES.items() if name not in named)
        return HEAD + text + rest + ("" if "block" in named else COLUMNS + ROUNDS)
    inner = {"main": text, "cell": COLUMNS + ROUNDS + CELL + text}[kind]
    return HEAD + "".join(TABLES.values()) + inner


def made(kind: str, text: str) -> Session:
    return resolve(plan_from_text(whole(kind, text), "page.toml"), standard_library())


def refused() -> Iterator[str]:
    for kind, text in EXAMPLES:
        if kind == "refused":
            yield from text.splitlines()


def spoken() -> set[str]:
    """Every code span of the page outside its examples, and every quoted word in one."""
    outside = re.sub(r"^```.*?^```$", "", PAGE, flags=re.MULTILINE | re.DOTALL)
    spans = re.findall(r"`([^`\n]+)`", outside)
    return {*spans, *(word for span in spans for word in re.findall(r'"([^"]+)"', span))}


def known_keys(text: str, line: str) -> set[str]:
    """The keys that the reader knows where `line` stands, as it says itself when a key is misspelt."""
    with pytest.raises(Faults) as caught:
        plan_from_text(text.replace(line, f"zzz = 1\n{line}", 1), "page.toml")
    told = [re.fullmatch(r"Known here: (.*)\.", fault.remedy) for fault in caught.value.faults]
    (keys,) = [match[1] for match in told if match]
    return set(re.split(r", | and | or ", keys))


def test_there_is_an_example_of_every_kind() -> None:
    assert {kind for kind, _ in EXAMPLES} == {"plan", "top", "main", "cell", "refused"}
    assert len(re.findall(r"^```toml", PAGE, re.MULTILINE)) == len(EXAMPLES)


@pytest.mark.parametrize(("kind", "text"), [each for each in EXAMPLES if each[0] != "refused"])
def test_every_example_is_read_and_decided(kind: str, text: str) -> None:
    assert any(made(kind, text).cells)


@pytest.mark.parametrize("line", list(refused()))
def test_what_is_called_refused_is_refused(line: str) -> None:
    key = line.split(" =")[0]
    with pytest.raises(Faults) as caught:
        made("cell", line + "\n")
    assert any(key in fault.where.field or key in str(fault) for fault in caught.value.faults)


FULL = whole("cell", 'left = { dose = "8 a side" }\noptions.easier = { rung = "wall" }\n')
TABLE_LINES = {
    "the top": "title =",
    "who": "in_room =",
    "kit": "item =",
    "block": "kind =",
    "move": 'as = "lunge"',
    "round": 'name = "One"',
    "cell": "left =",
}


@pytest.mark.parametrize("line", TABLE_LINES.values(), ids=TABLE_LINES)
def test_every_key_that_the_reader_knows_is_on_the_page(line: str) -> None:
    known = known_keys(FULL, line)
    assert len(known) >= 4
    assert known - spoken() == set()


def test_every_key_of_a_side_and_of_an_option_is_on_the_page() -> None:
    for change in ("left = { zzz = 1 }", "options.easier = { zzz = 1 }", "options = { zzz = 1 }"):
        with pytest.raises(Faults) as caught:
            made("cell", change + "\n")
        (keys,) = re.findall(r"Known here: ([^.]*)\.", str(caught.value))
        assert set(re.split(r", | and | or ", keys)) <= spoken()


VOCABULARIES: list[type[StrEnum]] = [
    words.SideRule,
    words.Level,
    words.View,
    words.BlockKind,
    words.Caution,
    words.KitItem,
    words.BandGrade,
    words.Carry,
    words.Support,
    words.Hold,
    words.Surface,
    words.Reach,
    words.Press,
    words.Rotation,
    words.Extra,
    words.LoadNeed,
]


@pytest.mark.parametrize("vocabulary", VOCABULARIES, ids=lambda each: each.__name__)
def test_every_word_that_a_plan_may_use_is_on_the_page(vocabulary: type[StrEnum]) -> None:
    assert {str(each) for each in vocabulary} - spoken() == set()


def test_every_lever_is_on_the_page_in_a_form_that_is_read() -> None:
    rows = re.findall(r"^\| `(\{ .* \})` \|", PAGE, re.MULTILINE)
    levers = [read_lever(tomllib.loads(f"lever = {row}")["lever"]) for row in rows]
    assert {lever.word for lever in levers} == set(LEVER_WORDS)
    assert "There are fifteen" in PAGE
    assert len(LEVER_WORDS) == 15


def test_the_amounts_on_the_page_are_read() -> None:
    """Each form of a time, a dose and a load that the page lists in its own paragraph."""
    for heading, read in (("Times", duration), ("Doses", dose), ("Loads", load)):
        (paragraph,) = re.findall(rf"^### {heading}\n\n(.*?)\n\n", PAGE, re.MULTILINE | re.DOTALL)
        forms = re.findall(r'`"([^`]+)"`', paragraph)
        assert len(forms) >= 5
        assert all(read(form) for form in forms)


def test_the_defaults_that_the_page_names_are_taken() -> None:
    text = 'move = "squat"\n[[block.move]]\nmove = "bird-dog"\n[[block.move]]\nmove = "side-plank"\nrung = "base"\n'
    session = made("top", f'[[block]]\nkind = "announcement"\n[[block]]\nkind = "main"\n[[block.move]]\n{text}')
    assert [str(cell.dose) for cell in session.cells] == ["10 reps", "10 a side", "0:30 a side"]
    assert session.blocks[0].talk_ms == 60_000
    assert "10 repetitions, or a hold of 30 s" in PAGE
    assert "an announcement with neither takes a minute" in PAGE


def test_another_rung_starts_afresh_and_a_skip_is_not_passed_on() -> None:
    """As the page says: levers, options, name and entry test are dropped; dose, load and tempo stay."""
    rounds = """
[[block.move]]
move = "split-squat"
as = "lunge"
dose = "6 a side"
levers = [{ range = 0.8 }]
name = "Own name"
entry_test = "Own test?"
options.easier = "squat/chair"
[[block.move]]
move = "squat"
[[block.round]]
name = "One"
skip = ["squat"]
[[block.round]]
name = "Two"
like = "One"
cell.lunge = { rung = "pause" }
"""
    one, two, squat = made("main", rounds).cells
    assert (one.rung.name, one.rung.entry_test, one.options[1].rung.key) == ("Own name", "Own test?", "chair")
    assert (two.rung.key, two.rung.form.range_share, str(two.dose)) == ("pause", 1.0, "6 a side")
    assert (two.rung.name == one.rung.name, two.options[1].given) == (False, False)
    assert squat.ref.round == "Two"


def test_the_clock_on_the_page_is_the_table() -> None:
    (section,) = re.findall(r"^## 9\..*?^## 10\.", PAGE, re.MULTILINE | re.DOTALL)
    shown = re.findall(r"^\| `(\w+)` \| (.*?) \| (.*?) \|$", section, re.MULTILINE)
    rows = read_table("clock").rows
    wanted = [(row["name"].removesuffix("_ms"), _value(int(row["value"]), row["unit"]), row["source"]) for row in rows]
    assert shown == wanted


def _value(amount: int, unit: str) -> str:
    return f"{amount / 1000:g} s" if unit == "ms" else str(amount)
