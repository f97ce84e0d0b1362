"""What comes of seasons, counted on the log of what happened and not on the rule: of any number of people, block by
block, on this machine or on a cluster.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields
from functools import partial

import numpy as np

from everyrung.effort.audience import blocks
from everyrung.effort.recommend import USUAL_STEP
from everyrung.executors.tasks import map_tasks
from everyrung.terms.errors import require
from everyrung.weeks.crowd import draw_crowd
from everyrung.weeks.lines import Lines
from everyrung.weeks.next_step import EARNED_LEFT, EASY_LEFT, SAME_KG, STEP_WEEKS
from everyrung.weeks.night import Evening, Policy
from everyrung.weeks.season import Calendar, season

FROM_WEEK = 4.0  # from the fifth week on sets count; the client's
Past = list[tuple[Evening, int]]  # a person's evenings before, each with their row in it


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonTally:
    """Counts of people's seasons by one policy.

    Of the `sets` from the fifth week on: those done in full that left `two_to_four` or `one_to_five`, `failures`, and
    those of any kind that left `over_five`; of the `first_sets`, those of the first evening, `first_failures`. Of
    steps, from evening to evening and from set to set: `leaps` to loads more than a tenth heavier, and
    `leaps_too_soon`, not earned; `comebacks` after two weeks or more, and `heavier_comebacks`; `setbacks`, the same
    version twice below its dose, and `easier_setbacks`, after which it was easier.
    """

    sets: int = 0
    two_to_four: int = 0
    one_to_five: int = 0
    failures: int = 0
    over_five: int = 0
    first_sets: int = 0
    first_failures: int = 0
    leaps: int = 0
    leaps_too_soon: int = 0
    comebacks: int = 0
    heavier_comebacks: int = 0
    setbacks: int = 0
    easier_setbacks: int = 0

    def __add__(self, other: "SeasonTally") -> "SeasonTally":
        """Both together."""
        names = [each.name for each in fields(self)]
        return SeasonTally(**{name: getattr(self, name) + getattr(other, name) for name in names})

    @property
    def shares(self) -> tuple[float, float, float, float, float]:
        """Of late sets: 2 to 4 left, 1 to 5 left, failures, over 5 left; and failures on the first evening."""
        late = (self.two_to_four, self.one_to_five, self.failures, self.over_five)
        two, one, failure, over = (each / max(1, self.sets) for each in late)
        return two, one, failure, over, self.first_failures / max(1, self.first_sets)


def season_tally(
    lines: Lines,
    policy: Policy,
    calendar: Calendar,
    count: int,
    seed: int,
    progress: Callable[[int, int], None] | None = None,
) -> SeasonTally:
    """What becomes of `count` people by a policy, the same people, days, absences and answers for one seed wherever
    they are computed: with a cluster (EVERYRUNG_CLUSTER) there, else by this machine's processes. `progress`: how many
    blocks are done, of how many. Raises Invalid for no people.
    """
    require(count > 0, "people", "one or more", count)
    every, whole = blocks(count), SeasonTally()
    task = partial(_block_tally, lines, policy, calendar, count, seed)
    for number, one in enumerate(map_tasks(task, every, chunk=1, worth_processes=2), 1):
        whole += one
        if progress:
            progress(number, len(every))
    return whole


def _block_tally(lines: Lines, policy: Policy, calendar: Calendar, count: int, seed: int, block: int) -> SeasonTally:
    crowd = draw_crowd(lines.motions, count, seed, block)
    return tally_of(lines, list(season(lines, crowd, policy, calendar, seed, block).evenings()))


def tally_of(lines: Lines, evenings: Sequence[Evening]) -> SeasonTally:
    """The counts of one crowd's evenings, in their order."""
    return _sets(evenings) + _steps(lines, evenings)


def _sets(evenings: Sequence[Evening]) -> SeasonTally:
    late = [each for each in evenings if each.week >= FROM_WEEK]
    left = np.concatenate([each.left.ravel() for each in late] or [np.zeros(0)])
    failure = np.concatenate([each.failure.ravel() for each in late] or [np.zeros(0, dtype=bool)])
    near, wide = (~failure & (left >= low) & (left <= high) for low, high in ((2, 4), (1, 5)))
    return SeasonTally(
        sets=len(left),
        two_to_four=int(near.sum()),
        one_to_five=int(wide.sum()),
        failures=int(failure.sum()),
        over_five=int((left > 5).sum()),
        first_sets=evenings[0].failure.size,
        first_failures=int(evenings[0].failure.sum()),
    )


def _steps(lines: Lines, evenings: Sequence[Evening]) -> SeasonTally:
    whole = SeasonTally()
    pasts: dict[tuple[int, int], Past] = {}
    for one in evenings:
        for row, person in enumerate(one.who.tolist()):
            for line in range(len(lines.lines)):
                past = pasts.setdefault((person, line), [])
                whole += _from_set_to_set(lines, one, row, line)
                if past:
                    whole += _from_evening_to_evening(lines, past, one, row, line)
                past.append((one, row))
    return whole


def _from_set_to_set(lines: Lines, one: Evening, row: int, line: int) -> SeasonTally:
    load_kg = lines.lines[line].load_kg[one.entry[row, line]]
    leaps = load_kg[1:] > load_kg[:-1] * (1 + USUAL_STEP)
    leaps_too_soon = leaps & ~(one.answer[row, line, :-1] >= EASY_LEFT)
    return SeasonTally(leaps=int(leaps.sum()), leaps_too_soon=int(leaps_too_soon.sum()))


def _from_evening_to_evening(lines: Lines, past: Past, one: Evening, row: int, line: int) -> SeasonTally:
    last, place = past[-1]
    here = lines.lines[line].load_kg
    now, before = one.entry[row, line, 0], last.entry[place, line, -1]
    leaps = bool(here[now] > here[before] * (1 + USUAL_STEP) + SAME_KG)
    comebacks = one.week - last.week >= STEP_WEEKS
    twice = len(past) > 1 and all(_short(each, at, line) for each, at in past[-2:])
    setbacks = twice and past[-2][0].entry[past[-2][1], line, -1] == before
    return SeasonTally(
        leaps=int(leaps),
        leaps_too_soon=int(leaps and not _has_merit(past, line)),
        comebacks=int(comebacks),
        heavier_comebacks=int(comebacks and here[now] > here[before] + SAME_KG),
        setbacks=int(setbacks),
        easier_setbacks=int(setbacks and here[now] <= here[before] and now != before),
    )


def _has_merit(past: Past, line: int) -> bool:
    """Two evenings running with two or more left in every set that was done in full, or one with six or more."""

    def full(one: Evening, row: int, least: int) -> bool:
        whole = not one.failure[row, line].any()
        return bool(whole and (one.answer[row, line] >= least).all())

    twice = len(past) > 1 and all(full(*each, EARNED_LEFT) for each in past[-2:])
    return twice or full(*past[-1], EASY_LEFT)


def _short(one: Evening, row: int, line: int) -> bool:
    """Whether an evening stayed setbacks its dose."""
    return bool(one.failure[row, line].any() or one.answer[row, line, -1] < 1)
