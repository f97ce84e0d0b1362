"""The score in words: one row a span, for those who cannot see the picture.

The score as SVG: the session engraved in systems, in ink on paper, legible without colour.
"""

from dataclasses import dataclass

from everyrung.score.lanes import Score, cell_numbers, score_lanes
from everyrung.score.layout import GAP, HEAD, SYSTEM, WIDE, Lines, Paper, System, break_systems
from everyrung.score.legend import draw_key
from everyrung.score.lower_lanes import draw_body, draw_kit, draw_rest, draw_talk
from everyrung.score.marks import INK, PAPER, cut, group, num, tag, text, textures, words
from everyrung.score.sides_lane import draw_sides
from everyrung.score.upper_lanes import draw_frame, draw_moves
from everyrung.terms.enums import SpanKind
from everyrung.terms.seconds import moment_text, whole_ms
from everyrung.terms.session import Session
from everyrung.terms.timeline import Span, Timeline
from everyrung.terms.units import clock_text


@dataclass(frozen=True, slots=True, kw_only=True)
class ScoreRow:
    time: str
    block: str
    round: str
    move: str
    side: str
    what: str


def score_rows(session: Session, timeline: Timeline) -> tuple[ScoreRow, ...]:
    """Every span of the timeline in words, in order."""
    numbers = cell_numbers(session)
    return tuple(
        ScoreRow(
            time=moment_text(span.at_ms),
            block=span.block.name,
            round=span.round.name if span.round else "",
            move=f"{numbers[span.cell.ref]} {span.cell.rung.name}" if span.cell else "",
            side=str(span.side) if span.kind is SpanKind.WORK else "",
            what=_what(span),
        )
        for span in timeline.spans
    )


def score_summary(score: Score) -> str:
    """What the picture shows, in two or three sentences."""
    blocks = "; ".join(f"{frame.label} from {moment_text(frame.at_ms)}" for frame in score.blocks)
    debts = dict.fromkeys(f"{debt.cell.move.name}, {debt.words}" for debt in score.debts if debt.paid_ms is None)
    sides = "Both sides are worked equally." if score.sides_equal else f"Sides not equal: {'; '.join(debts)}."
    return f"The session on one time axis of {clock_text(whole_ms(score.total_ms))}, in lanes. {blocks}. {sides}"


def _what(span: Span) -> str:
    """'work, 8 reps, 0:32' and the like, with body position and kit where work is done."""
    parts = [str(span.kind)]
    if span.bout is not None:
        parts.append(f"{span.bout.reps} reps" if span.bout.reps else "hold")
    parts.append(clock_text(whole_ms(span.duration_ms)))
    if span.bout is not None:
        parts.append(str(span.position))
        parts.extend(each.label for each in span.kit)
    elif span.text and (span.cell is None or span.text != span.cell.rung.name):
        parts.append(span.text)
    return ", ".join(parts)


FONTS = "'Hanken Grotesk', 'Helvetica Neue', Arial, sans-serif"
SYSTEMS_A_PAGE = 3  # three systems and the key fill A4 landscape


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sheet:
    """What one picture shows: some systems of a score, and how its parts are named apart from another's.

    `ground` is whether the paper is drawn: on screens it is warm, in print it is the sheet's own and takes no ink.
    """

    score: Score
    systems: tuple[System, ...]
    paper: Paper
    name: str
    key: bool
    ground: bool


Piece = tuple[str, str]  # the id of an element, and the element; "" for what stands around those


def score_svg(session: Session, timeline: Timeline, paper: Paper = WIDE) -> str:
    """The whole score as one SVG document."""
    return _document(score_pieces(score_lanes(session, timeline), paper))


def score_pieces(score: Score, paper: Paper = WIDE) -> tuple[Piece, ...]:
    """The same document in its order, system by system, for a screen that replaces only the pieces that differ."""
    systems = break_systems(score, paper)
    return _draw(_Sheet(score=score, systems=systems, paper=paper, name=paper.name, key=True, ground=True))


def score_pages(session: Session, timeline: Timeline) -> tuple[str, ...]:
    """The score for print: cut into even pages of at most three systems, the key on the first, without a ground."""
    score = score_lanes(session, timeline)
    systems = break_systems(score, WIDE)
    pages = max(1, -(-len(systems) // SYSTEMS_A_PAGE))
    each = max(1, -(-len(systems) // pages))
    cuts = [systems[start : start + each] for start in range(0, max(1, len(systems)), each)]
    return tuple(
        _document(
            _draw(_Sheet(score=score, systems=part, paper=WIDE, name=f"page-{place}", key=place == 1, ground=False))
        )
        for place, part in enumerate(cuts, start=1)
    )


def _first_top(paper: Paper) -> float:
    return HEAD - (10 if _one_line(paper) else 0)


def _document(pieces: tuple[Piece, ...]) -> str:
    return "".join(markup for _, markup in pieces)


def _draw(sheet: _Sheet) -> tuple[Piece, ...]:
    y, overflow = _first_top(sheet.paper), list[str]()
    pieces = [_piece(sheet, "head", _head(sheet))]
    for system in sheet.systems:
        parts, left_out = _system(sheet, system, Lines(top=y))
        times = {"data_at": system.at_ms, "data_end": system.end_ms}
        pieces.append(_piece(sheet, f"system-{system.number}", parts, class_="system", **times))
        overflow += left_out
        y += SYSTEM + GAP
    key, height = draw_key(sheet.paper, y, overflow, sheet.name, full=sheet.key)
    pieces.append(_piece(sheet, "key", key, class_="key"))
    return _around(sheet, [piece for piece in pieces if piece[1]], y + height)


def _piece(sheet: _Sheet, name: str, parts: list[str], /, **attributes: object) -> Piece:
    name = f"score-{name}-{sheet.name}"
    return name, group(parts, id=name, **attributes)


def _system(sheet: _Sheet, system: System, lines: Lines) -> tuple[list[str], list[str]]:
    """What one system is drawn of, and what its cells had no room to say."""
    moves, overflow = draw_moves(sheet.score, system, lines)
    kit, unheld = draw_kit(sheet.score, system, lines, sheet.name)
    parts = [
        draw_frame(sheet.score, system, lines),
        moves,
        draw_sides(sheet.score, system, lines, sheet.name),
        draw_body(sheet.score, system, lines),
        kit,
        draw_talk(sheet.score, system, lines),
        draw_rest(sheet.score, system, lines),
    ]
    return parts, [*overflow, *unheld]


def _head(sheet: _Sheet) -> list[str]:
    score, paper = sheet.score, sheet.paper
    times = f"{clock_text(whole_ms(score.total_ms))} on the clock, {clock_text(score.slot_ms)} slot"
    wide = _one_line(paper)
    title = text(2.0, 16.0, cut(score.title, paper.width - (230 if wide else 4), 15), 15, font_weight="600")
    place = {"x": paper.width - 2.0, "text_anchor": "end"} if wide else {"x": 2.0}
    return [title, tag("text", words(times), y=16.0 if wide else 30.0, font_size="11", **place)]


def _one_line(paper: Paper) -> bool:
    return paper.width > 600


def _around(sheet: _Sheet, pieces: list[Piece], height: float) -> tuple[Piece, ...]:
    """The pieces within their document."""
    margin = sheet.paper.margin
    corner = {"x": -margin, "y": -margin, "width": sheet.paper.width + 2 * margin, "height": height + 2 * margin}
    ids = f"score-title-{sheet.name}", f"score-desc-{sheet.name}"
    ground = [tag("rect", class_="paper", fill=PAPER, **corner)] if sheet.ground else []
    svg = tag(
        "svg",
        "".join([textures(sheet.name), *ground]),
        xmlns="http://www.w3.org/2000/svg",
        viewBox=" ".join(num(value) for value in corner.values()),
        class_=f"score {sheet.paper.name}",
        role="img",
        aria_labelledby=" ".join(ids),
        color=INK,
        fill="currentColor",
        font_family=FONTS,
    )
    begin, end = svg.index(">") + 1, len("</svg>")
    return (
        ("", svg[:begin]),
        (ids[0], tag("title", words(f"Score: {sheet.score.title}") or " ", id=ids[0])),
        (ids[1], tag("desc", words(score_summary(sheet.score)), id=ids[1])),
        ("", svg[begin:-end]),
        *pieces,
        ("", svg[-end:]),
    )
