"""Other moves in a rung's place: of its pattern, with other kit, in another position or without a caution."""

from collections.abc import Collection, Iterator

from everyrung.moves.difference import difference
from everyrung.moves.library import Library
from everyrung.terms.enums import Caution, KitItem, MoveKind, Pattern
from everyrung.terms.move import Move, Rung

# Where a pattern has nothing fit, another that works the same joints; common practice, no source.
BESIDE = {
    Pattern.OVERHEAD: Pattern.PUSH,
    Pattern.PUSH: Pattern.OVERHEAD,
    Pattern.BRIDGE: Pattern.HIP,
    Pattern.HIP: Pattern.BRIDGE,
    Pattern.ABDUCTION: Pattern.BRIDGE,
    Pattern.CARRY: Pattern.TRUNK,
}


def other_moves(library: Library, move: Move) -> Iterator[tuple[int, Move]]:
    """Moves of the same kind: 1 for those of its pattern, 2 for those of one beside it."""
    beside = BESIDE.get(move.pattern) if move.kind is MoveKind.STRENGTH else None
    for key in library.keys:
        other = library.move(key)
        if key != move.key and other.kind is move.kind and other.pattern in (move.pattern, beside):
            yield (1 if other.pattern is move.pattern else 2), other


def alternatives(
    library: Library, rung: Rung, *, avoid: Collection[Caution] = (), kit: Collection[KitItem] | None = None
) -> tuple[Rung, ...]:
    """The nearest rung of each other move that has none of the cautions and needs nothing beside `kit` (None: whatever
    it needs), the nearest move first.

    >>> from everyrung import library
    >>> hold = library().rung("hollow-hold", "base")
    >>> all(not one.form.position.on_floor for one in alternatives(library(), hold, avoid=[Caution.TO_FLOOR]))
    True
    """
    nearest: list[tuple[tuple[int, ...], Rung]] = []
    own = library.move(rung.move)
    for far, move in other_moves(library, own):
        fit = [one for one in move.ladder if _fits(one, avoid, kit)]
        ranks = [((far, *_distance(rung, one), -len({*own.focus} & {*move.focus})), one) for one in fit]
        nearest += sorted(ranks, key=lambda each: each[0])[:1]
    return tuple(one for _, one in sorted(nearest, key=lambda each: (each[0], each[1].address)))


def _fits(rung: Rung, avoid: Collection[Caution], kit: Collection[KitItem] | None) -> bool:
    if set(rung.cautions) & set(avoid):
        return False
    needs = [need for need in rung.kit if need.item.counts_as_kit]
    return kit is None or all(any(need.is_met_by(item) for item in kit) for need in needs)


def _distance(rung: Rung, other: Rung) -> tuple[int, ...]:
    """By grade first, for these are asked for where the own ladder has nothing."""
    change = difference(rung, other)
    return change.grades, change.floor, change.mode
