"""A rung's form for one body: what is held and how hard a band pulls, from what the form and the coach say."""

from everyrung.body.bodies import body_model
from everyrung.body.posing import PoseProblem
from everyrung.terms.amount import Load
from everyrung.terms.body import BodySize
from everyrung.terms.move import Form
from everyrung.terms.pose import Layer
from everyrung.terms.vocabulary import BandGrade, LoadNeed, Side, Surface

USUAL_PIECE_KG = 4.54  # chosen, because a plan that names no load is most often done with 10 lb
BALL_KG = 1.0  # from memory: balls of 55 to 65 cm have about 0.9 to 1.4 kg
BAND_N = {BandGrade.LIGHT: 20.0, BandGrade.MEDIUM: 40.0, BandGrade.HEAVY: 70.0}  # from memory: at double its length
PIECES = {LoadNeed.ONE: 1, LoadNeed.PAIR: 2}
HELD_BALLS = (Surface.BALL_FRONT, Surface.BALL_OVERHEAD)


def pose_problem(
    form: Form, layer: Layer, size: BodySize, load: Load | None = None, working: Side = Side.RIGHT
) -> PoseProblem:
    """The pose of `form` for a body of this size with this load; without one, with the form's own or the usual."""
    taken = load or form.amount
    return PoseProblem(
        layer=layer,
        body=body_model(size),
        stature_m=size.stature_m,
        range_share=form.range_share,
        working=working,
        surface=form.surface,
        load_kg=_held_kg(form, taken),
        pieces=PIECES.get(form.load, 0),
        band_n=BAND_N[_grade(form, taken)] if _has_band(form) else 0.0,
    )


def _held_kg(form: Form, load: Load | None) -> float:
    """All that is held: the pieces, or the usual ones where the rung asks for some, and a ball."""
    ball = BALL_KG if form.surface in HELD_BALLS else 0.0
    usual = PIECES.get(form.load, 0) * USUAL_PIECE_KG
    return ball + (load.total_kg if load and load.pieces else usual)


def _grade(form: Form, load: Load | None) -> BandGrade:
    return (load.band if load else None) or form.band or BandGrade.MEDIUM


def _has_band(form: Form) -> bool:
    return form.surface is Surface.BAND or form.load is LoadNeed.BAND
