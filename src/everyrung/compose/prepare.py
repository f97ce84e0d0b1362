"""Candidates for a warm-up that leaves something cold, and for sets of one pattern too close together."""

from collections.abc import Iterator, Sequence
from itertools import pairwise, permutations

from everyrung.checks.rules.training import LEAST_REST_MS, ON_HANDS, patterns_left_cold, prepares
from everyrung.compose.case import Case, Remedy
from everyrung.compose.missing_parts import new_moves
from everyrung.compose.slot import shifts
from everyrung.plan.bouts import lacking
from everyrung.terms.edit import AddMove, OneEdit, SetCell, SetPart, TakeRung
from everyrung.terms.enums import BlockKind, Caution, MoveKind, Sidedness
from everyrung.terms.move import Rung
from everyrung.terms.plan import Ref
from everyrung.terms.session import Block

EASY_GRADE = 2  # as a warm-up is checked
MOST_PERMUTED = 6  # columns; chosen, because 720 orders are looked through in no time


def warm_up_gap(case: Case) -> Iterator[Remedy]:
    """Moves for each pattern that is not prepared, and an easy version on the hands where wrists bear weight."""
    block = case.session.of_kind(BlockKind.WARM_UP)[-1].name
    edits: list[OneEdit] = []
    names: list[str] = []
    moves = new_moves(case, BlockKind.WARM_UP)
    left = list(patterns_left_cold(case.session))
    while left and (ways := [each for each in moves if prepares(each[0], left[0])]):
        move, rung = max(ways, key=lambda each: sum(prepares(each[0], pattern) for pattern in left))
        edits += _warm_up_set(block, rung)
        names.append(move.name.lower())
        left = [pattern for pattern in left if not prepares(move, pattern)]
    if "the wrists" in case.finding.measured:
        for rung in _easy_on_hands(case)[:1]:
            edits += _warm_up_set(block, rung)
            names.append(rung.name)
    if edits:
        yield Remedy(words=f"Add to the warm-up: {', '.join(names)}", edits=tuple(edits))


def _warm_up_set(block: str, rung: Rung) -> tuple[OneEdit, ...]:
    ref = Ref(block=block, round=block, cell=rung.move)
    dose = "20 s a side" if rung.form.sides is Sidedness.ONE_SIDE else "0:40"
    edits = (AddMove(block=block, move=rung.move), SetCell(ref=ref, field="dose", value=dose))
    return edits if rung.key == "base" else (*edits, TakeRung(ref=ref, rung=rung.key))


def _easy_on_hands(case: Case) -> list[Rung]:
    """Versions that bear weight on the hands and are easy for everyone else, without kit that is not there."""
    away = (case.cautions | {Caution.TO_FLOOR}) - {Caution.WRIST_LOAD}
    moves = [case.library.move(key) for key in case.library.keys]
    return [
        rung
        for move in moves
        if move.kind is MoveKind.STRENGTH
        for rung in move.ladder
        if rung.form.support in ON_HANDS
        and rung.grade <= EASY_GRADE
        and not set(rung.cautions) & away
        and not lacking(rung, case.session.kit)
    ]


def rest_short(case: Case) -> Iterator[Remedy]:
    """Another order, in which no two moves of one pattern are neighbours; or a longer rest."""
    for block in case.session.of_kind(BlockKind.MAIN):
        if {cell.ref for cell in block.cells} & set(case.finding.places):
            order = _no_pattern_twice(block)
            edits = tuple(shifts(block, order)) if order else ()
            if edits:
                yield Remedy(words=f"Put moves of another pattern between, in {block.name}", edits=edits)
            rest = f"{LEAST_REST_MS // 1000} s"
            longer = (SetPart(ref=Ref(block=block.name), field="rest", value=rest),)
            yield Remedy(words=f"Rest {rest} between the sets of {block.name}", edits=longer)


def _no_pattern_twice(block: Block) -> list[str]:
    """The order nearest to the block's own with no pattern twice on end, from round to round too; [] for none."""
    patterns = {cell.ref.cell: cell.move.pattern for cell in block.cells}
    now = list(patterns)
    if not 2 < len(now) <= MOST_PERMUTED:
        return []

    def mixes(order: Sequence[str]) -> bool:
        around = (*order, order[0]) if len(block.rounds) > 1 else tuple(order)
        return all(patterns[one] is not patterns[other] for one, other in pairwise(around))

    orders = (order for order in permutations(now) if mixes(order))
    return list(
        min(orders, key=lambda order: sum(abs(at - now.index(key)) for at, key in enumerate(order)), default=())
    )
