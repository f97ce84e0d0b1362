"""The move lane: each cell's number, its ladder with the rung in use, and as much of its name as there is room for."""

from everyrung.score.lanes import CellFrame, Score
from everyrung.score.layout import NAME, Lines, System
from everyrung.score.marks import group, line, num, tag, text, words, wrap

_LINES = 3
_PITCH = 11.5
_LADDER = 7.0
_LADDER_HEIGHT = 29.0


def draw_moves(score: Score, system: System, lines: Lines) -> tuple[str, list[str]]:
    """The lane, and in words the cells whose full name had no room."""
    parts, unnamed = [], []
    for frame in score.cells:
        if not system.shows(frame.at_ms, frame.end_ms):
            continue
        x, end = system.x(frame.at_ms) + 3, system.x(frame.end_ms)
        if end - x >= 30:
            parts.append(_ladder(frame, x, lines.moves))
            x += _LADDER + 4
        said, whole = _name(frame, end - x - 3)
        if said:
            parts.append(_words(frame.number, said, x, lines.moves))
        if not whole:
            unnamed.append(f"{frame.number} {frame.cell.rung.name}")
    return group(parts, class_="moves"), unnamed


def _name(frame: CellFrame, width: float) -> tuple[tuple[str, ...], bool]:
    """Lines that fit, and whether they say it all."""
    for name, whole in ((frame.cell.rung.name, True), (frame.cell.move.name, False), ("", False)):
        said = wrap(f"{frame.number} {name}", width, NAME, _LINES)
        if said:
            return said, whole
    return (), False


def _words(number: int, said: tuple[str, ...], x: float, top: float) -> str:
    first = said[0].removeprefix(str(number)).lstrip()
    bold = tag("tspan", str(number), font_weight="700")
    after = tag("tspan", words(first), dx="3") if first else ""
    head = tag("text", bold + after, x=x, y=top + 9, font_size=num(NAME))
    rest = [text(x, top + 9 + _PITCH * place, said_line, NAME) for place, said_line in enumerate(said[1:], start=1)]
    return group([head, *rest], class_="move-name")


def _ladder(frame: CellFrame, x: float, top: float) -> str:
    """Two rails and the rungs of the move; the rung in use is heavy, as if a foot stood on it."""
    rungs = len(frame.cell.move.ladder)
    step = _LADDER_HEIGHT / (rungs + 1)

    def y(place: float) -> float:
        return top + 1 + _LADDER_HEIGHT - step * (place + 1)

    rails = "".join(f"M{num(x + at)} {num(top + 1)}v{num(_LADDER_HEIGHT)}" for at in (0.0, _LADDER))
    bars = "".join(f"M{num(x)} {num(y(place))}h{num(_LADDER)}" for place in range(rungs))
    used = y(frame.place)
    return group(
        [
            tag("path", d=rails + bars, stroke="currentColor", stroke_width="0.5", fill="none"),
            line(x - 1.5, used, x + _LADDER + 1.5, used, stroke="currentColor", stroke_width="2.4"),
        ],
        class_="ladder",
        data_place=f"{frame.place:g}",
        data_rungs=rungs,
    )
