"""Each move once: its cues by kind, what to be careful of, and which rung avoids it."""

from collections.abc import Mapping

from everyrung.publish.sheet.terms import CueLine, MovePart
from everyrung.runsheet.words import joined
from everyrung.score.lanes import cell_numbers
from everyrung.terms.demand import RungDrawing
from everyrung.terms.enums import Caution, CueKind
from everyrung.terms.move import Form, Move, Rung
from everyrung.terms.session import Cell, Session

_KINDS = (CueKind.SET_UP, CueKind.FORM, CueKind.BREATHING, CueKind.SAFETY)


def move_parts(session: Session, drawings: Mapping[Form, RungDrawing]) -> tuple[MovePart, ...]:
    """The moves in the order they are first led, the reserve's last."""
    numbers = cell_numbers(session)
    users: dict[str, list[Cell]] = {}
    for block in (*session.blocks, *session.reserve):
        for cell in block.cells:
            users.setdefault(cell.move.key, []).append(cell)
    return tuple(_move(cells, [numbers[cell.ref] for cell in cells], drawings) for cells in users.values())


def _move(cells: list[Cell], numbers: list[int], drawings: Mapping[Form, RungDrawing]) -> MovePart:
    move = cells[0].move
    rungs = [cell.rung for cell in cells]
    return MovePart(
        name=move.name,
        cells=f"set{'s' if len(numbers) > 1 else ''} {', '.join(str(number) for number in numbers)}",
        cues=(
            *(line for kind in _KINDS if (line := _cues(rungs, kind)).said),
            *(line for line in [_self_checks(rungs, drawings)] if line.said),
        ),
        cautions=tuple(_caution(move, caution, rungs) for caution in Caution if _shown(rungs, caution)),
    )


def _cues(rungs: list[Rung], kind: CueKind) -> CueLine:
    """Every cue of a kind once; a rung's own come first in its list, so the common ones are put in front."""
    said = [cue.text for rung in rungs for cue in rung.cues if cue.kind is kind]
    common = [text for text in said if all(any(cue.text == text for cue in rung.cues) for rung in rungs)]
    return CueLine(kind=str(kind), said=tuple(dict.fromkeys([*common, *said])))


def _self_checks(rungs: list[Rung], drawings: Mapping[Form, RungDrawing]) -> CueLine:
    """What participants look for themselves, from the poses."""
    said = [text for rung in rungs if rung.form in drawings for text in drawings[rung.form].self_checks]
    return CueLine(kind="check yourself", said=tuple(dict.fromkeys(said)))


def _shown(rungs: list[Rung], caution: Caution) -> bool:
    return any(caution in rung.cautions for rung in rungs)


def _caution(move: Move, caution: Caution, rungs: list[Rung]) -> str:
    """'Deep knee bend: avoided by ...': the two free rungs nearest to the easiest one used, easier ones first."""
    least = min(rung.grade for rung in rungs if caution in rung.cautions)
    free = [rung for rung in move.ladder if caution not in rung.cautions]
    free.sort(key=lambda rung: (rung.grade > least, abs(rung.grade - least)))
    said = str(caution).capitalize()
    if not free:
        return f"{said}: no rung of this move avoids it; offer another move."
    return f"{said}: avoided by {joined([f'“{rung.name}”' for rung in free[:2]])}."
