"""A stage's log laid on its plan: each set as it was planned and as it was led, and what is owed at the end."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from everyrung.lookback.outcome import Change
from everyrung.lookback.plan_sets import PlanSet
from everyrung.lookback.stage_log import StageEvent, StageLog, What
from everyrung.lookback.stretches import Standstill, Stretch, standstills, stretches, way_after
from everyrung.terms.enums import Side, SpanKind
from everyrung.terms.errors import Invalid
from everyrung.terms.timeline import Span
from everyrung.timing.branches import Branches

NEARLY_MS = 1_500  # as static/show/sides.js: whoever goes on so shortly before the end has done the set
STEERING = (What.GO, What.PAUSE, What.SKIP, What.BACK, What.CUT, What.UNDO, What.WAIVE)


@dataclass(frozen=True, slots=True, kw_only=True)
class ShowBout:
    """One time that a set's work was on: from `from_ms` to `to_ms` of its `plan_ms`, at `wall_ms` to `wall_end_ms`.

    `reps` have begun, of the plan's; 0 in a hold.
    """

    from_ms: int
    to_ms: int
    plan_ms: int
    wall_ms: int
    wall_end_ms: int
    paused_ms: int
    reps: int

    @property
    def is_whole(self) -> bool:
        return self.from_ms == 0 and self.to_ms >= self.plan_ms - NEARLY_MS


@dataclass(frozen=True, slots=True, kw_only=True)
class ShowRow:
    """A set of the plan and how it was show: never, once or several times. `change`: what was not as planned."""

    plan: PlanSet
    bouts: tuple[ShowBout, ...]
    change: Change


@dataclass(frozen=True, slots=True, kw_only=True)
class Show:
    """One show beside its plan. `took_ms` is on the wall, without the time that no stage was open; `debts` are the sets
    whose other side was done and theirs not; `is_ended`: it came to the plan's end.
    """

    log: StageLog
    rows: tuple[ShowRow, ...]
    stretches: tuple[Stretch, ...]
    pauses: tuple[Standstill, ...]
    debts: tuple[PlanSet, ...]
    plan_ms: int
    took_ms: int
    is_ended: bool

    @property
    def start_ms(self) -> int:
        """When it began, on the wall."""
        return next(each.wall_ms for each in self.log.events if each.what is What.START)

    @property
    def steering(self) -> tuple[StageEvent, ...]:
        """What somebody pressed, in order."""
        return tuple(each for each in self.log.events if each.what in STEERING)


def lay_log_on_plan(log: StageLog, sets: Sequence[PlanSet], branches: Branches) -> Show:
    """Every set of the plan as the log has it. Raises Invalid for the log of another plan."""
    events = log.events
    _check(events, sets, branches)
    parts = stretches(events, branches)
    final = list(way_after(events, branches))[-1][1]
    remains = {(str(span.cell.ref), span.bout) for span in _work(branches, final) if span.cell}
    bouts = _bouts(parts, sets, branches)
    away_ms = sum(each.length_ms for each in standstills(events) if each.is_away)
    start_ms = next(each.wall_ms for each in events if each.what is What.START)
    return Show(
        log=log,
        rows=tuple(
            ShowRow(
                plan=each, bouts=tuple(bouts[place]), change=_change(bouts[place], (each.ref, each.bout) in remains)
            )
            for place, each in enumerate(sets)
        ),
        stretches=parts,
        pauses=standstills(events),
        debts=tuple(_debts(events, sets, branches)),
        plan_ms=branches.variants[0].timeline.total_ms,
        took_ms=max(0, events[-1].wall_ms - start_ms - away_ms),
        is_ended=events[-1].what is What.END,
    )


def _work(branches: Branches, way: int) -> Iterator[Span]:
    spans = branches.variants[way].timeline.spans
    return (span for span in spans if span.kind is SpanKind.WORK and span.cell and span.bout)


def _check(events: Sequence[StageEvent], sets: Sequence[PlanSet], branches: Branches) -> None:
    """A set of another plan ends elsewhere, or is called otherwise."""
    refs = {each.ref for each in sets}
    foreign = next((each.cell for each in events if each.what is What.SET and each.cell not in refs), None)
    remedy = "Use the plan file of the version that was led: Versions in the studio has it."
    if foreign is not None:
        raise Invalid("log", "the log of this plan", f"a set {foreign!r} that it does not hold", remedy=remedy)
    for event, way in way_after(events, branches):
        if event.what is What.SET and _span_of(event, way, branches) is None:
            got = f"{event.cell} ending at {event.at_ms} ms, where the plan has no end of it"
            raise Invalid("log", "the log of this version of the plan", got, remedy=remedy)


def _span_of(event: StageEvent, way: int, branches: Branches) -> Span | None:
    spans = _work(branches, way)
    return next((each for each in spans if each.end_ms == event.at_ms and str(_ref(each)) == event.cell), None)


def _ref(span: Span) -> str:
    return str(span.cell.ref) if span.cell else ""


def _change(bouts: Sequence[ShowBout], is_planned: bool) -> Change:
    if not bouts:
        return Change.SKIPPED if is_planned else Change.CUT
    if sum(each.is_whole for each in bouts) > 1:
        return Change.AGAIN
    return Change.NONE if any(each.is_whole for each in bouts) else Change.PART


def _bouts(parts: Iterable[Stretch], sets: Sequence[PlanSet], branches: Branches) -> list[list[ShowBout]]:
    """Of each set; what goes on where it stopped is one bout."""
    places = {(each.ref, each.part): place for place, each in enumerate(sets)}
    result: list[list[ShowBout]] = [[] for _ in sets]
    for stretch in parts:
        for span in _work(branches, stretch.way):
            from_ms, to_ms = max(span.at_ms, stretch.at_ms), min(span.end_ms, stretch.end_ms)
            if from_ms < to_ms and span.cell and span.bout:
                mine = result[places[_ref(span), span.cell.bouts.index(span.bout)]]
                mine.append(_bout(span, stretch, from_ms, to_ms))
                if len(mine) > 1 and mine[-2].to_ms == mine[-1].from_ms:
                    mine[-2:] = [_join(mine[-2], mine[-1])]
    return result


def _bout(span: Span, stretch: Stretch, from_ms: int, to_ms: int) -> ShowBout:
    into_ms, until_ms = from_ms - span.at_ms, to_ms - span.at_ms
    return ShowBout(
        from_ms=into_ms,
        to_ms=until_ms,
        plan_ms=span.duration_ms,
        wall_ms=stretch.wall_of(from_ms),
        wall_end_ms=stretch.wall_of(to_ms),
        paused_ms=0,
        reps=_starts(span, until_ms) - _starts(span, into_ms),
    )


def _starts(span: Span, into_ms: int) -> int:
    """How many repetitions have begun before a moment of a bout."""
    bout = span.bout
    return min(bout.reps, -(-into_ms // bout.rep_ms)) if bout and bout.reps else 0


def _join(first: ShowBout, second: ShowBout) -> ShowBout:
    return ShowBout(
        from_ms=first.from_ms,
        to_ms=second.to_ms,
        plan_ms=first.plan_ms,
        wall_ms=first.wall_ms,
        wall_end_ms=second.wall_end_ms,
        paused_ms=first.paused_ms + second.paused_ms + second.wall_ms - first.wall_end_ms,
        reps=first.reps + second.reps,
    )


def _debts(events: Sequence[StageEvent], sets: Sequence[PlanSet], branches: Branches) -> Iterator[PlanSet]:
    """As static/show/sides.js, which shows it meanwhile: one side worked to its end, the other not, and not let go."""
    sides: dict[str, set[Side]] = {}
    let_go: set[str] = set()
    for event, way in way_after(events, branches):
        if event.what is What.WAIVE:
            let_go |= {ref for ref, sides_of in sides.items() if len(sides_of) == 1}
        elif event.what is What.SET and (span := _span_of(event, way, branches)):
            sides.setdefault(event.cell, set()).add(span.side)
            let_go.discard(event.cell)
    for each in sets:
        finals = sides.get(each.ref, set())
        if len(each.cell.bouts) == 2 and len(finals) == 1 and each.ref not in let_go and each.bout.side not in finals:
            yield each
