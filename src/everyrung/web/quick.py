"""Short tasks for the background: a rung's picture. Run in a process of their own."""

from everyrung.body.mechanics import Failed, Job, drawings
from everyrung.body.session import DRAWN
from everyrung.moves.library import standard_library
from everyrung.publish.figure.rung import rung_svg
from everyrung.store.cache import default_cache
from everyrung.terms.amount import Load
from everyrung.terms.fault import Invalid
from everyrung.terms.move import Rung

FIGURE_MM = 30.0  # chosen, because it is the height of a cell's picture on screen


def figure(rung: Rung, load: Load | None) -> str | None:
    """The rung's picture as SVG; None for a rung that no body can be put into."""
    try:
        job = Job(form=rung.form, layer=standard_library().pose(rung.form), size=DRAWN, load=load)
    except Invalid:
        return None
    _, drawn = next(iter(drawings([job], default_cache())))
    return None if isinstance(drawn, Failed) else rung_svg(rung, drawn, height_mm=FIGURE_MM)
