"""For a researcher: each set of a plan before several audiences, as CSV with the band of its error.

python examples/audiences.py examples/boathouse-30.toml --count 2000 > shares.csv

Bodies that were not computed before start processes, which read this script anew: hence its guard below.
"""

import argparse
import csv
import sys

import everyrung as er

COLUMNS = ["mix", "ref", "kind", "rung", "finishing", "finishing_low", "finishing_high", "limiting"]


def main(path: str, mixes: list[str], count: int) -> None:
    plan = er.load_plan(path)
    writer = csv.DictWriter(sys.stdout, COLUMNS, extrasaction="ignore")
    writer.writeheader()
    for mix in mixes:
        for row in er.rehearse(plan, mix=mix, count=count).rows("rungs"):
            writer.writerow({"mix": mix, **row})


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description="Each set of a plan before several audiences, as CSV.")
    parser.add_argument("plan")
    parser.add_argument("--mixes", nargs="+", default=["boathouse", "open-class", "over-sixty"])
    parser.add_argument("--count", type=int, default=2000)
    parsed = parser.parse_args()
    try:
        main(parsed.plan, parsed.mixes, parsed.count)
    except (er.Faults, er.Invalid) as problem:
        sys.exit(str(problem))
