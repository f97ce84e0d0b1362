"""Prints the tables of docs/accuracy-weeks.md: 2,000 simulated people, twelve weeks, by each policy.

Run: python docs/accuracy/weeks.py [PEOPLE]
"""

import sys

import numpy as np

from everyrung import library
from everyrung.effort.recommend import USUAL_STEP
from everyrung.weeks.crowd import draw_crowd
from everyrung.weeks.lines import Lines, library_lines
from everyrung.weeks.next_step import EARNED_LEFT, EASY_LEFT, STEP_WEEKS
from everyrung.weeks.night import Evening, Policy
from everyrung.weeks.season import Calendar, season

MOVES = ("squat", "hip-hinge", "overhead-press", "bent-row", "floor-press")
PEOPLE, SEED, FROM_WEEK = 2000, 2, 4.0  # a seed with which nothing was chosen


def main() -> None:
    """Both tables, as the page has them."""
    people = int(sys.argv[1]) if len(sys.argv) > 1 else PEOPLE
    lines = library_lines(MOVES, library())
    crowd = draw_crowd(lines.motions, people, SEED)
    print("| policy | 2 to 4 left | 1 to 5 left | sets failed | more than 5 left | failed, first evening |")
    print("|---|---|---|---|---|---|", flush=True)
    evenings = {}
    for policy in Policy:
        evenings[policy] = list(season(lines, crowd, policy, Calendar(), SEED).evenings())
        print(f"| {policy} | {' | '.join(f'{100 * part:.1f} %' for part in shares(evenings[policy]))} |", flush=True)
    print()
    print(
        "| policy | load steps over 10 % | unearned | heavier after two weeks away | easier after two evenings below |"
    )
    print("|---|---|---|---|---|")
    for policy in Policy:
        print(f"| {policy} | {' | '.join(steps(lines, evenings[policy]))} |")


def shares(evenings: list[Evening]) -> tuple[float, ...]:
    """Of the sets from the fifth week on: those that leave 2 to 4, 1 to 5, fail, leave over 5; fails on the first."""
    late = [each for each in evenings if each.week >= FROM_WEEK]
    left = np.concatenate([each.left.ravel() for each in late])
    failure = np.concatenate([each.failure.ravel() for each in late])
    near, wide = (~failure & (left >= low) & (left <= high) for low, high in ((2, 4), (1, 5)))
    return tuple(float(each.mean()) for each in (near, wide, failure, left > 5, evenings[0].failure))


def steps(lines: Lines, evenings: list[Evening]) -> tuple[str, ...]:
    """What the steps from evening to evening and from set to set were, checked on the log alone."""
    over = unearned = raised = away = eased = below = 0
    past: dict[tuple[int, int], list[tuple[float, Evening, int]]] = {}
    for one in evenings:
        for row, person in enumerate(one.who.tolist()):
            for line in range(len(lines.lines)):
                load_kg = lines.lines[line].load_kg[one.entry[row, line]]
                before = past.setdefault((person, line), [])
                for at in (1, 2):
                    if load_kg[at] > load_kg[at - 1] * (1 + USUAL_STEP):
                        over += 1
                        unearned += not one.answer[row, line, at - 1] >= EASY_LEFT
                if before:
                    week, last, place = before[-1]
                    last_kg = lines.lines[line].load_kg[last.entry[place, line, -1]]
                    if load_kg[0] > last_kg * (1 + USUAL_STEP) + 1e-9:
                        over += 1
                        unearned += not earned(before, line)
                    gone = one.week - week >= STEP_WEEKS
                    away += gone
                    raised += gone and load_kg[0] > last_kg + 1e-9
                    twice = len(before) > 1 and all(short(*each[1:], line) for each in before[-2:])
                    same = twice and before[-2][1].entry[before[-2][2], line, -1] == last.entry[place, line, -1]
                    below += same
                    eased += same and load_kg[0] <= last_kg and one.entry[row, line, 0] != last.entry[place, line, -1]
                before.append((one.week, one, row))
    return str(over), str(unearned), f"{raised} of {away}", f"{eased} of {below}"


def earned(before: list[tuple[float, Evening, int]], line: int) -> bool:
    """Two evenings running with two or more left in every set that was done in full, or one with six or more."""

    def full(one: Evening, row: int, least: int) -> bool:
        whole = not one.failure[row, line].any()
        return bool(whole and (one.answer[row, line] >= least).all())

    _, last, row = before[-1]
    twice = len(before) > 1 and all(full(one, place, EARNED_LEFT) for _, one, place in before[-2:])
    return twice or full(last, row, EASY_LEFT)


def short(one: Evening, row: int, line: int) -> bool:
    """Whether an evening stayed below its dose."""
    return bool(one.failure[row, line].any() or one.answer[row, line, -1] < 1)


if __name__ == "__main__":
    main()
