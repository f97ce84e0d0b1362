"""What happens between two bouts of different cells, and how long it takes by the coach's clock."""

from everyrung.terms.enums import BlockKind, KitItem, Position, SpanKind
from everyrung.terms.frozen import dataclass
from everyrung.terms.session import Bout, Cell, Clock
from everyrung.terms.timeline import KitInUse

_LABELS = {
    KitItem.BALL: "ball",
    KitItem.BAND: "band",
    KitItem.MINI_BAND: "mini band",
    KitItem.CHAIR: "chair",
    KitItem.BENCH: "bench",
    KitItem.STEP: "step",
    KitItem.TABLE: "table",
    KitItem.SLIDERS: "sliders",
    KitItem.TOWEL: "towels",
    KitItem.WALL: "wall",
}
# What stands away from the mats; other kit lies beside its mat, within reach of whoever lies there.
_AWAY = frozenset((KitItem.CHAIR, KitItem.BENCH, KitItem.STEP, KitItem.TABLE, KitItem.WALL))
# What takes as long to take up and put down (chosen, because it has a handle too, or is used in the same way).
_AS_LONG_AS = {
    KitItem.RUCKSACK: KitItem.DUMBBELLS,
    KitItem.WATER_CAN: KitItem.DUMBBELLS,
    KitItem.BENCH: KitItem.CHAIR,
    KitItem.TOWEL: KitItem.SLIDERS,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Transition:
    """One thing that happens between the work, how long it takes, and the words for it on the score."""

    kind: SpanKind
    duration_ms: int
    text: str


def transitions(
    clock: Clock,
    kind: BlockKind,
    cell: Cell,
    earlier: Cell | None,
    position: Position,
    kit: tuple[KitInUse, ...],
    next_kit: tuple[KitInUse, ...],
) -> tuple[Transition, ...]:
    """The steps before a cell's first repetition, in order, without those that take no time.

    `earlier` is the same column's cell of an earlier round, `position` and `kit` are what the class is in and holds,
    `next_kit` what it needs. Kit is fetched after getting up and before getting down.
    """
    after = cell.rung.form.position
    settle_ms = clock.settle_ms + clock.count_in_ms
    fetch = Transition(
        kind=SpanKind.KIT, duration_ms=kit_change_ms(clock, kit, next_kit), text=_kit_text(kit, next_kit)
    )
    ways: tuple[Transition, ...]
    if must_rise(position, after, kit, next_kit):
        ways = (_floor(clock, position, Position.STANDING), fetch, _floor(clock, Position.STANDING, after))
    elif position.on_floor and not after.on_floor:
        ways = (_floor(clock, position, after), fetch)
    else:
        ways = (fetch, _floor(clock, position, after))
    steps = (
        Transition(kind=SpanKind.EXPLAIN, duration_ms=explain_ms(clock, kind, cell, earlier), text=cell.rung.name),
        *ways,
        Transition(kind=SpanKind.SETTLE, duration_ms=settle_ms, text="into position, count in"),
    )
    return tuple(step for step in steps if step.duration_ms > 0)


def explain_ms(clock: Clock, kind: BlockKind, cell: Cell, earlier: Cell | None) -> int:
    """How long a cell is explained: a move in full once, then only what changed since `earlier`, the cell of the round
    before; warm-up and cool-down moves are followed.
    """
    if kind in (BlockKind.WARM_UP, BlockKind.COOL_DOWN):
        return clock.explain_follow_ms
    if earlier is None or earlier.move.key != cell.move.key:
        return clock.explain_first_ms
    same = earlier.rung.form == cell.rung.form and earlier.bouts == cell.bouts
    return clock.explain_same_ms if same else clock.explain_change_ms


def must_rise(before: Position, after: Position, kit: tuple[KitInUse, ...], next_kit: tuple[KitInUse, ...]) -> bool:
    """Whether somebody who goes from `before` to `after`, both on the floor, gets up for what stands away."""
    new = {each.item for each in next_kit if each not in kit}
    return before.on_floor and after.on_floor and bool(new & _AWAY)


def _floor(clock: Clock, before: Position, after: Position) -> Transition:
    """Getting from one body position to another; no time and no words between two that are off the floor."""
    duration_ms, text = 0, ""
    if before is not after and before.on_floor and after.on_floor:
        duration_ms, text = clock.turn_over_ms, f"turn to {after}"
    elif before is not after and after.on_floor:
        duration_ms, text = clock.down_to_floor_ms, f"down to {after}"
    elif before.on_floor and not after.on_floor:
        duration_ms, text = clock.up_from_floor_ms, f"up to {after}"
    return Transition(kind=SpanKind.FLOOR, duration_ms=duration_ms, text=text)


def held_kit(cell: Cell, bout: Bout) -> tuple[KitInUse, ...]:
    """What one person has in use during a bout; the mat lies there all evening and is left out."""
    result = []
    for need in cell.rung.kit:
        if need.item.has_mass:
            result.append(KitInUse(item=need.item, label=_load_words(need.item, bout)))
        elif need.item in _LABELS:
            label = str(bout.load) if need.item.has_grade and bout.load else _LABELS[need.item]
            result.append(KitInUse(item=need.item, label=label))
    return tuple(result)


def _load_words(item: KitItem, bout: Bout) -> str:
    return str(bout.load) if item is KitItem.DUMBBELLS else f"{item} of {bout.load}"


def kit_change_ms(clock: Clock, before: tuple[KitInUse, ...], after: tuple[KitInUse, ...]) -> int:
    """How long it takes to change kit; each item that is put down, taken up or exchanged counts once."""
    items = {_AS_LONG_AS.get(each.item, each.item) for each in set(before) ^ set(after)}
    return sum(getattr(clock, f"{item.value.replace(' ', '_')}_ms") for item in items)


def switch_ms(clock: Clock, before: Bout, after: Bout) -> int:
    """How long it takes from one side to the other, ms; longer where the load changes hands."""
    return clock.side_switch_ms + (clock.hand_change_ms if before.load_side != after.load_side else 0)


def _kit_text(before: tuple[KitInUse, ...], after: tuple[KitInUse, ...]) -> str:
    old = [each for each in before if each not in after]
    new = [each for each in after if each not in before]
    parts = {
        "put away": [each.label for each in old if each.item is not KitItem.WALL],
        "leave": [each.label for each in old if each.item is KitItem.WALL],
        "take": [each.label for each in new if each.item is not KitItem.WALL],
        "go to the": [each.label for each in new if each.item is KitItem.WALL],
    }
    return "; ".join(f"{verb} {', '.join(labels)}" for verb, labels in parts.items() if labels)
