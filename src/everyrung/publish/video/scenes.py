"""A session on its clock as scenes: what is seen when. Nothing is drawn or measured here."""

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from itertools import pairwise

from everyrung.publish.video.terms import Scene, Shown
from everyrung.publish.video.words import COMING, THE_END, agenda, coming, label, notes, place, side_words
from everyrung.terms.enums import SpanKind
from everyrung.terms.session import Session
from everyrung.terms.timeline import Span, Timeline

SECOND_MS = 1_000
EARLY_MS = 8_000  # chosen, because it is time to read the next move's name and to think of the kit it needs
DEMONSTRATED = (SpanKind.ANNOUNCE, SpanKind.EXPLAIN, SpanKind.REST, SpanKind.ROUND_REST)  # nobody has to move then


def scenes(session: Session, timeline: Timeline) -> tuple[Scene, ...]:
    """Scenes that follow each other from 0 to the timeline's end without a gap."""
    works = [span for span in timeline.spans if span.kind is SpanKind.WORK and span.bout and span.cell]
    starts = [span.at_ms for span in works]
    found: list[Scene] = []
    for span in timeline.spans:
        after = bisect_right(starts, span.at_ms)
        following = works[after] if after < len(works) else None
        if span.kind is SpanKind.WORK:
            found += _work(span, following)
        elif following is None:
            found.append(Scene(at_ms=span.at_ms, end_ms=span.end_ms, above=session.title, title=THE_END))
        elif span.cell is None and after == 0:
            found.append(_opening(span, session, timeline))
        else:
            found += _between(span, following)
    return tuple(found)


def round_marks_ms(timeline: Timeline) -> tuple[int, ...]:
    """Where blocks and rounds start, without the session's own start; a block's talk belongs to its first round."""
    keys = [(span.at_ms, span.block, span.round) for span in timeline.spans]
    found = []
    for (_, block, before), (at_ms, other, each) in pairwise(keys):
        if other is not block or (before is not None and each is not before):
            found.append(at_ms)
    return tuple(found)


def scene_at(found: Sequence[Scene], at_ms: int) -> Scene:
    """The scene that is seen at a time; the last one after the end."""
    return found[max(0, bisect_right(found, at_ms, key=lambda scene: scene.at_ms) - 1)]


def _opening(span: Span, session: Session, timeline: Timeline) -> Scene:
    """The talk before the first move: the title and what will be done."""
    rows = agenda(session, timeline)
    return Scene(at_ms=span.at_ms, end_ms=span.end_ms, above=span.block.name, title=session.title, agenda=rows)


def _work(span: Span, following: Span | None) -> Iterator[Scene]:
    """A scene for each repetition, or for each second of a hold, and from where the next move is told."""
    if span.bout is None or span.cell is None:
        raise AssertionError("a work span has a cell and a bout")
    bout, cell = span.bout, span.cell
    step_ms = bout.rep_ms if bout.reps else SECOND_MS
    early_ms = span.end_ms - EARLY_MS
    if bout.reps:
        cuts = [span.at_ms + rep * step_ms for rep in range(bout.reps)]
    else:
        cuts = list(range(span.end_ms - SECOND_MS, span.at_ms, -SECOND_MS))
    shown = Shown(
        rung=cell.rung, load=bout.load, tempo=bout.tempo, side=span.side,
        begins_ms=span.at_ms, rep_ms=bout.rep_ms, reps=bout.reps,
    )  # fmt: skip
    for at_ms, end_ms in _cut(span, [*cuts, early_ms]):
        rep = min(bout.reps, (at_ms - span.at_ms) // step_ms + 1)
        yield Scene(
            at_ms=at_ms,
            end_ms=end_ms,
            above=place(span),
            title=cell.rung.name,
            label=label(span),
            count=str(rep if bout.reps else _seconds(span.end_ms - at_ms)),
            of=f"of {bout.reps}" if bout.reps else "s",
            side=side_words(shown.side_at(at_ms)),
            notes=notes(span, dose=False),
            coming=coming(span, following) if at_ms >= early_ms else "",
            working=True,
            shown=shown,
        )


def _between(span: Span, following: Span) -> Iterator[Scene]:
    """The next move's name and figure, what to do until then, and the seconds until it starts."""
    if following.bout is None or following.cell is None:
        raise AssertionError("a work span has a cell and a bout")
    bout, cell = following.bout, following.cell
    reps = span.duration_ms // bout.rep_ms if bout.reps and span.kind in DEMONSTRATED else 0
    shown = Shown(
        rung=cell.rung, load=bout.load, tempo=bout.tempo, side=bout.side,
        begins_ms=span.at_ms, rep_ms=bout.rep_ms, reps=reps,
    )  # fmt: skip
    cuts = range(following.at_ms - SECOND_MS, span.at_ms, -SECOND_MS)
    for at_ms, end_ms in _cut(span, cuts):
        yield Scene(
            at_ms=at_ms,
            end_ms=end_ms,
            above=f"{place(following)}, {COMING}",
            title=cell.rung.name,
            label=label(span),
            count=str(_seconds(following.at_ms - at_ms)),
            of="s to go",
            side=side_words(bout.side),
            notes=notes(following, dose=True),
            shown=shown,
        )


def _cut(span: Span, cuts: Sequence[int]) -> Iterator[tuple[int, int]]:
    """The span in stretches between the cuts that lie inside it."""
    inside = sorted({at_ms for at_ms in cuts if span.at_ms < at_ms < span.end_ms})
    return pairwise([span.at_ms, *inside, span.end_ms])


def _seconds(left_ms: int) -> int:
    """Seconds left as they are counted down: the last one is 1."""
    return -(-left_ms // SECOND_MS)
