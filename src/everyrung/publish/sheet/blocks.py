"""The pictures of a sheet: each rung once, numbered in the order in which it is met.

The blocks of the run sheet: every round, every cell, when it starts and how it is done.
"""

from collections.abc import Mapping
from dataclasses import replace

from everyrung.publish.figure.rung import rung_svg
from everyrung.publish.sheet.terms import BlockPart, CellLine, FigureLine, OptionLine, RoundPart
from everyrung.runsheet.words import dose_words, load_words, other_kit, sides_words, tempo_words
from everyrung.score.lanes import cell_numbers
from everyrung.terms.demand import RungDrawing
from everyrung.terms.enums import BlockKind, CueKind, SpanKind
from everyrung.terms.move import Form, Rung
from everyrung.terms.plan import Ref
from everyrung.terms.seconds import moment_text, whole_ms
from everyrung.terms.session import Block, Cell, Round, Session
from everyrung.terms.timeline import CueTrack, Timeline
from everyrung.terms.units import clock_text
from everyrung.timing.timeline import lay_blocks

HEIGHT_MM = 24.0  # chosen, because at 2 cm a figure is still clear, and four fit beside a set


class Figures:
    """Numbers for rungs, and their pictures. Rungs that look alike share one."""

    def __init__(self, drawings: Mapping[Form, RungDrawing]) -> None:
        self._drawings = drawings
        self._lines: dict[str, FigureLine] = {}

    def number(self, rung: Rung) -> int:
        """The number of the rung's picture; 0 where it has none."""
        drawing = self._drawings.get(rung.form)
        if drawing is None:
            return 0
        svg = rung_svg(rung, drawing, height_mm=HEIGHT_MM)
        body = svg[svg.index("</title>") :]
        if body not in self._lines:
            self._lines[body] = FigureLine(number=len(self._lines) + 1, name=rung.name, svg=svg)
        return self._lines[body].number

    @property
    def lines(self) -> tuple[FigureLine, ...]:
        return tuple(self._lines.values())


Options = tuple[OptionLine, ...]
WordsBySet = Mapping[Ref, tuple[str, ...]]  # what the leader says beside each set
# One of each stands beside a set.
BESIDE = (CueKind.KIT, CueKind.PLACE, CueKind.SIDE, CueKind.SAFETY, CueKind.FORM, CueKind.LOOK, CueKind.THUMBS)
_RESTS = (SpanKind.REST, SpanKind.ROUND_REST, SpanKind.WAIT)


def words_beside(track: CueTrack) -> WordsBySet:
    """Of each set's words those that a coach looks up: kit, place, side and hand, one caution, one point on form;
    and where people are live online a look at them, and the thumb check after it.
    """
    by_set: dict[Ref, dict[CueKind, str]] = {}
    for cue in track.said:
        if cue.ref and cue.kind in BESIDE:
            by_set.setdefault(cue.ref, {}).setdefault(cue.kind, cue.text)
    return {ref: tuple(words[kind] for kind in BESIDE if kind in words) for ref, words in by_set.items()}


def block_parts(session: Session, timeline: Timeline, figures: Figures, words: WordsBySet) -> tuple[BlockPart, ...]:
    """Everything that is led, with its time on the clock."""
    return tuple(_block(session, block, timeline, "", figures, words) for block in session.blocks)


def reserve_parts(session: Session, figures: Figures) -> tuple[BlockPart, ...]:
    """What waits until the clock has room: each on a clock of its own that starts when it does."""
    return tuple(_block(session, block, lay_blocks(session, (block,)), "+", figures, {}) for block in session.reserve)


def starts(timeline: Timeline) -> dict[Ref, int]:
    """When each cell begins: its explaining or its first step, not the rest before it."""
    result: dict[Ref, int] = {}
    for span in timeline.spans:
        if span.cell and span.kind not in _RESTS:
            result.setdefault(span.cell.ref, span.at_ms)
    return result


def block_start_ms(timeline: Timeline, block: Block) -> int:
    return next((span.at_ms for span in timeline.spans if span.block.name == block.name), 0)


def _block(
    session: Session, block: Block, timeline: Timeline, sign: str, figures: Figures, words: WordsBySet
) -> BlockPart:
    numbers, times = cell_numbers(session), starts(timeline)
    first_numbers: dict[tuple[tuple[str, str, int], ...], int] = {}  # by what is offered, whatever is asked before it
    notes: set[str] = set()
    rounds = []
    for place, each in enumerate(block.rounds, start=1):
        cells = []
        for cell in each.cells:
            line = _cell(cell, numbers[cell.ref], sign + moment_text(times.get(cell.ref, 0)), figures)
            options = tuple((one.kind, one.name, one.figure) for one in line.options)
            if options in first_numbers:
                line = replace(line, options=(), as_in=first_numbers[options])
            else:
                first_numbers[options] = line.number
            cells.append(replace(line, note="" if line.note in notes else line.note, say=words.get(cell.ref, ())))
            notes.add(line.note)
        rounds.append(_round(session, block, each, place, tuple(cells)))
    return BlockPart(
        name=block.name,
        kind=str(block.kind),
        time="" if sign else moment_text(block_start_ms(timeline, block)),
        length=clock_text(whole_ms(timeline.block_ms(block.name))),
        say=block.say,
        rounds=tuple(rounds),
    )


def _round(session: Session, block: Block, each: Round, place: int, cells: tuple[CellLine, ...]) -> RoundPart:
    beyond = block.kind is BlockKind.MAIN and session.who.newcomers and place > session.newcomer_rounds
    return RoundPart(
        name=each.name if len(block.rounds) > 1 else "",
        time=cells[0].time if cells else "",
        newcomers="First-timers rest or stretch through this round." if beyond else "",
        cells=cells,
    )


def _cell(cell: Cell, number: int, time: str, figures: Figures) -> CellLine:
    kit = [words for words in (load_words(cell), ", ".join(other_kit(cell))) if words]
    return CellLine(
        number=number,
        time=time,
        name=cell.rung.name,
        test=cell.rung.entry_test,
        dose=dose_words(cell),
        sides=sides_words(cell),
        tempo=tempo_words(cell),
        load="; ".join(kit) or "empty hands",
        note=cell.note,
        figure=figures.number(cell.rung),
        options=_options(cell, figures),
        as_in=0,
    )


def _options(cell: Cell, figures: Figures) -> Options:
    """The other rungs; one that serves two ends stands once, and a set that needs no kit says so."""
    kinds: dict[tuple[str, str, int], list[str]] = {}
    for option in cell.options:
        same = option.rung.address == cell.rung.address
        load = f" ({option.load})" if option.load else ""
        option_words = (
            ("this one", "", 0)
            if same
            else (f"{option.rung.name}{load}", option.rung.entry_test, figures.number(option.rung))
        )
        kinds.setdefault(option_words, []).append(str(option.kind))
    return tuple(
        OptionLine(kind=", ".join(kind), name=name, test=test, figure=figure)
        for (name, test, figure), kind in kinds.items()
    )
