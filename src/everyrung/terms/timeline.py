"""The session on the clock: spans in whole milliseconds that follow each other without a gap.

What the leader says and when: cues placed on the session's clock, and those that found no place, with the reason.
"""

from collections.abc import Iterator
from dataclasses import replace
from enum import StrEnum

from everyrung.terms.brief import Brief
from everyrung.terms.enums import CueKind, KitItem, Position, Side, Sidedness, SpanKind
from everyrung.terms.errors import Invalid, or_list, require
from everyrung.terms.frozen import dataclass
from everyrung.terms.plan import Ref
from everyrung.terms.session import Block, Bout, Cell, Round


@dataclass(frozen=True, slots=True, kw_only=True)
class KitInUse:
    """Kit in use, with the words for it: dumbbells '2 x 10 lb', a ball, a chair."""

    item: KitItem
    label: str


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Span(Brief):
    """One stretch of the clock. `position` and `kit` are what holds while it runs; a work span has a bout."""

    at_ms: int
    end_ms: int
    kind: SpanKind
    block: Block
    round: Round | None
    cell: Cell | None
    bout: Bout | None
    side: Side
    position: Position
    kit: tuple[KitInUse, ...]
    text: str = ""

    @property
    def duration_ms(self) -> int:
        return self.end_ms - self.at_ms


@dataclass(frozen=True, slots=True, kw_only=True)
class Phase:
    """One phase of one repetition, with the move's own word for it."""

    at_ms: int
    end_ms: int
    name: str
    rep: int
    side: Side


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Timeline(Brief):
    """Contiguous spans from 0 to `total_ms`."""

    spans: tuple[Span, ...]

    def __post_init__(self) -> None:
        at_ms = 0
        for span in self.spans:
            if span.at_ms != at_ms or span.end_ms <= span.at_ms:
                raise Invalid("timeline", f"a span from {at_ms} ms on", (span.at_ms, span.end_ms))
            at_ms = span.end_ms

    @property
    def total_ms(self) -> int:
        return self.spans[-1].end_ms if self.spans else 0

    @property
    def by_kind(self) -> dict[SpanKind, int]:
        """Milliseconds by kind; kinds that do not occur are left out. The values add up to `total_ms`."""
        sums: dict[SpanKind, int] = {}
        for span in self.spans:
            sums[span.kind] = sums.get(span.kind, 0) + span.duration_ms
        return {kind: sums[kind] for kind in SpanKind if kind in sums}

    def block_ms(self, name: str) -> int:
        """Milliseconds spent in the block called `name`."""
        return sum(span.duration_ms for span in self.spans if span.block.name == name)


def phases(span: Span) -> Iterator[Phase]:
    """The phases of a work span: every repetition from rest to rest by its tempo; a hold is one phase.

    A timed bout whose last repetition would not fit ends with its phase at rest drawn out to the end.
    """
    if span.bout is None or span.cell is None:
        return
    form = span.cell.rung.form
    if span.bout.reps == 0:
        yield Phase(at_ms=span.at_ms, end_ms=span.end_ms, name=form.phases[0], rep=0, side=span.side)
        return
    repetition = form.in_time(span.bout.tempo)
    at_ms = span.at_ms
    for rep in range(1, span.bout.reps + 1):
        side = _rep_side(span, rep)
        for name, length_ms in repetition:
            if length_ms:
                yield Phase(at_ms=at_ms, end_ms=at_ms + length_ms, name=name, rep=rep, side=side)
                at_ms += length_ms
    if at_ms < span.end_ms:
        yield Phase(
            at_ms=at_ms, end_ms=span.end_ms, name=repetition[-1][0], rep=span.bout.reps, side=_rep_side(span, rep)
        )


def _rep_side(span: Span, rep: int) -> Side:
    """Alternating moves start on the left: an odd repetition is the left's."""
    if span.cell and span.cell.rung.form.sides is Sidedness.ALTERNATING:
        return Side.LEFT if rep % 2 else Side.RIGHT
    return span.side


class Track(StrEnum):
    """For people who see the session for the first time, and for those who come again."""

    FIRST = "first time"
    AGAIN = "again"


# What is written down beforehand; a change and a count follow from the plan.
WRITTEN_KINDS = (CueKind.SET_UP, CueKind.FORM, CueKind.BREATHING, CueKind.SAFETY, CueKind.ENCOURAGEMENT)
MAX_OWN_LETTERS = 120  # chosen, because a longer cue takes over ten seconds to say


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnCue:
    """Words of the coach's own, said before the library's: at every rung of `move`, or at its `rung` alone; without a
    move at every set.
    """

    move: str = ""
    rung: str = ""
    kind: CueKind
    text: str

    def __post_init__(self) -> None:
        require(self.kind in WRITTEN_KINDS, "kind", or_list([repr(str(each)) for each in WRITTEN_KINDS], 9), self.kind)
        length = f"one line of words, of up to {MAX_OWN_LETTERS} letters"
        right = 1 <= len(self.text.strip()) <= MAX_OWN_LETTERS and self.text.isprintable()
        require(right, "text", length, self.text)
        require(bool(self.move) or not self.rung, "rung", "a move that it is a rung of", self.rung)


@dataclass(frozen=True, slots=True, kw_only=True)
class SaidCue:
    """Some words of one kind, on the session's clock; `ref` is the cell they are about, None for the whole session.

    `rungs`: for whom they are, by the places of the cell's rungs (0 is the one that is led); empty for everyone.
    """

    at_ms: int
    end_ms: int
    kind: CueKind
    text: str
    ref: Ref | None
    rungs: tuple[int, ...] = ()

    def __post_init__(self) -> None:
        require(0 <= self.at_ms < self.end_ms, "end_ms", f"more than {self.at_ms} ms", self.end_ms)
        require(bool(self.text.strip()), "text", "words", self.text)


@dataclass(frozen=True, slots=True, kw_only=True)
class UnsaidCue:
    """Words that found no place, and why."""

    kind: CueKind
    text: str
    ref: Ref | None
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class CueTrack(Brief):
    """All that is said on one track, in order of time, no two at once; and what is not. `silent`: the cells in whose
    work nothing is said, because somebody reads lips and none are seen there.
    """

    track: Track
    said: tuple[SaidCue, ...]
    unsaid: tuple[UnsaidCue, ...] = ()
    silent: tuple[Ref, ...] = ()

    def __post_init__(self) -> None:
        for before, after in zip(self.said, self.said[1:], strict=False):
            require(before.end_ms <= after.at_ms, "said", f"a cue from {before.end_ms} ms on", after.at_ms)

    @property
    def for_recording(self) -> "CueTrack":
        """The track without what is said to people who are seen just then."""
        return replace(self, said=tuple(cue for cue in self.said if not cue.kind.is_live))
