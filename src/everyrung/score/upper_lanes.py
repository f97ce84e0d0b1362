"""The frame of a system, ruler, bar lines, the names of blocks and rounds; and its first lane, the moves."""

from itertools import zip_longest

from everyrung.score.lanes import CellFrame, Frame, Score
from everyrung.score.layout import HALF, NAME, SMALL, Lines, System
from everyrung.score.marks import cut, group, line, num, tag, text, text_width, words, wrap
from everyrung.terms.seconds import moment_text

MINUTE_MS = 60_000
_TICK_MS = 15_000
_SOFT = "0.35"


def draw_frame(score: Score, system: System, lines: Lines) -> str:
    parts = [
        _lane_names(system, lines),
        _ruler(system, lines),
        _lane_lines(system, lines),
        _bar_lines(score, system, lines),
        _names(score, system, lines),
    ]
    return group(parts, class_="frame")


def _lane_names(system: System, lines: Lines) -> str:
    x = system.paper.left - 8
    lanes = (
        ("Block", lines.block),
        ("Move", lines.moves + 10),
        ("Left", lines.centre - 12),
        ("Right", lines.centre + 19),
        ("Body", (lines.standing + lines.floor) / 2 + 3),
        ("Kit", lines.kit - 1),
        ("Talk", lines.talk + 3),
        ("Rest", lines.rest + 3.5),
    )
    parts = [text(x, y, name, SMALL, text_anchor="end", class_="lane-name") for name, y in lanes]
    start = f"{system.number} · {moment_text(system.at_ms)}"
    parts.append(text(2.0, lines.ruler - 3, start, 10.5, font_weight="600", class_="system-start"))
    return group(parts)


def _ruler(system: System, lines: Lines) -> str:
    """A tick every quarter of a minute, a number every minute."""
    y, ticks, numbers = lines.ruler, [], []
    for at_ms in range(-(-system.at_ms // _TICK_MS) * _TICK_MS, system.end_ms + 1, _TICK_MS):
        x, whole = system.x(at_ms), at_ms % MINUTE_MS == 0
        ticks.append(f"M{num(x)} {num(y)}v{-5 if whole else -2.5}")
        if whole and x < system.paper.width - 16 and x > system.paper.left + 3:
            numbers.append(text(x + 2.5, y - 3.5, str(at_ms // MINUTE_MS), SMALL))
    ruler = line(system.paper.left, y, system.x(system.end_ms), y, stroke="currentColor", stroke_width="0.8")
    marks = tag("path", d="".join(ticks) or "M0 0", stroke="currentColor", stroke_width="0.6", fill="none")
    return group([ruler, marks, *numbers], class_="ruler")


def _lane_lines(system: System, lines: Lines) -> str:
    """The lines along which lanes are drawn: one strong one between the sides, faint ones elsewhere."""
    left, right = system.paper.left, system.x(system.end_ms)
    ends = (lines.centre - HALF, lines.centre + HALF, lines.standing, lines.floor, lines.kit, lines.talk, lines.rest)
    faint = "".join(f"M{num(left)} {num(y)}H{num(right)}" for y in ends)
    return group(
        [
            tag("path", d=faint, stroke="currentColor", stroke_width="0.4", opacity=_SOFT, fill="none"),
            line(left, lines.centre, right, lines.centre, stroke="currentColor", stroke_width="1.1"),
        ]
    )


def _bar_lines(score: Score, system: System, lines: Lines) -> str:
    """Double at a block, single at a round, a hair at a cell, a heavy one at the very end."""
    top, bottom = lines.moves, lines.bottom
    parts: list[str] = []
    blocks = {frame.at_ms for frame in score.blocks}
    rounds = {frame.at_ms for frame in score.rounds} - blocks
    cells = {frame.at_ms for frame in score.cells} - blocks - rounds
    parts += [
        _upright(system.x(at_ms), top, lines.centre + HALF, 0.4)
        for at_ms in sorted(cells)
        if system.at_ms < at_ms < system.end_ms
    ]
    for at_ms in sorted(rounds | blocks):
        if system.at_ms < at_ms < system.end_ms:
            parts.append(_upright(system.x(at_ms), top, bottom, 0.9))
            if at_ms in blocks:
                parts.append(_upright(system.x(at_ms) - 3, top, bottom, 0.9))
    left, right = system.paper.left, system.x(system.end_ms)
    parts += [_upright(left, top, bottom, 0.9), _upright(left - 4, top, bottom, 2.4)]
    if system.end_ms == score.total_ms:
        parts += [_upright(right - 4.5, top, bottom, 0.9), _upright(right - 1, top, bottom, 3.0)]
    else:
        parts.append(_upright(right, top, bottom, 0.9))
    return group(parts, class_="bar-lines")


def _upright(x: float, top: float, bottom: float, weight: float) -> str:
    return line(x, top, x, bottom, stroke="currentColor", stroke_width=weight)


def _names(score: Score, system: System, lines: Lines) -> str:
    """Block names in bold, round names boxed as rehearsal marks are; both again at the head of each system."""
    parts: list[str] = []
    marks = [(frame, False) for frame in score.blocks] + [(frame, True) for frame in score.rounds]
    visible = [(frame, in_box) for frame, in_box in marks if system.shows(frame.at_ms, frame.end_ms)]
    visible.sort(key=lambda mark: (max(mark[0].at_ms, system.at_ms), mark[1]))
    x_free = system.paper.left
    for place, (frame, in_box) in enumerate(visible):
        start, end = system.x(frame.at_ms), system.x(frame.end_ms)
        x = max(start + 2, x_free)
        end = min([end, *(system.x(each.at_ms) for each, _ in visible[place + 1 :] if system.x(each.at_ms) > start)])
        label = cut(frame.label, end - x - (12 if in_box else 3), 11)
        if label:
            parts.append(_mark(x, lines.block, label) if in_box else _block(x, lines.block, label, frame, system))
            x_free = x + text_width(label, 11) + (14 if in_box else 5)
    return group(parts, class_="names")


def _block(x: float, y: float, label: str, frame: Frame, system: System) -> str:
    again = frame.at_ms < system.at_ms
    return text(x, y, label, 11, font_weight="400" if again else "700", class_="block-name")


def _mark(x: float, y: float, label: str) -> str:
    box = {"x": x, "y": y - 9.5, "width": text_width(label, 10.5) + 8, "height": 12.5, "rx": "2"}
    frame = tag("rect", fill="none", stroke="currentColor", stroke_width="0.9", **box)
    return group([frame, text(x + 4, y, label, 10.5, font_weight="600")], class_="round-name")


_LINES = 3
_PITCH = 11.5
_LADDER = 7.0
_LADDER_HEIGHT = 29.0


def draw_moves(score: Score, system: System, lines: Lines) -> tuple[str, list[str]]:
    """The lane, and in words the cells whose full name had no room: in waves, up to where the next one is named."""
    parts, overflow = [], []
    for frame, after in zip_longest(score.cells, score.cells[1:]):
        if not system.shows(frame.at_ms, frame.end_ms):
            continue
        x = system.x(frame.at_ms) + 3
        end = system.x(min(frame.end_ms, after.at_ms) if after else frame.end_ms)
        if end - x >= 30:
            parts.append(_ladder(frame, x, lines.moves))
            x += _LADDER + 4
        name_lines, whole = _name(frame, end - x - 3)
        if name_lines:
            parts.append(_words(frame.number, name_lines, x, lines.moves))
        if not whole:
            overflow.append(f"{frame.number} {frame.cell.rung.name}")
    return group(parts, class_="moves"), overflow


def _name(frame: CellFrame, width: float) -> tuple[tuple[str, ...], bool]:
    """Lines that fit, and whether they say it all."""
    for name, whole in ((frame.cell.rung.name, True), (frame.cell.move.name, False), ("", False)):
        name_lines = wrap(f"{frame.number} {name}", width, NAME, _LINES)
        if name_lines:
            return name_lines, whole
    return (), False


def _words(number: int, name_lines: tuple[str, ...], x: float, top: float) -> str:
    first = name_lines[0].removeprefix(str(number)).lstrip()
    bold = tag("tspan", str(number), font_weight="700")
    after = tag("tspan", words(first), dx="3") if first else ""
    head = tag("text", bold + after, x=x, y=top + 9, font_size=num(NAME))
    rest = [text(x, top + 9 + _PITCH * place, each, NAME) for place, each in enumerate(name_lines[1:], start=1)]
    return group([head, *rest], class_="move-name")


def _ladder(frame: CellFrame, x: float, top: float) -> str:
    """Two rails and the move's own rungs; the one in use is heavy, as if a foot stood on it. A stand-in is on none."""
    rungs = len(frame.cell.move.ladder)
    step = _LADDER_HEIGHT / (rungs + 1)

    def y(place: float) -> float:
        return top + 1 + _LADDER_HEIGHT - step * (place + 1)

    rails = "".join(f"M{num(x + at)} {num(top + 1)}v{num(_LADDER_HEIGHT)}" for at in (0.0, _LADDER))
    bars = "".join(f"M{num(x)} {num(y(place))}h{num(_LADDER)}" for place in range(rungs))
    thin = tag("path", d=rails + bars, stroke="currentColor", stroke_width="0.5", fill="none")
    if frame.place is None:
        return group([thin], class_="ladder", data_rungs=rungs)
    foot_y = y(frame.place)
    foot = line(x - 1.5, foot_y, x + _LADDER + 1.5, foot_y, stroke="currentColor", stroke_width="2.4")
    return group([thin, foot], class_="ladder", data_place=f"{frame.place:g}", data_rungs=rungs)
