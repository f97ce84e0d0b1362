"""Fitting a session to another slot by the coach's cut order: whole sets go, sides stay equal.

The warm-up floor and the cool-down never give way. A longer slot takes the reserve in.
"""

from dataclasses import replace

from everyrung.terms.brief import Brief
from everyrung.terms.enums import BlockKind
from everyrung.terms.finding import location_words
from everyrung.terms.frozen import dataclass
from everyrung.terms.plan import Ref
from everyrung.terms.session import Block, Session
from everyrung.terms.timeline import Timeline
from everyrung.terms.units import clock_text
from everyrung.timing.cut_order import cuts, newly_uneven, without
from everyrung.timing.timeline import build_timeline

UNDERFILL_SHARE = 0.05  # chosen, because the clock's own constants are no better known than this
Group = tuple[Ref, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """A place that went, or came in from the reserve, with the time that saves or takes, ms."""

    ref: Ref
    duration_ms: int
    came_in: bool = False

    @property
    def place(self) -> str:
        """As a plan file has it: 'Main/Three'."""
        return str(self.ref)

    def __str__(self) -> str:
        return f"{location_words((self.ref,))} ({clock_text(self.duration_ms)} {'more' if self.came_in else 'saved'})"


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Refit(Brief):
    """The session for another slot: what was lost or taken in, in order; what was `kept` although its turn had come,
    with the reason; and the `problem` when it does not fit. `before_ms` and `after_ms` are the lengths of the
    timelines.
    """

    session: Session
    slot_ms: int
    before_ms: int
    after_ms: int
    lost: tuple[Change, ...]
    kept: tuple[str, ...]
    gained: tuple[Change, ...]
    problem: str = ""


def refit(session: Session, slot_ms: int, *, timeline: Timeline | None = None) -> Refit:
    """The session changed as little as possible to fit `slot_ms`. Nothing is raised when it cannot be: `problem` says
    why. `timeline`: its timeline as it is, where somebody has it.

    >>> from everyrung import analyze
    >>> session = analyze("examples/boathouse-30.toml").session
    >>> result = refit(session, 28 * 60_000)
    >>> [str(change) for change in result.lost], clock_text(result.after_ms)
    (['Main / Three / hinge (1:03 saved)', 'Main / Three / lunge (1:34 saved)'], '27:16')
    """
    if slot_ms != session.slot_ms:
        session = replace(session, slot_ms=slot_ms, slot_source=f"the slot asked for, {clock_text(slot_ms)}")
    before_ms = (timeline or build_timeline(session)).total_ms
    smaller, losses, reprieves = _cut(session, before_ms)
    larger, gains, after_ms = _grow(smaller, before_ms - sum(each.duration_ms for each in losses))
    return Refit(
        session=larger,
        slot_ms=slot_ms,
        before_ms=before_ms,
        after_ms=after_ms,
        lost=losses,
        kept=reprieves,
        gained=gains,
        problem=_problem(larger, after_ms, cut=bool(losses)),
    )


def _cut(session: Session, before_ms: int) -> tuple[Session, tuple[Change, ...], tuple[str, ...]]:
    """Takes away in the cut order until it fits, then puts back what fits after all."""
    groups: list[Group] = []
    reprieves: list[str] = []
    total_ms = before_ms
    for cut in cuts(session):
        if total_ms <= session.slot_ms:
            break
        if cut.reason:
            reprieves.append(f"{location_words((cut.ref,))}: {cut.reason}")
            continue
        groups.append(cut.together)
        total_ms = build_timeline(without(cut.before, cut.together)).total_ms
    groups = _put_back(session, groups)
    return _without_all(session, groups), _losses(session, groups, before_ms), tuple(reprieves)


def _put_back(session: Session, groups: list[Group]) -> list[Group]:
    """Leaves out of `groups` what is not needed; what the coach would part with last comes back first."""
    for group in groups[::-1]:
        rest = [other for other in groups if other != group]
        larger = _without_all(session, rest)
        fits = build_timeline(larger).total_ms <= session.slot_ms
        if fits and not newly_uneven(session, larger):
            groups = rest
    return groups


def _without_all(session: Session, groups: list[Group]) -> Session:
    return without(session, (ref for group in groups for ref in group))


def _losses(session: Session, groups: list[Group], before_ms: int) -> tuple[Change, ...]:
    """Each place that went with the time it saved, after those before it; the times add up to the whole saving."""
    losses = []
    for ref in (ref for group in groups for ref in group):
        session = without(session, (ref,))
        after_ms = build_timeline(session).total_ms
        losses.append(Change(ref=ref, duration_ms=before_ms - after_ms))
        before_ms = after_ms
    return tuple(losses)


def _grow(session: Session, total_ms: int) -> tuple[Session, tuple[Change, ...], int]:
    """Takes reserve blocks in, before the cool-down, while they fit and leave the sides equal; and how long it is."""
    gains: list[Change] = []
    for block in session.reserve:
        larger = _with_block(session, block)
        larger_ms = build_timeline(larger).total_ms
        if larger_ms <= session.slot_ms and not newly_uneven(session, larger):
            gains.append(Change(ref=Ref(block=block.name), duration_ms=larger_ms - total_ms, came_in=True))
            session, total_ms = larger, larger_ms
    return session, tuple(gains), total_ms


def _with_block(session: Session, block: Block) -> Session:
    kinds = [each.kind for each in session.blocks]
    place = kinds.index(BlockKind.COOL_DOWN) if BlockKind.COOL_DOWN in kinds else len(kinds)
    reserve = tuple(each for each in session.reserve if each is not block)
    return replace(session, blocks=(*session.blocks[:place], block, *session.blocks[place:]), reserve=reserve)


def _problem(session: Session, after_ms: int, *, cut: bool) -> str:
    if after_ms > session.slot_ms:
        over = clock_text(after_ms - session.slot_ms)
        sets = sum(1 for block in session.of_kind(BlockKind.MAIN) for _ in block.cells)
        return (
            f"it is still {over} over after everything in the cut order that may go has gone: "
            f"{sets} sets of the main part do not fit into {clock_text(session.slot_ms)}; "
            "add rounds or sets to the cut order, or choose fewer moves"
        )
    if after_ms < session.slot_ms * (1 - UNDERFILL_SHARE) and not cut:
        short = clock_text(session.slot_ms - after_ms)
        return f"it is {short} too short with the reserve taken in where it fits; add a round or a reserve block"
    return ""
