"""What is new on an evening since its weekday was last there, in one line of plain words."""

from collections.abc import Iterator

from everyrung.blocks.ladder import LEVERS, lever_between
from everyrung.blocks.search import Block
from everyrung.blocks.whole_evening import EveningPlan
from everyrung.checks.cells import and_list
from everyrung.terms.block_brief import EveningKind, day_words
from everyrung.terms.enums import BlockKind


def change_words(block: Block, plan: EveningPlan) -> str:
    """What is new: 'Two repetitions more: squat and bent-over row.'"""
    evening = plan.evening
    if evening.kind is EveningKind.BY_HAND:
        return "Changed by hand; it stays as it is."
    if evening.kind is EveningKind.TEST:
        return f"Test: the session of {day_words(plan.source)} again. How many are left now?"
    if evening.kind is EveningKind.EASIER:
        return "Easier: the same moves, one round fewer."
    before = _before(block, plan)
    if before is None:
        return "The first evening: the moves are learned."
    changes = _changes(before, plan)
    if block.parts[before.evening.week] != block.parts[evening.week]:
        new = [column.move.name.lower() for column in plan.columns if column.move.key not in _moves(before)]
        return f"New moves of the same patterns: {and_list(new)}." if new else "The same moves, after the easier week."
    if not changes:
        return "As last time: the step of this week is on the other evening."
    by_lever = {lever: and_list(moves) for lever, moves in changes.items()}
    return " ".join(f"{LEVERS[lever].capitalize()}: {moves}." for lever, moves in by_lever.items())


def _before(block: Block, plan: EveningPlan) -> EveningPlan | None:
    """The last evening of the same weekday that built up."""
    earlier = [
        each
        for each in block.evenings
        if each.evening.weekly == plan.evening.weekly
        and each.evening.kind is EveningKind.BUILD
        and each.evening.on < plan.evening.on
    ]
    return earlier[-1] if earlier else None


def _moves(plan: EveningPlan) -> set[str]:
    return {column.move.key for column in plan.columns}


def _changes(before: EveningPlan, plan: EveningPlan) -> dict[str, list[str]]:
    """The moves that are not as they were, by the lever."""
    earlier = {column.move.key: column for column in before.columns}
    changes: dict[str, list[str]] = {}
    for column in plan.columns:
        lever = lever_between(earlier.get(column.move.key, column), column)
        if lever:
            changes.setdefault(lever, []).append(column.move.name.lower())
    return changes


def kit_words(plan: EveningPlan) -> str:
    """What is needed on an evening, in a few words: 'dumbbells and chair', 'nothing but some floor'."""
    cells = plan.run.session.cells_of(BlockKind.MAIN)
    items = {str(need.item) for cell in cells for need in cell.rung.kit if need.item.counts_as_kit}
    return and_list(sorted(items)) if items else "nothing but some floor"


def block_lines(block: Block) -> Iterator[str]:
    """The block in plain words, a line an evening; then what it gives up, and how near its bounds it is."""
    week = 0
    for each in block.evenings:
        if each.evening.week != week:
            week = each.evening.week
            growth = block.steps.growth.get(week, 0.0)
            yield f"Week {week}{f': asks {growth - 1:.0%} more' if growth else ''}"
        minutes = -(-each.run.timeline.total_ms // 60_000)
        yield f"  {day_words(each.evening.on)}, {minutes} min. {change_words(block, each)}"
    yield from bound_lines(block)


def bound_lines(block: Block) -> Iterator[str]:
    """What a block gives up, and what its moves and its steps are worth of the most that could be had."""
    if block.gives_up:
        yield f"It gives up: {'; '.join(block.gives_up)}."
    for name, part in (("moves", block.skeleton), ("steps", block.steps)):
        gap = max(0.0, part.bound - part.worth) / max(abs(part.bound), 1.0)
        worth = f"worth {part.worth:.1f} of at most {part.bound:.1f}"
        yield f"Its {name}: no others fit more than {gap:.1%} better ({worth})."
