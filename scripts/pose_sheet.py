"""Write the poses of moves as one HTML page: every rung at rest and at full depth, from the side and the front.

Usage: python scripts/pose_sheet.py sheet.html MOVE [MOVE/RUNG ...] [--stature-cm 165] [--mass-kg 62]
"""

import argparse
from pathlib import Path

from everyrung.body.configuration import Configuration
from everyrung.body.demand import demand
from everyrung.body.figure_points import skeleton, things
from everyrung.body.pose_problem import PoseProblem, pose_problem
from everyrung.body.trajectory import PoseAtDepth, solve_depths
from everyrung.moves.library import standard_library
from everyrung.publish.figure.draw import Picture, Pose, figure_svg
from everyrung.publish.figure.geometry import FRONT, SIDE, THREE_QUARTER
from everyrung.terms.demand import Demand
from everyrung.terms.errors import Invalid
from everyrung.terms.move import Rung
from everyrung.terms.person import BodySize, Sex

VIEWS = {"side": SIDE, "front": FRONT, "three-quarter": THREE_QUARTER}
HEIGHT_MM = 42.0


def drawn(given: PoseProblem, one: PoseAtDepth, start: PoseAtDepth | None) -> str:
    configuration = Configuration(given.body, one.q_ind)
    body, props = skeleton(configuration, given, one.depth), things(configuration, given)
    ghost = skeleton(Configuration(given.body, start.q_ind), given, start.depth) if start else None
    pose = Pose(body=body, props=props, start=ghost)
    return "".join(
        figure_svg(pose, Picture(title=name, view=view, height_mm=HEIGHT_MM, max_width_mm=HEIGHT_MM * 1.5))
        for name, view in VIEWS.items()
    )


def facts(found: Demand) -> str:
    hardest = sorted((one for one in found.moments if one.fraction), key=lambda one: -(one.fraction or 0))[:4]
    lines = [f"{one.motion} {one.moment_nm:.0f} N m {one.fraction:.0%}" for one in hardest]
    lines += [", ".join(f"{one.contact} {one.normal_n:.0f} N" for one in found.reactions)]
    lines += [f"NOT HELD: {short}" for short in found.shortfalls]
    lines += [f"balance {found.balance.still_m * 1000:.0f} mm"] if found.balance else []
    return "<br>".join(lines)


def row(rung: Rung, size: BodySize) -> str:
    form = rung.form
    try:
        given = pose_problem(form, standard_library().pose(form), size)
    except Invalid as problem:
        return f"<p><b>{rung.address}</b> {problem}</p>"
    solved = solve_depths(given, hold=form.tempo.is_hold)
    cells = []
    for one, start in ((solved[0], None), (solved[-1], solved[0])):
        configuration = Configuration(given.body, one.q_ind)
        found = demand(
            configuration, given.contacts(one.depth), given.held_loads(one.depth), None, given.pulls(one.depth)
        )
        off = "<br>".join(f"OFF {misfit}" for misfit in one.misfits)
        settled = "" if one.has_converged else "<br>NOT SETTLED"
        cells.append(f"<td>{drawn(given, one, start)}<br><small>{facts(found)}<br>{off}{settled}</small></td>")
    return f"<tr><th>{rung.address}<br>{rung.name}</th></tr><tr>{''.join(cells)}</tr>"


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("out", type=Path)
    parser.add_argument("moves", nargs="+")
    parser.add_argument("--stature-cm", type=float, default=165.0)
    parser.add_argument("--mass-kg", type=float, default=62.0)
    given = parser.parse_args()
    size = BodySize(sex=Sex.FEMALE, stature_m=given.stature_cm / 100, mass_kg=given.mass_kg)
    library, rows = standard_library(), []
    for name in given.moves:
        move, _, rung = name.partition("/")
        rungs = [library.rung(move, rung)] if rung else library.move(move).ladder
        rows += [row(each, size) for each in rungs if each.form.move == move or rung]
    table = f"<table style='font:11px sans-serif'>{''.join(rows)}</table>"
    given.out.write_text(f"<!doctype html><meta charset=utf-8><title>Poses</title>{table}", encoding="utf-8")


if __name__ == "__main__":
    main()
