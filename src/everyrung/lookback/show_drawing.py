"""The plan above what was show, each on its own line of time, as a strip of SVG: sets, sides, standstills, cuts."""

from everyrung.lookback.show import Show
from everyrung.score.marks import INK, PAPER, group, line, tag, text, words
from everyrung.terms.enums import Side
from everyrung.terms.units import clock_text

WIDTH, HEIGHT, EDGE = 1_200.0, 190.0, 40.0
PLAN_Y, LED_Y, HALF = 55.0, 125.0, 15.0  # each line, and how far a side reaches from it
TICKS_MS = 300_000  # chosen, because half an hour then has six marks


def show_svg(show: Show) -> str:
    """One picture; its title says in words what it shows. Left is above a line, right below it, both on it."""
    last_ms = max(show.plan_ms, *(each.wall_end_ms - show.start_ms for each in show.stretches), 1)
    scale = (WIDTH - 2 * EDGE) / last_ms
    count = sum(bool(row.bouts) for row in show.rows)
    title = f"Plan above, led below: {count} of {len(show.rows)} sets were led."
    parts = [
        tag("title", title),
        tag("rect", x=0.0, y=0.0, width=WIDTH, height=HEIGHT, fill=PAPER),
        *_axis(last_ms, scale),
        *_plan(show, scale),
        *_real(show, scale),
    ]
    attributes = {"xmlns": "http://www.w3.org/2000/svg", "role": "img", "viewBox": f"0 0 {WIDTH:g} {HEIGHT:g}"}
    return tag("svg", "".join(parts), color=INK, font_family="'Hanken Grotesk', Arial, sans-serif", **attributes)


def _axis(last_ms: int, scale: float) -> list[str]:
    parts = [text(4.0, y - 24, word, 13, fill="currentColor") for y, word in ((PLAN_Y, "plan"), (LED_Y, "led"))]
    for at_ms in range(0, last_ms + 1, TICKS_MS):
        x = EDGE + at_ms * scale
        parts.append(line(x, PLAN_Y - 18, x, LED_Y + 18, stroke="currentColor", stroke_width="0.4", opacity="0.5"))
        parts.append(text(x, HEIGHT - 20, clock_text(at_ms), 13, text_anchor="middle", fill="currentColor"))
    return parts


def _plan(show: Show, scale: float) -> list[str]:
    parts = []
    for row in show.rows:
        at, length = row.plan.work_at_ms * scale, row.plan.bout.duration_ms * scale
        name = f"{row.plan.name}{f': {row.change}' if row.change else ''}"
        fill = "currentColor" if row.bouts else "none"
        parts.append(_bar(PLAN_Y, at, length, row.plan.bout.side, fill, name))
    return parts


def _real(show: Show, scale: float) -> list[str]:
    parts = []
    for row in show.rows:
        for bout in row.bouts:
            at = (bout.wall_ms - show.start_ms) * scale
            length = (bout.wall_end_ms - bout.wall_ms) * scale
            name = f"{row.plan.name}, {clock_text(round(bout.wall_ms - show.start_ms, -3))}"
            parts.append(_bar(LED_Y, at, length, row.plan.bout.side, "currentColor", name))
    for pause in show.pauses:
        at = EDGE + (pause.wall_ms - show.start_ms) * scale
        pause_words = f"stood still for {clock_text(round(pause.length_ms, -3))}"
        mark = line(at, LED_Y, at + max(2.0, pause.length_ms * scale), LED_Y, stroke=PAPER, stroke_width="5")
        parts.append(group([tag("title", words(pause_words)), mark], class_="standstill"))
    return parts


def _bar(y: float, at: float, length: float, side: Side, fill: str, name: str) -> str:
    top = {Side.LEFT: y - HALF, Side.RIGHT: y, Side.BOTH: y - HALF}[side]
    height = 2 * HALF if side is Side.BOTH else HALF
    return tag(
        "rect", tag("title", words(name)), x=EDGE + at, y=top, width=max(1.0, length), height=height,
        fill=fill, stroke="currentColor", stroke_width="0.8",
    )  # fmt: skip
