"""The session to read instead: everything that the player shows and says, in order of time."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from everyrung.runsheet.terms import CellEntry, CueEntry, RungEntry, RunSheet, SpanEntry
from everyrung.terms.enums import Side, SpanKind
from everyrung.terms.seconds import moment_text
from everyrung.terms.units import clock_text

MOST_LOOKS = 2  # as on the page


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """Something that happens or is said, with its time on the session's clock; `kinds`: for which versions."""

    time: str
    text: str
    kinds: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Version:
    """What there is to do of a set, and as what it serves: 'as led, no kit'."""

    kinds: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Passage:
    """A set, by its place, or an announcement, which has no place and no versions."""

    time: str
    name: str
    place: int | None
    rungs: tuple[Version, ...]
    events: tuple[Event, ...]


def passages(sheet: RunSheet) -> tuple[Passage, ...]:
    """Sets and announcements in order; what is said is that of the first track."""
    spans = sheet.variants[0].spans
    return tuple(_passage(sheet, list(each)) for _, each in groupby(spans, key=lambda span: span.cell))


def _passage(sheet: RunSheet, spans: list[SpanEntry]) -> Passage:
    place = spans[0].cell
    return Passage(
        time=moment_text(spans[0].at_ms),
        name="Said to everyone" if place is None else set_words(sheet, place),
        place=place,
        rungs=() if place is None else tuple(_rungs(sheet.cells[place])),
        events=_events(sheet, spans),
    )


def set_words(sheet: RunSheet, place: int) -> str:
    """'Set 7: Ball wall squat, Main, round One'."""
    cell = sheet.cells[place]
    block = sheet.blocks[cell.block].name
    return f"Set {place + 1}: {cell.rungs[0].name}, {f'{block}, round {cell.round}' if cell.round else block}"


def _rungs(cell: CellEntry) -> Iterator[Version]:
    """One that serves several ends stands once."""
    kinds: dict[str, list[str]] = {}
    for rung in cell.rungs:
        kinds.setdefault(_rung(rung), []).append(_kind(rung))
    return (Version(kinds=", ".join(names), text=text) for text, names in kinds.items())


def _rung(rung: RungEntry) -> str:
    items = ", ".join(str(need.item) for need in rung.kit if not need.item.has_mass)
    kit = "".join(f"; {words}" for words in (rung.load, items) if words)
    looks = list(dict.fromkeys(words for words in (rung.form_cue, *rung.self_checks) if words))[:MOST_LOOKS]
    checks = " ".join([f"Ready? {rung.entry_test}" if rung.entry_test else "", *looks]).strip()
    return f"{rung.name}: {rung.dose}{kit}. {checks}"


def _events(sheet: RunSheet, spans: list[SpanEntry]) -> tuple[Event, ...]:
    """What is said stands after what happens at the same time."""
    cues = next(iter(sheet.variants[0].script.values()), ())
    start_ms, end_ms = spans[0].at_ms, spans[-1].end_ms
    events = [(span.at_ms, 0, _span(sheet, span, with_cues=bool(cues)), "") for span in spans]
    events += [(cue.at_ms, 1, *_cue_words(sheet, cue)) for cue in cues if start_ms <= cue.at_ms < end_ms]
    return tuple(Event(time=moment_text(at_ms), text=text, kinds=kinds) for at_ms, _, text, kinds in sorted(events))


def _cue_words(sheet: RunSheet, cue: CueEntry) -> tuple[str, str]:
    """The words, and for which versions they are where not for all: '“Take the ball.” (as led, harder)'; and these."""
    words = f"“{sheet.words[cue.words]}”"
    if cue.cell is None or not cue.rungs:
        return words, ""
    rungs = [sheet.cells[cue.cell].rungs[place] for place in cue.rungs]
    kinds = ", ".join(dict.fromkeys(_kind(rung) for rung in rungs))
    return f"{words} ({kinds})", kinds


def _kind(rung: RungEntry) -> str:
    return str(rung.kind).replace("-", " ") if rung.kind else "as led"


def _span(sheet: RunSheet, span: SpanEntry, *, with_cues: bool) -> str:
    length = clock_text(span.end_ms - span.at_ms)
    if span.cell is None or span.bout is None:
        text = "" if span.kind is SpanKind.ANNOUNCE and with_cues else span.text
        return f"{span.kind}, {length}" + (f": {text}" if text else "")
    rung = sheet.cells[span.cell].rungs[0]
    bout = rung.bouts[span.bout]
    amount = f"{bout.reps} repetitions" if bout.reps and not bout.timed else "to the clock"
    side = "" if bout.side is Side.BOTH else f", {bout.side} side"
    return f"work, {length}: {rung.name}{side}, {amount}"
