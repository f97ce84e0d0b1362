"""Write a contact sheet of the line figure: every test pose from three views, large and at 2 cm, as one HTML page.

Usage: python scripts/figure_sheet.py sheet.html
"""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "publish"))

import figure_poses as poses

from everyrung.body.bodies import body_model
from everyrung.body.configuration import Configuration
from everyrung.publish.figure.draw import Picture, Pose, figure_svg, sequence_svg
from everyrung.publish.figure.geometry import FRONT, SIDE, THREE_QUARTER
from everyrung.terms.person import BodySize, Sex

VIEWS = {"side": SIDE, "front": FRONT, "three-quarter": THREE_QUARTER}


def every_pose(configuration: Configuration) -> dict[str, Pose]:
    found = {name: Pose(body=make(configuration), props=(poses.FLOOR,)) for name, make in poses.POSES.items()}
    squat, kneel = poses.half_squat(configuration), poses.split_kneel(configuration)
    start = poses.standing(configuration)
    found["half squat, ghost"] = Pose(body=squat, props=(poses.FLOOR,), start=start)
    found["split kneel, dumbbells"] = Pose(body=kneel, props=poses.with_dumbbells(kneel))
    for name, make_with in (("chair", poses.seated), ("ball", poses.wall_ball), ("step", poses.stepping)):
        body, props = make_with(configuration)
        found[name] = Pose(body=body, props=props)
    return found


def rep(configuration: Configuration) -> list[Pose]:
    made = (("Stand", poses.standing), ("Lower", poses.half_squat), ("Rise", poses.arms_forward))
    return [Pose(body=make(configuration), props=(poses.FLOOR,), label=label) for label, make in made]


def page(configuration: Configuration) -> str:
    rows = []
    for name, pose in every_pose(configuration).items():
        cells = []
        for said, view in VIEWS.items():
            for height_mm in (90.0, 20.0):
                picture = Picture(title=f"{name}, {said}", view=view, height_mm=height_mm, max_width_mm=height_mm * 1.5)
                cells.append(figure_svg(pose, picture))
        rows.append(f"<p>{name}<br>{''.join(cells)}</p>")
    rows.append(sequence_svg(rep(configuration), Picture(title="A squat", height_mm=60.0)))
    rows.append(sequence_svg(rep(configuration), Picture(title="A squat", height_mm=20.0)))
    return "<!doctype html><meta charset=utf-8><title>Figures</title>" + "\n".join(rows)


def main() -> None:
    configuration = Configuration(body_model(BodySize(sex=Sex.FEMALE, stature_m=1.63, mass_kg=62.0)))
    Path(sys.argv[1]).write_text(page(configuration), encoding="utf-8")


if __name__ == "__main__":
    main()
