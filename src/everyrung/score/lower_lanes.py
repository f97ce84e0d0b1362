"""The lower lanes: body position as pitch, kit in hand, talk, rest."""

from everyrung.score.lanes import Lane, Pitch, Score
from everyrung.score.layout import SMALL, Lines, System
from everyrung.score.marks import change_fill, group, line, num, tag, text, text_width
from everyrung.terms.enums import Position, SpanKind
from everyrung.terms.timeline import Span

_SHORT = {
    Position.HANDS_AND_KNEES: "all fours",
    Position.FRONT_SUPPORT: "front",
    Position.SIDE_SUPPORT: "side",
    Position.HALF_KNEELING: "kneeling",
    Position.FLOOR_SEATED: "sitting",
    Position.BACK: "back",
    Position.FRONT: "front",
    Position.SIDE: "side",
}


_BODY = {"stroke": "currentColor", "stroke_width": "2.2", "stroke_linecap": "round"}


def _in(score: Score, system: System, lane: Lane) -> list[Span]:
    return [
        stretch.span
        for stretch in score.stretches
        if stretch.lane is lane and system.shows(stretch.span.at_ms, stretch.span.end_ms)
    ]


def draw_body(score: Score, system: System, lines: Lines) -> str:
    """A heavy line at the height of the body; a slope with three steps where the class gets down or up."""
    parts = []
    before: Pitch | None = None
    for pitch in score.pitches:
        if system.shows(pitch.at_ms, pitch.end_ms):
            parts.append(_pitch(pitch, system, lines))
            if before and before.after != pitch.before and pitch.at_ms > system.at_ms:
                x = system.x(pitch.at_ms)
                parts.append(line(x, _level(before.after, lines), x, _level(pitch.before, lines), **_BODY))
        before = pitch
    for span in _in(score, system, Lane.BODY):
        x, end = system.x(span.at_ms), system.x(span.end_ms)
        steps = "".join(f"M{num(x + (end - x) * at)} {num(lines.floor)}v-4" for at in (0.25, 0.5, 0.75))
        path = tag("path", d=steps, stroke="currentColor", stroke_width="0.9", fill="none")
        parts.append(tag("g", path, class_="span down-or-up", data_at=span.at_ms, data_end=span.end_ms))
    return group(parts, class_="body")


def _pitch(pitch: Pitch, system: System, lines: Lines) -> str:
    x, end = system.x(pitch.at_ms), system.x(pitch.end_ms)
    before, after = _level(pitch.before, lines), _level(pitch.after, lines)
    result = line(x, before, end, after, **_BODY)
    if pitch.before != pitch.after:
        return result
    for word in (str(pitch.position), _SHORT.get(pitch.position, "")):
        if word and text_width(word, SMALL) <= end - x - 4:
            return result + text(x + 3, before + 9.5 if pitch.after > 0.5 else before - 4, word, SMALL)
    return result


def _level(height: float, lines: Lines) -> float:
    return lines.floor - height * (lines.floor - lines.standing)


def draw_kit(score: Score, system: System, lines: Lines, name: str) -> tuple[str, list[str]]:
    """Kit in use between two uprights, its words above the line; a hatched box while kit is changed."""
    parts, unheld = [], []
    for frame in score.kit:
        if not system.shows(frame.at_ms, frame.end_ms):
            continue
        x, end = system.x(frame.at_ms), system.x(frame.end_ms)
        bracket = f"M{num(x)} {num(lines.kit - 10)}V{num(lines.kit)}H{num(end - 0.6)}v-3"
        parts.append(tag("path", d=bracket, stroke="currentColor", stroke_width="1.2", fill="none"))
        free = _after_change(score, system, frame.at_ms, x)
        if text_width(frame.label, SMALL) <= end - free - 3:
            parts.append(text(free + 3, lines.kit - 2.5, frame.label, SMALL, class_="held-kit"))
        elif frame.at_ms >= system.at_ms:
            unheld.append(f"Kit from {frame.at_ms // 60_000}:{frame.at_ms // 1000 % 60:02d}: {frame.label}")
    for span in _in(score, system, Lane.KIT):
        x, end = system.x(span.at_ms), system.x(span.end_ms)
        box = {"x": x, "y": lines.kit - 9, "width": end - x, "height": 9.0}
        hatch = tag("rect", fill=change_fill(name), stroke="currentColor", stroke_width="0.6", **box)
        parts.append(tag("g", hatch, class_="span kit-change", data_at=span.at_ms, data_end=span.end_ms))
    return group(parts, class_="kit"), unheld


def _after_change(score: Score, system: System, at_ms: int, x: float) -> float:
    """Where words can begin: after the kit change with which this kit came into use."""
    change = next((span for span in _in(score, system, Lane.KIT) if span.at_ms == at_ms), None)
    return system.x(change.end_ms) if change else x


def draw_talk(score: Score, system: System, lines: Lines) -> str:
    """Talk as lines of writing: two rows for an announcement, one for explaining a move."""
    parts = []
    for span in _in(score, system, Lane.TALK):
        x, end = system.x(span.at_ms) + 1, system.x(span.end_ms) - 1
        is_announcement = span.kind is SpanKind.ANNOUNCE
        rows = (lines.talk - 2.4, lines.talk + 2.4) if is_announcement else (lines.talk,)
        writing = tag(
            "path",
            d="".join(f"M{num(x)} {num(y)}H{num(max(end, x + 1))}" for y in rows),
            stroke="currentColor",
            stroke_width="2.2",
            stroke_dasharray="6 1.6 3.4 1.6 8 1.6" if is_announcement else "3.4 1.4",
            fill="none",
        )
        kind = "announcement" if is_announcement else "explaining"
        parts.append(tag("g", writing, class_=f"span {kind}", data_at=span.at_ms, data_end=span.end_ms))
    return group(parts, class_="talk")


def draw_rest(score: Score, system: System, lines: Lines) -> str:
    """Rest as an empty bar; the rest between rounds is a double one."""
    return group([_rest(span, system, lines) for span in _in(score, system, Lane.REST)], class_="rest")


def _rest(span: Span, system: System, lines: Lines) -> str:
    x, width = system.x(span.at_ms), system.x(span.end_ms) - system.x(span.at_ms)
    between_rounds = span.kind is SpanKind.ROUND_REST
    box = {"x": x + 0.5, "y": lines.rest - 3.5, "width": max(width - 1, 0.5), "height": 7.0, "rx": "3.5"}
    parts = [tag("rect", fill="none", stroke="currentColor", stroke_width="1", **box)]
    if between_rounds and width > 6:
        parts.append(line(x + 4, lines.rest, x + width - 4, lines.rest, stroke="currentColor", stroke_width="1"))
    kind = "round-rest" if between_rounds else "rest"
    return group(parts, class_=f"span {kind}", data_at=span.at_ms, data_end=span.end_ms)
