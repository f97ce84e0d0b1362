"""Waves on a run sheet: those of the plan, or those that its room asks for."""

from collections.abc import Iterator, Mapping

from everyrung.checks.waves import RoundWaves, cell_words, session_waves, who_is_where
from everyrung.results.analysis import Analysis
from everyrung.runsheet.terms import WaveDoes, WaveEntry
from everyrung.terms.plan import LETTERS, Ref
from everyrung.terms.session import Cell


def wave_entries(run: Analysis) -> tuple[WaveEntry, ...]:
    """Every group of cells that is led side by side, in order; none where there is enough for all at once."""
    session = run.session
    if run.room:
        rounds = run.room.waves
    elif any(each.waves for block in session.blocks for each in block.rounds):
        rounds = session_waves(session, run.timeline, max(1, session.who.in_room))
    else:
        return ()
    cells = {cell.ref: at for at, cell in enumerate(session.cells)}
    return tuple(entry for one in rounds for entry in _entries(one, cells))


def _entries(one: RoundWaves, cells: Mapping[Ref, int]) -> Iterator[WaveEntry]:
    for group in one.groups:
        if group.waves > 1:
            yield WaveEntry(
                cells=tuple(cells[each.ref] for each in group.cells),
                round=one.name,
                people=one.people,
                at_ms=tuple(one.at_ms + turn.at_ms for turn in group.turns) if one.is_planned else (),
                who=who_is_where(one.people, group.waves),
                turns=tuple(_turn(turn.cells) for turn in group.turns),
            )


def _turn(cells: tuple[Cell | None, ...]) -> tuple[WaveDoes, ...]:
    return tuple(WaveDoes(letter, cell_words(cell)) for letter, cell in zip(LETTERS, cells, strict=False))
