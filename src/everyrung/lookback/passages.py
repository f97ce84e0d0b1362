"""Where the plan's clock runs in a recording, piece by piece; and each set's takes, with what led up to them."""

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from everyrung.lookback.beep_clock import ClockStretch, RecordingClock
from everyrung.lookback.plan_sets import PlanSet, plan_sets
from everyrung.lookback.show import NEARLY_MS, Show
from everyrung.lookback.stretches import Stretch
from everyrung.terms.session import Session
from everyrung.terms.timeline import Timeline

LEAST_MS = 500  # of a piece; chosen: shorter ones are what two beeps' places differ by


@dataclass(frozen=True, slots=True, kw_only=True)
class Passage:
    """The clock of variant `way` goes from `plan_ms` to `plan_end_ms`, in the recording from `at_ms` to `end_ms`."""

    way: int
    plan_ms: float
    plan_end_ms: float
    at_ms: float
    end_ms: float

    def at(self, plan_ms: float) -> float:
        """When a moment of the plan within it is in the recording, ms."""
        part = (plan_ms - self.plan_ms) / (self.plan_end_ms - self.plan_ms)
        return self.at_ms + part * (self.end_ms - self.at_ms)


@dataclass(frozen=True, slots=True, kw_only=True)
class Take:
    """One time that a set is on the recording: `pieces` from and to, ms, with what leads up to its work; `work_ms` is
    when its work goes on in the first of them. `is_whole`: its work from beginning to end. `is_pick_up`: the session
    had gone back for it.
    """

    place: int
    pieces: tuple[tuple[float, float], ...]
    work_ms: float
    work_end_ms: float
    is_whole: bool
    is_pick_up: bool


def passages(
    clock: RecordingClock, show: Show | None, beeps_ms: Sequence[int], lengths_ms: tuple[float, float]
) -> tuple[Passage, ...]:
    """In order of time. What lies before a piece's first beep belongs to it, and what comes after the last piece's last
    one, as far as the plan has no beep there, which would have been heard; `beeps_ms` are the plan's, `lengths_ms` of
    the plan and of the recording.
    """
    sure = [each for each in clock.stretches if each.is_sure]
    if show is None:
        bare = [_plan_piece(each) for each in sure]
    else:
        bare = [piece for each in sure for piece in _log_pieces(each, clock.drift, show)]
    return tuple(_with_leads(bare, clock.drift, beeps_ms, lengths_ms, has_leads=show is None))


def _plan_piece(each: ClockStretch) -> Passage:
    return Passage(
        way=0, plan_ms=each.plan_ms, plan_end_ms=max(each.plan_end_ms, each.plan_ms + 1), at_ms=each.at_ms,
        end_ms=max(each.end_ms, each.at_ms + 1),
    )  # fmt: skip


def _log_pieces(each: ClockStretch, drift: float, show: Show) -> Iterator[Passage]:
    """What the log says of a stretch of the wall's clock that the beeps have placed."""
    for part in show.stretches:
        part_ms, part_end_ms = part.wall_ms - show.start_ms, part.wall_end_ms - show.start_ms
        low, high = max(part_ms, each.line_ms), min(part_end_ms, each.line_end_ms)
        if high - low < LEAST_MS:
            continue
        at_ms, end_ms = (each.at_ms + (1 + drift) * (moment - each.line_ms) for moment in (low, high))
        plan_ms, plan_end_ms = (_plan_of(part, moment + show.start_ms) for moment in (low, high))
        yield Passage(way=part.way, plan_ms=plan_ms, plan_end_ms=plan_end_ms, at_ms=at_ms, end_ms=end_ms)


def _plan_of(part: Stretch, wall_ms: float) -> float:
    share = (wall_ms - part.wall_ms) / (part.wall_end_ms - part.wall_ms)
    return part.at_ms + share * (part.end_ms - part.at_ms)


def _with_leads(
    bare: Sequence[Passage],
    drift: float,
    beeps_ms: Sequence[int],
    lengths_ms: tuple[float, float],
    *,
    has_leads: bool,
) -> Iterator[Passage]:
    """With a log, pieces already begin and end where the log says; only the first one has a lead to be found."""
    for number, each in enumerate(bare):
        reached_ms = bare[number - 1].end_ms if number else 0.0
        lead_ms = tail_ms = 0.0
        if has_leads or number == 0:
            at = bisect_left(beeps_ms, each.plan_ms)
            silent_ms = each.plan_ms - (beeps_ms[at - 1] if at and each.way == 0 else 0)
            lead_ms = max(0.0, min(silent_ms, (each.at_ms - reached_ms) / (1 + drift)))
        if has_leads and number == len(bare) - 1:
            after = bisect_right(beeps_ms, each.plan_end_ms)
            silent_ms = (beeps_ms[after] if after < len(beeps_ms) else lengths_ms[0]) - each.plan_end_ms
            tail_ms = max(0.0, min(silent_ms, (lengths_ms[1] - each.end_ms) / (1 + drift)))
        yield Passage(
            way=each.way, plan_ms=each.plan_ms - lead_ms, plan_end_ms=each.plan_end_ms + tail_ms,
            at_ms=each.at_ms - (1 + drift) * lead_ms, end_ms=each.end_ms + (1 + drift) * tail_ms,
        )  # fmt: skip


def takes(
    pieces: Sequence[Passage], session: Session, timelines: Sequence[Timeline], sets: Sequence[PlanSet]
) -> tuple[Take, ...]:
    """Every time that a set's work is on the recording, in order of time; `timelines` by way.

    What goes on where it was left is one take in two pieces.
    """
    places = {(each.ref, each.part): place for place, each in enumerate(sets)}
    result: list[Take] = []
    left_ms: dict[int, float] = {}  # up to where in the plan the last take of a set went
    latest_ms = 0.0
    for passage in pieces:
        is_back = passage.plan_ms < latest_ms - NEARLY_MS
        for each in plan_sets(session, timelines[passage.way]):
            take = _take(passage, each, places[each.ref, each.part], is_back=is_back)
            if take is None:
                continue
            went_on_ms = max(each.at_ms, passage.plan_ms)
            before = next((one for one in reversed(result) if one.place == take.place), None)
            if before and not is_back and not before.is_whole and went_on_ms >= left_ms[take.place] - NEARLY_MS:
                result.remove(before)
                take = _join(before, take, missing_ms=went_on_ms - left_ms[take.place], each=each, passage=passage)
            result.append(take)
            left_ms[take.place] = min(_work_end(each), passage.plan_end_ms)
        latest_ms = max(latest_ms, passage.plan_end_ms)
    return tuple(result)


def _work_end(each: PlanSet) -> int:
    return each.work_at_ms + each.bout.duration_ms


def _take(passage: Passage, each: PlanSet, place: int, *, is_back: bool) -> Take | None:
    low, high = max(passage.plan_ms, each.at_ms), min(passage.plan_end_ms, each.at_ms + each.length_ms)
    work_low, work_high = max(low, each.work_at_ms), min(high, _work_end(each))
    if work_high - work_low < LEAST_MS:
        return None
    return Take(
        place=place,
        pieces=((passage.at(low), passage.at(high)),),
        work_ms=passage.at(work_low),
        work_end_ms=passage.at(work_high),
        is_whole=work_low - each.work_at_ms <= NEARLY_MS and _work_end(each) - work_high <= NEARLY_MS,
        is_pick_up=is_back,
    )


def _join(before: Take, take: Take, *, missing_ms: float, each: PlanSet, passage: Passage) -> Take:
    """What was begun in one piece and ended in another; whole if nothing of it is missing between."""
    is_all = missing_ms <= NEARLY_MS and _work_end(each) - passage.plan_end_ms <= NEARLY_MS
    return Take(
        place=take.place, pieces=(*before.pieces, *take.pieces), work_ms=before.work_ms, work_end_ms=take.work_end_ms,
        is_whole=is_all, is_pick_up=before.is_pick_up,
    )  # fmt: skip


def best_takes(every: Sequence[Take]) -> tuple[Take, ...]:
    """Of each set its last whole take, or the last one where none is whole, in the plan's order."""
    best: dict[int, Take] = {}
    for each in every:
        if each.place not in best or each.is_whole or not best[each.place].is_whole:
            best[each.place] = each
    return tuple(best[place] for place in sorted(best))


def left_out_ms(pieces: Sequence[tuple[float, float]], end_ms: float) -> tuple[tuple[float, float], ...]:
    """What no piece holds, from and to, up to the recording's end."""
    edges = [(0.0, 0.0), *sorted(pieces), (end_ms, end_ms)]
    result, reached_ms = [], 0.0
    for before, after in pairwise(edges):
        reached_ms = max(reached_ms, before[1])
        if after[0] - reached_ms >= LEAST_MS:
            result.append((reached_ms, after[0]))
    return tuple(result)
