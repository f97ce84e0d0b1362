"""The sets of a session with all their rungs, each in the words of the run sheet."""

from collections.abc import Mapping
from dataclasses import replace

from everyrung.effort.ball import purpose_of
from everyrung.publish.player.terms import RungLine, SetLine
from everyrung.publish.sheet.blocks import starts
from everyrung.publish.sheet.figures import Figures
from everyrung.runsheet.words import dose_words, load_words
from everyrung.score.lanes import cell_numbers
from everyrung.terms.demand import RungDrawing
from everyrung.terms.enums import BlockKind, CueKind, KitItem, Side, SpanKind
from everyrung.terms.move import Form, Rung
from everyrung.terms.plan import Ref
from everyrung.terms.session import Block, Cell, Round, Session
from everyrung.terms.timeline import Timeline

LED = "as led"
MOST_LOOKS = 2  # chosen, because more is not looked at during a set


def set_lines(
    session: Session, timeline: Timeline, drawings: Mapping[Form, RungDrawing], figures: Figures
) -> tuple[SetLine, ...]:
    """Every set that is led, in order of time."""
    numbers, begins, again = cell_numbers(session), starts(timeline), _ready(timeline)
    return tuple(
        SetLine(
            number=numbers[cell.ref],
            block=block.name,
            round=each.name if len(block.rounds) > 1 else "",
            move=cell.move.name,
            at_ms=begins[cell.ref],
            again_ms=again[cell.ref],
            beyond=_beyond(session, block, each),
            rungs=_rungs(cell, drawings, figures),
        )
        for block in session.blocks
        for each in block.rounds
        for cell in each.cells
    )


def _ready(timeline: Timeline) -> dict[Ref, int]:
    """When people get into position for each set's first bout, count-in and all."""
    found: dict[Ref, int] = {}
    settling: dict[Ref, int] = {}
    for span in timeline.spans:
        if span.cell is None:
            continue
        if span.kind is SpanKind.SETTLE:
            settling[span.cell.ref] = span.at_ms
        elif span.kind is SpanKind.WORK:
            found.setdefault(span.cell.ref, settling.get(span.cell.ref, span.at_ms))
    return found


def _beyond(session: Session, block: Block, each: Round) -> bool:
    """Whether first-timers rest through this round."""
    late = block.rounds.index(each) >= session.newcomer_rounds
    return session.who.newcomers and block.kind is BlockKind.MAIN and late


def _rungs(cell: Cell, drawings: Mapping[Form, RungDrawing], figures: Figures) -> tuple[RungLine, ...]:
    """The rung that is led and its options; one that serves several ends stands once."""
    done = [(LED, cell)]
    done += [
        (str(option.kind).replace("-", " "), replace(cell, rung=option.rung, dose=option.dose, bouts=option.bouts))
        for option in cell.options
    ]
    found: list[RungLine] = []
    for kind, each in done:
        line = _rung(kind, each, drawings.get(each.rung.form), figures)
        same = next((at for at, other in enumerate(found) if replace(other, kinds=line.kinds) == line), None)
        if same is None:
            found.append(line)
        else:
            found[same] = replace(line, kinds=(*found[same].kinds, kind))
    return tuple(found)


def _rung(kind: str, cell: Cell, drawing: RungDrawing | None, figures: Figures) -> RungLine:
    rung = cell.rung
    purpose = purpose_of(rung.form.surface)
    return RungLine(
        kinds=(kind,),
        name=rung.name,
        dose=dose_words(cell),
        load=load_words(cell),
        kit=", ".join(need.item for need in rung.kit if need.item is not KitItem.DUMBBELLS),
        needs={str(need.item): need.pieces for need in rung.kit if need.item.counts_as_kit},
        test=rung.entry_test,
        looks=_looks(rung, drawing),
        sides=tuple("" if bout.side is Side.BOTH else str(bout.side) for bout in cell.bouts),
        ball=str(purpose) if purpose else "",
        figure=figures.number(rung),
    )


def _looks(rung: Rung, drawing: RungDrawing | None) -> tuple[str, ...]:
    """The first cue of form, and what the figure is checked by."""
    form = [cue.text for cue in rung.cues if cue.kind is CueKind.FORM][:1]
    return tuple(dict.fromkeys([*form, *(drawing.self_checks if drawing else ())]))[:MOST_LOOKS]
