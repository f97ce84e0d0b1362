"""The two choices that published checks decide, once for all moves: python docs/accuracy/two_choices.py

The friction weight (how dear it is to push sideways against a support) and the power of force in a muscle's weight.
Checks 1, 3, 5, ... of the first 18 of studies.py decide, the others are only reported; fixed before looking, and what
was added after looking is reported too. The choice: most deciding
checks met; among equals the greater sum of margins, each cut to 0.2 either way; nothing else.
"""

import os

os.environ.setdefault("OMP_NUM_THREADS", "1")

import studies

from everyrung.body import sharing

FRICTION_WEIGHTS = (0.1, 1.0, 10.0, 100.0)
FORCE_POWERS = (0.0, 0.5, 1.0, 1.5, 2.0)
CUT = 0.2
FIRST = 18


def results(friction: float, power: float) -> list[studies.Found]:
    sharing.FRICTION_WEIGHT, sharing.FORCE_POWER = friction, power
    return [study.ask() for study in studies.STUDIES]


def score(found: list[studies.Found]) -> tuple[int, float]:
    deciding = found[:FIRST:2]
    return sum(one.met for one in deciding), sum(max(-CUT, min(CUT, one.margin)) for one in deciding)


def main() -> None:
    chosen, best, every = (sharing.FRICTION_WEIGHT, sharing.FORCE_POWER), (-1, 0.0), {}
    print("| friction weight | force power | deciding half met | sum of margins | reported half met |")
    print("|---|---|---|---|---|")
    for friction in FRICTION_WEIGHTS:
        for power in FORCE_POWERS:
            every[friction, power] = found = results(friction, power)
            met, margins = score(found)
            reported = sum(one.met for one in found) - met
            halves = f"{met} of {FIRST // 2} | {margins:+.2f} | {reported} of {len(found) - FIRST // 2}"
            print(f"| {friction:g} | {power:g} | {halves} |", flush=True)
            if (met, margins) > best:
                chosen, best = (friction, power), (met, margins)
    print(f"\nChosen: friction weight {chosen[0]:g}, force power {chosen[1]:g}.\n")
    print("| check | published | model | met | half |\n|---|---|---|---|---|")
    for place, (study, one) in enumerate(zip(studies.STUDIES, every[chosen], strict=True)):
        half = "deciding" if place < FIRST and place % 2 == 0 else "reported"
        print(f"| {study.key} | {study.published} | {one.numbers} | {'yes' if one.met else '**no**'} | {half} |")


if __name__ == "__main__":
    main()
