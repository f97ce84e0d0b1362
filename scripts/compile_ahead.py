"""Has numba turn the body engine into machine code, half a minute once, before several tests ask for it at once.

python scripts/compile_ahead.py      (`python3 run.py test` does it beside the rest of its setting up)
"""

from everyrung.body.mechanics import Job, demand_of
from everyrung.moves.library import standard_library
from everyrung.terms.person import BodySize, Sex

SIZE = BodySize(sex=Sex.FEMALE, stature_m=1.65, mass_kg=62.0)
RUNGS = ("squat/base", "side-plank/knees")  # one that moves, one that is held: between them every function is called


def main() -> None:
    library = standard_library()
    for rung in RUNGS:
        form = library.rung(*rung.split("/")).form
        demand_of(Job(form=form, layer=library.pose(form), size=SIZE, load=None))


if __name__ == "__main__":
    main()
