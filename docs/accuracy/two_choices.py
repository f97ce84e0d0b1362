"""The two choices that published checks decide, once for all moves: python docs/accuracy/two_choices.py

The friction weight (how dear it is to push sideways against a support) and the power of force in a muscle's weight.
Checks 1, 3, 5, ... of the first 16 of studies.py decide, the others are only reported; fixed before looking, and what
was added after looking is reported too. (They were 18 until JM03, which decided, and JM04, which did not, were seen to
be beyond a static model; all others kept their half.) The choice: most deciding
checks met; among equals the greater sum of margins, each cut to 0.2 either way; nothing else.
body/static_optimization.py has what is chosen; tests/published/test_two_choices.py holds the two together.
"""

import os

os.environ.setdefault("OMP_NUM_THREADS", "1")

import re
from collections.abc import Iterator, Mapping

import studies

from everyrung.body import static_optimization

FRICTION_WEIGHTS = (0.1, 1.0, 10.0, 100.0)
FORCE_POWERS = (0.0, 0.5, 1.0, 1.5, 2.0)
CUT = 0.2
FIRST = 16
HEAD = "| friction weight | force power | deciding half met | sum of margins | reported half met |"
ROW = re.compile(r"^\| ([\d.]+) \| ([\d.]+) \| (\d+) of \d+ \| ([+-][\d.]+) \| \d+ of \d+ \|$", re.MULTILINE)

Pair = tuple[float, float]  # friction weight, force power
Score = tuple[int, float]  # deciding checks met, sum of their margins


def results(friction: float, power: float) -> list[studies.Found]:
    """What every check comes to with these two, which hold from then on."""
    static_optimization.FRICTION_WEIGHT, static_optimization.FORCE_POWER = friction, power
    return [study.ask() for study in studies.STUDIES]


def score(found: list[studies.Found]) -> Score:
    """To two digits, as the page shows it."""
    deciding = found[:FIRST:2]
    margins = sum(max(-CUT, min(CUT, one.margin)) for one in deciding)
    return sum(one.met for one in deciding), round(margins, 2)


def row(pair: Pair, found: list[studies.Found]) -> str:
    """One line of the page's table."""
    met, margins = score(found)
    reported = sum(one.met for one in found) - met
    halves = f"{met} of {FIRST // 2} | {margins:+.2f} | {reported} of {len(found) - FIRST // 2}"
    return f"| {pair[0]:g} | {pair[1]:g} | {halves} |"


def recorded(page: str) -> dict[Pair, Score]:
    """The table of a page, read back."""
    table = page.split(HEAD)[1].split("\n\n")[0]
    return {
        (float(friction), float(power)): (int(met), float(margins))
        for friction, power, met, margins in ROW.findall(table)
    }


def choice(scores: Mapping[Pair, Score]) -> Pair:
    """The rule: of equals, the first tried."""
    return max(scores, key=lambda pair: scores[pair])


def tried() -> Iterator[tuple[Pair, list[studies.Found]]]:
    """Every pair with what the checks come to; what body/static_optimization.py has is put back at the end."""
    before = static_optimization.FRICTION_WEIGHT, static_optimization.FORCE_POWER
    try:
        for friction in FRICTION_WEIGHTS:
            for power in FORCE_POWERS:
                yield (friction, power), results(friction, power)
    finally:
        static_optimization.FRICTION_WEIGHT, static_optimization.FORCE_POWER = before


def main() -> None:
    every: dict[Pair, list[studies.Found]] = {}
    print(HEAD + "\n|---|---|---|---|---|")
    for pair, found in tried():
        every[pair] = found
        print(row(pair, found), flush=True)
    chosen = choice({pair: score(found) for pair, found in every.items()})
    print(f"\nChosen: friction weight {chosen[0]:g}, force power {chosen[1]:g}.\n")
    print("| check | published | model | met | half |\n|---|---|---|---|---|")
    for place, (study, one) in enumerate(zip(studies.STUDIES, every[chosen], strict=True)):
        half = "deciding" if place < FIRST and place % 2 == 0 else "reported"
        print(f"| {study.key} | {study.published} | {one.numbers} | {'yes' if one.met else '**no**'} | {half} |")


if __name__ == "__main__":
    main()
