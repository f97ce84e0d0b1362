"""For a researcher: a move's ladder on bodies of several sizes, as CSV: what limits each, and how near it comes.

python examples/ladder.py squat > squat.csv
python examples/ladder.py overhead-press --load "10 lb" --bodies "female 1.65 62" "male 1.80 80"

Bodies that were not computed before start processes, which read this script anew: hence its guard below.
"""

import argparse
import csv
import sys

import everyrung as er


def main(move: str, load: str | None, bodies: list[str]) -> None:
    writer = csv.writer(sys.stdout)
    writer.writerow(["rung", "grade", "sex", "stature_m", "mass_kg", "motion", "moment_nm", "fraction", "held"])
    for rung in er.library().move(move).ladder:
        for words in bodies:
            sex, stature_m, mass_kg = words.split()
            body = er.BodySize(sex=sex, stature_m=float(stature_m), mass_kg=float(mass_kg))
            one = er.demand(rung, body, load=load if rung.form.load in ("one", "pair") else None).demand
            row = [rung.address, rung.grade, sex, stature_m, mass_kg, one.hardest.motion]
            writer.writerow([*row, f"{one.hardest.moment_nm:.1f}", f"{one.hardest.fraction:.3f}", one.feasible])


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description="A move's ladder on bodies of several sizes, as CSV.")
    parser.add_argument("move")
    parser.add_argument("--load", help="each piece that a rung holds, such as '10 lb'")
    parser.add_argument("--bodies", nargs="+", default=["female 1.55 55", "female 1.70 75", "male 1.80 85"])
    parsed = parser.parse_args()
    try:
        main(parsed.move, parsed.load, parsed.bodies)
    except er.Invalid as problem:
        sys.exit(str(problem))
