"""Sets in a row as blocks and rounds: what comes again and again is a block of rounds.

A block holds the moves whose first and last times lie across each other. Its rounds are cut so that as few moves as
can be come twice in one, stand in another order or are missing; a round that is announced is likelier to begin there.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from everyrung.lookback.heard_cells import ALIKE, COUNTED, GUESSED, SAID, HeardCell
from everyrung.lookback.library_words import MOST_ROUNDS
from everyrung.terms.enums import BlockKind, MoveKind, Sidedness
from everyrung.terms.units import Dose, Per

# How well a kind of move goes with a kind of block; chosen.
_FITS = {
    BlockKind.WARM_UP: {MoveKind.WARM_UP: 1.0, MoveKind.STRENGTH: -1.0, MoveKind.COOL_DOWN: -2.0},
    BlockKind.MAIN: {MoveKind.WARM_UP: -0.5, MoveKind.STRENGTH: 1.0, MoveKind.COOL_DOWN: -1.5},
    BlockKind.COOL_DOWN: {MoveKind.WARM_UP: -1.0, MoveKind.STRENGTH: -1.0, MoveKind.COOL_DOWN: 1.0},
}
ANNOUNCED = 2.0  # a block or round that is announced, against one set that does not fit
ANNOUNCED_MS = 15_000  # before or after the set that it opens
COMES_AGAIN = 1.0  # a move that comes again belongs to the main part
TWICE, TURNED, MISSING, ROUND = 3.0, 1.0, 0.6, 0.5  # prices of a round: a move twice, an order turned, a move missing
ORDERS = 4  # tries at a better order of a block's moves; it stands before that
WEAK = 0.6  # a move heard once and less surely than this makes no block of its own


Rounds = tuple[tuple[HeardCell, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class HeardBlock:
    """A block as it was led: its moves in order, by key, and the sets of each round by move."""

    kind: BlockKind
    moves: tuple[str, ...]
    rounds: Rounds


@dataclass(frozen=True, slots=True, kw_only=True)
class Call:
    """A round (its number, 0 for an unnumbered one) or a block that somebody announces."""

    at_ms: int
    what: int | BlockKind


def blocks_of(cells: Sequence[HeardCell], calls: Sequence[Call]) -> tuple[HeardBlock, ...]:
    """All sets as blocks, in order of time. A dose that nobody says is that of its other rounds, or of most others
    of its block.
    """
    first, last = _main(cells, calls)
    result = [
        *_straight(BlockKind.WARM_UP, cells[:first]),
        *(_in_rounds(part, calls) for part in _parts(cells[first:last])),
        *_straight(BlockKind.COOL_DOWN, cells[last:]),
    ]
    return tuple(replace(block, rounds=_alike(block.rounds)) for block in result)


def _alike(rounds: Rounds) -> Rounds:
    """Doses that nobody says, from the same move's other rounds; else from the time that most of the block has."""
    cells = [cell for each in rounds for cell in each]
    promises = [cell for cell in cells if cell.dose_from == SAID]
    times = [cell.dose.duration_ms for cell in promises if cell.dose.duration_ms]
    usual_ms = Counter(times).most_common(1)[0][0] if 2 * len(times) > len(cells) else None
    return tuple(tuple(_as_others(cell, promises, usual_ms) for cell in each) for each in rounds)


def _as_others(cell: HeardCell, promises: Sequence[HeardCell], usual_ms: int | None) -> HeardCell:
    if cell.dose_from not in (GUESSED, COUNTED):
        return cell
    same = [each for each in promises if each.move is cell.move and each.rung.form.mode is cell.rung.form.mode]
    same = [each for each in same if each.rung.form.sides is cell.rung.form.sides]
    if same:
        nearest = min(same, key=lambda each: abs(each.at_ms - cell.at_ms))
        return replace(cell, dose=nearest.dose, dose_from=ALIKE)
    if usual_ms is None or cell.dose_from == COUNTED:
        return cell
    per = Per.SIDE if cell.rung.form.sides is Sidedness.ONE_SIDE else Per.PLAIN
    return replace(cell, dose=Dose(duration_ms=usual_ms, per=per), dose_from=ALIKE)


def _straight(kind: BlockKind, cells: Sequence[HeardCell]) -> list[HeardBlock]:
    """A warm-up or cool-down: one round, or several where its moves come again."""
    if not cells:
        return []
    rounds: list[list[HeardCell]] = [[]]
    for cell in cells:
        if any(cell.move is other.move for other in rounds[-1]):
            rounds.append([])
        rounds[-1].append(cell)
    return [HeardBlock(kind=kind, moves=_columns(rounds), rounds=tuple(map(tuple, rounds)))]


def _main(cells: Sequence[HeardCell], calls: Sequence[Call]) -> tuple[int, int]:
    """The places between which the main part lies: where kinds of moves and what is announced fit best."""
    counts: dict[str, int] = {}
    for cell in cells:
        counts[cell.move.key] = counts.get(cell.move.key, 0) + 1
    fits = {
        kind: [
            _FITS[kind][cell.move.kind] + (COMES_AGAIN if kind is BlockKind.MAIN and counts[cell.move.key] > 1 else 0)
            for cell in cells
        ]
        for kind in _FITS
    }
    opens_main = [_is_announced(cell, calls, (1,)) for cell in cells] + [False]
    opens_end = [_is_announced(cell, calls, (BlockKind.COOL_DOWN,)) for cell in cells] + [False]
    best = (float("-inf"), 0, 0)
    for first in range(len(cells) + 1):
        for last in range(first, len(cells) + 1):
            score = sum(fits[BlockKind.WARM_UP][:first]) + sum(fits[BlockKind.MAIN][first:last])
            score += sum(fits[BlockKind.COOL_DOWN][last:])
            score += ANNOUNCED * (opens_main[first] + opens_end[last])
            best = max(best, (score, -first, last))
    return -best[1], best[2]


def _is_announced(cell: HeardCell, calls: Sequence[Call], what: tuple[int | BlockKind, ...]) -> bool:
    return any(each.what in what and abs(each.at_ms - cell.at_ms) <= ANNOUNCED_MS for each in calls)


def _parts(cells: Sequence[HeardCell]) -> list[list[HeardCell]]:
    """The main part in blocks: a block ends where none of its moves comes again."""
    last = {cell.move.key: at for at, cell in enumerate(cells)}
    first = {cell.move.key: at for at, cell in reversed(list(enumerate(cells)))}
    parts: list[list[HeardCell]] = []
    reach, comes_again = -1, False
    for at, cell in enumerate(cells):
        once = first[cell.move.key] == last[cell.move.key]
        joins = at <= reach or (parts and once and (cell.chance < WEAK or not comes_again))
        if not joins:
            parts.append([])
            comes_again = False
        parts[-1].append(cell)
        comes_again = comes_again or not once
        reach = max(reach, last[cell.move.key])
    return parts


def _in_rounds(cells: Sequence[HeardCell], calls: Sequence[Call]) -> HeardBlock:
    """Rounds by the cheapest cuts. The order of moves is that in which they first come, or, where that is cheaper,
    their mean order in the rounds so cut.
    """
    is_announced = [_is_announced(cell, calls, tuple(range(MOST_ROUNDS + 1))) for cell in cells]
    order = tuple(dict.fromkeys(cell.move.key for cell in cells))
    price, starts = _cuts(cells, order, is_announced)
    for _ in range(ORDERS):
        other = _columns(_rounds(cells, starts))
        other_price, other_starts = _cuts(cells, other, is_announced)
        if other_price >= price:
            break
        price, starts, order = other_price, other_starts, other
    return HeardBlock(kind=BlockKind.MAIN, moves=order, rounds=_rounds(cells, starts))


def _rounds(cells: Sequence[HeardCell], starts: Sequence[int]) -> Rounds:
    ends = [*starts[1:], len(cells)]
    return tuple(tuple(cells[start:end]) for start, end in zip(starts, ends, strict=True))


def _columns(rounds: Sequence[Sequence[HeardCell]]) -> tuple[str, ...]:
    """Moves in the order in which most rounds have them, by their mean place in a round."""
    places: dict[str, list[float]] = {}
    for cells in rounds:
        for at, cell in enumerate(cells):
            places.setdefault(cell.move.key, []).append(at / len(cells))
    return tuple(sorted(places, key=lambda key: sum(places[key]) / len(places[key])))


def _cuts(cells: Sequence[HeardCell], order: Sequence[str], is_announced: Sequence[bool]) -> tuple[float, list[int]]:
    """The least sum of prices, and where rounds begin then."""
    place = {key: at for at, key in enumerate(order)}
    row = [place[cell.move.key] for cell in cells]
    least, came = [0.0] + [float("inf")] * len(row), [0] * (len(row) + 1)
    for end in range(1, len(row) + 1):
        for start in range(end):
            price = least[start] + _price(row[start:end], len(order)) - ANNOUNCED * is_announced[start]
            if price < least[end]:
                least[end], came[end] = price, start
    starts = [came[len(row)]]
    while starts[-1]:
        starts.append(came[starts[-1]])
    return least[-1], starts[::-1]


def _price(row: Sequence[int], width: int) -> float:
    turns = sum(after < before for before, after in pairwise(row))
    twice, missing = len(row) - len(set(row)), width - len(set(row))
    return ROUND + TWICE * twice + TURNED * turns + MISSING * missing
