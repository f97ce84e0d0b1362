"""The skeleton of a block: which moves each evening of the week has in each part of the block, so that a week is whole.

A linear programme in whole numbers over (evening of the week, part of the block, column). What cannot be kept is paid
for, so that the most is kept where not all can be, and said.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from itertools import pairwise

from everyrung.blocks.evenings import WEEK
from everyrung.blocks.middle import DEMAND_REPS
from everyrung.blocks.programme import Programme, require_solution
from everyrung.proposals.choose import EXPLAIN_MS, FOCUS_PATTERN, NEW_PATTERN
from everyrung.proposals.columns import Column
from everyrung.proposals.draft import RESTS_S
from everyrung.terms.block_brief import BlockBrief, Evening, EveningKind
from everyrung.terms.enums import Pattern

FEWEST, MOST = 3, 7  # moves an evening; chosen, because of more the best order is not looked through (draft.py)
GROWTH = 1.08  # of the time of work, that repetitions may come to; chosen, as 10 are to 8 in a third of the sets
# Patterns of every week where there are no aims: those of the check pattern-balance, but the bridge, which is a hinge.
WHOLE_BODY = (Pattern.KNEE, Pattern.HIP, Pattern.PUSH, Pattern.PULL, Pattern.OVERHEAD, Pattern.TRUNK)
PUSHES, PULLS = {Pattern.PUSH, Pattern.OVERHEAD}, {Pattern.PULL}
KNEES, HIPS = {Pattern.KNEE}, {Pattern.HIP, Pattern.BRIDGE}
MOST_APART = 1  # moves a week by which push and pull, knee and hip may differ; chosen, as a week has few of each
GROUP_SETS = (2, 4)  # an evening and muscle group: CN13; on at most 3 evenings a week: CN15 (ratamess2009)
GROUP_DAYS = 3
KEPT = 0.7  # of the patterns of a part that the part before has as well: DESIGN 15
# What is paid where something cannot be kept; chosen: a pattern before balance, balance before sets of a group.
NO_PATTERN, NO_BALANCE, SET_OFF, SAME_MOVE = 40.0, 12.0, 2.0, 0.75
OTHER_MOVE = 0.3  # worth of a move that the week's other evening does not have; chosen
LARGE_GROUPS = {
    "front of the thigh", "buttocks", "back of the thigh", "chest", "upper back", "shoulders", "front of the trunk",
}  # fmt: skip
MOST_WORK, GAP = 1_000_000, 1e-3  # chosen: a sixth of it is enough as a rule (benchmarks/block.py)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stays:
    """What stays of a block that was planned before: by (evening of the week, part) columns that are led already, and
    moves to keep if that can be; and by day the patterns of an evening that a coach changed by hand.
    """

    columns: Mapping[tuple[int, int], tuple[Column, ...]] = field(default_factory=dict)
    moves: Mapping[tuple[int, int], frozenset[str]] = field(default_factory=dict)
    patterns: Mapping[date, frozenset[Pattern]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Choices:
    """What may be done on one evening of the week: its columns, how long its main part may be at its quickest and has
    to be at its slowest, ms; and sets of moves that were tried together and are not to be led so.
    """

    columns: tuple[Column, ...]
    most_ms: int
    least_ms: int
    not_together: tuple[frozenset[str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Skeleton:
    """The columns of each evening of the week in each part, by (evening of the week, part); and what is given up."""

    columns: Mapping[tuple[int, int], tuple[Column, ...]]
    gives_up: tuple[str, ...]
    worth: float
    bound: float


@dataclass(slots=True, kw_only=True)
class _Model:
    brief: BlockBrief
    evenings: Sequence[Evening]
    parts: Mapping[int, int]
    choices: Sequence[Choices]
    stays: Stays
    programme: Programme = field(default_factory=Programme)
    takes: dict[tuple[int, int], dict[int, Column]] = field(default_factory=dict)
    slack: dict[int, str] = field(default_factory=dict)
    lacking: list[str] = field(default_factory=list)

    @property
    def count(self) -> int:
        """How many parts there are."""
        return max(self.parts.values()) + 1

    @property
    def aims(self) -> tuple[Pattern, ...]:
        """The patterns that every week has to have."""
        aims = self.brief.aims or WHOLE_BODY
        return (*aims, Pattern.BALANCE) if self.brief.balance and Pattern.BALANCE not in aims else aims

    def of(self, weekly: int, part: int, patterns: set[Pattern]) -> dict[int, float]:
        """The variables of an evening whose columns are of these patterns."""
        return {at: 1.0 for at, column in self.takes[weekly, part].items() if column.move.pattern in patterns}

    def short(self, words: str, cost: float) -> int:
        """By how much something may fall short, for a price; said in `words` where it does."""
        at = self.programme.amount(-cost)
        self.slack[at] = words
        return at


def skeleton(
    brief: BlockBrief,
    evenings: Sequence[Evening],
    parts: Mapping[int, int],
    choices: Sequence[Choices],
    stays: Stays,
) -> Skeleton:
    """The skeleton worth most. Raises Invalid where there is none."""
    model = _Model(brief=brief, evenings=evenings, parts=parts, choices=choices, stays=stays)
    for weekly, some in enumerate(choices):
        for part in range(model.count):
            _evening(model, weekly, part, some)
    _weeks(model)
    _windows(model)
    _variety(model)
    solution = require_solution(model.programme.solve(MOST_WORK, GAP), "whole weeks")
    columns = {
        key: tuple(column for at, column in group.items() if solution.takes(at)) for key, group in model.takes.items()
    }
    short = [words for at, words in model.slack.items() if solution.values[at] > 0.01]
    gives_up = tuple(dict.fromkeys([*model.lacking, *short]))
    return Skeleton(columns=columns, gives_up=gives_up, worth=solution.worth, bound=solution.bound)


def _evening(model: _Model, weekly: int, part: int, some: Choices) -> None:
    """One evening by itself: its moves, its time, no more than two of a pattern, and every pattern that it can have."""
    programme, style = model.programme, model.brief.weekly[weekly].session.style
    wish = model.stays.moves.get((weekly, part), frozenset())
    same = {column.key for column in model.stays.columns.get((weekly, part), ())}
    takes = {
        programme.choice(column.worth + (NO_BALANCE if column.move.key in wish else 0.0)): column
        for column in some.columns
    }  # fmt: skip
    model.takes[weekly, part] = takes
    if same:
        for at, column in takes.items():
            programme.between({at: 1.0}, float(column.key in same), float(column.key in same))
        return
    programme.between(dict.fromkeys(takes, 1.0), FEWEST, MOST)
    for key in {column.move.key for column in some.columns}:
        programme.at_most({at: 1.0 for at, column in takes.items() if column.move.key == key}, 1.0)
    rest = RESTS_S[style]
    quickest = {at: _set_s(column, rest.least, GROWTH) for at, column in takes.items()}
    slowest = {at: _set_s(column, rest.most, 1.0) for at, column in takes.items()}
    programme.at_most(quickest, some.most_ms / 1000)
    programme.at_least(slowest, some.least_ms / 1000)
    for moves in some.not_together:
        programme.at_most({at: 1.0 for at, column in takes.items() if column.move.key in moves}, len(moves) - 1.0)
    for pattern in Pattern:
        here = model.of(weekly, part, {pattern})
        programme.at_most(here, 2.0)
        if here:
            there = programme.choice(FOCUS_PATTERN if pattern in model.brief.aims else NEW_PATTERN)
            programme.at_least({**here, there: -1.0}, 0.0)
    if model.brief.balance:
        lacking = model.short(f"no balance on {model.brief.weekly[weekly].day}s", NO_PATTERN)
        programme.at_least({**model.of(weekly, part, {Pattern.BALANCE}), lacking: 1.0}, 1.0)


def _set_s(column: Column, rest_s: int, growth: float) -> float:
    """How long a column takes with so much rest, s."""
    return growth * column.work_ms(DEMAND_REPS) / 1000 + (EXPLAIN_MS / 1000 + rest_s) * len(column.versions)


def _weeks(model: _Model) -> None:
    """Each part's full week: push as much as pull, knee as hip, and the sets of each large muscle group."""
    programme, evenings = model.programme, range(len(model.choices))
    days = min(GROUP_DAYS, len(model.choices))
    for part in range(model.count):
        for name, ones, others in (("push and pull", PUSHES, PULLS), ("knee and hip", KNEES, HIPS)):
            if model.brief.aims and not ({*ones, *others} <= {*model.brief.aims, Pattern.BRIDGE, Pattern.OVERHEAD}):
                continue
            more, fewer = (
                {at: sign for weekly in evenings for at in model.of(weekly, part, group)}
                for group, sign in ((ones, 1.0), (others, -1.0))
            )
            off = model.short(f"{name} are not balanced", NO_BALANCE)
            programme.at_most({**more, **fewer, off: -1.0}, MOST_APART)
            programme.at_least({**more, **fewer, off: 1.0}, -MOST_APART)
        for group in sorted(LARGE_GROUPS):
            sets = {
                at: float(len(column.versions))
                for weekly in evenings
                for at, column in model.takes[weekly, part].items()
                if group in column.move.focus
            }
            most, least = GROUP_SETS[1] * days, GROUP_SETS[0] * days
            over, under = (
                model.short(f"sets a week for the {group} {word} {bound}", SET_OFF)
                for word, bound in (("over", most), ("under", least))
            )
            if sets:
                programme.at_most({**sets, over: -1.0}, most)
                if not model.brief.aims:
                    programme.at_least({**sets, under: 1.0}, least)


def _windows(model: _Model) -> None:
    """Each aim in every seven days that have an evening, whichever evenings are closed; a test repeats the first."""
    for first, aim in ((each, aim) for each in model.evenings for aim in model.aims):
        window = [each for each in model.evenings if first.on <= each.on < first.on + WEEK]
        if model.evenings[-1].on < first.on + WEEK and len(window) < len(model.choices):
            continue  # the block ends here
        sums: dict[int, float] = {}
        if any(aim in model.stays.patterns.get(each.on, ()) for each in window):
            continue
        for each in window:
            if each.kind is EveningKind.BY_HAND:
                continue
            part = 0 if each.kind is EveningKind.TEST else model.parts[each.week]
            sums.update(model.of(each.weekly, part, {aim}))
        if not any(model.of(weekly, 0, {aim}) for weekly in range(len(model.choices))):
            model.lacking.append(f"nothing for {aim}: no version keeps the brief")
            continue
        lacking = model.short(f"{aim} is not there in every seven days", NO_PATTERN)
        model.programme.at_least({**sums, lacking: 1.0}, 1.0)


def _variety(model: _Model) -> None:
    """From part to part other moves of the same patterns; on no two evenings of a week all the same moves."""
    programme = model.programme
    for weekly, part in model.takes:
        if part + 1 < model.count:
            for key in {column.move.key for column in model.takes[weekly, part].values()}:
                same = programme.amount(-SAME_MOVE, 1.0)
                now, then = (_of_move(model, weekly, each, key) for each in (part, part + 1))
                programme.at_least({same: 1.0, **dict.fromkeys((*now, *then), -1.0)}, -1.0)
    for part, after in pairwise(range(model.count)):
        _patterns_stay(model, part, after)
    for weekly, other in pairwise(range(len(model.choices))):
        for part in range(model.count):
            differ: dict[int, float] = {}
            for key in sorted({column.move.key for column in model.choices[weekly].columns}):
                pair = {*_of_move(model, weekly, part, key), *_of_move(model, other, part, key)}
                here = programme.amount(OTHER_MOVE, 1.0)
                differ[here] = 1.0
                programme.at_most({here: 1.0, **dict.fromkeys(pair, -1.0)}, 0.0)
                programme.at_most({here: 1.0, **dict.fromkeys(pair, 1.0)}, 2.0)
            programme.at_least(differ, 1.0)


def _of_move(model: _Model, weekly: int, part: int, key: str) -> Iterator[int]:
    return (at for at, column in model.takes[weekly, part].items() if column.move.key == key)


def _patterns_stay(model: _Model, part: int, after: int) -> None:
    """At least KEPT of the patterns of a later part are in the one before."""
    programme, weekly = model.programme, range(len(model.choices))
    common: dict[int, float] = {}
    for pattern in Pattern:
        then = {at: 1.0 for each in weekly for at in model.of(each, after, {pattern})}
        now = {at: 1.0 for each in weekly for at in model.of(each, part, {pattern})}
        if not then:
            continue
        there, both = programme.choice(), programme.amount(0.0, 1.0)
        programme.at_least({there: float(len(then)), **dict.fromkeys(then, -1.0)}, 0.0)
        programme.at_most({both: 1.0, there: -1.0}, 0.0)
        programme.at_most({both: 1.0, **dict.fromkeys(now, -1.0)}, 0.0)
        common |= {both: 1.0, there: -KEPT}
    programme.at_least(common, 0.0)
