"""The run sheet for filming: pick-up units that each start from a still pose, so that any can be taken again."""

from collections.abc import Iterator
from dataclasses import dataclass

from everyrung.cues.cell_timing import CellTiming, cell_timings
from everyrung.cues.mirroring import leader_side
from everyrung.publish.output import Files, Order, output
from everyrung.publish.pages import page
from everyrung.results.analysis import Analysis
from everyrung.runsheet.words import VIEW_WORDS, dose_words
from everyrung.terms.enums import CueKind, OptionKind, Side
from everyrung.terms.session import Cell
from everyrung.terms.timeline import Span, Track
from everyrung.terms.units import clock_text

SHOWN = (OptionKind.HARDER, OptionKind.EASIER, OptionKind.NO_KIT)  # by a demonstrator each
TAKES = 4  # columns of the take log; chosen, because a fifth take is a reason to stop and think


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """One stretch of work on one side. `still` is the pose it starts from, `side` the participant's, `limb` the
    leader's; `first` is what is said first in it; `demonstrators` what each demonstrator does.
    """

    number: int
    at: str
    lasts: str
    block: str
    name: str
    still: str
    side: str
    limb: str
    dose: str
    load: str
    first: str
    demonstrators: tuple[tuple[str, str], ...]


@output("filming", ("filming.html",), "pick-up units for filming, with a take log", place=60)
def filming(order: Order) -> Files:
    """One page, to print."""
    yield order.text("filming.html", filming_html(order.run)), "pick-up units for filming, with a take log"


def units(run: Analysis) -> tuple[Unit, ...]:
    """Every stretch of work, numbered as it is led."""
    stretches = [(visit, span) for visit in cell_timings(run.timeline, run.session.clock) for span in visit.work]
    return tuple(_unit(run, number, visit, span) for number, (visit, span) in enumerate(stretches, start=1))


def _unit(run: Analysis, number: int, visit: CellTiming, span: Span) -> Unit:
    cell, side = visit.cell, leader_side(span.side, run.session.view)
    one_sided = span.side is not Side.BOTH
    return Unit(
        number=number,
        at=clock_text(span.at_ms),
        lasts=clock_text(span.duration_ms),
        block=cell.ref.block if cell.ref.round == cell.ref.block else f"{cell.ref.block}, {cell.ref.round}",
        name=cell.rung.name,
        still=f"{cell.rung.form.position}, still, as at “{cell.rung.form.phases[-1]}”",
        side=f"participants' {side.says}" if one_sided else "both",
        limb=f"you move your {side.moves}" if one_sided else "",
        dose=_dose(cell, span),
        load=str(span.bout.load) if span.bout and span.bout.load else "",
        first=_first_words(run, span),
        demonstrators=tuple(_option_words(cell)),
    )


def _dose(cell: Cell, span: Span) -> str:
    if span.bout and span.bout.reps:
        return f"repetition 1 of {span.bout.reps}"
    return dose_words(cell)


def _first_words(run: Analysis, span: Span) -> str:
    for track in run.cues:
        if track.track is Track.FIRST:
            inside = (cue for cue in track.said if span.at_ms <= cue.at_ms < span.end_ms)
            return next((cue.text for cue in inside if cue.kind is not CueKind.COUNT), "")
    return ""


def _option_words(cell: Cell) -> Iterator[tuple[str, str]]:
    for kind in SHOWN:
        option = cell.option(kind)
        if option:
            load = f", {option.load}" if option.load else ""
            yield str(kind), f"{option.rung.name}{load}"


def filming_html(run: Analysis) -> str:
    """The page, to print: a unit a row, with room for the log of takes."""
    return page(
        "filming.html",
        title=run.session.title,
        view=VIEW_WORDS[run.session.view],
        units=units(run),
        takes=range(1, TAKES + 1),
        kinds=[str(kind) for kind in SHOWN],
    )
