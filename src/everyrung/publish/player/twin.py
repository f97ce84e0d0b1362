"""The session to read instead: everything that the player shows and says, in order of time."""

from dataclasses import dataclass

from everyrung.publish.player.terms import Player, RungLine, SetLine, SpanLine
from everyrung.terms.enums import SpanKind
from everyrung.terms.units import clock_text


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """Something that happens or is said, with its time on the session's clock."""

    time: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Passage:
    """A set or an announcement; an announcement has no rungs."""

    time: str
    name: str
    rungs: tuple[Event, ...]
    events: tuple[Event, ...]


def passages(player: Player) -> tuple[Passage, ...]:
    """Sets and announcements in order; what is said is that of the first track."""
    runs: list[list[SpanLine]] = []
    for span in player.spans:
        if not runs or runs[-1][0].set != span.set:
            runs.append([])
        runs[-1].append(span)
    return tuple(_passage(player, spans) for spans in runs)


def _passage(player: Player, spans: list[SpanLine]) -> Passage:
    each = player.sets[spans[0].set] if spans[0].set >= 0 else None
    return Passage(
        time=clock_text(spans[0].at_ms),
        name=set_words(each) if each else "Said to everyone",
        rungs=tuple(Event(time=", ".join(rung.kinds), text=_rung(rung)) for rung in each.rungs) if each else (),
        events=_events(player, spans),
    )


def set_words(each: SetLine) -> str:
    """'Set 7: Ball wall squat, Main, round One'."""
    place = f"{each.block}, round {each.round}" if each.round else each.block
    return f"Set {each.number}: {each.rungs[0].name}, {place}"


def _rung(rung: RungLine) -> str:
    held = [words for words in (rung.load, rung.kit) if words]
    checks = " ".join([f"Ready? {rung.test}" if rung.test else "", *rung.looks]).strip()
    return f"{rung.name}: {rung.dose}{'; ' if held else ''}{'; '.join(held)}. {checks}"


def _events(player: Player, spans: list[SpanLine]) -> tuple[Event, ...]:
    """What is said stands after what happens at the same time."""
    said = next(iter(player.said.values()), ())
    start_ms, end_ms = spans[0].at_ms, spans[-1].end_ms
    told = [(span.at_ms, 0, _span(player, span, spoken=bool(said))) for span in spans]
    told += [(at_ms, 1, f"“{player.words[place]}”") for at_ms, _, place in said if start_ms <= at_ms < end_ms]
    return tuple(Event(time=clock_text(at_ms // 1000 * 1000), text=text) for at_ms, _, text in sorted(told))


def _span(player: Player, span: SpanLine, *, spoken: bool) -> str:
    length = clock_text(span.end_ms - span.at_ms)
    if span.work is None:
        text = "" if span.kind == SpanKind.ANNOUNCE and spoken else span.text
        return f"{span.kind}, {length}" + (f": {text}" if text else "")
    each = player.sets[span.set].rungs[0]
    amount = f"{span.work.reps} repetitions" if span.work.reps and not span.work.timed else "to the clock"
    side = f", {span.work.side} side" if span.work.side else ""
    return f"work, {length}: {each.name}{side}, {amount}"
