"""docs/pictures/stage-states.svg: what a stage can be at, drawn from the table in static/stage/machine.js.

python scripts/write_stage_states.py
"""

import re
from math import hypot
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
TABLE = ROOT / "src" / "everyrung" / "static" / "stage" / "machine.js"
PICTURE = ROOT / "docs" / "pictures" / "stage-states.svg"
PLACES = {  # of the middle of each box
    "new": (120, 260),
    "interrupted": (120, 430),
    "waiting": (345, 130),
    "running": (560, 260),
    "standing": (560, 430),
    "ended": (790, 260),
    "following": (345, 640),
    "orphaned": (560, 640),
}
WIDE, HIGH = 130, 44
LEADING, LOOKING = (20, 20, 900, 490), (245, 560, 660, 700)  # left, top, right, bottom of the frames
COMMON = {"take": ("orphaned", "standing"), "open": ("following", "new")}  # from both that look on: one arrow for both
BEND = 22  # of an arrow that has one the other way beside it
BENDS = {("new", "ended"): 195, ("waiting", "ended"): 40, ("interrupted", "waiting"): -36, ("standing", "waiting"): 38}
Flat = tuple[float, float]
INK, SOFT, PAPER = "#1e1a15", "#5b5246", "#fffdf7"


def steps() -> dict[str, dict[str, str]]:
    """The table: next state by event, by state."""
    table = TABLE.read_text(encoding="utf-8").partition("STEPS = {")[2].partition("\n};")[0]
    rows = re.findall(r"^  (\w+): \{(.*)\},$", table, re.M)
    return {
        state: {quoted or plain: to for quoted, plain, to in re.findall(r'(?:"([^"]+)"|(\w+)): "(\w+)"', row)}
        for state, row in rows
    }


def picture(table: dict[str, dict[str, str]]) -> str:
    """The drawing. What all that lead have in common, giving way, is one arrow from the frame round them."""
    assert table.keys() == PLACES.keys(), "every state has a place"
    events: dict[tuple[str, str], list[str]] = {}
    for state, row in table.items():
        for event, to in row.items():
            if event not in ("give way", *COMMON) and to != state:
                events.setdefault((state, to), []).append(event)
    x, y = PLACES["following"]
    parts = [_frame(LEADING, "this screen leads"), _frame(LOOKING, "another screen leads")]
    parts += [
        _line((x - 60, LEADING[3]), (x - 60, LOOKING[1]), (x - 60, LEADING[3] + 20)),
        _text(x - 20, 525, "give way"),
    ]
    for event, (state, to) in COMMON.items():
        assert {table[each].get(event) for each in ("following", "orphaned")} == {to}, event
        start = (PLACES[state][0], LOOKING[1]) if to == "standing" else (LOOKING[0], y)
        end = _edge(PLACES[to], start if to == "standing" else (0, PLACES[to][1] + 20))
        middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2) if to == "standing" else (-20, y - 100)
        parts += [_line(start, end, middle), _text(*_halfway(start, end, middle), event)]
    for (state, to), words in events.items():
        aside = BENDS.get((state, to), BEND if (to, state) in events else 0)
        parts.append(_arrow(state, to, ", ".join(words), aside))
    parts += [_box(state, place) for state, place in PLACES.items()]
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 920 720" width="920" height="720" role="img" '
        'font-family="Hanken Grotesk, Helvetica, Arial, sans-serif" font-size="15">'
        "<title>What a stage can be at, and what leads from one to the other</title>"
        f'<rect width="920" height="720" fill="{PAPER}"/>'
        f'<defs><marker id="head" viewBox="0 0 10 10" refX="9" refY="5" markerWidth="8" markerHeight="8" '
        f'orient="auto-start-reverse"><path d="M0 0L10 5L0 10z" fill="{INK}"/></marker></defs>'
        + "".join(parts)
        + "</svg>\n"
    )


def _box(state: str, place: Flat) -> str:
    x, y = place
    return (
        f'<rect x="{x - WIDE / 2}" y="{y - HIGH / 2}" width="{WIDE}" height="{HIGH}" rx="6" fill="{PAPER}" '
        f'stroke="{INK}" stroke-width="1.8"/>'
        f'<text x="{x}" y="{y + 5}" text-anchor="middle" font-weight="600" fill="{INK}">{state}</text>'
    )


def _frame(edges: tuple[int, int, int, int], words: str) -> str:
    left, top, right, bottom = edges
    return (
        f'<rect x="{left}" y="{top}" width="{right - left}" height="{bottom - top}" rx="10" fill="none" '
        f'stroke="{SOFT}" stroke-dasharray="5 4"/><text x="{left + 14}" y="{top + 24}" fill="{SOFT}">{words}</text>'
    )


def _arrow(state: str, to: str, words: str, aside: float) -> str:
    """From edge to edge, bent to its own left by so much."""
    (x1, y1), (x2, y2) = PLACES[state], PLACES[to]
    long = hypot(x2 - x1, y2 - y1)
    middle = ((x1 + x2) / 2 + 2 * aside * (y2 - y1) / long, (y1 + y2) / 2 - 2 * aside * (x2 - x1) / long)
    start, end = _edge((x1, y1), middle), _edge((x2, y2), middle)
    return _line(start, end, middle) + _text(*_halfway(start, end, middle), words)


def _halfway(start: Flat, end: Flat, middle: Flat) -> Flat:
    return (start[0] + 2 * middle[0] + end[0]) / 4, (start[1] + 2 * middle[1] + end[1]) / 4


def _edge(box: Flat, toward: Flat) -> Flat:
    """Where a line from the middle of a box leaves it."""
    dx, dy = toward[0] - box[0], toward[1] - box[1]
    share = min(WIDE / 2 / abs(dx) if dx else 9.0, HIGH / 2 / abs(dy) if dy else 9.0)
    return box[0] + share * dx, box[1] + share * dy


def _line(start: Flat, end: Flat, middle: Flat) -> str:
    return (
        f'<path d="M{start[0]:.0f} {start[1]:.0f}Q{middle[0]:.0f} {middle[1]:.0f} {end[0]:.0f} {end[1]:.0f}" '
        f'fill="none" stroke="{INK}" stroke-width="1.4" marker-end="url(#head)"/>'
    )


def _text(x: float, y: float, words: str) -> str:
    return (
        f'<text x="{x:.0f}" y="{y + 5:.0f}" text-anchor="middle" fill="{INK}" stroke="{PAPER}" stroke-width="6" '
        f'paint-order="stroke">{words}</text>'
    )


if __name__ == "__main__":
    PICTURE.parent.mkdir(exist_ok=True)
    PICTURE.write_text(picture(steps()), encoding="utf-8")
