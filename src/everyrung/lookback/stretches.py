"""A stage's log as stretches of time: when the plan's clock went, from where to where, by which of its ways."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from everyrung.lookback.stage_log import StageEvent, What
from everyrung.timing.branches import Branches

# What says exactly where the clock was; an end of a bout is only noted when the screen is drawn.
MARKS = frozenset(What) - {What.SET, What.START, What.WAIVE, What.AGAIN}
STOPS = frozenset({What.PAUSE, What.LEFT, What.END})


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """The clock of variant `way` went from `at_ms` to `end_ms`, on the wall from `wall_ms` to `wall_end_ms`."""

    way: int
    at_ms: int
    end_ms: int
    wall_ms: int
    wall_end_ms: int

    def wall_of(self, at_ms: int) -> int:
        """When on the wall a moment of it was."""
        part = (at_ms - self.at_ms) / (self.end_ms - self.at_ms)
        return self.wall_ms + round(part * (self.wall_end_ms - self.wall_ms))


@dataclass(frozen=True, slots=True, kw_only=True)
class Standstill:
    """The clock stood at `at_ms` from `wall_ms` on; `is_away` where no stage was open for all or part of it."""

    at_ms: int
    wall_ms: int
    length_ms: int
    is_away: bool


def way_after(events: Sequence[StageEvent], branches: Branches) -> Iterator[tuple[StageEvent, int]]:
    """Each event with the variant that is led from then on: a cut takes the fork that is there, an undo goes back."""
    ways = [0]
    for event in events:
        if event.what is What.CUT:
            forks = [each for each in branches.forks if each.of == ways[-1]]
            fork = next((each for each in forks if each.from_ms <= event.at_ms < each.until_ms), None)
            ways += [fork.onto] if fork else []
        elif event.what is What.UNDO and len(ways) > 1:
            ways.pop()
        yield event, ways[-1]


def stretches(events: Sequence[StageEvent], branches: Branches) -> tuple[Stretch, ...]:
    """In order of time on the wall; where a log breaks off, up to the last thing that it says."""
    result: list[Stretch] = []
    since: StageEvent | None = None  # where the clock was let go last, or was set to
    way = 0
    steps = list(way_after(events, branches))
    for place, (event, next_way) in enumerate(steps):
        is_last = place == len(steps) - 1
        if since and (event.what in MARKS or is_last) and event.at_ms > since.at_ms:
            result.append(
                Stretch(
                    way=way,
                    at_ms=since.at_ms,
                    end_ms=event.at_ms,
                    wall_ms=since.wall_ms,
                    wall_end_ms=max(event.wall_ms, since.wall_ms + 1),
                )
            )
        way = next_way
        if event.what in STOPS:
            since = None
        elif event.what is What.GO or (since and event.what in MARKS):
            to_ms = event.to_ms if event.to_ms is not None else event.at_ms
            since = replace(event, at_ms=to_ms)
    return tuple(result)


def standstills(events: Sequence[StageEvent]) -> tuple[Standstill, ...]:
    """Each time that the clock stood after it had gone, until it went on."""
    result: list[Standstill] = []
    since: StageEvent | None = None
    is_away = False
    for event in events:
        if event.what in (What.PAUSE, What.LEFT) and since is None:
            since = event
        is_away = since is not None and (is_away or event.what is What.LEFT)
        if event.what is What.GO and since is not None:
            length_ms = max(0, event.wall_ms - since.wall_ms)
            result.append(Standstill(at_ms=since.at_ms, wall_ms=since.wall_ms, length_ms=length_ms, is_away=is_away))
            since = None
    return tuple(result)
