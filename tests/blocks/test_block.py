"""A whole block, judged from its plans' texts; then planned again around a change, and around an evening missed."""

from datetime import date, timedelta
from pathlib import Path

import pytest

from everyrung.blocks.block_file import earlier_of, plan_name, plan_texts, read_block, with_missed
from everyrung.blocks.block_view import block_view
from everyrung.blocks.changes import block_lines, change_words
from everyrung.blocks.ladder import ladder_of
from everyrung.blocks.middle import session_parts
from everyrung.blocks.search import Block, propose_block
from everyrung.checks.rules.whole_session import HIGHEST_GRADE
from everyrung.moves.library import standard_library
from everyrung.pipeline import Options, run_plan
from everyrung.plan.read import plan_from_text
from everyrung.plan.resolve import resolve
from everyrung.proposals.brief_text import read_brief
from everyrung.proposals.columns import RungsWithLevers
from everyrung.store.cache import default_cache
from everyrung.terms.block_brief import EveningKind
from everyrung.terms.enums import BlockKind, Pattern, Severity
from everyrung.terms.history import History
from everyrung.terms.session import Session

pytestmark = pytest.mark.slow
LIBRARY = standard_library()
BRIEF = read_brief("25 min whole body, dumbbells 4 to 10 kg").brief


def sessions(block: Block) -> dict[date, Session]:
    return {
        each.evening.on: resolve(plan_from_text(each.text, plan_name(each.evening.on)), LIBRARY)
        for each in block.evenings
    }


def patterns(session: Session) -> set[Pattern]:
    return {cell.move.pattern for cell in session.cells_of(BlockKind.MAIN)}


def test_every_evening_is_a_session_that_passes_every_check_and_ends_in_its_slot(block: Block) -> None:
    for each in block.evenings:
        plan = plan_from_text(each.text, "evening.toml")
        run = run_plan(plan, options=Options(bodies=True, cache=default_cache()))
        assert not [one for one in run.findings if one.severity in (Severity.ERROR, Severity.WARNING)]
        assert run.timeline.total_ms <= plan.slot_ms <= 25 * 60_000


def test_every_pattern_in_every_seven_days(block: Block) -> None:
    aims = {Pattern.KNEE, Pattern.HIP, Pattern.PUSH, Pattern.PULL, Pattern.OVERHEAD, Pattern.TRUNK}
    every = sessions(block)
    last = max(every) - timedelta(days=6)
    short = {words.split(" is not")[0] for words in block.gives_up if "seven days" in words}
    for first in (day for day in every if day <= last):
        window = set().union(*(patterns(every[day]) for day in every if first <= day < first + timedelta(days=7)))
        if len([day for day in every if first <= day < first + timedelta(days=7)]) > 1:
            assert {str(each) for each in aims - window} <= short


def demand_of(session: Session) -> float:
    """Over the cells of the main part, what is asked of the middle person: measured on the plan, not by the solver."""
    mains = {each.name for each in session.of_kind(BlockKind.MAIN)}
    return sum(part for name, part in session_parts(session, LIBRARY, default_cache()) if name in mains)


def test_each_week_asks_two_to_ten_percent_more_than_its_evenings_did(block: Block) -> None:
    """CN16: a load step of 2 to 10 % (ratamess2009), here of all that the middle person is asked."""
    every, latest = sessions(block), {}
    by_week: dict[int, list[tuple[float, float]]] = {}
    for each in block.evenings:
        if each.evening.kind is EveningKind.BUILD:
            now = demand_of(every[each.evening.on])
            if each.evening.weekly in latest:
                by_week.setdefault(each.evening.week, []).append((latest[each.evening.weekly], now))
            latest[each.evening.weekly] = now
    assert len(by_week) >= 3
    growths = {week: sum(now for _, now in pairs) / sum(was for was, _ in pairs) for week, pairs in by_week.items()}
    assert all(1.019 <= growth <= 1.101 for growth in growths.values()), growths
    assert growths == pytest.approx(dict(block.steps.growth), rel=1e-6)


def test_one_lever_a_week(block: Block) -> None:
    """Of each move that is not as it was, either repetitions alone changed, or all loads, or all versions."""
    kinds: dict[int, set[str]] = {}
    latest: dict[tuple[int, str], tuple] = {}
    for each in block.evenings:
        if each.evening.kind is not EveningKind.BUILD:
            continue
        for column in each.columns:
            now = tuple((one.rung.key, str(one.load), one.more) for one in column.versions)
            was = latest.get((each.evening.weekly, column.move.key), now)
            latest[each.evening.weekly, column.move.key] = now
            for before, after in zip(was, now, strict=True):
                rung, load, reps = (one != other for one, other in zip(before, after, strict=True))
                if rung or load or reps:
                    kinds.setdefault(each.evening.week, set()).add("rung" if rung else "load" if load else "reps")
    assert kinds
    assert all(len(each) == 1 for each in kinds.values()), kinds


def test_an_easier_week_has_the_same_moves_fewer_sets_and_ends_earlier(block: Block) -> None:
    """CN20: fewer sets, same moves."""
    every = sessions(block)
    easier = [each for each in block.evenings if each.evening.kind is EveningKind.EASIER]
    assert easier
    for each in easier:
        before = next(one for one in block.evenings if one.evening.on == each.source)
        now, was = (every[one.evening.on].cells_of(BlockKind.MAIN) for one in (each, before))
        assert {cell.move.key for cell in now} == {cell.move.key for cell in was}
        assert len(now) < len(was)
        assert each.run.plan.slot_ms < before.run.plan.slot_ms


def test_push_and_pull_knee_and_hip_differ_by_one_move_a_week(block: Block) -> None:
    cells = [
        cell.move
        for each in block.evenings[:2]
        for cell in sessions(block)[each.evening.on].cells_of(BlockKind.MAIN)
    ]  # fmt: skip
    moves = {move.key: move.pattern for move in cells}
    if "push and pull are not balanced" not in block.gives_up:
        push = sum(each in (Pattern.PUSH, Pattern.OVERHEAD) for each in moves.values())
        assert abs(push - sum(each is Pattern.PULL for each in moves.values())) <= 2


def test_the_test_evening_is_the_first_again(block: Block) -> None:
    test = block.evenings[-1]
    assert test.evening.kind is EveningKind.TEST
    first = next(each for each in block.evenings if each.evening.weekly == test.evening.weekly)
    assert test.text == first.text
    assert change_words(block, test).startswith("Test: the session of Thursday 14 January again.")


def test_the_grade_of_the_brief_is_kept(block: Block) -> None:
    for session in sessions(block).values():
        highest = HIGHEST_GRADE[session.level]
        assert all(cell.rung.grade <= highest for cell in session.cells_of(BlockKind.MAIN))


def test_bounds_are_kept_and_shown(block: Block) -> None:
    assert block.skeleton.worth <= block.skeleton.bound + 1e-6
    assert block.steps.worth <= block.steps.bound + 1e-6
    assert sum(line.startswith("Week ") for line in block_lines(block)) == 6


def test_a_plan_changed_by_hand_is_kept_and_the_rest_is_planned_again(folder: Path, block: Block) -> None:
    day = date(2027, 1, 25)
    path = folder / plan_name(day)
    path.write_text("# mine\n" + path.read_text())
    written = read_block(folder / "block.toml", LIBRARY)
    earlier = earlier_of(written, plan_texts(written, folder), date(2027, 1, 11))
    again = propose_block(written.brief, cache=default_cache(), earlier=earlier)
    mine = next(each for each in again.evenings if each.evening.on == day)
    assert mine.evening.kind is EveningKind.BY_HAND
    assert mine.text == path.read_text()
    assert [each.evening.on for each in again.evenings] == [each.evening.on for each in block.evenings]
    moves = {each.evening.on: {one.move.key for one in each.columns} for each in again.evenings}
    for each in block.evenings:  # moves stay where nothing speaks against them
        if each.evening.on != day:
            assert moves[each.evening.on] == {one.move.key for one in each.columns}


def test_a_missed_evening_shifts_what_comes_and_leaves_what_was(folder: Path, block: Block) -> None:
    missed = date(2027, 1, 28)
    written = with_missed(read_block(folder / "block.toml", LIBRARY), missed)
    assert "missed = [2027-01-28]" in written.head
    assert "# away" in written.head
    again = propose_block(
        written.brief, cache=default_cache(), earlier=earlier_of(written, plan_texts(written, folder), missed)
    )
    texts = {each.evening.on: each.text for each in again.evenings}
    assert missed not in texts
    words = {each.evening.on: change_words(again, each) for each in again.evenings if each.evening.on < missed}
    assert words == {each.evening.on: change_words(block, each) for each in block.evenings if each.evening.on < missed}
    for each in block.evenings:
        if each.evening.on < missed:
            assert texts[each.evening.on] == each.text
    latest = {each.evening.weekly: each for each in again.evenings if each.evening.on < missed}
    following = next(each for each in again.evenings if each.evening.on > missed and each.evening.weekly == 1)
    was = {column.move.key: column for column in latest[1].columns}
    for column in following.columns:  # from where each move was left, by no more than a week's step
        assert column.key in {
            each.key for each in ladder_of(BRIEF, RungsWithLevers(library=LIBRARY), was[column.move.key]).columns
        }
    moved = [column for column in following.columns if column.key != was[column.move.key].key]
    assert len(moved) < len(following.columns)
    assert all(1.019 <= growth <= 1.101 for week, growth in again.steps.growth.items() if week > 3), again.steps


def test_the_view_of_its_files_is_the_block(folder: Path, block: Block) -> None:
    written = read_block(folder / "block.toml", LIBRARY)
    view = block_view(written, plan_texts(written, folder), History(), LIBRARY, default_cache())
    assert [(each.on, each.week, each.kind) for each in view.evenings] == [
        (each.evening.on, each.evening.week, each.evening.kind) for each in block.evenings
    ]
    every = sessions(block)
    assert [sum(each.sets.values()) for each in view.evenings] == [
        len(every[each.on].cells_of(BlockKind.MAIN)) for each in view.evenings
    ]
    assert [each.change for each in view.evenings] == [change_words(block, each) for each in block.evenings]
