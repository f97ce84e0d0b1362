"""How far two degrees of posture move the measures of a rung: python docs/accuracy/pose_error.py

Every angle and line that a pose names is moved by a normal error of 2 degrees, all at once, twenty times a rung; what
is printed is the standard deviation of each measure, of its value (balance in mm). checks/difficulty.py takes its
errors from here.
"""

import os
from dataclasses import replace

os.environ.setdefault("OMP_NUM_THREADS", "1")

import numpy as np

from everyrung.body.pose_problem import pose_problem
from everyrung.body.rung_demand import rung_demand
from everyrung.moves.library import standard_library
from everyrung.terms.demand import RungDemand
from everyrung.terms.person import BodySize, Sex
from everyrung.terms.pose import Layer, Line, Span

SIZE = BodySize(sex=Sex.FEMALE, stature_m=1.65, mass_kg=62.0)
ERROR_DEG, DRAWS = 2.0, 20
RUNGS = (
    "squat/base", "squat/goblet", "split-squat/base", "split-squat/pair", "hip-hinge/pair", "one-leg-hinge/base",
    "bridge/base", "bridge/one-foot", "push-up/knees", "overhead-press/pair", "bent-row/pair", "ball-wall-squat/base",
)  # fmt: skip


def moved(span: Span, by: float) -> Span:
    return Span(rest=span.rest + by, full=span.full + by)


def wrong(layer: Layer, draw: np.random.Generator) -> Layer:
    """The pose with an error in every angle and every line."""
    angles = {name: moved(span, draw.normal(0, ERROR_DEG)) for name, span in layer.angles.items() if span}
    lines = {
        name: Line(pitch=moved(line.pitch, draw.normal(0, ERROR_DEG)), out=line.out)
        for name, line in layer.lines.items()
        if line
    }
    return replace(layer, angles=angles, lines=lines)


def measures(one: RungDemand) -> dict[str, float]:
    hardest, busiest = one.hardest, max(each.peak for each in one.groups)
    together = float(np.sqrt(sum(each.fraction**2 for each in one.motions)))
    return {
        "joint": hardest.fraction if hardest else 0.0, "muscle": busiest, "together": together,
        "trunk": one.trunk_nm, "balance": 1000 * (one.balance_m or 0.0), "work": one.work_j,
    }  # fmt: skip


def main() -> None:
    library, draw, every = standard_library(), np.random.default_rng(7), []
    print("| rung | hardest joint | hardest muscle | all joints | trunk moment | balance, mm | work lifted |")
    print("|---|---|---|---|---|---|---|")
    for name in RUNGS:
        form = library.rung(*name.split("/")).form
        given = pose_problem(form, library.pose(form), SIZE)
        right = measures(rung_demand(given, SIZE, form.tempo))
        draws = [
            measures(rung_demand(replace(given, layer=wrong(given.layer, draw)), SIZE, form.tempo))
            for _ in range(DRAWS)
        ]
        spread = {key: float(np.std([each[key] for each in draws])) for key in right}
        every.append({key: spread[key] / (1.0 if key == "balance" else max(right[key], 1e-9)) for key in right})
        print(f"| {name} | " + " | ".join(shown(key, every[-1][key]) for key in right) + " |", flush=True)
    middle = {key: float(np.median([each[key] for each in every])) for key in every[0]}
    print("| **median** | " + " | ".join(shown(key, value) for key, value in middle.items()) + " |")


def shown(key: str, value: float) -> str:
    return f"{value:.1f}" if key == "balance" else f"{value:.1%}"


if __name__ == "__main__":
    main()
