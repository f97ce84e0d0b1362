"""Doses, sides, tempos and loads in a coach's words."""

from everyrung.terms.amount import Load, Mass, clock_text
from everyrung.terms.session import Bout, Cell
from everyrung.terms.vocabulary import KitItem, Side, Sidedness, View

VIEW_WORDS = {
    View.FACING: "Left is the participant's left; facing them you move your right.",
    View.BACK_TURNED: "Left is the participant's left; with your back to them you move your own left.",
    View.FILMED: "Left is the participant's left; filmed from the front, not flipped, you move your right, "
    "and lettering on your shirt reads correctly.",
    View.FILMED_FLIPPED: "Left is the participant's left; filmed and flipped you move your own left, "
    "and lettering on your shirt reads backwards.",
}


def dose_words(cell: Cell) -> str:
    """What is really done, levers and all: '8 a side', '8 left, 10 right', '12 in all', '0:30 held'."""
    first, *rest = (amount_words(bout) for bout in cell.bouts)
    if any(bout.side is not Side.BOTH for bout in cell.bouts):
        if rest and all(each == first for each in rest):
            return f"{first} a side"
        return ", ".join(f"{amount_words(bout)} {bout.side}" for bout in cell.bouts)
    if cell.rung.form.sides is Sidedness.ALTERNATING and cell.bouts[0].reps:
        return f"{first} in all"
    return first


def amount_words(bout: Bout) -> str:
    """Repetitions; with the time where a timed bout leaves some over; a hold by its time."""
    if not bout.reps:
        return f"{clock_text(bout.duration_ms)} held"
    if bout.duration_ms == bout.reps * bout.rep_ms:
        return f"{bout.reps} reps"
    return f"{bout.reps} reps in {clock_text(bout.duration_ms)}"


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
    said = ", ".join(f"{name} {length / 1000:g}\u00a0s" for name, length in phases if length)
    pulses = cell.rung.form.pulses
    return f"{tempo}: {said}" + (f", {pulses} pulses at the bottom" if pulses else "")


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
    said = f"two of {pieces[0]} each" if len(pieces) == 2 and load.matched else " and ".join(pieces)
    return f"{said}, {load.carry}" if load.carry else said


def _hands(cell: Cell) -> str:
    """': right hand, then left hand' for a load that one hand carries."""
    hands = [bout.load_side for bout in cell.bouts if bout.load_side not in (None, Side.BOTH)]
    return f": {', then '.join(f'{hand} hand' for hand in hands)}" if hands else ""


def mass_words(mass: Mass) -> str:
    return mass.both_units


def other_kit(cell: Cell) -> str:
    """Ball, chair, wall and the like; what is held is said with the load."""
    return ", ".join(
        str(need.item) for need in cell.rung.kit if need.item not in (KitItem.DUMBBELLS, KitItem.BAND, KitItem.MAT)
    )


def joined(words: list[str]) -> str:
    """'a, b and c'."""
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)
