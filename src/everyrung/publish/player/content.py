"""What the player's page knows: the run sheet that everyone may read, and what only a page with choices needs."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from everyrung.effort.balls import Purpose, purpose_of
from everyrung.publish.player.balls import HIGH_CM, LOW_CM, BallRow, ball_rows
from everyrung.publish.sheet.blocks import Figures
from everyrung.publish.stage import mirror_side, tone_values
from everyrung.results.analysis import Analysis
from everyrung.runsheet.build import figure_key, run_sheet
from everyrung.runsheet.terms import RunSheet
from everyrung.terms.enums import KitItem
from everyrung.terms.move import Rung
from everyrung.terms.session import Session
from everyrung.terms.units import Load


@dataclass(frozen=True, slots=True, kw_only=True)
class Extras:
    """`figures` are the pictures' numbers, by the keys of the run sheet; `kit` is the most pieces that a rung needs,
    of what not everyone has; `ball_of` says what a ball is for, by surface, `balls` is the chart for that; `tones` are
    Hz, s and amplitude of each kind of beep; `turned` says for which side a moving figure is turned left for right.
    """

    figures: dict[str, int]
    kit: dict[str, int]
    ball_of: dict[str, str]
    balls: dict[str, tuple[BallRow, ...]]
    stature_cm: tuple[int, int]
    tones: dict[str, list[float]]
    turned: dict[str, str]


def public_sheet(run: Analysis) -> RunSheet:
    """The run sheet as it is published: the whole session without the coach's notes, findings, forecast and room, for
    what stands there of doors and codes is for those who are let in; and without the waves of those in the room.
    """
    sheet = without_live(run_sheet(run))
    cells = tuple(replace(cell, note="") for cell in sheet.cells)
    return replace(
        sheet,
        notes="",
        cells=cells,
        variants=sheet.variants[:1],
        prefixes=(0,),
        forks=(),
        findings=(),
        forecast=None,
        room=None,
        waves=(),
    )


def without_live(sheet: RunSheet) -> RunSheet:
    """The sheet for whoever follows a recording: without what is said to people who are seen just then."""
    variants = (
        replace(
            each,
            script={track: tuple(cue for cue in cues if not cue.kind.is_live) for track, cues in each.script.items()},
        )
        for each in sheet.variants
    )
    return replace(sheet, variants=tuple(variants), live=None, lip_readers=False)


def extras(run: Analysis, figures: Figures) -> Extras:
    """`figures` afterwards holds the pictures of all rungs; none where nothing was drawn."""
    pairs = list(rungs(run.session))
    numbers = {figure_key(rung, load): figures.number(rung) for rung, load in pairs}
    by_key = {figure_key(rung, load): rung for rung, load in pairs if rung.form in run.drawings}
    surfaces = {rung.form.surface: purpose_of(rung.form.surface) for rung, _ in pairs}
    purposes = [purpose for purpose in Purpose if purpose in surfaces.values()]
    return Extras(
        figures={key: number for key, number in numbers.items() if number},
        kit=_kit(rung for rung, _ in pairs),
        ball_of={str(surface): str(purpose) for surface, purpose in surfaces.items() if purpose},
        balls={str(purpose): ball_rows(purpose) for purpose in purposes},
        stature_cm=(LOW_CM, HIGH_CM),
        tones=tone_values(),
        turned={key: mirror_side(run.drawings[rung.form].seen) for key, rung in by_key.items()},
    )


def rungs(session: Session) -> Iterator[tuple[Rung, Load | None]]:
    """Every rung that is led or offered, with what is held."""
    for cell in session.cells:
        yield cell.rung, cell.bouts[0].load
        for option in cell.options:
            yield option.rung, option.bouts[0].load


def _kit(options: Iterable[Rung]) -> dict[str, int]:
    """In the order of the vocabulary."""
    most: dict[KitItem, int] = {}
    for rung in options:
        for need in rung.kit:
            if need.item.counts_as_kit:
                most[need.item] = max(most.get(need.item, 0), need.pieces)
    return {str(item): most[item] for item in KitItem if item in most}
