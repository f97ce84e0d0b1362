"""Derive tables/body_proportions.csv from the raw ANSUR II files: means, percentiles, regressions on stature.

    python scripts/derive_ansur.py FOLDER_WITH_ansur2_female.csv_AND_ansur2_male.csv

The raw files (one row a soldier) stay outside this project; only the derived statistics are kept.
"""

import csv
import sys
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

TABLE = Path(__file__).parents[1] / "src" / "everyrung" / "tables" / "body_proportions.csv"
HEAD = """\
# source: Gordon and others 2014, ANSUR II, NATICK/TR-15/007 (public release); derived by scripts/derive_ansur.py
# place: barefoot soldiers of 17 to 58 years, 1,986 women and 4,082 men; every row of the public files
# units: mm (mass: kg); slope per mm of stature, intercept and see (residual standard deviation) in the row's unit
# copied: 2026-11-25
# checked: tests/published/test_anthropometry.py, against values read from the raw files by another script
"""
COLUMNS = "sex,measure,count,mean,sd,p05,p50,p95,slope,intercept,see,r"
MEASURES = {
    "stature": "stature",
    "mass": "weightkg",
    "cervicale_height": "cervicaleheight",
    "suprasternale_height": "suprasternaleheight",
    "acromial_height": "acromialheight",
    "omphalion_height": "waistheightomphalion",
    "trochanterion_height": "trochanterionheight",
    "lateral_femoral_epicondyle_height": "lateralfemoralepicondyleheight",
    "lateral_malleolus_height": "lateralmalleolusheight",
    "knee_height_midpatella": "kneeheightmidpatella",
    "popliteal_height": "poplitealheight",
    "sitting_height": "sittingheight",
    "buttock_knee_length": "buttockkneelength",
    "shoulder_elbow_length": "shoulderelbowlength",
    "acromion_radiale_length": "acromionradialelength",
    "radiale_stylion_length": "radialestylionlength",
    "forearm_hand_length": "forearmhandlength",
    "forearm_grip_length": "forearmcenterofgriplength",
    "hand_length": "handlength",
    "span": "span",
    "biacromial_breadth": "biacromialbreadth",
    "bicristal_breadth": "bicristalbreadth",
    "hip_breadth": "hipbreadth",
    "foot_length": "footlength",
    "ball_of_foot_length": "balloffootlength",
    "foot_breadth": "footbreadthhorizontal",
    "head_length": "headlength",
    "chest_depth": "chestdepth",
    "waist_depth": "waistdepth",
    "buttock_depth": "buttockdepth",
}


def survey(folder: Path, sex: str) -> dict[str, NDArray[np.float64]]:
    """The survey's columns by our measure names; the raw weight is in tenths of a kg, lengths are in mm."""
    with (folder / f"ansur2_{sex}.csv").open(encoding="latin-1", newline="") as file:
        rows = list(csv.DictReader(file))
    found = {name: np.array([float(row[column]) for row in rows]) for name, column in MEASURES.items()}
    return found | {"mass": found["mass"] / 10}


def line(sex: str, measure: str, values: NDArray[np.float64], stature: NDArray[np.float64]) -> str:
    """One row of the table: spread, and the least-squares line on stature."""
    slope, intercept = np.polyfit(stature, values, 1)
    residual = values - slope * stature - intercept
    see = float(np.sqrt(residual @ residual / (len(values) - 2)))
    r = float(np.corrcoef(stature, values)[0, 1])
    low, middle, high = np.percentile(values, (5, 50, 95))
    spread = f"{values.mean():.2f},{values.std(ddof=1):.2f},{low:.1f},{middle:.1f},{high:.1f}"
    return f"{sex},{measure},{len(values)},{spread},{slope:.5f},{intercept + 0.0:.2f},{see:.2f},{r:.3f}"


def main(folder: Path) -> None:
    lines = [COLUMNS]
    for sex in ("female", "male"):
        columns = survey(folder, sex)
        lines += [line(sex, name, columns[name], columns["stature"]) for name in MEASURES]
    TABLE.write_text(HEAD + "\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
