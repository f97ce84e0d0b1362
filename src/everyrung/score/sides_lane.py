"""The sides lane: the participant's left above the line, right below it; a tooth for each repetition."""

from collections.abc import Iterable

from everyrung.score.lanes import Debt, Lane, Score, Stretch, Stroke
from everyrung.score.layout import HALF, SMALL, Lines, System
from everyrung.score.marks import grade_fill, group, num, tag, text, text_width
from everyrung.terms.enums import Side, Sidedness, SpanKind
from everyrung.terms.timeline import Span
from everyrung.terms.units import clock_text

_UP = {Side.LEFT: (-1,), Side.RIGHT: (1,), Side.BOTH: (-1, 1)}
_DOTS = 3  # the count-in is three counts


def depth(grade: int) -> float:
    """How far a grade's work reaches from the line: 9 units for grade 1, 20 for grade 5."""
    return 6.0 + 2.8 * max(1, grade)


def draw_sides(score: Score, system: System, lines: Lines, name: str) -> str:
    parts = []
    for stretch in score.stretches:
        span = stretch.span
        if stretch.lane is not Lane.SIDES or not system.shows(span.at_ms, span.end_ms):
            continue
        if span.kind is SpanKind.WORK:
            parts.append(_work(stretch, system, lines.centre, name))
        else:
            parts.append((_switch if span.kind is SpanKind.SWITCH else _settle)(span, system, lines.centre))
    parts += [_debt(debt, system, lines.centre) for debt in score.debts if system.shows(debt.at_ms, debt.end_ms)]
    return group(parts, class_="sides")


def _work(stretch: Stretch, system: System, centre: float, name: str) -> str:
    span, height = stretch.span, depth(stretch.grade)
    hold = bool(stretch.strokes) and stretch.strokes[0].rep == 0
    fill = grade_fill(name, stretch.grade)
    parts = [
        tag(
            "path",
            d=_outline(stretch.strokes, system, centre, height),
            fill=fill,
            stroke="currentColor",
            stroke_width="0.8",
            stroke_linejoin="round",
        ),
        _pauses(stretch.strokes, system, centre, height),
    ]
    if not hold:
        parts.append(_rep_ticks(stretch.strokes, system, centre))
    parts += _counts(span, system, centre, height)
    x = system.x(span.at_ms)
    return group(
        parts,
        class_=f"span work {'hold' if hold else 'reps'}",
        data_at=span.at_ms,
        data_end=span.end_ms,
        data_side=str(span.side),
        data_x=num(x),
        data_width=num(system.x(span.end_ms) - x),
    )


def _outline(strokes: Iterable[Stroke], system: System, centre: float, height: float) -> str:
    """One closed shape a repetition and side: away from the line while lowering, back to it while rising."""
    shapes: dict[tuple[int, Side], list[Stroke]] = {}
    for stroke in strokes:
        shapes.setdefault((stroke.rep, stroke.side), []).append(stroke)
    outlines = []
    for (_, side), shape in shapes.items():
        for up in _UP[side]:
            points = [(system.x(shape[0].at_ms), centre)]
            for stroke in shape:
                points.append((system.x(stroke.at_ms), centre + up * height * stroke.before))
                points.append((system.x(stroke.end_ms), centre + up * height * stroke.after))
            points.append((system.x(shape[-1].end_ms), centre))
            outlines.append("M" + "L".join(f"{num(x)} {num(y)}" for x, y in _distinct(points)) + "Z")
    return "".join(outlines)


def _distinct(points: list[tuple[float, float]]) -> list[tuple[float, float]]:
    return [point for place, point in enumerate(points) if place == 0 or point != points[place - 1]]


def _pauses(strokes: Iterable[Stroke], system: System, centre: float, height: float) -> str:
    """A held bar wherever the body stands still: at the bottom, at the top, or for a whole hold."""
    marks = []
    for stroke in strokes:
        if stroke.is_pause:
            x, width = system.x(stroke.at_ms), system.x(stroke.end_ms) - system.x(stroke.at_ms)
            marks += [f"M{num(x)} {num(centre + up * height * stroke.before)}h{num(width)}" for up in _UP[stroke.side]]
    if not marks:
        return ""
    return tag("path", class_="held", d="".join(marks), stroke="currentColor", stroke_width="2.6", fill="none")


def _rep_ticks(strokes: Iterable[Stroke], system: System, centre: float) -> str:
    """A fine tick across the line at the true start of each repetition."""
    starts: dict[int, int] = {}
    for stroke in strokes:
        starts.setdefault(stroke.rep, stroke.at_ms)
    marks = "".join(f"M{num(system.x(at_ms))} {num(centre - 3)}v6" for at_ms in starts.values())
    return tag("path", class_="ticks", d=marks, stroke="currentColor", stroke_width="0.6", fill="none")


def _counts(span: Span, system: System, centre: float, height: float) -> list[str]:
    """The dose beside the work, on its side of the line; left out where it would run into its neighbour."""
    middle, width = (system.x(span.at_ms) + system.x(span.end_ms)) / 2, system.x(span.end_ms) - system.x(span.at_ms)
    places = {Side.LEFT: centre - height - 2.5, Side.RIGHT: centre + height + 8.5}
    return [
        text(middle, places[side], amount, SMALL, text_anchor="middle", class_="dose")
        for side, amount in _amounts(span)
        if text_width(amount, SMALL) <= width + 6
    ]


def _amounts(span: Span) -> list[tuple[Side, str]]:
    assert span.bout is not None
    bout = span.bout
    if span.cell and span.cell.rung.form.sides is Sidedness.ALTERNATING and bout.reps:
        return [(Side.LEFT, str((bout.reps + 1) // 2)), (Side.RIGHT, str(bout.reps // 2))]
    amount = str(bout.reps) if bout.reps else clock_text(bout.duration_ms)
    return [(Side.RIGHT if bout.side is Side.RIGHT else Side.LEFT, amount)]


def _switch(span: Span, system: System, centre: float) -> str:
    """A stroke that crosses the line, as a foot does; it goes to the side that comes next."""
    x, end = system.x(span.at_ms), system.x(span.end_ms)
    up = 1 if span.text.startswith(Side.LEFT) else -1  # the words of the timeline: "right side next"
    start, stop, middle = centre + up * 7, centre - up * 7, (x + end) / 2
    curve = f"M{num(x)} {num(start)}C{num(middle)} {num(start)} {num(middle)} {num(stop)} {num(end)} {num(stop)}"
    head = f"M{num(end - 3.5)} {num(stop - 2.5)}L{num(end)} {num(stop)}L{num(end - 3.5)} {num(stop + 2.5)}"
    stroke = tag("path", d=curve + head, stroke="currentColor", stroke_width="1", fill="none")
    return tag("g", stroke, class_="span side-switch", data_at=span.at_ms, data_end=span.end_ms)


def _settle(span: Span, system: System, centre: float) -> str:
    """Three dots for the count-in, growing toward the first repetition."""
    x, end = system.x(span.at_ms), system.x(span.end_ms)
    step = (end - x) / (_DOTS + 1)
    dots = [
        tag("circle", cx=x + step * place, cy=centre, r=min(0.8 + 0.35 * place, step / 2))
        for place in range(1, _DOTS + 1)
    ]
    return group(dots, class_="span getting-into-position", data_at=span.at_ms, data_end=span.end_ms)


def _debt(debt: Debt, system: System, centre: float) -> str:
    """An empty dashed frame on the side that is owed; lighter where a later round settles it."""
    x, end = system.x(debt.at_ms), system.x(debt.end_ms)
    height = depth(debt.cell.rung.grade)
    left = debt.side is Side.LEFT
    box = {"x": x, "width": max(end - x, 1.0), "y": centre - height if left else centre, "height": height}
    weight, dashes = ("1.6", "5 3") if debt.paid_ms is None else ("0.7", "1.5 2.5")
    parts = [
        tag("rect", fill="none", stroke="currentColor", stroke_width=weight, stroke_dasharray=dashes, **box),
    ]
    word = "owed" if debt.paid_ms is None else "later"
    fitting = (label for label in (f"{word} {debt.amount}", word) if text_width(label, SMALL) <= end - x + 6)
    if label := next(fitting, ""):
        y = centre - (HALF - 8.5) if left else centre + HALF - 1
        weight = "700" if debt.paid_ms is None else "400"
        parts.append(text((x + end) / 2, y, label, SMALL, text_anchor="middle", font_weight=weight))
    state = "open" if debt.paid_ms is None else "settled"
    return group(parts, class_=f"debt {state}", data_side=str(debt.side), data_owed=debt.words)
