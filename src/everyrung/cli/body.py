"""What a rung asks of one body: joint moments, muscles, supports, trunk, balance and power, computed from its pose."""

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING

from everyrung.cli.arg_types import body_mass, piece, stature

if TYPE_CHECKING:
    from everyrung.body.mechanics import Job
    from everyrung.terms.move import Rung

EPILOG = (
    "A model of an ordinary body, not of a person: strengths differ by a fifth between people of one size. "
    "A planning aid, not medical advice. Exit 1: this body can't do the rung as described."
)
USUAL_BMI = 23.0  # chosen, because it is the middle of what the WHO calls normal


def arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `body`."""
    parser.add_argument("move", metavar="MOVE", help="a move of the library, as `everyrung moves` lists them")
    parser.add_argument("rung", metavar="RUNG", nargs="?", default="base", help="one of its rungs (default: base)")
    parser.add_argument("--sex", choices=("female", "male"), default="female", help="whose tables (default: female)")
    parser.add_argument("--stature", type=stature, metavar="LENGTH", default=1.65, help='such as 165cm or "5 ft 5 in"')
    parser.add_argument("--mass", type=body_mass, metavar="MASS", help="such as 62kg (default: usual for the stature)")
    parser.add_argument("--load", type=piece, metavar="MASS", help="each piece that the rung holds, such as 10lb")
    parser.add_argument("--compare", metavar="RUNG", help="another rung of the move, set beside it")
    parser.add_argument("--figure", type=Path, metavar="SVG", help="draw a repetition there")
    parser.add_argument("--json", action="store_true", help="print the result as JSON")


def run(parsed: argparse.Namespace) -> int:
    """Prints the demand of one rung, or of two side by side."""
    from everyrung.body.mechanics import demands, in_job_order
    from everyrung.cli import CLEAN, FINDINGS
    from everyrung.cli.body_words import compared_lines, compared_values, demand_lines
    from everyrung.moves.library import standard_library
    from everyrung.store.cache import default_cache

    library = standard_library()
    rungs = [library.rung(parsed.move, name) for name in (parsed.rung, parsed.compare) if name]
    jobs = [_job(rung, parsed) for rung in rungs]
    found = in_job_order(demands(jobs, default_cache()))
    if parsed.figure:
        _write_figure(rungs[0], jobs[0], parsed.figure)
    if parsed.json:
        from everyrung.results.body_demand import demand_values

        values = [demand_values(rung, one) for rung, one in zip(rungs, found, strict=True)]
        shown = values[0] if len(found) == 1 else {"rungs": values, "measures": compared_values(*found)}
        print(json.dumps(shown, indent=2, ensure_ascii=False))
    elif len(found) == 1:
        print("\n".join(demand_lines(rungs[0], found[0])))
    else:
        print("\n".join(compared_lines(rungs, found)))
    return CLEAN if all(one.held for one in found) else FINDINGS


def _job(rung: "Rung", parsed: argparse.Namespace) -> "Job":
    from everyrung.body.mechanics import Job
    from everyrung.moves.library import standard_library
    from everyrung.terms.enums import LoadNeed
    from everyrung.terms.errors import Invalid
    from everyrung.terms.person import BodySize, Sex
    from everyrung.terms.units import Load

    kg = parsed.mass or round(USUAL_BMI * parsed.stature**2, 1)
    size = BodySize(sex=Sex(parsed.sex), stature_m=parsed.stature, mass_kg=kg)
    pieces = {LoadNeed.ONE: 1, LoadNeed.PAIR: 2}.get(rung.form.load, 0)
    if parsed.load and not pieces and not parsed.compare:
        remedy = "Leave it out, or choose a rung with a load."
        raise Invalid("--load", f"no load, for {rung.address} holds none", str(parsed.load), remedy=remedy)
    load = Load(pieces=(parsed.load,) * pieces) if parsed.load and pieces else None
    return Job(form=rung.form, layer=standard_library().pose(rung.form), size=size, load=load)


def _write_figure(rung: "Rung", job: "Job", path: Path) -> None:
    from everyrung.body.mechanics import drawings, in_job_order
    from everyrung.publish.figure.rung import rep_svg
    from everyrung.store.atomic import replace_text

    replace_text(path, rep_svg(rung, in_job_order(drawings([job]))[0]))
