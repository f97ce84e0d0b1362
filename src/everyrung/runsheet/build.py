"""From an analysis to its run sheet: everything that is shown of a session, decided before it is led."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from everyrung.cues.mirroring import leader_side
from everyrung.results.analysis import Analysis
from everyrung.runsheet.beeps import Tunes, beeps, tunes
from everyrung.runsheet.live import live_entry
from everyrung.runsheet.terms import (
    VERSION,
    BeepEntry,
    BlockEntry,
    BoutEntry,
    CellEntry,
    CellForecastEntry,
    CueEntry,
    FindingEntry,
    ForecastEntry,
    ForkEntry,
    HelpEntry,
    KitEntry,
    PhaseEntry,
    RatingEntry,
    RoomEntry,
    RungEntry,
    RungForecastEntry,
    RunSheet,
    ShareEntry,
    SpanEntry,
    VariantEntry,
)
from everyrung.runsheet.waves import wave_entries
from everyrung.runsheet.words import check_words, cut_words, dose_words, load_words, place_words
from everyrung.store.digest import digest
from everyrung.terms.demand import RungDrawing
from everyrung.terms.enums import BlockKind, CueKind, OptionKind, View
from everyrung.terms.finding import Finding
from everyrung.terms.forecast import CellForecast, Forecast, Rating, Share
from everyrung.terms.move import Form, Rung
from everyrung.terms.plan import Ref
from everyrung.terms.room import help_lines
from everyrung.terms.session import Block, Bout, Cell, Round, Session
from everyrung.terms.timeline import CueTrack, Span
from everyrung.terms.units import Load
from everyrung.timing.branches import Branches, Fork, Variant

if TYPE_CHECKING:
    from everyrung.room.room_plan import RoomPlan

KEY_DIGITS = 12  # of a figure's key; chosen, because a session has some fifty figures


def run_sheet(run: Analysis) -> RunSheet:
    """The whole sheet. Without `branches` in the analysis it has one variant and no forks, without cues no words."""
    session = run.session
    branches = ways(run)
    scripts = run.scripts or (run.cues,) * len(branches.variants)
    cells = {cell.ref: place for place, cell in enumerate(session.cells)}
    words = {text: place for place, text in enumerate(dict.fromkeys(_texts(scripts)))}
    by = tunes(branches.variants[0].timeline)
    return RunSheet(
        version=VERSION,
        title=session.title,
        slot_ms=session.slot_ms,
        level=session.level,
        view=session.view,
        notes=session.cover_notes,
        newcomers=session.who.newcomers,
        blocks=tuple(BlockEntry(name=block.name, kind=block.kind, say=block.say) for block in session.blocks),
        cells=tuple(_cells(session, run.drawings)),
        words=tuple(words),
        variants=tuple(
            _variant(way, script, cells, words, session, by)
            for way, script in zip(branches.variants, scripts, strict=True)
        ),
        prefixes=branches.prefixes,
        forks=tuple(_fork(fork, session, cells) for fork in branches.forks),
        findings=tuple(map(_finding, run.findings)),
        forecast=_forecast(run.forecast, cells) if run.forecast else None,
        room=room_entry(run.room) if run.room else None,
        live=live_entry(session, run.timeline),
        waves=wave_entries(run),
        lip_readers=session.who.lip_readers,
    )  # fmt: skip


def ways(run: Analysis) -> Branches:
    """The ways that the session can go: those of the analysis, or the whole session as the only one."""
    whole = Variant(session=run.session, timeline=run.timeline)
    return run.branches or Branches(variants=(whole,), prefixes=(0,), forks=())


def figure_key(rung: Rung, load: Load | None) -> str:
    """The name of a rung's pictures with a load: letters and digits, the same for the same rung everywhere."""
    return digest(rung, load)[:KEY_DIGITS]


def _texts(scripts: Iterable[tuple[CueTrack, ...]]) -> Iterable[str]:
    return (cue.text for script in scripts for track in script for cue in track.said)


def _cells(session: Session, drawings: Mapping[Form, RungDrawing]) -> Iterable[CellEntry]:
    for place, block in enumerate(session.blocks):
        for each in block.rounds:
            for cell in each.cells:
                yield CellEntry(
                    ref=str(cell.ref),
                    block=place,
                    round="" if each.name == block.name else each.name,
                    move=cell.move.name,
                    newcomers_rest=_newcomers_rest(session, block, each),
                    note=cell.note,
                    rungs=tuple(_rungs(cell, session.view, drawings)),
                )


def _newcomers_rest(session: Session, block: Block, each: Round) -> bool:
    late = block.rounds.index(each) >= session.newcomer_rounds
    return session.who.newcomers and block.kind is BlockKind.MAIN and late


def _rungs(cell: Cell, view: View, drawings: Mapping[Form, RungDrawing]) -> Iterable[RungEntry]:
    """The one that is led, then the others as the plan or the ladder has them."""
    yield _rung(None, cell, view, drawings.get(cell.rung.form))
    for option in cell.options:
        as_cell = replace(cell, rung=option.rung, dose=option.dose, bouts=option.bouts)
        yield _rung(option.kind, as_cell, view, drawings.get(option.rung.form))


def _rung(kind: OptionKind | None, cell: Cell, view: View, drawing: RungDrawing | None) -> RungEntry:
    rung = cell.rung
    return RungEntry(
        kind=kind,
        address=rung.address,
        name=rung.name,
        grade=rung.grade,
        position=rung.form.position,
        surface=rung.form.surface,
        sides=rung.form.sides,
        dose=dose_words(cell),
        load=load_words(cell),
        kit=tuple(KitEntry(need.item, need.pieces) for need in rung.kit),
        entry_test=rung.entry_test,
        form_cue=next((cue.text for cue in rung.cues if cue.kind is CueKind.FORM), ""),
        self_checks=check_words(rung, drawing),
        bouts=tuple(_bout(cell, bout, view) for bout in cell.bouts),
        figure=figure_key(rung, cell.bouts[0].load),
    )


def _bout(cell: Cell, bout: Bout, view: View) -> BoutEntry:
    phases = cell.rung.form.in_time(bout.tempo) if bout.reps else ()
    return BoutEntry(
        side=bout.side,
        moves=leader_side(bout.side, view).moves,
        reps=bout.reps,
        duration_ms=bout.duration_ms,
        rep_ms=bout.rep_ms,
        timed=not bout.reps or cell.dose.duration_ms is not None,
        load=str(bout.load or ""),
        hand=bout.load_side,
        phases=tuple(PhaseEntry(name, length_ms) for name, length_ms in phases if length_ms),
    )


def _variant(
    way: Variant,
    script: tuple[CueTrack, ...],
    cells: Mapping[Ref, int],
    words: Mapping[str, int],
    session: Session,
    by: Tunes,
) -> VariantEntry:
    blocks = {block.name: place for place, block in enumerate(session.blocks)}
    left = {cell.ref for cell in way.session.cells}
    return VariantEntry(
        total_ms=way.timeline.total_ms,
        cut=tuple(place for ref, place in cells.items() if ref not in left),
        spans=tuple(_span(span, blocks, cells) for span in way.timeline.spans),
        beeps=tuple(
            BeepEntry(beep.at_ms, beep.kind)
            for beep in beeps(way.timeline, count_in_ms=session.clock.count_in_ms, by=by)
        ),
        script={
            track.track: tuple(
                CueEntry(
                    cue.at_ms, cue.end_ms, cue.kind, words[cue.text], cells[cue.ref] if cue.ref else None, cue.rungs
                )
                for cue in track.said
            )
            for track in script
        },
    )


def _span(span: Span, blocks: Mapping[str, int], cells: Mapping[Ref, int]) -> SpanEntry:
    return SpanEntry(
        at_ms=span.at_ms,
        end_ms=span.end_ms,
        kind=span.kind,
        block=blocks[span.block.name],
        cell=cells[span.cell.ref] if span.cell else None,
        bout=_bout_place(span),
        position=span.position,
        kit=tuple(each.label for each in span.kit),
        text=span.text,
    )


def _bout_place(span: Span) -> int | None:
    """By identity: both bouts of a cell may be alike."""
    if span.cell is None or span.bout is None:
        return None
    return next(place for place, bout in enumerate(span.cell.bouts) if bout is span.bout)


def _fork(fork: Fork, session: Session, cells: Mapping[Ref, int]) -> ForkEntry:
    by_ref = {cell.ref: cell for cell in session.cells}
    return ForkEntry(
        of=fork.of,
        onto=fork.onto,
        from_ms=fork.from_ms,
        until_ms=fork.until_ms,
        less_ms=fork.less_ms,
        cells=tuple(cells[ref] for ref in fork.cells),
        talks=tuple(place for place, block in enumerate(session.blocks) if block.name in fork.talks),
        words=cut_words([by_ref[ref] for ref in fork.cells], fork.talks),
    )


def _finding(finding: Finding) -> FindingEntry:
    return FindingEntry(
        rule=finding.rule,
        severity=finding.severity,
        place=place_words(finding.places),
        measured=finding.measured,
        limit=finding.limit,
        source=finding.source,
        remedy=finding.remedy,
    )


def _forecast(forecast: Forecast, cells: Mapping[Ref, int]) -> ForecastEntry:
    return ForecastEntry(
        people=forecast.people,
        mix=forecast.mix,
        seed=forecast.seed,
        whole=_share(forecast.whole),
        kcal=str(forecast.energy.kcal),
        met=str(forecast.energy.met),
        heart=forecast.heart,
        cells=tuple(_cell_forecast(cell, cells[cell.ref]) for cell in forecast.cells),
        rating=_rating(forecast.rating),
    )


def _cell_forecast(forecast: CellForecast, cell: int) -> CellForecastEntry:
    return CellForecastEntry(
        cell=cell,
        some_rung=_share(forecast.some_rung),
        skipping=_share(forecast.skipping),
        rungs=tuple(
            RungForecastEntry(kind=rung.kind, finishing=_share(rung.finishing), advised=_share(rung.advised))
            for rung in forecast.rungs
        ),
        rating=_rating(forecast.rating),
    )


def _rating(rating: Rating | None) -> RatingEntry | None:
    return RatingEntry(middle=rating.middle, low=rating.low, high=rating.high) if rating else None


def room_entry(plan: "RoomPlan") -> RoomEntry:
    """A session's room."""
    use = plan.use
    return RoomEntry(
        name=use.room.name,
        people=use.in_room,
        holds=use.people,
        help=tuple(HelpEntry(name, words) for name, words in help_lines(use.room.emergency)),
    )


def _share(share: Share) -> ShareEntry:
    return ShareEntry(part=share.part, low=share.low, high=share.high)
