"""The ways a session can still go when time runs short: its cut order taken step by step, each way laid anew.

While a session is led, what has been done stays done. So a branch is taken where two timelines part: up to there they
are the same to the millisecond, and whoever leads goes on by the other one from the moment where she stands.
"""

from collections import deque
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

from everyrung.terms.brief import Brief
from everyrung.terms.enums import SpanKind
from everyrung.terms.frozen import dataclass
from everyrung.terms.plan import Ref
from everyrung.terms.session import Session
from everyrung.terms.timeline import Span, Timeline
from everyrung.timing.cut_order import cuts, without
from everyrung.timing.timeline import build_timeline

LESS_MS = 180_000  # "three minutes less"; chosen, because a class that starts late or talks runs over by about so much
MOST_VARIANTS = 60  # chosen: ten places in any order have fewer; what is beyond is not offered on the night


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Variant(Brief):
    """One way the session can go: what is left of it, laid by `build_timeline`."""

    session: Session
    timeline: Timeline


@dataclass(frozen=True, slots=True, kw_only=True)
class Fork:
    """From variant `of` to variant `onto` (places in `Branches.variants`), for whoever asks for less at `from_ms` or
    later and before `until_ms`.

    Up to `until_ms` both timelines are the same. `cells` go, in the cut order's order, and `talks`, blocks without
    cells; that wins `less_ms`.
    """

    of: int
    onto: int
    from_ms: int
    until_ms: int
    less_ms: int
    cells: tuple[Ref, ...]
    talks: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Branches(Brief):
    """Every variant, the whole session first; `prefixes`: places of those that the cut order leaves step by step, from
    none of it to all that may go; and the forks between variants, by variant and time.
    """

    variants: tuple[Variant, ...]
    prefixes: tuple[int, ...]
    forks: tuple[Fork, ...]


def branches(session: Session) -> Branches:
    """Every way the session can still be shortened while it is led: each prefix of its cut order; and at every moment
    of every variant that can be reached, as much of the order as is still to come and wins LESS_MS, or else all of it.

    >>> from everyrung import analyze
    >>> session = analyze("examples/boathouse-30.toml").session
    >>> found = branches(session)
    >>> [found.variants[place].timeline.total_ms // 1000 for place in found.prefixes[:4]]
    [1793, 1730, 1636, 1549]
    """
    variants, places = _Variants(), deque([0])
    whole = variants.number(session)
    prefixes = (whole, *(variants.number(each) for each in _shorter(session, session.cut_order)))
    forks: list[Fork] = []
    numbers = {whole}
    while places:
        for fork in _forks(variants, places.popleft()):
            forks.append(fork)
            if fork.onto not in numbers:
                numbers.add(fork.onto)
                places.append(fork.onto)
    return Branches(variants=tuple(variants.so_far), prefixes=prefixes, forks=tuple(forks))


class _Variants:
    """The variants so far, each once."""

    def __init__(self) -> None:
        self.so_far: list[Variant] = []
        self._numbers: dict[tuple[object, ...], int] = {}

    def number(self, session: Session) -> int:
        """Of the variant that is this session; it is laid when it is new."""
        name = _name(session)
        if name not in self._numbers:
            self._numbers[name] = len(self.so_far)
            self.so_far.append(Variant(session=session, timeline=build_timeline(session)))
        return self._numbers[name]

    def has_room(self, session: Session) -> bool:
        """Whether it is one of them, or can become one."""
        return len(self.so_far) < MOST_VARIANTS or _name(session) in self._numbers


def _name(session: Session) -> tuple[object, ...]:
    """What tells apart the variants of one session."""
    return tuple((block.name, tuple(cell.ref for cell in block.cells)) for block in session.blocks)


def _shorter(session: Session, order: tuple[Ref, ...]) -> Iterator[Session]:
    """What each further step of `order` leaves."""
    for cut in cuts(replace(session, cut_order=order)):
        if not cut.reason:
            yield replace(without(cut.before, cut.together), cut_order=session.cut_order)


def _forks(variants: _Variants, of: int) -> Iterator[Fork]:
    """One for each stretch of a variant's clock in which the same is chosen."""
    here = variants.so_far[of]
    starts = {ref: start for ref in here.session.cut_order if (start := _start_ms(here.timeline, ref)) is not None}
    talks = {span.at_ms for span in here.timeline.spans if span.kind is SpanKind.ANNOUNCE}
    last: Fork | None = None
    for from_ms, until_ms in pairwise(sorted({0, *starts.values(), *talks})):
        order = tuple(ref for ref in here.session.cut_order if starts.get(ref, 0) >= until_ms)
        best = _best_cut(here, order, until_ms)
        if best is None or not variants.has_room(best):
            continue
        fork = _fork(variants, of, variants.number(best), from_ms, until_ms)
        if last and last.onto == fork.onto and last.until_ms == from_ms:
            last = replace(last, until_ms=until_ms)
            continue
        if last:
            yield last
        last = fork
    if last:
        yield last


def _best_cut(here: Variant, order: tuple[Ref, ...], until_ms: int) -> Session | None:
    """What the first step leaves that wins LESS_MS, else the one that wins most; None when none wins anything."""
    best: Session | None = None
    won_ms = 0
    for session in _shorter(here.session, order):
        timeline = build_timeline(session)
        less_ms = here.timeline.total_ms - timeline.total_ms
        if less_ms <= won_ms or parting_ms(here.timeline, timeline) < until_ms:
            continue
        best, won_ms = session, less_ms
        if won_ms >= LESS_MS:
            break
    return best


def _fork(variants: _Variants, of: int, onto: int, from_ms: int, until_ms: int) -> Fork:
    before, after = variants.so_far[of], variants.so_far[onto]
    left = {cell.ref for cell in after.session.cells}
    cells = [cell.ref for cell in before.session.cells if cell.ref not in left]
    blocks = {block.name for block in after.session.blocks}
    return Fork(
        of=of,
        onto=onto,
        from_ms=from_ms,
        until_ms=until_ms,
        less_ms=before.timeline.total_ms - after.timeline.total_ms,
        cells=tuple(sorted(cells, key=lambda ref: _rank(before.session.cut_order, ref))),
        talks=tuple(each.name for each in before.session.blocks if each.name not in blocks and not each.rounds),
    )


def _rank(order: tuple[Ref, ...], cell: Ref) -> int:
    """How soon a cell goes by the order: by its first place that the cell stands in."""
    return next(at for at, ref in enumerate(order) if _holds(ref, cell))


def _holds(ref: Ref, cell: Ref) -> bool:
    return ref.block == cell.block and ref.round in ("", cell.round) and ref.cell in ("", cell.cell)


def _start_ms(timeline: Timeline, ref: Ref) -> int | None:
    """When a place of the cut order begins; None when it is not there."""
    return next((span.at_ms for span in timeline.spans if _within(span, ref)), None)


def _within(span: Span, ref: Ref) -> bool:
    """Whether a span goes when a place does: what is said before a block goes with all of it only."""
    return _holds(ref, span.cell.ref) if span.cell else ref == Ref(block=span.block.name)


def parting_ms(before: Timeline, after: Timeline) -> int:
    """The time up to which two timelines are the same, ms from their start; the end of the shorter one when they do not
    part before it.
    """
    for span, other in zip(before.spans, after.spans, strict=False):
        if _content(span) != _content(other):
            return span.at_ms
    return min(before.total_ms, after.total_ms)


def _content(span: Span) -> tuple[object, ...]:
    """All of a span but the block and round around it, which hold what comes later too."""
    around = (span.block.name, span.round.name if span.round else "", span.cell.ref if span.cell else None)
    return (*around, span.at_ms, span.end_ms, span.kind, span.side, span.position, span.kit, span.text, span.bout)
