"""A session in short: what each move of its main part goes through from round to round."""

from collections.abc import Iterator
from itertools import groupby

from everyrung.results.analysis import Analysis
from everyrung.terms.enums import BlockKind
from everyrung.terms.session import Cell


def move_lines(run: Analysis) -> tuple[str, ...]:
    """'Squat 10, 12 reps; Deep squat 10 reps' for each move of the main part, in the order it is led."""
    lines = []
    for block in run.session.of_kind(BlockKind.MAIN):
        for key in dict.fromkeys(cell.ref.cell for cell in block.cells):
            cells = [cell for cell in block.cells if cell.ref.cell == key]
            lines.append("; ".join(_versions(cells)))
    return tuple(lines)


def _versions(cells: list[Cell]) -> Iterator[str]:
    """Each version once, with the doses of the rounds it is led in."""
    for (name, load), alike in groupby(cells, lambda cell: (cell.rung.name, str(cell.bouts[0].load or ""))):
        doses = [str(cell.dose) for cell in alike]
        short = [dose.removesuffix(" reps").removesuffix(" reps a side") for dose in doses[:-1]]
        yield f"{name} {', '.join([*short, doses[-1]])}{f' with {load}' if load else ''}"
