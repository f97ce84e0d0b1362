"""The share that antagonists take, chosen once for all moves by the rule of two_choices.py: python
docs/accuracy/co_contraction.py

Nothing is sought between the values that are tried, which span what studies of antagonists report (a twentieth to a
third; from memory). body/antagonists.py has what is chosen; tests/published/test_two_choices.py holds it there.
"""

import os

os.environ.setdefault("OMP_NUM_THREADS", "1")

import re
from collections.abc import Iterator, Mapping

import studies
from two_choices import DECIDING, EVERY, Score, score

from everyrung.body import antagonists

SHARES = (0.0, 0.05, 0.1, 0.2, 0.3)
HEAD = "| antagonists' share | deciding half met | sum of margins | reported half met |"
ROW = re.compile(r"^\| ([\d.]+) \| (\d+) of \d+ \| ([+-][\d.]+) \| \d+ of \d+ \|$", re.MULTILINE)


def tried() -> Iterator[tuple[float, list[studies.Found]]]:
    """Every share with what the checks come to; what body/antagonists.py has is put back at the end."""
    before = antagonists.SHARE
    try:
        for share in SHARES:
            antagonists.SHARE = share
            yield share, [study.ask() for study in EVERY]
    finally:
        antagonists.SHARE = before


def row(share: float, found: list[studies.Found]) -> str:
    """One line of the page's table."""
    met, margins = score(found)
    reported = sum(one.met for one in found) - met
    return f"| {share:g} | {met} of {sum(DECIDING)} | {margins:+.2f} | {reported} of {len(found) - sum(DECIDING)} |"


def recorded(page: str) -> dict[float, Score]:
    """The table of a page, read back."""
    table = page.split(HEAD)[1].split("\n\n")[0]
    return {float(share): (int(met), float(margins)) for share, met, margins in ROW.findall(table)}


def choice(scores: Mapping[float, Score]) -> float:
    """The rule: of equals, the first tried."""
    return max(scores, key=lambda share: scores[share])


def main() -> None:
    scores: dict[float, Score] = {}
    print(HEAD + "\n|---|---|---|---|")
    for share, found in tried():
        scores[share] = score(found)
        print(row(share, found), flush=True)
    print(f"\nChosen: {choice(scores):g}.")


if __name__ == "__main__":
    main()
