"""Wall time by part of the work.

What is seen from when to when, before anything is drawn; and the result of writing it.

The words of a scene.

A session on its clock as scenes: what is seen when. Nothing is drawn or measured here.
"""

from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import pairwise
from threading import Lock, local
from time import perf_counter

from everyrung.terms.enums import BlockKind, OptionKind, Side, Sidedness, SpanKind
from everyrung.terms.errors import require
from everyrung.terms.move import Rung
from everyrung.terms.sentences import upper_first
from everyrung.terms.session import Cell, Session
from everyrung.terms.timeline import Span, Timeline
from everyrung.terms.units import Load, Tempo


class Stopwatch:
    """Adds up how long each named part takes, s, in all threads; a part within another is taken off the outer one."""

    def __init__(self) -> None:
        self.by_part: dict[str, float] = {}
        self._within = local()
        self._lock = Lock()

    @contextmanager
    def on(self, part: str) -> Iterator[None]:
        began, outer = perf_counter(), getattr(self._within, "inner_s", 0.0)
        self._within.inner_s = 0.0
        try:
            yield
        finally:
            took = perf_counter() - began
            with self._lock:
                self.by_part[part] = self.by_part.get(part, 0.0) + took - self._within.inner_s
            self._within.inner_s = outer + took


@dataclass(frozen=True, slots=True, kw_only=True)
class SceneView:
    """A rung's figure: it does `reps` repetitions of `rep_ms` from `begins_ms` on, and before and after is at rest.

    `side` is the participant's; of an alternating rung it goes by the repetition.
    """

    rung: Rung
    load: Load | None
    tempo: Tempo
    side: Side
    begins_ms: int = 0
    rep_ms: int = 0
    reps: int = 0

    def in_rep_ms(self, at_ms: int) -> int:
        """How far into a repetition the figure is; 0 at rest."""
        gone_ms = at_ms - self.begins_ms
        return gone_ms % self.rep_ms if 0 <= gone_ms < self.reps * self.rep_ms else 0

    def side_at(self, at_ms: int) -> Side:
        """Alternating moves start on the left, as the timeline has it."""
        if self.rung.form.sides is not Sidedness.ALTERNATING:
            return self.side
        count = (at_ms - self.begins_ms) // self.rep_ms if self.rep_ms else 0
        return Side.RIGHT if min(max(count, 0), max(self.reps - 1, 0)) % 2 else Side.LEFT


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """Words and figure that stay the same from `at_ms` until `end_ms`; only the figure moves.

    `above` stands over the title, `label` over the count ('3', 'of 8'); `working`: now everyone works. `coming` is the
    next move, named early. `agenda` are rows of name and length, where there is no figure yet. `versions`
    are the others of the set: what each serves as, and its name.
    """

    at_ms: int
    end_ms: int
    above: str
    title: str
    label: str = ""
    count: str = ""
    of: str = ""
    side: str = ""
    notes: tuple[str, ...] = ()
    coming: str = ""
    working: bool = False
    view: SceneView | None = None
    agenda: tuple[tuple[str, str], ...] = ()
    versions: tuple[tuple[str, str], ...] = ()

    def __post_init__(self) -> None:
        require(0 <= self.at_ms < self.end_ms, "end_ms", f"more than {self.at_ms} ms", self.end_ms)


@dataclass(frozen=True, slots=True, kw_only=True)
class VideoMade:
    """A written video; `split` is the wall time of each part of the work, s."""

    seconds: float
    frames: int
    size_bytes: int
    split: Mapping[str, float]


COMING = "coming up"
THE_END = "The end"
LABELS = {
    SpanKind.ANNOUNCE: "Listen",
    SpanKind.EXPLAIN: "Watch",
    SpanKind.SETTLE: "Into position",
    SpanKind.SWITCH: "Change sides",
    SpanKind.REST: "Rest",
    SpanKind.ROUND_REST: "Rest",
    SpanKind.WAIT: "Wait",
}
SIDES = {Side.LEFT: "Left side", Side.RIGHT: "Right side", Side.BOTH: ""}  # the participant's


def label(span: Span) -> str:
    """What to do now: 'Repetition', 'Hold', 'Watch', 'Take ball; go to the wall'."""
    if span.kind is SpanKind.WORK:
        return "Repetition" if span.bout and span.bout.reps else "Hold"
    return LABELS.get(span.kind) or upper_first(span.text) or upper_first(span.kind)


def place(span: Span) -> str:
    """'Main: Two, move 3 of 5'."""
    if span.round is None or span.cell is None:
        return span.block.name
    name = span.block.name if len(span.block.rounds) == 1 else f"{span.block.name}: {span.round.name}"
    at = next(at for at, cell in enumerate(span.round.cells, start=1) if cell is span.cell)
    return f"{name}, move {at} of {len(span.round.cells)}"


def notes(span: Span, *, dose: bool) -> tuple[str, ...]:
    """Of a work span: how much where asked, and the kit that is held."""
    bout = span.bout
    amount = "" if bout is None else f"{bout.reps} repetitions" if bout.reps else f"{bout.duration_ms // 1000} seconds"
    hand = f"{bout.load_side} hand" if bout and bout.load_side in (Side.LEFT, Side.RIGHT) else ""
    kit = upper_first(", ".join([*(each.label for each in span.kit), *filter(None, [hand])]))
    return tuple(filter(None, (amount if dose else "", kit)))


def versions(cell: Cell) -> tuple[tuple[str, str], ...]:
    """The other versions of a set, the harder first, each once; one that is led serves as nothing else here."""
    order = [OptionKind.HARDER, OptionKind.EASIER, OptionKind.NO_KIT]
    by_words: dict[str, list[str]] = {}
    for option in sorted(cell.options, key=lambda each: order.index(each.kind)):
        words = ", ".join([option.rung.name, *([str(option.load)] if option.load else [])])
        by_words.setdefault(words, []).append(str(option.kind).replace("-", " "))
    return tuple((", ".join(kinds), words) for words, kinds in by_words.items() if words != cell.rung.name)


def coming(span: Span, following: Span | None) -> str:
    """What comes after a work span."""
    if following is None or following.cell is None:
        return THE_END
    if following.cell is span.cell:
        return side_words(following.side) or following.cell.rung.name
    return following.cell.rung.name


def side_words(side: Side) -> str:
    return SIDES[side]


def agenda(session: Session, timeline: Timeline) -> tuple[tuple[str, str], ...]:
    """Every block with moves: its name and what it holds, and how long it takes."""
    rows = []
    for block in session.blocks:
        if block.kind is BlockKind.ANNOUNCEMENT or not block.rounds:
            continue
        moves = max(len(each.cells) for each in block.rounds)
        content = f"{moves} moves" if len(block.rounds) == 1 else f"{len(block.rounds)} rounds of {moves} moves"
        length_ms = sum(span.duration_ms for span in timeline.spans if span.block is block)
        rows.append((f"{block.name}: {content}", f"{round(length_ms / 60_000)} min"))
    return tuple(rows)


SECOND_MS = 1_000
EARLY_MS = 8_000  # chosen, because it is time to read the next move's name and to think of the kit it needs
DEMONSTRATED = (SpanKind.ANNOUNCE, SpanKind.EXPLAIN, SpanKind.REST, SpanKind.ROUND_REST)  # nobody has to move then


def scenes(session: Session, timeline: Timeline) -> tuple[Scene, ...]:
    """Scenes that follow each other from 0 to the timeline's end without a gap."""
    works = [span for span in timeline.spans if span.kind is SpanKind.WORK and span.bout and span.cell]
    starts = [span.at_ms for span in works]
    result: list[Scene] = []
    for span in timeline.spans:
        after = bisect_right(starts, span.at_ms)
        following = works[after] if after < len(works) else None
        if span.kind is SpanKind.WORK:
            result += _work(span, following)
        elif following is None:
            result.append(Scene(at_ms=span.at_ms, end_ms=span.end_ms, above=session.title, title=THE_END))
        elif span.cell is None and after == 0:
            result.append(_opening(span, session, timeline))
        else:
            result += _between(span, following)
    return tuple(result)


def round_marks_ms(timeline: Timeline) -> tuple[int, ...]:
    """Where blocks and rounds start, without the session's own start; a block's talk belongs to its first round."""
    keys = [(span.at_ms, span.block, span.round) for span in timeline.spans]
    result = []
    for (_, block, before), (at_ms, other, each) in pairwise(keys):
        if other is not block or (before is not None and each is not before):
            result.append(at_ms)
    return tuple(result)


def scene_at(film_scenes: Sequence[Scene], at_ms: int) -> Scene:
    """The scene that is seen at a time; the last one after the end."""
    return film_scenes[max(0, bisect_right(film_scenes, at_ms, key=lambda scene: scene.at_ms) - 1)]


def _opening(span: Span, session: Session, timeline: Timeline) -> Scene:
    """The talk before the first move: the title and what will be done."""
    rows = agenda(session, timeline)
    return Scene(at_ms=span.at_ms, end_ms=span.end_ms, above=span.block.name, title=session.title, agenda=rows)


def _work(span: Span, following: Span | None) -> Iterator[Scene]:
    """A scene for each repetition, or for each second of a hold, and from where the next move is named."""
    if span.bout is None or span.cell is None:
        raise AssertionError("a work span has a cell and a bout")
    bout, cell = span.bout, span.cell
    step_ms = bout.rep_ms if bout.reps else SECOND_MS
    early_ms = span.end_ms - EARLY_MS
    if bout.reps:
        cuts = [span.at_ms + rep * step_ms for rep in range(bout.reps)]
    else:
        cuts = list(range(span.end_ms - SECOND_MS, span.at_ms, -SECOND_MS))
    view = SceneView(
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
            side=side_words(view.side_at(at_ms)),
            notes=notes(span, dose=False),
            coming=coming(span, following) if at_ms >= early_ms else "",
            working=True,
            view=view,
            versions=versions(cell),
        )


def _between(span: Span, following: Span) -> Iterator[Scene]:
    """The next move's name and figure, what to do until then, and the seconds until it starts."""
    if following.bout is None or following.cell is None:
        raise AssertionError("a work span has a cell and a bout")
    bout, cell = following.bout, following.cell
    reps = span.duration_ms // bout.rep_ms if bout.reps and span.kind in DEMONSTRATED else 0
    view = SceneView(
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
            view=view,
            versions=versions(cell),
        )


def _cut(span: Span, cuts: Sequence[int]) -> Iterator[tuple[int, int]]:
    """The span in stretches between the cuts that lie inside it."""
    inside = sorted({at_ms for at_ms in cuts if span.at_ms < at_ms < span.end_ms})
    return pairwise([span.at_ms, *inside, span.end_ms])


def _seconds(left_ms: int) -> int:
    """Seconds left as they are counted down: the last one is 1."""
    return -(-left_ms // SECOND_MS)
