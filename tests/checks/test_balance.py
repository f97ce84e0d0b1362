"""The level label, at its limits; and the patterns one by one."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from everyrung.checks.rules.training import TRAINED
from everyrung.checks.rules.whole_session import level_label, pattern_balance
from everyrung.terms.enums import BlockKind, Level, Pattern
from everyrung.terms.session import Block, Session
from everyrung.timing.timeline import build_timeline

Make = Callable[..., Session]


def graded(session: Session, grades: list[int], level: Level) -> Session:
    """The session under `level` with one main round whose cells have these grades."""
    main = session.of_kind(BlockKind.MAIN)[0]
    cells = [main.rounds[0].cells[0]] * len(grades)
    made = tuple(replace(cell, rung=replace(cell.rung, grade=grade)) for cell, grade in zip(cells, grades, strict=True))
    block = replace(main, rounds=(replace(main.rounds[0], cells=made),))
    return replace(session, level=level, blocks=(block,))


@pytest.mark.parametrize(
    ("level", "grades", "severity"),
    [
        (Level.GENTLE, [1, 2, 2, 2], None),
        (Level.GENTLE, [2, 2, 2, 3], "warning"),  # a quarter is not more than a quarter
        (Level.GENTLE, [2, 2, 3, 3], "error"),
        (Level.GENTLE, [2] * 20 + [4], "error"),  # two grades above
        (Level.GENTLE, [2] * 20 + [5], "error"),  # three
        (Level.MODERATE, [3, 3, 3, 3], None),
        (Level.MODERATE, [3, 3, 3, 3, 3, 4], None),  # a sixth is not more than a sixth
        (Level.MODERATE, [3, 3, 3, 3, 4], "warning"),
        (Level.MODERATE, [3, 3, 3, 4], "warning"),
        (Level.MODERATE, [3, 3, 4], "error"),
        (Level.MODERATE, [3] * 20 + [5], "error"),
        (Level.MODERATE, [3] * 20 + [4, 5], "error"),
        (Level.HARD, [5, 5, 5], None),
    ],
)
def test_a_label_milder_than_its_rungs_is_found(
    session: Make, level: Level, grades: list[int], severity: str | None
) -> None:
    made = graded(session(), grades, level)
    found = list(level_label(made, build_timeline(made)))
    assert [each.severity for each in found] == ([severity] if severity else [])


def test_the_level_offered_instead_is_the_mildest_that_fits(session: Make) -> None:
    made = graded(session(), [2, 2, 2, 3], Level.GENTLE)
    (found,) = level_label(made, build_timeline(made))
    assert "offer it as moderate" in found.remedy


def with_patterns(session: Session, kept: set[Pattern]) -> Session:
    """The session with only those moves in its blocks."""

    def of(block: Block) -> Block:
        rounds = (
            replace(each, cells=tuple(one for one in each.cells if one.move.pattern in kept)) for each in block.rounds
        )
        return replace(block, rounds=tuple(rounds))

    return replace(session, blocks=tuple(map(of, session.blocks)))


@pytest.mark.parametrize("pattern", TRAINED)
def test_three_patterns_are_few_and_each_that_is_left_out_is_named_and_four_are_enough(
    session: Make, pattern: Pattern
) -> None:
    """Twice a week each of seven in three or four sessions: ACSM 2009 says two or three days a week."""
    others = [each for each in TRAINED if each is not pattern]
    few, enough = (with_patterns(session(), set(others[:count])) for count in (3, 4))
    (found,) = pattern_balance(few, build_timeline(few))
    assert found.measured.startswith("3 of 7 patterns: no ")
    assert str(pattern) in found.measured
    assert list(pattern_balance(enough, build_timeline(enough))) == []
