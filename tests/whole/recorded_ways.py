"""The ways a session can go, who works beside whom, and how sides and places are said, over plans and the library."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import product

from recorded import FORECAST, Parts, plan_of, session_of

from everyrung.checks.kit_needs import people_without
from everyrung.checks.wave_groups import block_grouping, group_words
from everyrung.checks.waves import cell_words, session_waves, who_is_where
from everyrung.cues.stance_words import place_words, side_words, swap_words, with_side
from everyrung.moves.library import standard_library
from everyrung.terms.enums import LoadNeed, Position, Side
from everyrung.terms.errors import Faults
from everyrung.terms.session import Cell, Session
from everyrung.terms.timeline import Timeline
from everyrung.timing.branches import branches, parting_ms

IN_WAVES = "in-waves"
STOCKED = """title = "One of each"
slot_minutes = 240
[who]
in_room = 3
[[kit]]
item = "dumbbells"
mass = "5 kg"
as = "pairs"
count = 9
[[kit]]
item = "kettlebell"
mass = "8 kg"
count = 9
[[kit]]
item = "medicine ball"
mass = "3 kg"
count = 9
[[block]]
kind = "main"
"""


def branch_lines(name: str) -> Iterator[str]:
    """Every way to go on when time runs short: how long each is, and when it is taken for which."""
    found = branches(plan_of(name)[0])
    whole = found.variants[0].timeline
    yield f"{name}: {found.prefixes}"
    for number, each in enumerate(found.variants):
        left = {cell.ref for cell in each.session.cells}
        gone = ", ".join(f"{cell.ref}" for cell in found.variants[0].session.cells if cell.ref not in left)
        yield f"  {number}: {each.timeline.total_ms} ms, parts at {parting_ms(whole, each.timeline)}: without {gone}"
    for fork in found.forks:
        gone = ", ".join([*map(str, fork.cells), *fork.talks])
        yield f"  {fork.of} to {fork.onto}, {fork.from_ms} to {fork.until_ms}: {fork.less_ms} ms less, {gone}"


def wave_lines(name: str) -> Iterator[str]:
    """Who does what when, for some people and walls; as planned, and as it could be led."""
    planned, timeline = plan_of(name)
    open_ = replace(planned, blocks=tuple(replace(block, rounds=tuple(replace(each, waves=()) for each in block.rounds))
                                          for block in planned.blocks))  # fmt: skip
    walls = {cell.rung.address: 3 for cell in planned.cells if cell.ref.cell in ("slide", "walk", "plank")}
    for (said, session), people, wall in product(
        (("planned", planned), ("open", open_)), (1, 4, 7, 9, 14), ({}, walls)
    ):
        yield f"{name} {said}, {people} people, {len(wall)} walls"
        for block in session.blocks:
            one = block_grouping(session, timeline, block, people, wall)
            yield f"  {block.name}: {group_words(one)}; {one.idle_ms} ms idle, {len(one.too_few)} too few"
        yield from _round_lines(session, timeline, people, wall)


def _round_lines(session: Session, timeline: Timeline, people: int, wall: dict[str, int]) -> Iterator[str]:
    for one in session_waves(session, timeline, people, wall):
        words = f"{one.together_ms} together, {one.idle_ms} idle, planned {one.is_planned}, waves {one.in_waves}"
        yield f"  {one.name} at {one.at_ms}: {one.total_ms} ms, {words}, few {[each.ref.cell for each in one.too_few]}"
        for group in one.groups:
            if group.waves > 1:
                yield f"    {group.waves}: {'; '.join(who_is_where(people, group.waves))}"
                for turn in group.turns:
                    yield f"      {turn.at_ms} to {turn.end_ms}: {', '.join(map(cell_words, turn.cells))}"


def without_lines(name: str) -> Iterator[str]:
    session, _ = plan_of(name)
    yield from (f"{name} {cell.ref}: {people_without(session, cell)} without" for cell in session.cells)


def stance_lines() -> Iterator[str]:
    """What is said of place and side before each rung of the library, and at the swap."""
    library = standard_library()
    for key in library.keys:
        for rung in library.move(key).versions:
            words = f'move = "{key}"\nrung = "{rung.key}"\n'
            if rung.form.load in (LoadNeed.ONE, LoadNeed.PAIR):
                words += f'load = "{"2 x " if rung.form.load is LoadNeed.PAIR else ""}5 kg"\n'
            try:
                (cell,) = session_of(f"{STOCKED}[[block.move]]\n{words}").cells
            except Faults as problem:
                yield f"{key}/{rung.key}: {problem}"
                continue
            pose = library.pose(rung.form)
            said = [side_words(cell, pose, at) for at in range(len(cell.bouts))]
            said += swap_words(cell, pose) if len(said) > 1 else ()
            yield f"{key}/{rung.key}: {' | '.join(said)} | {' | '.join(_places(cell))}"


def _places(cell: Cell) -> list[str]:
    """From each position, each wording once."""
    return list(dict.fromkeys(place_words(before, cell) for before in Position))


def ways() -> Parts:
    yield (
        "values/ways",
        (
            *branch_lines(FORECAST),
            *branch_lines(IN_WAVES),
            *wave_lines(IN_WAVES),
            *wave_lines(FORECAST),
            *without_lines(FORECAST),
            *without_lines(IN_WAVES),
        ),
    )


def stances() -> Parts:
    sides = [with_side(text, side) for text in ("The working leg bends.", "Other hand on the wall.") for side in Side]
    yield "values/stances", (*stance_lines(), *sides)
