"""The timeline cell by cell: what comes before the first repetition, and the work.

What is new at a set: kit to take up or put down, and what it asks more of than in the round before.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from everyrung.moves.changed_levers import changed_levers, size
from everyrung.moves.lever_words import this_time
from everyrung.terms.enums import BlockKind, KitItem, SpanKind
from everyrung.terms.frozen import dataclass
from everyrung.terms.session import Cell, Clock
from everyrung.terms.timeline import KitInUse, Span, Timeline
from everyrung.timing.transitions import held_kit


@dataclass(frozen=True, slots=True, kw_only=True)
class CellTiming:
    """One cell on the clock. `before_ms` is its first moment, `count_in_ms` where the count before the first repetition
    begins.

    `after` is the work that ends right before it in the same block, None where talk or a block's start lies between;
    `fetch` is the time for kit before it, `held` what is in use when it comes; `round_place` counts its block's rounds
    from 0.
    """

    cell: Cell
    block_kind: BlockKind
    before_ms: int
    count_in_ms: int
    work: tuple[Span, ...]
    round_place: int
    after: Span | None = None
    fetch: Span | None = None
    held: tuple[KitInUse, ...] = ()

    @property
    def column(self) -> tuple[str, str]:
        """The block and the column that the cell stands in, through all rounds."""
        return self.cell.ref.block, self.cell.ref.cell


def cell_timings(timeline: Timeline, clock: Clock) -> tuple[CellTiming, ...]:
    """All cells that are led, in order of time.

    >>> from everyrung import analyze
    >>> evening = analyze("examples/boathouse-30.toml")
    >>> timing = cell_timings(evening.timeline, evening.session.clock)[6]
    >>> str(timing.cell.ref), timing.count_in_ms - timing.before_ms
    ('Main/One/squat', 31000)
    """
    result: list[CellTiming] = []
    for spans in _by_cell(timeline.spans):
        work = tuple(span for span in spans if span.kind is SpanKind.WORK)
        cell, first = spans[0].cell, work[0]
        assert cell is not None
        visit = CellTiming(
            cell=cell,
            block_kind=first.block.kind,
            before_ms=spans[0].at_ms,
            count_in_ms=max(spans[0].at_ms, first.at_ms - clock.count_in_ms),
            work=work,
            round_place=first.block.rounds.index(first.round) if first.round else 0,
            fetch=next((span for span in spans if span.kind is SpanKind.KIT and span.end_ms <= first.at_ms), None),
            held=held_kit(result[-1].cell, result[-1].cell.bouts[-1]) if result else (),
        )
        follows = bool(result) and result[-1].work[-1].end_ms == visit.before_ms
        result.append(replace(visit, after=result[-1].work[-1]) if follows else visit)
    return tuple(result)


def _by_cell(spans: Sequence[Span]) -> Iterator[list[Span]]:
    """Runs of spans of one cell; announcements belong to none."""
    run: list[Span] = []
    for span in spans:
        if run and span.cell is not run[0].cell:
            yield run
            run = []
        if span.cell is not None:
            run.append(span)
    if run:
        yield run


_TAKEN = {
    KitItem.BALL: "take the ball", KitItem.BAND: "take the band",
    KitItem.MINI_BAND: "step into the mini band", KitItem.CHAIR: "fetch the chair",
    KitItem.STEP: "go to the step", KitItem.SLIDERS: "take the sliders", KitItem.WALL: "go to the wall",
}  # fmt: skip
_LEFT = {
    KitItem.DUMBBELLS: "weights down", KitItem.BALL: "ball away", KitItem.BAND: "band away",
    KitItem.KETTLEBELL: "kettlebell down", KitItem.MEDICINE_BALL: "medicine ball down",
    KitItem.MINI_BAND: "mini band off",
    KitItem.CHAIR: "chair away", KitItem.SLIDERS: "sliders away",
}  # fmt: skip


def kit_change_words(before: tuple[KitInUse, ...], after: tuple[KitInUse, ...]) -> str:
    """What to do with kit before a set: 'Weights down, take the ball, go to the wall.' Nothing when
    all stays in hand.
    """
    new = [held for held in after if held not in before]
    taken = {held.item for held in new}  # what is exchanged need not be put down first
    gone = [held.item for held in before if held not in after and held.item not in taken]
    parts = [_LEFT[item] for item in gone if item in _LEFT]
    parts += [_take_words(held) for held in sorted(new, key=lambda held: held.item is KitItem.WALL)]
    if KitItem.BALL in taken and any(held.item is KitItem.DUMBBELLS for held in set(before) & set(after)):
        parts = ["weights down", *parts, "weights up again last"]  # nobody places a ball with full hands
    return f"{', '.join(parts).capitalize()}." if parts else ""


def _take_words(held: KitInUse) -> str:
    """'take two dumbbells, 10 lb each'."""
    if held.item is not KitItem.DUMBBELLS:
        return _TAKEN.get(held.item, f"take the {held.label}")
    if " x " in held.label:
        return f"take two dumbbells, {held.label.rpartition(' x ')[2]} each"
    return f"take {'two dumbbells' if ' + ' in held.label else 'one dumbbell'}, {held.label}"


def change_words(before: Cell, after: Cell) -> Iterator[str]:
    """What the rung's name may not tell of a change since the round before: further, slower, with a pause. Another
    move, load or base is in the name or fetched.
    """
    for lever in changed_levers(before, after):
        (_, old), (_, new) = size(lever, before), size(lever, after)
        words = this_time(lever, old, new)
        if words:
            yield f"{words} this time."
