"""Stills for a channel, 1280 by 720: three to choose from, with a move's figure beside the title, and an end screen."""

import json
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from importlib.resources import files

import typst

from everyrung.publish.figure.rung import rung_svg
from everyrung.publish.pages import font_folder
from everyrung.results.analysis import Analysis
from everyrung.terms.enums import BlockKind, KitItem
from everyrung.terms.move import Rung
from everyrung.terms.session import Session

COUNT = 3  # to choose from
THANKS, NEXT = "Well done. Thank you.", "What comes next?"


@dataclass(frozen=True, slots=True, kw_only=True)
class Still:
    """What stands on one: dark ones have paper on ink; the `end` screen has no figure, and two places kept free."""

    title: str
    length: str = ""
    words: str = ""
    svg: str = ""
    dark: bool = False
    end: bool = False


def stills(run: Analysis) -> tuple[Still, ...]:
    """As many as there are moves that look unlike each other, three at most; none without drawings."""
    words = kit_words(run.session)
    length = f"{round(run.timeline.total_ms / 60_000)} minutes"
    return tuple(
        Still(title=run.session.title, length=length, words=words, svg=svg, dark=place % 2 == 1)
        for place, svg in enumerate(_figures(run))
    )


def end_screen(run: Analysis) -> Still:
    """For the last seconds of a film."""
    return Still(title=THANKS, words=f"{run.session.title}. {NEXT}", end=True)


def still_png(still: Still) -> bytes:
    """The picture, one pixel for each point."""
    compiler = typst.Compiler(
        (files("everyrung.publish") / "templates" / "still.typ").read_bytes(),
        font_paths=typst.Fonts(include_system_fonts=True, font_paths=[str(font_folder())]),
        sys_inputs={"still": json.dumps(asdict(still))},
    )
    png = compiler.compile(format="png", ppi=72)
    assert isinstance(png, bytes)
    return png


def _figures(run: Analysis) -> Iterator[str]:
    """Of main sets that look unlike each other, the hardest round first."""
    rungs = [cell.rung for cell in reversed(list(run.session.cells_of(BlockKind.MAIN)))]
    choice = unlike_rungs([rung for rung in rungs if rung.form in run.drawings], COUNT)
    return (rung_svg(rung, run.drawings[rung.form], height_mm=60.0) for rung in choice)


def unlike_rungs(rungs: Sequence[Rung], most: int) -> list[Rung]:
    """The first of each position; then of each that has something else under it or in hand; then of any other move."""
    ranks: dict[Rung, int] = {}
    for rank, likeness in enumerate((_position, _place, _move)):
        kinds = {likeness(rung) for rung in ranks}
        for rung in rungs:
            if likeness(rung) not in kinds:
                kinds.add(likeness(rung))
                ranks.setdefault(rung, rank)
    return sorted(ranks, key=ranks.__getitem__)[:most]


def _position(rung: Rung) -> object:
    return rung.form.position


def _place(rung: Rung) -> object:
    return rung.form.position, rung.form.surface


def _move(rung: Rung) -> object:
    return rung.form.move


def kit_words(session: Session) -> str:
    """'With ball and dumbbells, or with nothing'."""
    kit = {need.item for cell in session.cells_of(BlockKind.MAIN) for need in cell.rung.kit}
    names = [str(item) for item in KitItem if item in kit and item.counts_as_kit]
    return f"With {' and '.join(names)}, or with nothing" if names else "No equipment"
