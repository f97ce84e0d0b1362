"""The cover coach's page: the order, the doses, the sides, the clock, what to cut and what to know. Nothing else."""

from itertools import groupby

from everyrung.checks.levers import changed_levers
from everyrung.publish.sheet.blocks import block_start_ms, starts
from everyrung.publish.sheet.terms import Cover, CoverBlock, CoverRow
from everyrung.publish.sheet.words import VIEW_WORDS, dose_words
from everyrung.terms.amount import clock_text
from everyrung.terms.plan import Ref
from everyrung.terms.session import Block, Cell, Session
from everyrung.terms.timeline import Timeline
from everyrung.terms.vocabulary import Side, Sidedness


def cover_page(session: Session, timeline: Timeline) -> Cover:
    times = starts(timeline)
    return Cover(
        blocks=tuple(_block(block, block_start_ms(timeline, block), times) for block in session.blocks),
        cut_order=_cuts(session.cut_order),
        notes=tuple(line.strip() for line in session.cover_notes.splitlines() if line.strip()),
        view=VIEW_WORDS[session.view],
    )


def _block(block: Block, at_ms: int, times: dict[Ref, int]) -> CoverBlock:
    several = len(block.rounds) > 1
    heads = tuple(
        f"{each.name} {clock_text(times.get(each.cells[0].ref, at_ms))}" if each.cells else each.name
        for each in block.rounds
    )
    rows: dict[str, list[Cell | None]] = {}
    for place, each in enumerate(block.rounds):
        for cell in each.cells:
            rows.setdefault(cell.ref.cell, [None] * len(block.rounds))[place] = cell
    return CoverBlock(
        name=block.name,
        time=clock_text(at_ms),
        rounds=heads if several else (),
        rows=tuple(_row(cells) for cells in rows.values()),
    )


def _row(cells: list[Cell | None]) -> CoverRow:
    first = next(cell for cell in cells if cell)
    return CoverRow(
        name=first.move.name,
        sides=_sides(first),
        doses=tuple(_dose(before, cell) if cell else "" for before, cell in zip([None, *cells], cells, strict=False)),
    )


def _dose(before: Cell | None, cell: Cell) -> str:
    """The dose, and in few words what is new against the round before: '8, pause 2 s'."""
    words = [_short(dose_words(cell))]
    load = cell.bouts[0].load
    if before is None:
        return ", ".join([*words, str(load)] if load else words)
    form = cell.rung.form
    tempo, pause_ms = form.tempo, max(form.tempo.bottom_ms, form.tempo.top_ms)
    new = {
        "load": str(load or "no load"),
        "pause": f"pause {pause_ms / 1000:g} s" if pause_ms else "no pause",
        "tempo": str(tempo),
        "base": str(form.support if form.support is not before.rung.form.support else form.hold),
        "surface": str(form.surface),
        "pulse": f"{form.pulses} pulses" if form.pulses else "no pulses",
        "range": "full depth" if form.range_share == 1 else f"{form.range_share:.0%} depth",
        "swap": cell.rung.name,
    }
    changed = [word for word in changed_levers(before, cell) if word != "reps"]
    return ", ".join(words + [new.get(word, word) for word in changed])


def _sides(cell: Cell) -> str:
    if cell.rung.form.sides is Sidedness.ALTERNATING:
        return "alternating"
    sides = [bout.side for bout in cell.bouts]
    if sides == [Side.BOTH]:
        return ""
    return f"{sides[0]} first" if len(sides) > 1 else f"{sides[0]} only"


def _short(dose: str) -> str:
    """The dose without words that big letters have no room for."""
    return dose.replace(" reps", "").replace(" held", "")


def _cuts(refs: tuple[Ref, ...]) -> tuple[str, ...]:
    """The cut order, neighbours of one round told together: 'Main Three: plank, curl, all of it'."""
    found = []
    for (block, round_name), group in groupby(refs, key=lambda ref: (ref.block, ref.round)):
        cells = [" ".join(filter(None, (ref.cell, str(ref.side or "")))) or "all of it" for ref in group]
        place = f"{block} {round_name}".strip()
        found.append(place if cells == ["all of it"] else f"{place}: {', '.join(cells)}")
    return tuple(found)
