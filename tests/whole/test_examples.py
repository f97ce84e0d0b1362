"""The example plans hold what they promise, and the faulty one holds exactly its faults.

Sums and sides are added up here from the bouts themselves, not by the rules that are being relied on.
"""

import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

from everyrung.cli import main
from everyrung.parsing.document import read_text
from everyrung.pipeline import run
from everyrung.plan.read import plan_from_text
from everyrung.plan.write import canonical, write_plan
from everyrung.results.analysis import Analysis
from everyrung.terms.enums import BlockKind, OptionKind, Pattern, Side, Sidedness, SpanKind
from everyrung.terms.move import EASY_GRADE
from everyrung.terms.session import Block, Cell, Session

EXAMPLES = Path(__file__).parents[2] / "examples"
SOUND = [
    "boathouse-30", "bare-floor-30", "one-dumbbell-30", "whole-body-45", "seated-30", "first-evening-30", "office-20",
    "upper-body-30", "mini-bands-30", "steady-30", "conditioning-30", "one-kettlebell-45",
]  # fmt: skip
REFITS = [
    ("whole-body-45", 30),
    ("whole-body-45", 38),
    ("whole-body-45", 60),
    ("boathouse-30", 20),
    ("boathouse-30", 25),
    ("bare-floor-30", 20),
    ("bare-floor-30", 25),
    ("one-dumbbell-30", 20),
    ("one-dumbbell-30", 25),
    ("seated-30", 20),
    ("seated-30", 25),
    ("first-evening-30", 25),
]
FINDING = re.compile(r"^#   finding: (?P<severity>\w+) (?P<rule>[a-z-]+) at (?P<place>.+)$", re.MULTILINE)

each_sound = pytest.mark.parametrize("name", SOUND)
each_refit = pytest.mark.parametrize(("name", "minutes"), REFITS)


def path(name: str) -> Path:
    return EXAMPLES / f"{name}.toml"


def troubles(done: Analysis) -> list[str]:
    return [str(finding) for finding in done.findings if finding.severity != "note"]


def strength(session: Session) -> Iterator[Cell]:
    blocks = (*session.of_kind(BlockKind.MAIN), *session.reserve)
    return (cell for block in blocks for cell in block.cells)


def sides_by_move(blocks: tuple[Block, ...]) -> dict[str, dict[Side, tuple[int, int, float]]]:
    """Repetitions, ms and lifted kilograms of each move's left and right."""
    sums: dict[str, dict[Side, tuple[int, int, float]]] = {}
    for cell in (cell for block in blocks for cell in block.cells):
        for bout in cell.bouts:
            shares = [(bout.side, bout.reps, bout.duration_ms)]
            if cell.rung.form.sides is Sidedness.ALTERNATING:
                left, ms = (bout.reps + 1) // 2, bout.duration_ms // 2
                shares = [(Side.LEFT, left, ms), (Side.RIGHT, bout.reps - left, ms)]
            for side, reps, duration_ms in shares:
                sides = sums.setdefault(cell.rung.form.move, {})
                before = sides.get(side, (0, 0, 0.0))
                lifted_kg = reps * bout.load.total_kg if bout.load else 0.0
                sides[side] = (before[0] + reps, before[1] + duration_ms, before[2] + lifted_kg)
    return sums


def uneven(blocks: tuple[Block, ...]) -> list[str]:
    sums = sides_by_move(blocks)
    return [move for move, sides in sums.items() if sides.get(Side.LEFT) != sides.get(Side.RIGHT)]


def test_every_example_is_tested() -> None:
    assert sorted(each.stem for each in EXAMPLES.glob("*.toml")) == sorted([*SOUND, "faulty"])


@each_sound
def test_it_fills_its_slot_and_no_more(name: str) -> None:
    done = run(path(name))
    spent_ms = sum(span.end_ms - span.at_ms for span in done.timeline.spans)
    assert 0.95 * done.session.slot_ms <= spent_ms <= done.session.slot_ms


@each_sound
def test_nothing_is_found_but_notes(name: str) -> None:
    done = run(path(name))
    assert troubles(done) == []
    assert main(["check", str(path(name))]) == 0


@each_sound
def test_sides_come_out_equal_in_what_is_led_and_in_each_reserve(name: str) -> None:
    session = run(path(name)).session
    assert uneven(session.blocks) == []
    assert [block.name for block in session.reserve if uneven((block,))] == []


@pytest.mark.parametrize("name", [*SOUND, "faulty"])
def test_it_is_written_in_its_usual_form_and_reads_back_as_itself(name: str) -> None:
    text = read_text(path(name))
    plan = plan_from_text(text, name)
    assert canonical(text, name) == text
    assert plan_from_text(write_plan(plan), name) == plan


@each_sound
def test_every_strength_cell_has_its_own_way_up_down_and_without_kit(name: str) -> None:
    for cell in strength(run(path(name)).session):
        harder, easier, no_kit = (cell.option(kind) for kind in OptionKind)
        assert harder, cell.ref
        assert easier, cell.ref
        assert no_kit, cell.ref
        highest = max(cell.rung.grade, EASY_GRADE)  # what is easy is no harder than anything
        assert easier.rung.grade <= highest, f"{cell.ref}: options out of order"
        assert cell.rung.grade <= harder.rung.grade, f"{cell.ref}: options out of order"
        assert easier.rung.form != cell.rung.form != harder.rung.form, f"{cell.ref}: an option that is no change"
        assert not [need.item for need in no_kit.rung.kit if need.item.counts_as_kit], cell.ref


@each_sound
def test_no_move_steps_down_from_round_to_round(name: str) -> None:
    last: dict[tuple[str, str], int] = {}
    for cell in strength(run(path(name)).session):
        column = (cell.ref.block, cell.ref.cell)
        assert cell.rung.grade >= last.get(column, 0), cell.ref
        last[column] = cell.rung.grade


@each_refit
def test_another_slot_costs_whole_sets_and_says_which(name: str, minutes: int) -> None:
    whole, done = run(path(name)), run(path(name), minutes=minutes)
    fit = done.refit
    assert fit is not None
    assert fit.problem == ""
    assert 0.95 * minutes * 60_000 <= done.timeline.total_ms <= minutes * 60_000
    assert bool(fit.lost) != bool(fit.gained)
    assert troubles(done) == []
    assert uneven(done.session.blocks) == []
    for kind in (BlockKind.ANNOUNCEMENT, BlockKind.WARM_UP, BlockKind.COOL_DOWN):
        assert done.session.of_kind(kind) == whole.session.of_kind(kind)


@pytest.mark.parametrize("minutes", [30, 38, 60])
def test_the_whole_body_stays_whole_in_every_slot(minutes: int) -> None:
    session = run(path("whole-body-45"), minutes=minutes).session
    led = {cell.move.pattern for block in session.of_kind(BlockKind.MAIN) for cell in block.cells}
    assert {
        Pattern.KNEE,
        Pattern.HIP,
        Pattern.BRIDGE,
        Pattern.PUSH,
        Pattern.PULL,
        Pattern.OVERHEAD,
        Pattern.TRUNK,
    } <= led


@pytest.mark.parametrize(("minutes", "times"), [(45, 3), (38, 2), (30, 1)])
def test_every_move_of_the_whole_body_stays_as_often_as_its_comment_says(minutes: int, times: int) -> None:
    session = run(path("whole-body-45"), minutes=minutes).session
    led = Counter(cell.ref.cell for block in session.of_kind(BlockKind.MAIN) for cell in block.cells)
    assert len(led) == 8
    assert min(led.values()) == times


def test_the_minutes_in_the_demo_comment_are_the_computed_ones() -> None:
    done = run(path("boathouse-30"))
    main_ms = done.timeline.block_ms("Main")
    work_ms = sum(s.duration_ms for s in done.timeline.spans if s.block.name == "Main" and s.kind is SpanKind.WORK)
    said = re.search(r"of\s+#\s+the (\d+) minutes of the main block (\d+) are work", read_text(path("boathouse-30")))
    assert said
    assert (int(said[1]), int(said[2])) == (round(main_ms / 60_000), round(work_ms / 60_000))


def test_the_lonely_dumbbell_is_never_doubled() -> None:
    """10 lb is 4.54 kg (0.45359237 kg a pound: exact by definition of the international pound)."""
    cells = list(strength(run(path("one-dumbbell-30")).session))
    held = [rung for cell in cells for rung in (cell.rung, *(option.rung for option in cell.options))]
    assert {need.pieces for rung in held for need in rung.kit if need.item == "dumbbells"} == {1}
    loads = {bout.load.total_kg for cell in cells for bout in cell.bouts if bout.load}
    assert loads == {10 * 0.45359237}


def test_the_bare_floor_asks_for_nothing_but_floor_mat_and_wall() -> None:
    for cell in run(path("bare-floor-30")).session.cells:
        assert not cell.rung.needs_kit, cell.ref


def test_nobody_gets_down_to_the_floor_in_the_seated_plan() -> None:
    done = run(path("seated-30"))
    assert not [span.text for span in done.timeline.spans if span.position.on_floor]
    led = (*done.session.cells, *(cell for block in done.session.reserve for cell in block.cells))
    assert not [cell.ref for cell in led if set(cell.rung.cautions) & set(done.session.who.limits)]


def test_the_faulty_plan_is_found_out_in_every_fault_and_no_other() -> None:
    expected = {match.group("severity", "rule", "place") for match in FINDING.finditer(read_text(path("faulty")))}
    found = [(str(each.severity), each.rule, each.place) for each in run(path("faulty")).findings]
    assert len(expected) > 20
    assert sorted(found) == sorted(expected)
    assert main(["check", str(path("faulty"))]) == 1
