"""Prints the tables of docs/accuracy-weeks.md: 2,000 simulated people, twelve weeks, by each policy.

Run: python docs/accuracy/weeks.py [PEOPLE]. With EVERYRUNG_CLUSTER set, the people are sent there by the thousand.
"""

import sys

from everyrung import library
from everyrung.weeks.lines import library_lines
from everyrung.weeks.night import Policy
from everyrung.weeks.season import Calendar
from everyrung.weeks.season_tally import season_tally

MOVES = ("squat", "hip-hinge", "overhead-press", "bent-row", "floor-press")
PEOPLE, SEED = 2000, 2  # a seed with which nothing was chosen


def main() -> None:
    """Both tables, as the page has them."""
    people = int(sys.argv[1]) if len(sys.argv) > 1 else PEOPLE
    lines = library_lines(MOVES, library())
    print("| policy | 2 to 4 left | 1 to 5 left | sets failed | more than 5 left | failed, first evening |")
    print("|---|---|---|---|---|---|", flush=True)
    tallies = {}
    for policy in Policy:
        tallies[policy] = season_tally(lines, policy, Calendar(), people, SEED)
        print(f"| {policy} | {' | '.join(f'{100 * part:.1f} %' for part in tallies[policy].shares)} |", flush=True)
    print()
    print(
        "| policy | load steps over 10 % | unearned | heavier after two weeks away | easier after two evenings below |"
    )
    print("|---|---|---|---|---|")
    for policy, each in tallies.items():
        steps = f"{each.heavier_comebacks} of {each.comebacks} | {each.easier_setbacks} of {each.setbacks}"
        print(f"| {policy} | {each.leaps} | {each.leaps_too_soon} | {steps} |")


if __name__ == "__main__":
    main()
