"""Who takes what instead: first-timers, and whoever has to avoid something.

The cover coach's page: what is led, who takes what instead, when to stop, what to cut and what to know.
"""

from collections.abc import Mapping
from dataclasses import replace
from itertools import groupby

from everyrung.checks.cells import and_list
from everyrung.checks.rules.cautions import caution_unanswered, instead_words
from everyrung.cues.kit_words import usual_words
from everyrung.moves.changed_levers import changed_levers
from everyrung.publish.sheet.blocks import Figures, block_start_ms, starts
from everyrung.publish.sheet.terms import Cover, CoverBlock, CoverRow
from everyrung.runsheet.terms import RoomEntry
from everyrung.runsheet.words import amount_words, other_kit, place_words
from everyrung.terms.enums import BlockKind, Caution, CueKind, KitItem, OptionKind, Severity, Side
from everyrung.terms.plan import Ref
from everyrung.terms.seconds import moment_text
from everyrung.terms.session import Block, Cell, Session
from everyrung.terms.timeline import CueTrack, Timeline
from everyrung.timing.cut_order import present


def limit_lines(session: Session, timeline: Timeline) -> tuple[str, ...]:
    """One line for each caution that someone present has to avoid and that the session holds."""
    lines = (_limit(session, timeline, caution) for caution in session.who.limits)
    return tuple(line for line in lines if line)


def _limit(session: Session, timeline: Timeline, caution: Caution) -> str:
    """The rungs that the checks name, asked for this caution alone; where there is none, the move is left out."""
    alone = replace(session, who=replace(session.who, limits=(caution,)))
    ways = [words] if (words := instead_words(alone, caution)) else []
    none = [
        f"{place_words(finding.places)}: no version, so rest"
        for finding in caution_unanswered(alone, timeline)
        if finding.severity is Severity.ERROR
    ]
    return f"Avoiding {caution}: {'; '.join([*ways, *none])}." if ways or none else ""


def newcomer_line(session: Session) -> str:
    """'First-timers: rounds One and Two.'; blocks are named where their rounds differ."""
    if not session.who.newcomers:
        return ""
    names = {
        block.name: [each.name for each in block.rounds[: session.newcomer_rounds]]
        for block in session.of_kind(BlockKind.MAIN)
        if len(block.rounds) > session.newcomer_rounds
    }
    by_block = {block: _rounds(rounds) for block, rounds in names.items()}
    if not by_block:
        return "First-timers: all of it, the easier version first."
    if len(set(by_block.values())) == 1:
        return f"First-timers: {next(iter(by_block.values()))}."
    return f"First-timers: {'; '.join(f'{block} {rounds}' for block, rounds in by_block.items())}."


def _rounds(names: list[str]) -> str:
    if not names:
        return "no round"
    return f"round{'s' if len(names) > 1 else ''} {and_list(names)}"


# What has to be said, whoever leads: three things; the signs are the sheet's own in the fewest words (common practice).
MUST_SAY = (
    "Say: stop for chest pain, dizziness, faintness, sharp pain.",
    "Say: your own pace; an easier version or a rest is always right.",
    "Say in each round: the version without kit, and the one for limits.",
)


MUST_SAY_LIVE = (
    "Live online: a thumb check after each round; what you see you say to all, nobody by name. Link gone: go on in the "
    "room, see the link card."
)


MUST_SAY_LIPS = (
    "Somebody reads lips: face up and to the room first, then speak; in the work nothing is said while it is down or "
    "turned. Start and stop are light on the stage and a hand held high."
)


def cover_page(
    session: Session, timeline: Timeline, figures: Figures, track: CueTrack, room: tuple[str, ...] = ()
) -> Cover:
    """The page for the leader's hand; `room` is what is said of the room and of who works when in it."""
    kit: dict[Ref, str] = {}
    for cue in track.said:
        if cue.ref and cue.kind is CueKind.KIT:
            kit[cue.ref] = f"{kit.get(cue.ref, '')} {usual_words(cue.text)}".strip()
    times = starts(timeline)
    instead = (newcomer_line(session), *limit_lines(session, timeline))
    lines = (
        *MUST_SAY,
        *((MUST_SAY_LIVE,) if session.who.live else ()),
        *((MUST_SAY_LIPS,) if session.who.lip_readers else ()),
        *room,
        *instead,
        _cuts(tuple(ref for ref in session.cut_order if present(session, ref))),
        session.cover_notes.replace("\n", " "),  # in one run of words: each line of its own would cost letter size
    )
    return Cover(
        blocks=tuple(_block(block, block_start_ms(timeline, block), times, kit, figures) for block in session.blocks),
        lines=tuple(line.strip() for line in lines if line.strip()),
    )


def room_lines(room: RoomEntry) -> tuple[str, ...]:
    """Where it is led, and what to do there when somebody needs help."""
    holds = f"{room.name} holds {room.holds}" + (f", and {room.people} come" if room.people > room.holds else "")
    help_here = f"Help here: {'; '.join(f'{each.name}: {each.words}' for each in room.help)}." if room.help else ""
    return (f"{holds}.", help_here)


def _block(block: Block, at_ms: int, times: Mapping[Ref, int], kit: Mapping[Ref, str], figures: Figures) -> CoverBlock:
    several = len(block.rounds) > 1
    common = _common_kit(block)
    heads = tuple(
        f"{each.name} {moment_text(times.get(each.cells[0].ref, at_ms))}" if each.cells else each.name
        for each in block.rounds
    )
    rows: dict[str, list[Cell | None]] = {}
    for place, each in enumerate(block.rounds):
        for cell in each.cells:
            rows.setdefault(cell.ref.cell, [None] * len(block.rounds))[place] = cell
    return CoverBlock(
        name=", ".join((block.name, *common)),
        time=moment_text(at_ms),
        rounds=heads if several else (),
        rows=tuple(_row(cells, common, kit, figures) for cells in rows.values()) if several else (),
        said="" if several else _sentence(list(block.cells), common),
    )


def _common_kit(block: Block) -> tuple[KitItem, ...]:
    """What every set of a block needs: said once, with the block."""
    kits = [other_kit(cell) for cell in block.cells]
    return tuple(item for item in KitItem if item.counts_as_kit and kits and all(item in kit for kit in kits))


def _sentence(cells: list[Cell], common: tuple[KitItem, ...]) -> str:
    """'0:40 each: march; side step. Calf raise, 12': neighbours of one dose together, the dose first."""
    groups = [(dose, [_name(cell, common) for cell in group]) for dose, group in groupby(cells, key=_first_dose)]
    return ". ".join(
        f"{dose}{'' if 'side' in dose else ' each'}: {'; '.join(names)}" if len(names) > 1 else f"{names[0]}, {dose}"
        for dose, names in groups
    )


def _row(cells: list[Cell | None], common: tuple[KitItem, ...], kit: Mapping[Ref, str], figures: Figures) -> CoverRow:
    first = next(cell for cell in cells if cell)
    return CoverRow(
        name=_name(first, common),
        kit=_kit_moves([cell for cell in cells if cell], kit),
        without=_without(first),
        figure=figures.number(first.rung),
        doses=tuple(_dose(before, cell) if cell else "" for before, cell in zip([None, *cells], cells, strict=False)),
    )


def _kit_moves(cells: list[Cell], kit: Mapping[Ref, str]) -> str:
    """What is fetched and put down for a move: once, or by round where it differs: 'One, Two: Ball away.'"""
    rounds: dict[str, list[str]] = {}
    for cell in cells:
        rounds.setdefault(kit.get(cell.ref, ""), []).append(cell.ref.round)
    if len(rounds) == 1:
        return next(iter(rounds))
    return " ".join(f"{', '.join(names)}: {text}" for text, names in rounds.items() if text)


def _without(cell: Cell) -> str:
    """What people without kit do of a move that is led with some: 'No kit: Wall slide'."""
    own = [option.rung for option in cell.options if option.kind is OptionKind.NO_KIT]
    return f"No kit: {own[0].name}." if own and own[0].address != cell.rung.address else ""


def _name(cell: Cell, common: tuple[KitItem, ...]) -> str:
    """The move, or its rung where another than the base is led; its kit where the name does not say it; its sides."""
    name = cell.move.name if cell.rung.key == "base" else cell.rung.name
    own = (item for item in other_kit(cell) if item.counts_as_kit and item not in common)
    kit = [str(item) for item in own if item not in name.lower()]
    return ", ".join(words for words in (name, *kit, _sides(cell)) if words)


def _first_dose(cell: Cell) -> str:
    load = cell.bouts[0].load
    dose = _short(amount_words(cell))
    return f"{dose}, {load}" if load else dose


def _dose(before: Cell | None, cell: Cell) -> str:
    """The dose, and in few words what is new against the round before: '8, pause 2 s'."""
    if before is None:
        return _first_dose(cell)
    words, load = [_short(amount_words(cell))], cell.bouts[0].load
    form = cell.rung.form
    tempo, pause_ms = form.tempo, max(form.tempo.bottom_ms, form.tempo.top_ms)
    new = {
        "load": str(load or "no load"),
        "pause": f"pause {pause_ms / 1000:g} s" if pause_ms else "no pause",
        "tempo": str(tempo),
        "base": str(form.support if form.support is not before.rung.form.support else form.hold),
        "surface": str(form.surface),
        "pulse": f"{form.pulses} pulses" if form.pulses else "no pulses",
        "extra": f"then a {form.extra}" if form.extra_ms else "nothing after it",
        "range": "full depth" if form.range_share == 1 else f"{form.range_share:.0%} depth",
        "swap": cell.rung.name,
    }
    levers = [word for word in changed_levers(before, cell) if word != "reps"]
    return ", ".join(words + [new.get(word, word) for word in levers])


def _sides(cell: Cell) -> str:
    """What a coach could not guess: the left goes first, and alternating is how the move goes."""
    sides = [bout.side for bout in cell.bouts]
    if sides in ([Side.BOTH], [Side.LEFT, Side.RIGHT]):
        return ""
    return f"{sides[0]} first" if len(sides) > 1 else f"{sides[0]} only"


def _short(dose: str) -> str:
    """The dose without words that big letters have no room for."""
    return dose.replace(" reps", "").replace(" held", "")


def _cuts(refs: tuple[Ref, ...]) -> str:
    """The cut order, neighbours of one round named together: 'Main Three: plank, curl, all of it'."""
    if not refs:
        return ""
    parts = []
    for (block, round_name), group in groupby(refs, key=lambda ref: (ref.block, ref.round)):
        cells = [" ".join(filter(None, (ref.cell, str(ref.side or "")))) or "all of it" for ref in group]
        place = f"{block} {round_name}".strip()
        parts.append(place if cells == ["all of it"] else f"{place}: {', '.join(cells)}")
    return f"Short of time, cut in this order: {'; '.join(parts)}. Never the cool-down."
