"""The two choices that published checks decide, once for all moves: python docs/accuracy/two_choices.py

The friction weight (how dear it is to push sideways against a support) and the power of force in a muscle's weight.
Of each topic of the table of published checks the ids in the order of their SHA-256 go by turns to the half that
decides and to the half that is only reported (fit_fatigue.halves), before looking; studies that are not in that table
are reported too. The choice: most deciding checks met; among equals the greater sum of margins, each cut to 0.2 either
way; nothing else. What antagonists do is chosen by the same rule (co_contraction.py).
body/static_optimization.py has what is chosen; tests/published/test_two_choices.py holds the two together.
"""

import os

os.environ.setdefault("OMP_NUM_THREADS", "1")

import re
from collections.abc import Iterator, Mapping

import studies
from fit_fatigue import halves
from push_studies import PUSH_STUDIES

from everyrung.body import static_optimization

FRICTION_WEIGHTS = (0.1, 1.0, 10.0, 100.0)
FORCE_POWERS = (0.0, 0.5, 1.0, 1.5, 2.0)
CUT = 0.2
# All ids of a topic, those of NOT_EXPRESSIBLE and of strength tests too, so that no choice of rows moves a half.
TOPICS = (
    ("EM01", "EM02", "EM03", "EM04", "EM05", "EM06", "EM07", "EM08", "EM11", "EM12", "NU34"),
    ("JM01", "JM02", "JM03", "JM04", "JM05", "JM09", "NU29", "NU30", "NU32"),
    ("NU01", "NU02", "NU03", "NU04", "NU05", "NU06", "NU07", "NU08", "NU09", "NU10", "NU11", "NU12", "NU13"),
    ("CN09", "CN10", "CN11"),
)
EVERY = (*studies.STUDIES, *PUSH_STUDIES)
DECIDES = {key: first for ids in TOPICS for key, first in halves(ids).items()}
DECIDING = tuple(DECIDES.get(one.key, False) for one in EVERY)
HEAD = "| friction weight | force power | deciding half met | sum of margins | reported half met |"
ROW = re.compile(r"^\| ([\d.]+) \| ([\d.]+) \| (\d+) of \d+ \| ([+-][\d.]+) \| \d+ of \d+ \|$", re.MULTILINE)

Pair = tuple[float, float]  # friction weight, force power
Score = tuple[int, float]  # deciding checks met, sum of their margins


def results(friction: float, power: float) -> list[studies.Found]:
    """What every check comes to with these two, which hold from then on."""
    static_optimization.FRICTION_WEIGHT, static_optimization.FORCE_POWER = friction, power
    studies.forget()
    return [study.ask() for study in EVERY]


def score(found: list[studies.Found]) -> Score:
    """To two digits, as the page shows it."""
    deciding = [one for one, decides in zip(found, DECIDING, strict=True) if decides]
    margins = sum(max(-CUT, min(CUT, one.margin)) for one in deciding)
    return sum(one.met for one in deciding), round(margins, 2)


def row(pair: Pair, found: list[studies.Found]) -> str:
    """One line of the page's table."""
    met, margins = score(found)
    reported = sum(one.met for one in found) - met
    both = f"{met} of {sum(DECIDING)} | {margins:+.2f} | {reported} of {len(found) - sum(DECIDING)}"
    return f"| {pair[0]:g} | {pair[1]:g} | {both} |"


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
        studies.forget()


def main() -> None:
    every: dict[Pair, list[studies.Found]] = {}
    print(HEAD + "\n|---|---|---|---|---|")
    for pair, found in tried():
        every[pair] = found
        print(row(pair, found), flush=True)
    chosen = choice({pair: score(found) for pair, found in every.items()})
    print(f"\nChosen: friction weight {chosen[0]:g}, force power {chosen[1]:g}.\n")
    print("| check | published | model | met | half |\n|---|---|---|---|---|")
    for study, one, decides in zip(EVERY, every[chosen], DECIDING, strict=True):
        half = "deciding" if decides else "reported"
        print(f"| {study.key} | {study.published} | {one.numbers} | {'yes' if one.met else '**no**'} | {half} |")


if __name__ == "__main__":
    main()
