"""Waves: everybody does everything once, what is there is enough in each turn, and no other grouping waits less."""

import itertools
import random
from collections import Counter
from pathlib import Path

import pytest

from everyrung import load_plan
from everyrung.checks.wave_groups import CellTime, block_grouping, grouping
from everyrung.checks.waves import RoundWaves, session_waves
from everyrung.cli import main
from everyrung.compose.case import Case
from everyrung.compose.mend import again, candidates, remedies
from everyrung.moves.library import standard_library
from everyrung.pipeline import Options, run_plan
from everyrung.plan.edit import apply_edit
from everyrung.plan.read import plan_from_text
from everyrung.plan.resolve import resolve
from everyrung.proposals.search import propose
from everyrung.publish.player.content import public_sheet
from everyrung.publish.sheet.content import sheet_content
from everyrung.room.capacity import room_use
from everyrung.room.findings import room_findings
from everyrung.room.one_change import changes
from everyrung.room.read import read_room
from everyrung.store.cache import default_cache
from everyrung.terms.enums import CueKind, Severity, SpanKind
from everyrung.terms.plan import MOST_WAVES, Ref
from everyrung.terms.session import Block, Session
from everyrung.terms.timeline import Timeline
from everyrung.terms.units import clock_text
from everyrung.timing.side_totals import sides_of
from everyrung.timing.timeline import build_timeline
from everyrung.timing.turns import wave_sizes
from everyrung.web.edit_form import edit_from, form_of
from everyrung.web.remedies import MendRequest, find_remedies

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
    ours = grouping(times, 12)
    least = min(sum(waits(group, 12) for group in way) for way in groupings(times))
    assert not ours.too_few
    assert ours.idle_ms == least


def rounds_of(led: tuple[Session, Timeline], people: int) -> tuple[RoundWaves, ...]:
    return session_waves(*led, people, WALLS)


@pytest.mark.parametrize("people", [8, 12, 15, 23])
def test_everybody_does_every_cell_once_with_equal_sides(led: tuple[Session, Timeline], people: int) -> None:
    for one in rounds_of(led, people):
        for group in one.groups:
            for wave in range(group.waves):
                does = [turn.cells[wave] for turn in group.turns if turn.cells[wave] is not None]
                assert sorted(each.ref.cell for each in does if each) == sorted(each.ref.cell for each in group.cells)
            assert all(sides_of(each).equal for each in group.cells if len(each.bouts) > 1)


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
            assert group.turns[0].at_ms >= at_ms  # what is said before it
            for before, turn in itertools.pairwise(group.turns):
                assert turn.at_ms == before.end_ms
            assert all(turn.end_ms > turn.at_ms for turn in group.turns)
            at_ms = group.turns[-1].end_ms
        assert at_ms == one.total_ms


def test_a_change_that_is_named_was_tried_and_is_better(led: tuple[Session, Timeline]) -> None:
    main = next(block for block in led[0].blocks if block.name == "Main")
    now = block_grouping(*led, main, 15, WALLS)
    better = changes(*led, main, 15, WALLS)
    assert {"lead", "have"} == {each.words.split()[0] for each in better}
    for each in better:
        assert (each.after.idle_ms, each.after.most_waves) < (now.idle_ms, now.most_waves)


def test_one_ball_fewer_than_the_least_that_helps_does_not_help() -> None:
    """8 balls for 15: the least more that is named, tried anew by plans with so many and with one fewer."""
    text = PLAN.read_text(encoding="utf-8").replace("in_room = 12", "in_room = 15")
    text = text.replace('"ball" # for the tall ones\ndiameter = "65 cm"\nrated = "250 kg"', '"mat"')

    def main_with(balls: int) -> tuple[Session, Timeline, Block]:
        session = resolve(
            plan_from_text(text.replace("count = 8", f"count = {balls}"), "plan.toml"), standard_library()
        )
        return session, build_timeline(session), next(one for one in session.blocks if one.name == "Main")

    now = block_grouping(*main_with(8), 15)
    named = [each.words.split() for each in changes(*main_with(8), 15) if each.words.startswith("have ball for")]
    more = min(int(words[3]) for words in named)
    fewer, enough = (block_grouping(*main_with(8 + count), 15) for count in (more - 1, more))
    assert (fewer.idle_ms, fewer.most_waves) == (now.idle_ms, now.most_waves)
    assert (enough.idle_ms, enough.most_waves) < (now.idle_ms, now.most_waves)


def test_too_many_people_for_four_waves_are_said(led: tuple[Session, Timeline]) -> None:
    one = next(each for each in rounds_of(led, 300) if each.name == "Main / One")
    assert "squat" in [cell.ref.cell for cell in one.too_few]


EIGHT_BALLS = (
    PLAN.read_text(encoding="utf-8")
    .replace("in_room = 12", "in_room = 15")
    .replace("slot_minutes = 30", "slot_minutes = 40")
    .replace('"ball" # for the tall ones\ndiameter = "65 cm"\nrated = "250 kg"', '"mat"')
    .replace("count = 12", "count = 15")
)


def rules_of(text: str) -> list[str]:
    return [each.rule for each in run_plan(plan_from_text(text, "plan.toml"), library=standard_library()).findings]


def in_waves(text: str, waves: str) -> str:
    return text.replace('kind = "main"', f'kind = "main"\nwaves = {waves}')


def test_in_waves_there_is_enough_and_with_one_ball_fewer_there_is_not() -> None:
    """Fifteen in two waves are eight and seven: eight balls are enough for one set with a ball at a time, seven not."""
    waves = '[["squat", "lunge"], ["curl", "hinge"], ["lift", "rest"]]'
    assert "kit-short" in rules_of(EIGHT_BALLS)
    assert "kit-short" not in rules_of(in_waves(EIGHT_BALLS, waves))
    assert "kit-short" in rules_of(in_waves(EIGHT_BALLS.replace("count = 8", "count = 7"), waves))
    assert "kit-short" in rules_of(in_waves(EIGHT_BALLS, '[["squat", "curl"], ["lift", "rest"]]'))  # two balls at once


def test_one_press_leads_it_in_waves_and_the_finding_goes() -> None:
    library = standard_library()
    run = run_plan(plan_from_text(EIGHT_BALLS, "plan.toml"), library=library)
    (short,) = [each for each in run.findings if each.rule == "kit-short"]
    case = Case(run=run, library=library, finding=short)
    press = next(each for each in remedies(EIGHT_BALLS, case, again("kit-short", library, Options())))
    assert press.words.startswith("Lead Main in waves: ")
    assert press.words.removeprefix("Lead Main in waves: ") in short.remedy
    assert edit_from(form_of(press.edit)) == press.edit  # as a button sends it
    assert "kit-short" not in rules_of(apply_edit(EIGHT_BALLS, press.edit, library))


def test_a_press_leads_in_no_wave_that_the_walls_do_not_hold() -> None:
    """Eight balls are enough for two waves of fifteen; along 5 m of wall stand four, so it takes four waves."""
    library = standard_library()
    run = run_plan(plan_from_text(EIGHT_BALLS, "plan.toml"), library=library)
    (short,) = [each for each in run.findings if each.rule == "kit-short"]
    squats = {cell.rung.address: 4 for cell in run.session.cells if cell.ref.cell == "squat"}
    waves = []
    for walls in ({}, squats, dict.fromkeys(squats, 3)):
        case = Case(run=run, finding=short, library=library, wall_people=walls)
        presses = [each for each in candidates(case) if "in waves" in each.words]
        edits = [edit for each in presses for edit in each.edits]
        waves.append([len(group) for edit in edits for group in edit.value if "squat" in group])
    without, with_four, with_three = waves
    assert set(without) <= {2, 3}
    assert set(with_four) == {4}
    assert with_three == []  # not even four waves


@pytest.mark.parametrize(("metres", "in_waves_there"), [(20, True), (2, False)])
def test_the_command_that_mends_leads_in_no_wave_that_the_room_s_walls_do_not_hold(
    metres: int, in_waves_there: bool, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plan, room = tmp_path / "plan.toml", tmp_path / "hall.toml"
    plan.write_text(EIGHT_BALLS)
    room.write_text(HALL.format(metres=metres))
    main(["mend", str(plan), "--room", str(room), "--out", str(tmp_path / "after.toml")])
    assert ("in waves" in capsys.readouterr().out) is in_waves_there


HALL = """
name = "Hall"
outline = [[0, 0], [20, 0], [20, 12], [0, 12]]
ceiling = 4
leader = [10, 11]
[[door]]
from = [20, 1]
to = [20, 2]
[[wall]]
from = [0, 0]
to = [{metres}, 0]
"""


@pytest.mark.parametrize(("metres", "is_offered"), [(20, True), (2, False)])
def test_what_the_studio_offers_on_write_fits_the_room_that_it_is_held_in(metres: int, is_offered: bool) -> None:
    """A squat at the wall takes a metre and more: 2 m hold one or two people, and not even four waves of fifteen do."""
    room = HALL.format(metres=metres)
    offers = find_remedies(EIGHT_BALLS, MendRequest(), standard_library(), Options(), lambda *_: None, room)
    (presses,) = [each for (rule, _, _), each in offers.items() if rule == "kit-short"]
    assert any("in waves" in each.words for each in presses) is is_offered


def test_a_brief_for_fifteen_people_and_eight_balls_gives_a_session_that_works() -> None:
    """At no moment more people than balls, counted anew from the proposal's own turns."""
    proposal = next(propose("40 minutes for 15 people, 8 balls", count=1, cache=default_cache()))
    assert all(each.severity is Severity.NOTE for each in proposal.run.findings)
    session = proposal.run.session
    with_ball = 0
    for one in session_waves(session, proposal.run.timeline, 15):
        for group in one.groups:
            for turn in group.turns:
                sizes = wave_sizes(15, group.waves)
                items = [[need.item for need in cell.rung.kit] if cell else [] for cell in turn.cells]
                balls = sum(size for size, needs in zip(sizes, items, strict=True) if "ball" in needs)
                assert balls <= 8
                with_ball += balls > 0
    assert with_ball


def test_the_sheet_has_each_persons_way_and_when() -> None:
    text = in_waves(EIGHT_BALLS, '[["squat", "lunge"], ["curl", "hinge"], ["lift", "rest"]]')
    run = run_plan(plan_from_text(text, "plan.toml"), library=standard_library())
    first, last = sheet_content(run).room
    starts = {
        span.cell.ref.cell: span.at_ms
        for span in reversed(run.timeline.spans)
        if span.cell and span.round and span.round.name == "One" and span.kind is not SpanKind.EXPLAIN
    }
    squat, lunge = (clock_text(starts[key]) for key in ("squat", "lunge"))
    assert first.startswith(f"Places 1 to 8: Main / One: {squat} Ball wall squat (ball, wall), {lunge} Split squat, ")
    assert last.startswith(f"Places 9 to 15: Main / One: {squat} Split squat, {lunge} Ball wall squat (ball, wall), ")
    assert public_sheet(run).waves == ()  # whoever is at home is in no wave


def test_the_leader_says_who_begins_with_what_and_when_to_change_over() -> None:
    text = in_waves(EIGHT_BALLS, '[["squat", "lunge"], ["lift", "rest"]]')
    run = run_plan(plan_from_text(text, "plan.toml"), library=standard_library(), options=Options(cues=True))
    said = [cue for cue in run.cues[0].said if cue.ref and cue.ref.round == "One" and cue.ref.block == "Main"]
    texts = [cue.text for cue in said]
    begin = texts.index("Two waves. A: ball wall squat. B: split squat.")
    change = texts.index("Change over. A: split squat. B: ball wall squat.")
    rest = texts.index("Change over. A: rest. B: ball overhead lift.")
    assert begin < change < rest
    work_ms = next(
        span.at_ms
        for span in run.timeline.spans
        if span.kind is SpanKind.WORK and span.cell and span.cell.ref == said[begin].ref
    )
    lunge = next(cue for cue in said if cue.ref and cue.ref.cell == "lunge" and cue.kind is CueKind.SAFETY)
    assert lunge.at_ms < work_ms  # wave B is told before it begins


def test_a_wall_that_one_wave_uses_is_enough_for_all_who_take_turns_at_it() -> None:
    """The bay's walls hold nine squatting at the ball: all at once nine, in two waves eighteen, and not nineteen."""
    library, room = standard_library(), read_room(PLAN.parent / "rooms" / "boat-bay.toml")
    text = PLAN.read_text(encoding="utf-8")
    waved = text.replace('kind = "main"\n', 'kind = "main"\nwaves = [["squat", "curl"]]\n', 1)

    def said(plan: str, people: int) -> list[str]:
        session = resolve(plan_from_text(plan, str(PLAN)), library)
        use = room_use(session, room, library, people=people, cache=default_cache())
        found = [one for one in room_findings(use) if one.rule == "room-wall"]
        squat = [one for one in found if any(isinstance(each, Ref) and each.cell == "squat" for each in one.places)]
        return [f"{one.measured}: {one.limit} {one.remedy}" for one in squat]

    assert said(text, 9) == said(waved, 10) == said(waved, 18) == []
    assert len(said(text, 10)) == len(said(waved, 19)) == 1
