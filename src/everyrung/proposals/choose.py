"""Which columns make a session: a linear programme in whole numbers over sets of columns, without their order."""

import math
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from everyrung.proposals.columns import Column, is_beside
from everyrung.proposals.draft import FULL, RESTS_S
from everyrung.proposals.shared_kit import waves_needed
from everyrung.terms.enums import KitItem, Pattern
from everyrung.terms.session_brief import SessionBrief, Style

FEWEST, MOST = 2, 9  # moves; chosen, because one is no session and nobody keeps more than nine in mind
NEW_PATTERN = 1.5  # worth of a pattern that is trained at all; chosen, beside a column's 2 to 7
FOCUS_PATTERN = 10.0  # chosen, more than the doses and steps of all other moves together can make up for
KIT_IN_USE = 4.0  # of each thing that she brought, once; chosen, less than a focus, more than steps and variety
SMALL_PATTERN = 0.3  # of one that is beside the point of a strength session; chosen: for what time is left
ALIKE = 0.5  # the part of an earlier proposal's moves that may be of the same kind; chosen
EXPLAIN_MS = 8_000  # beside a set's work and rest, on average; chosen: 20 s are not enough to explain it all
REL_GAP = 0.01  # chosen, because a column's worth is known no better, and the last hundredth takes most of the time
SAME_MUSCLE, CROWD = 2, -2.5  # moves that one muscle group stops, and worth of each more; chosen: it has no rest then
USED_BEFORE = -1.5  # each earlier proposal that has the same move; chosen, as of a move led lately
TIE = 1e-3  # of worth; chosen, below what tells two columns apart
NODES = 20_000  # a limit that does not depend on how busy the machine is; chosen, a hundred times what a brief takes
OVER = 0.75  # of the drafts so far that were too long exceeded their estimate by less; chosen: each more takes a second
SLIGHT = 1e-6  # a part of a column that is none; chosen, above what the solver's steps round to
COLUMNS_ALIKE, LENGTH_MS = 2, 40_000  # in the programme at once; chosen: of one move one column is led


@dataclass(slots=True, kw_only=True)
class Cuts:
    """How long the main part is; and what has been found out on the way: groups of columns of which no session has one
    each.
    """

    main_ms: int
    overs_ms: list[float] = field(default_factory=list)  # by which drafts that were too long exceeded their estimate
    sets: list[tuple[frozenset[int], ...]] = field(default_factory=list)
    earlier: list[tuple[Column, ...]] = field(default_factory=list)

    @property
    def most_ms(self) -> float:
        """How long the columns may be at their quickest: as if they came to exceed it as most did so far."""
        return self.main_ms - max(0.0, float(np.quantile(self.overs_ms or [0.0], OVER)))

    def at_least(self) -> "Cuts":
        """The same as if they exceeded it as little as any did: for the worth that no choice can exceed."""
        return replace(self, overs_ms=[min(self.overs_ms)] if self.overs_ms else [])


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """Columns by their place in what was asked over, and the worth that no other choice of them exceeds."""

    places: tuple[int, ...]
    worth: float


@dataclass(slots=True, kw_only=True)
class Rows:
    """Conditions: each the factors of some variables, and between what their sum is to lie."""

    places: list[tuple[int, int]] = field(default_factory=list)
    factors: list[float] = field(default_factory=list)
    low: list[float] = field(default_factory=list)
    high: list[float] = field(default_factory=list)

    def add(self, factors: Mapping[int, float], least: float, most: float) -> None:
        """One condition more."""
        self.places += [(len(self.low), place) for place in factors]
        self.factors += factors.values()
        self.low.append(least)
        self.high.append(most)

    def constraint(self, width: int) -> LinearConstraint:
        """All of them, over `width` variables."""
        rows, places = zip(*self.places, strict=True)
        matrix = csr_array((self.factors, (rows, places)), shape=(len(self.low), width))
        return LinearConstraint(matrix, np.array(self.low), np.array(self.high))


def quickest_ms(column: Column, style: Style) -> int:
    """The least that a column takes of the main part: with the smallest dose and the shortest rests, ms."""
    return column.least_work_ms + (EXPLAIN_MS + 1000 * RESTS_S[style].least) * len(column.versions)


def slowest_ms(column: Column, style: Style) -> int:
    """The most that it takes, ms."""
    return column.most_work_ms + (EXPLAIN_MS + 1000 * RESTS_S[style].most) * len(column.versions)


def best_few(columns: Sequence[Column], style: Style, may_be: Callable[[int], bool]) -> list[int]:
    """The places of columns, those worth most first: of each move the first few of about one length that `may_be`."""
    places: list[int] = []
    alike: Counter[tuple[str, int]] = Counter()
    for at, column in enumerate(columns):
        kind = (column.move.key, quickest_ms(column, style) // LENGTH_MS)
        if alike[kind] < COLUMNS_ALIKE and may_be(at):
            alike[kind] += 1
            places.append(at)
    return places


def frontier(columns: Sequence[Column], style: Style, cuts: Cuts) -> list[int]:
    """The places of columns but those that another of the same move can stand for in every set: worth as much, no
    longer where there is little time and no shorter where there is much, and in the same cuts.
    """
    by_kind: dict[tuple[object, ...], list[tuple[int, tuple[float, int, int]]]] = {}
    for at, column in enumerate(columns):
        cut_by = tuple(number for number, groups in enumerate(cuts.sets) if any(at in group for group in groups))
        merits = (column.worth, -quickest_ms(column, style), slowest_ms(column, style))
        kind = column.move.key, column.signature, column.kit, column.gives_out, cut_by
        by_kind.setdefault(kind, []).append((at, merits))
    return sorted(
        at
        for alike in by_kind.values()
        for at, merits in alike
        if not any(_stands_for(each, (at, merits)) for each in alike)
    )


def _stands_for(one: tuple[int, tuple[float, int, int]], other: tuple[int, tuple[float, int, int]]) -> bool:
    """Whether a column is as good as another in everything, and better in something or the first of two alike."""
    as_good = all(first >= second for first, second in zip(one[1], other[1], strict=True))
    return as_good and (one[1] != other[1] or one[0] < other[0])


def choose(
    brief: SessionBrief,
    columns: Sequence[Column],
    cuts: Cuts,
    seed: int,
    *,
    gap: float = REL_GAP,
    in_parts: bool = False,
) -> Choice | None:
    """The set of columns worth most that takes about the time there is; None where no set does.

    One column a move, every wished-for move, at most two of a pattern unless the focus is on fewer, and not too much
    like the proposals before. Ties are broken by `seed`. It may be worth less than the most by the part `gap`.
    `in_parts`: parts of columns may be in it, which is soon known: those that the best set is likely to be made of.
    """
    if not columns or set(brief.include) - {column.move.key for column in columns}:
        return None
    rows = Rows()
    patterns, items = tuple(dict.fromkeys(column.move.pattern for column in columns)), brief.items
    _of_time(rows, columns, cuts, brief.style)
    _of_moves(rows, brief, columns)
    _of_patterns(rows, brief, columns, patterns)
    _of_cuts(rows, brief, columns, cuts)
    _of_kit(rows, brief, columns)
    _of_items(rows, items, columns, len(columns) + len(patterns))
    muscles = _of_muscles(rows, columns, len(columns) + len(patterns) + len(items))
    presence = [*(_pattern_worth(brief, each) for each in patterns), *([KIT_IN_USE] * len(items))]
    worth = np.array([*(column.worth for column in columns), *presence, *([CROWD] * muscles)])
    worth[: len(columns)] += [_before(column, cuts.earlier) for column in columns]
    worth[: len(columns)] += TIE * np.random.default_rng(seed).random(len(columns))
    solution = milp(
        -worth,
        constraints=rows.constraint(len(worth)),
        integrality=np.full(len(worth), not in_parts),
        bounds=Bounds(0, np.array([1] * (len(worth) - muscles) + [MOST] * muscles)),
        options={"mip_rel_gap": gap, "node_limit": NODES},
    )
    if solution.x is None:
        return None
    places = tuple(int(at) for at in np.flatnonzero(solution.x[: len(columns)] > (SLIGHT if in_parts else 0.5)))
    return Choice(places=places, worth=float(-solution.fun if in_parts else -solution.mip_dual_bound))


def _of_time(rows: Rows, columns: Sequence[Column], cuts: Cuts, style: Style) -> None:
    rows.add(dict.fromkeys(range(len(columns)), 1.0), FEWEST, MOST)
    for time_ms, least_s, most_s in (
        (quickest_ms, 0.0, cuts.most_ms / 1000),
        (slowest_ms, FULL * cuts.main_ms / 1000, np.inf),
    ):
        rows.add({at: time_ms(column, style) / 1000 for at, column in enumerate(columns)}, least_s, most_s)


def _of_moves(rows: Rows, brief: SessionBrief, columns: Sequence[Column]) -> None:
    by_move: dict[str, list[int]] = {}
    for at, column in enumerate(columns):
        by_move.setdefault(column.move.key, []).append(at)
    for key, places in by_move.items():
        rows.add(dict.fromkeys(places, 1.0), float(key in brief.include), 1.0)


def _of_patterns(rows: Rows, brief: SessionBrief, columns: Sequence[Column], patterns: Sequence[Pattern]) -> None:
    """The last variables say which patterns there are: each counts where a column has it."""
    for at, pattern in enumerate(patterns, len(columns)):
        places = [place for place, column in enumerate(columns) if column.move.pattern is pattern]
        rows.add(dict.fromkeys(places, 1.0), 0.0, _most_of(brief, pattern))
        rows.add({**dict.fromkeys(places, 1.0), at: -1.0}, 0.0, np.inf)


def _of_items(rows: Rows, items: Sequence[KitItem], columns: Sequence[Column], first: int) -> None:
    """The variables from `first` on say which kit is in use."""
    for at, item in enumerate(items, first):
        rows.add({**{place: 1.0 for place, column in enumerate(columns) if item in column.kit}, at: -1.0}, 0.0, np.inf)


def _of_kit(rows: Rows, brief: SessionBrief, columns: Sequence[Column]) -> None:
    """Where a thing is short, a column with it has as many without it beside it as it needs other waves."""
    short = {at: waves for at, column in enumerate(columns) if (waves := waves_needed(brief, column))}
    for at, waves in short.items():
        if 0 in waves.values():
            rows.add({at: 1.0}, 0.0, 0.0)
    for thing in dict.fromkeys(thing for waves in short.values() for thing in waves):
        beside = {at: short.get(at, {}).get(thing, 0) - 1.0 for at in range(len(columns))}
        rows.add(beside, -np.inf, 0.0)


def _of_muscles(rows: Rows, columns: Sequence[Column], first: int) -> int:
    """The variables from `first` on say by how many columns more than SAME_MUSCLE one muscle group is what gives out;
    how many such groups there are.
    """
    groups: dict[str, list[int]] = {}
    for at, column in enumerate(columns):
        if column.gives_out:
            groups.setdefault(column.gives_out, []).append(at)
    for number, places in enumerate(groups.values(), first):
        rows.add({**dict.fromkeys(places, 1.0), number: -1.0}, -np.inf, SAME_MUSCLE)
    return len(groups)


def _of_cuts(rows: Rows, brief: SessionBrief, columns: Sequence[Column], cuts: Cuts) -> None:
    for groups in cuts.sets:
        rows.add(dict.fromkeys((at for group in groups for at in group), 1.0), 0.0, len(groups) - 1.0)
    for selection in cuts.earlier:
        moves = {column.move.key for column in selection}
        same = [at for at, column in enumerate(columns) if column.move.key in moves]
        if same:
            rows.add(dict.fromkeys(same, 1.0), 0.0, float(max(len(moves) - 1, len(brief.include))))
        alike = {column.signature for column in selection}
        places = [at for at, column in enumerate(columns) if column.signature in alike]
        if places:
            rows.add(dict.fromkeys(places, 1.0), 0.0, float(most_alike(brief, selection)))


def most_alike(brief: SessionBrief, selection: Sequence[Column]) -> int:
    """How many moves of another proposal may be of the kinds that these are: one at least for each pattern in focus."""
    return max(math.ceil(ALIKE * len(selection)), len(brief.focus))


def _before(column: Column, earlier: Sequence[Sequence[Column]]) -> float:
    return USED_BEFORE * sum(any(each.move.key == column.move.key for each in selection) for selection in earlier)


def worth_of(brief: SessionBrief, selection: Sequence[Column], earlier: Sequence[Sequence[Column]] = ()) -> float:
    """What a set of columns comes to after the `earlier` proposals, without the breaking of ties."""
    patterns = {column.move.pattern for column in selection}
    muscles = Counter(column.gives_out for column in selection if column.gives_out)
    crowd = sum(max(0, count - SAME_MUSCLE) for count in muscles.values())
    in_use = {item for column in selection for item in column.kit} & set(brief.items)
    each_worth = sum(column.worth + _before(column, earlier) for column in selection)
    return each_worth + sum(_pattern_worth(brief, each) for each in patterns) + KIT_IN_USE * len(in_use) + CROWD * crowd


def _pattern_worth(brief: SessionBrief, pattern: Pattern) -> float:
    if pattern in brief.focus:
        return FOCUS_PATTERN
    return SMALL_PATTERN if is_beside(brief, pattern) else NEW_PATTERN


def _most_of(brief: SessionBrief, pattern: Pattern) -> float:
    """How many moves of one pattern: two, or of a focus as many as share the session out."""
    return max(2.0, -(-MOST // len(brief.focus))) if pattern in brief.focus else 2.0
