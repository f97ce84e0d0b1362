"""Shorter lengths of one design: every set of a shorter one is a set of the longer, in its order; nothing grave comes.

Judged from the texts, by means of this file's own.
"""

from collections.abc import Iterable, Iterator
from itertools import pairwise
from pathlib import Path

import pytest
from spoilt_drafts import GRAVE, run_of

from everyrung.compose.changes import Offers
from everyrung.compose.press import lengths
from everyrung.moves.library import standard_library
from everyrung.plan.edit import apply_edit
from everyrung.plan.read import plan_from_text
from everyrung.results.analysis import Analysis
from everyrung.terms.edit import AddMove
from everyrung.terms.enums import BlockKind
from everyrung.terms.errors import Invalid

EXAMPLES = Path(__file__).parents[2] / "examples"
NAMES = ("whole-body-45", "boathouse-30", "seated-30", "upper-body-30", "one-dumbbell-30", "first-evening-30")


def sets(run: Analysis) -> list[str]:
    """Each set in words: move, version, dose and load of each side."""
    return [
        f"{cell.move.key}/{cell.rung.name}/{cell.dose}/{[str(bout.load) for bout in cell.bouts]}"
        for cell in run.session.cells
    ]


def stands_in(part: Iterable[str], whole: Iterable[str]) -> bool:
    """Whether `part` is what is left of `whole` when some of it goes."""
    rest: Iterator[str] = iter(whole)
    return all(any(each == other for other in rest) for each in part)


def grave(run: Analysis) -> set[str]:
    return {each.rule for each in run.findings if each.severity in GRAVE}


@pytest.mark.parametrize("name", NAMES)
def test_each_is_a_true_part_of_the_longer_and_fills_its_slot(name: str) -> None:
    text = (EXAMPLES / f"{name}.toml").read_text(encoding="utf-8")
    result = lengths(EXAMPLES / f"{name}.toml")
    runs = [run_of(text), *(run_of(each.text) for each in result.offers)]
    assert len(runs) > 1, result.stays
    for longer, shorter in pairwise(runs):
        assert stands_in(sets(shorter), sets(longer))
        assert len(sets(shorter)) < len(sets(longer))
        assert grave(shorter) <= grave(longer)
        assert 0.95 <= shorter.timeline.total_ms / shorter.session.slot_ms <= 1
        main = shorter.session.of_kind(BlockKind.MAIN)
        assert len({cell.move.pattern for block in main for cell in block.cells}) >= 2
    assert [run.session.slot_ms // 60_000 for run in runs[1:]] == [
        minutes for minutes in (45, 30, 20) if minutes * 60_000 < runs[0].session.slot_ms
    ]


def test_its_words_say_all_that_it_lacks_of_the_whole() -> None:
    """Those of the 20 minutes once said what they lack of the 30, beside sums that are of the whole."""
    whole = run_of((EXAMPLES / "whole-body-45.toml").read_text(encoding="utf-8"))
    columns = {(cell.ref.block, cell.ref.cell): cell.move.name.lower() for cell in whole.session.cells}
    offers = lengths(EXAMPLES / "whole-body-45.toml", 30, 20).offers
    assert len(offers) == 2
    for each in offers:
        left = {(cell.ref.block, cell.ref.cell) for cell in each.run.session.cells}
        losses = [name for column, name in columns.items() if column not in left]
        said = each.words.split("without ")[1].replace(" and ", ", ").split(", ")
        assert sorted(" and ".join(losses).replace(" and ", ", ").split(", ")) == sorted(said)
        assert each.words.startswith(f"{each.run.session.slot_ms // 60_000} minutes: two rounds; ")


def test_the_check_itself_sees_an_order_that_changed_and_a_set_that_came() -> None:
    assert stands_in("ac", "abc")
    assert not stands_in("ca", "abc")
    assert not stands_in("aa", "abc")


def test_what_the_leader_says_of_its_size_is_said_anew() -> None:
    text = (EXAMPLES / "whole-body-45.toml").read_text(encoding="utf-8")
    run = run_of(text)
    [block] = [each for each in run.session.blocks if each.kind is BlockKind.ANNOUNCEMENT]
    mains = run.session.of_kind(BlockKind.MAIN)
    moves = len({(cell.ref.block, cell.ref.cell) for each in mains for cell in each.cells})
    rounds = max(len(each.rounds) for each in mains)
    words = {2: "Two", 3: "Three", 4: "four", 5: "five", 6: "six", 7: "seven", 8: "eight", 9: "nine"}
    line = f"{words[rounds].capitalize()} rounds of {words[moves]} moves, as always."
    said = text.replace(f'"{block.say[0]}"', f'"{line}"', 1)
    assert line in said
    shorter = run_of(_write(said).offers[0].text)
    [after] = [each for each in shorter.session.blocks if each.kind is BlockKind.ANNOUNCEMENT]
    left = len({(c.ref.block, c.ref.cell) for each in shorter.session.of_kind(BlockKind.MAIN) for c in each.cells})
    most = max(len(each.rounds) for each in shorter.session.of_kind(BlockKind.MAIN))
    assert after.say[0] == f"{words[most].capitalize()} rounds of {words[left]} moves, as always."


def _write(text: str) -> Offers:
    return lengths(plan_from_text(text, "plan.toml"), 30)


MORE = ("calf-raise", "biceps-curl", "dead-bug", "bird-dog", "side-lunge", "shadow-row")


@pytest.mark.parametrize(("count", "is_found"), [(11, True), (13, False)])
def test_of_very_many_moves_that_is_what_is_said(count: int, is_found: bool) -> None:
    """Of eleven moves it was once said that no part of them is so long."""
    text = (
        (EXAMPLES / "whole-body-45.toml").read_text(encoding="utf-8").replace("slot_minutes = 45", "slot_minutes = 75")
    )
    blocks = run_of(text).session.of_kind(BlockKind.MAIN)
    there = len({(cell.ref.block, cell.ref.cell) for block in blocks for cell in block.cells})
    for move in MORE[: count - there]:
        text = apply_edit(text, AddMove(block=blocks[-1].name, move=move), standard_library())
    made = _write(text)
    assert bool(made.offers) is is_found, made.stays
    if not is_found:
        assert made.stays == (
            "30 minutes: it has 13 moves in its main parts, and of more than 12 parts are not looked for",
        )


def test_what_cannot_be_had_says_why() -> None:
    short = lengths(EXAMPLES / "office-20.toml")
    assert short.offers == ()
    assert short.stays == ("it is 20 minutes long, and no shorter length is asked for",)
    tiny = lengths(EXAMPLES / "boathouse-30.toml", 8)
    assert tiny.offers == ()
    assert tiny.stays[0].startswith("8 minutes: ")
    with pytest.raises(Invalid, match="Nearest: 5"):
        lengths(EXAMPLES / "boathouse-30.toml", 3)
