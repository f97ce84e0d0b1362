"""What a rung holds: pieces, a ball, a band; by its form and the load that the coach says."""

from everyrung.terms.enums import BandGrade, LoadNeed, Surface
from everyrung.terms.move import Form
from everyrung.terms.units import Load, Mass, MassUnit

USUAL_PIECE_KG = 4.54  # chosen, because a plan that names no load is most often done with 10 lb
# Of each piece: as good as nothing, and 1, 2 and 4 times the usual, between which demands are taken linearly. Chosen,
# because up to twice the usual the hardest joint is then within 1 point of its strength, up to 20 kg within 3.
NODE_PIECES_KG = (0.01, USUAL_PIECE_KG, 2 * USUAL_PIECE_KG, 4 * USUAL_PIECE_KG)
BALL_KG = 1.0  # from memory: balls of 55 to 65 cm have about 0.9 to 1.4 kg
# At double its length, from which the pull goes with the stretch (from memory, for long bands nearly so between half as
# long again and double). A mini band is short and thick: as much, chosen, because no source was found.
BAND_N = {
    BandGrade.LIGHT: 20.0, BandGrade.MEDIUM: 40.0, BandGrade.HEAVY: 70.0,
    BandGrade.MINI_LIGHT: 20.0, BandGrade.MINI_MEDIUM: 40.0, BandGrade.MINI_HEAVY: 70.0,
}  # fmt: skip
USUAL_GRADE = {LoadNeed.MINI_BAND: BandGrade.MINI_MEDIUM}  # of the others a medium one; chosen, as the middle of three
HELD_BALLS = (Surface.BALL_FRONT, Surface.BALL_OVERHEAD)


def held_kg(form: Form, load: Load | None) -> float:
    """All that is held: the pieces, or the usual ones where the rung asks for some, and a ball. Without either 0.

    >>> from everyrung.moves.library import standard_library
    >>> [held_kg(standard_library().rung("squat", rung).form, None) for rung in ("base", "goblet")]
    [0.0, 4.54]
    """
    ball = BALL_KG if form.surface in HELD_BALLS else 0.0
    usual = form.load.pieces * USUAL_PIECE_KG
    return ball + (load.total_kg if load and load.pieces else usual)


def node_loads(form: Form, load: Load | None) -> tuple[Load | None, ...]:
    """The loads that a rung is computed with: those of the nodes where it holds pieces, else the one it has."""
    pieces = form.load.pieces
    if not pieces:
        return (load,)
    return tuple(Load(pieces=(Mass(amount=kg, unit=MassUnit.KG),) * pieces) for kg in NODE_PIECES_KG)


def band_grade(form: Form, load: Load | None) -> BandGrade:
    """How strong a band is: as the load says, else as the form does, else a medium one."""
    return (load.band if load else None) or form.band or USUAL_GRADE.get(form.load, BandGrade.MEDIUM)


def has_band(form: Form) -> bool:
    """Whether the form's surface or its load says that one is pulled."""
    return form.surface is Surface.BAND or form.load.is_band
