"""Doses, sides, tempos and loads in a coach's words."""

from collections.abc import Iterable, Sequence

from everyrung.checks.cells import and_list
from everyrung.plan.music import counts_a_rep
from everyrung.terms.demand import RungDrawing
from everyrung.terms.enums import KitItem, Side, Sidedness, View
from everyrung.terms.finding import Location, Row, location_words
from everyrung.terms.move import Rung
from everyrung.terms.plan import Ref
from everyrung.terms.sentences import upper_first
from everyrung.terms.session import Bout, Cell
from everyrung.terms.units import Load, Mass, Per, clock_text

VIEW_WORDS = {
    View.FACING: "Left is the participant's left; facing them you move your right.",
    View.BACK_TURNED: "Left is the participant's left; with your back to them you move your own left.",
    View.FILMED: "Left is the participant's left; filmed from the front, not flipped, you move your right, "
    "and lettering on your shirt reads correctly.",
    View.FILMED_FLIPPED: "Left is the participant's left; filmed and flipped you move your own left, "
    "and lettering on your shirt reads backwards.",
}


def check_words(rung: Rung, drawing: RungDrawing | None) -> tuple[str, ...]:
    """What people check themselves by: what its pose was measured by, where it was drawn, else what they feel."""
    of_pose = drawing.self_checks if drawing else ()
    return of_pose or ((rung.check,) if rung.check else ())


def dose_words(cell: Cell) -> str:
    """What is really done, levers and all: '8 reps a side', '12 reps in all', '0:30 held', '0:40, about 13 reps'."""
    amount = amount_words(cell)
    if not any(_is_timed(cell, bout) for bout in cell.bouts):
        return amount
    if not _alike(cell):
        return "; ".join(_side_words(cell, bout) for bout in cell.bouts)
    whole = " in all" if cell.rung.form.sides is Sidedness.ALTERNATING else ""
    each = " a side" if len(cell.bouts) > 1 and cell.dose.per is not Per.SIDE else ""
    return f"{amount}, about {cell.bouts[0].reps} reps{whole}{each}"


def amount_words(cell: Cell) -> str:
    """The dose as it is counted, by repetitions or by the clock: '8 reps a side', '0:40 a side', '6 reps left'."""
    first = cell.bouts[0]
    if not _alike(cell):
        return ", ".join(f"{_amount(cell, bout)} {bout.side}" for bout in cell.bouts)
    if _is_timed(cell, first):
        return str(cell.dose)
    if len(cell.bouts) > 1:
        return f"{_amount(cell, first)} a side"
    alternating = cell.rung.form.sides is Sidedness.ALTERNATING and first.reps
    return f"{_amount(cell, first)} in all" if alternating else _amount(cell, first)


def _alike(cell: Cell) -> bool:
    """Whether one amount says it all: for both sides together, or the same for each."""
    amounts = {(bout.reps, bout.duration_ms) for bout in cell.bouts}
    return len(amounts) == 1 and (len(cell.bouts) > 1 or cell.bouts[0].side is Side.BOTH)


def _is_timed(cell: Cell, bout: Bout) -> bool:
    """Whether repetitions are done until the time is over, and not until they are counted."""
    return bool(bout.reps) and (cell.dose.duration_ms is not None or bout.duration_ms != bout.reps * bout.rep_ms)


def _amount(cell: Cell, bout: Bout) -> str:
    if not bout.reps:
        return f"{clock_text(bout.duration_ms)} held"
    return clock_text(bout.duration_ms) if _is_timed(cell, bout) else f"{bout.reps} reps"


def _side_words(cell: Cell, bout: Bout) -> str:
    about = f", about {bout.reps} reps" if _is_timed(cell, bout) else ""
    return f"{_amount(cell, bout)} {bout.side}{about}"


def sides_words(cell: Cell) -> str:
    """The order of the sides, the participant's."""
    sides = [bout.side for bout in cell.bouts]
    if cell.rung.form.sides is Sidedness.ALTERNATING:
        return "alternating, left first"
    if sides == [Side.BOTH]:
        return "both together"
    if len(sides) == 1:
        return f"{sides[0]} only"
    return ", then ".join(str(side) for side in sides)


def tempo_words(cell: Cell) -> str:
    """'2-0-2-0: sink 2 s, stand 2 s' with the move's own words for its phases; each side's where they differ."""
    tempos = list(dict.fromkeys(_tempo(cell, bout) for bout in cell.bouts))
    if len(tempos) == 1:
        return tempos[0]
    return "; ".join(f"{bout.side} {_tempo(cell, bout)}" for bout in cell.bouts)


def _tempo(cell: Cell, bout: Bout) -> str:
    if bout.tempo.is_hold:
        return "held still, breathing"
    tempo = bout.tempo
    lengths = (tempo.lower_ms, tempo.bottom_ms, tempo.rise_ms, tempo.top_ms)
    phases = zip(cell.rung.form.phases, lengths, strict=False)
    phase_words = ", ".join(f"{name} {length / 1000:g}\u00a0s" for name, length in phases if length)
    form = cell.rung.form
    pulses = [f"{form.pulses} pulses at the {form.rests.other}"] if form.pulses else []
    extra = [f"then a {form.extra}, {form.extra_ms / 1000:g}\u00a0s"] if form.extra_ms else []
    music = [_count_words(bout, cell.beats_a_minute)] if cell.beats_a_minute else []
    return ", ".join([f"{tempo}: {phase_words}", *pulses, *extra, *music])


def _count_words(bout: Bout, beats_a_minute: float) -> str:
    return f"{counts_a_rep(bout, beats_a_minute):.3g} counts at {beats_a_minute:g} beats a minute"


def load_words(cell: Cell) -> str:
    """What is held, how, and in which of the participant's hands; '' when nothing is."""
    loads = {str(bout.load): bout.load for bout in cell.bouts}
    if len(loads) == 1:
        load = cell.bouts[0].load
        return f"{_load(load)}{_hands(cell)}" if load else ""
    return "; ".join(f"{bout.side} side: {_load(bout.load) if bout.load else 'no load'}" for bout in cell.bouts)


def _load(load: Load) -> str:
    if load.band:
        return str(load.band)
    pieces = [mass_words(piece) for piece in load.pieces]
    weights = f"two of {pieces[0]} each" if len(pieces) == 2 and load.is_matched else " and ".join(pieces)
    return f"{weights}, {load.carry}" if load.carry else weights


def _hands(cell: Cell) -> str:
    """': right hand, then left hand' for a load that one hand carries."""
    hands = [bout.load_side for bout in cell.bouts if bout.load_side not in (None, Side.BOTH)]
    return f": {', then '.join(f'{hand} hand' for hand in hands)}" if hands else ""


def mass_words(mass: Mass) -> str:
    return mass.both_units


def other_kit(cell: Cell) -> tuple[KitItem, ...]:
    """Ball, chair, wall and the like, and a band that works without being a load; the load is said by itself."""
    with_grade = any(bout.load and bout.load.band for bout in cell.bouts)
    elsewhere = {item for item in KitItem if item.has_mass or (item.has_grade and with_grade) or item is KitItem.MAT}
    return tuple(need.item for need in cell.rung.kit if need.item not in elsewhere)


def place_words(places: Iterable[Location]) -> str:
    """Where a finding stands, as a coach says it: 'Main One, Two: lunge' for 'Main / One, Two / lunge'."""
    words = location_words(places, _row_words)
    return upper_first(words)


def _row_words(row: Row) -> str:
    *around, last = row
    return f"{' '.join(around)}: {last}" if around else last


def cut_words(cells: Sequence[Cell], talks: Sequence[str] = ()) -> str:
    """Sets that go, and blocks of talk, as people know them: 'Hip hinge and Split squat of round Three; Notices'."""
    moves: dict[str, list[str]] = {}
    for cell in cells:
        moves.setdefault(_round_words(cell.ref), []).append(cell.move.name)
    return "; ".join([*(f"{and_list(names)} of {around}" for around, names in moves.items()), *talks])


def _round_words(ref: Ref) -> str:
    if ref.round == ref.block:
        return ref.block
    return ref.round if ref.round.lower().startswith("round") else f"round {ref.round}"
