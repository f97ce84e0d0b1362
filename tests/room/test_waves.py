"""Waves: everybody does everything once, what is there is enough in each turn, and no other grouping waits less."""

import itertools
import random
from collections import Counter
from pathlib import Path

import pytest

from everyrung import load_plan
from everyrung.moves.library import standard_library
from everyrung.plan.resolve import resolve
from everyrung.room.one_change import changes
from everyrung.room.waves import MOST_WAVES, CellTime, RoundWaves, round_waves, session_waves, wave_sizes
from everyrung.terms.session import Session
from everyrung.terms.timeline import Timeline
from everyrung.timing.side_totals import sides_of
from everyrung.timing.timeline import build_timeline

PLAN = Path(__file__).parents[2] / "examples" / "boathouse-30.toml"
WALLS = {"ball-wall-squat/part": 6, "ball-wall-squat/base": 6, "ball-wall-squat/pair": 6}


@pytest.fixture(scope="module")
def led() -> tuple[Session, Timeline]:
    session = resolve(load_plan(PLAN), standard_library())
    return session, build_timeline(session)


def made_times(led: tuple[Session, Timeline], seed: int) -> list[CellTime]:
    rng = random.Random(seed)
    cells = list(led[0].cells)[:5]
    things = ("ball", "wall", "dumbbells")
    return [
        CellTime(
            cell=cell,
            explain_ms=rng.randrange(3000, 18_001),
            work_ms=rng.randrange(30_000, 90_001),
            shares={thing: 1 / rng.randint(4, 12) for thing in things if rng.random() < 0.4},
        )
        for cell in cells
    ]


def groupings(cells: list[CellTime]) -> list[list[list[CellTime]]]:
    """Every way to put cells into groups, by hand: the second way."""
    if not cells:
        return [[]]
    first, rest = cells[0], cells[1:]
    ways = []
    for count in range(len(rest) + 1):
        for others in itertools.combinations(rest, count):
            left = [each for each in rest if each not in others]
            ways += [[[first, *others], *tail] for tail in groupings(left)]
    return ways


def waits(group: list[CellTime], people: int) -> float:
    """The least waiting of one group over the numbers of waves that what is there is enough for."""
    least = float("inf")
    for waves in range(len(group), MOST_WAVES + 1):
        largest = -(-people // waves)
        used = Counter[str]()
        for each in group:
            for thing, share in each.shares.items():
                used[thing] += share * largest  # type: ignore[assignment]
        if all(part <= 1 + 1e-9 for part in used.values()):
            longest = max(each.work_ms for each in group)
            least = min(least, waves * longest - sum(each.work_ms for each in group))
    return least


@pytest.mark.parametrize("seed", range(12))
def test_no_other_grouping_waits_less(led: tuple[Session, Timeline], seed: int) -> None:
    times = made_times(led, seed)
    ours = round_waves("Round", times, 12)
    least = min(sum(waits(group, 12) for group in way) for way in groupings(times))
    assert not ours.too_few
    assert ours.idle_ms == least
    assert ours.total_ms == ours.together_ms + ours.idle_ms


def rounds_of(led: tuple[Session, Timeline], people: int) -> tuple[RoundWaves, ...]:
    return session_waves(*led, people, WALLS)


@pytest.mark.parametrize("people", [8, 12, 15, 23])
def test_everybody_does_every_cell_once_with_equal_sides(led: tuple[Session, Timeline], people: int) -> None:
    for one in rounds_of(led, people):
        for group in one.groups:
            for wave in range(group.waves):
                does = [turn.cells[wave] for turn in group.turns if turn.cells[wave] is not None]
                assert sorted(each.ref.cell for each in does if each) == sorted(
                    each.cell.ref.cell for each in group.cells
                )
            assert all(sides_of(each.cell).equal for each in group.cells if len(each.cell.bouts) > 1)


@pytest.mark.parametrize("people", [8, 12, 15, 23])
def test_no_turn_needs_more_than_there_is(led: tuple[Session, Timeline], people: int) -> None:
    """12 balls are there, and 6 places at the wall."""
    for one in rounds_of(led, people):
        for group in one.groups:
            sizes = wave_sizes(people, group.waves)
            for turn in group.turns:
                balls = walls = 0
                for size, cell in zip(sizes, turn.cells, strict=True):
                    items = [need.item for need in cell.rung.kit] if cell else []
                    balls += size * ("ball" in items)
                    walls += size * (cell is not None and cell.rung.address in WALLS)
                assert balls <= 12
                assert walls <= 6


def test_turns_follow_each_other_to_the_millisecond(led: tuple[Session, Timeline]) -> None:
    for one in rounds_of(led, 15):
        at_ms = 0
        for group in one.groups:
            at_ms += sum(each.explain_ms for each in group.cells)
            for turn in group.turns:
                assert turn.at_ms == at_ms
                at_ms = turn.end_ms
        assert at_ms == one.total_ms


def test_a_change_that_is_named_was_tried_and_is_better(led: tuple[Session, Timeline]) -> None:
    one = next(each for each in rounds_of(led, 15) if each.name == "Main / One")
    better = changes(*led, one, WALLS)
    assert better
    for each in better:
        assert (each.after.idle_ms, len(each.after.groups)) != (one.idle_ms, len(one.groups))
        assert each.after.idle_ms <= one.idle_ms


def test_too_many_people_for_four_waves_are_said(led: tuple[Session, Timeline]) -> None:
    one = next(each for each in rounds_of(led, 300) if each.name == "Main / One")
    assert "squat" in [cell.ref.cell for cell in one.too_few]
