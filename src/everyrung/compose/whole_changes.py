"""Changes of a whole session: another length, fewer kit changes, nobody on the floor, one person more."""

from collections.abc import Iterator, Sequence
from itertools import islice, pairwise, permutations

from everyrung.compose.case import Case, PlanRun, Remedy
from everyrung.compose.led_rungs import lead
from everyrung.compose.mend import candidates
from everyrung.compose.options import FIELDS
from everyrung.compose.rungs import stand_ins
from everyrung.compose.slot import shifts
from everyrung.compose.swap import swap
from everyrung.compose.trial import Again, Outcome, try_edit
from everyrung.moves.alternatives import alternatives
from everyrung.terms.edit import OneEdit, RemoveMove, SetCell, SetHead
from everyrung.terms.enums import BlockKind, KitItem
from everyrung.terms.sentences import lower_first
from everyrung.terms.session import Block, Cell, Session

FITS = ("slot-overrun", "slot-underfilled")
MOST_PERMUTED = 6  # columns; chosen, because 720 orders are looked through in no time
MOST_FITS = 8  # ways tried; chosen, because each takes a run of the plan


def fits(text: str, start: PlanRun, minutes: int, again: Again) -> Iterator[Remedy]:
    """The slot, and what makes the session as long as it."""
    slot = SetHead(field="slot_minutes", value=minutes)
    there = try_edit(text, start, slot, again)
    if not isinstance(there, Outcome):
        return
    off = [each for each in there.run.findings if each.rule in FITS]
    if not off:
        yield Remedy(words=f"Make it {minutes} minutes", edits=(slot,))
    for finding in off:
        case = Case(run=there.run, finding=finding, library=start.library, wall_people=start.wall_people)
        for each in islice((one for one in candidates(case) if not one.silent), MOST_FITS):
            words = f"{minutes} minutes: {lower_first(each.words)}"
            yield Remedy(words=words, edits=(slot, *each.edits), family=each.family)


def fewer_kit_changes(start: PlanRun) -> Iterator[Remedy]:
    """Another order of the moves, in which kit is fetched and put away less often."""
    before = kit_changes(start.session)
    edits: list[OneEdit] = []
    saves = 0
    for block in start.session.of_kind(BlockKind.MAIN):
        order, fewer = _order(block)
        if fewer and not block.lock:
            edits += shifts(block, order)
            saves += fewer
    if edits:
        words = f"Another order: kit is changed {before - saves} times in place of {before}"
        yield Remedy(words=words, edits=tuple(edits))


def kit_changes(session: Session) -> int:
    """How often kit is fetched or put away between two sets that follow each other in a main block."""
    return sum(_changes(list(block.cells)) for block in session.of_kind(BlockKind.MAIN))


def _changes(cells: Sequence[Cell]) -> int:
    return sum(_kit(one) != _kit(other) for one, other in pairwise(cells))


def _kit(cell: Cell) -> frozenset[KitItem]:
    return frozenset(need.item for need in cell.rung.kit if need.item.counts_as_kit)


def _order(block: Block) -> tuple[list[str], int]:
    """The order with the fewest changes of kit, then of floor, nearest to the block's own; and how many it saves."""
    rounds = [{cell.ref.cell: cell for cell in each.cells} for each in block.rounds]
    now = list(dict.fromkeys(key for each in rounds for key in each))
    if not 2 < len(now) <= MOST_PERMUTED:
        return now, 0

    def cost(order: Sequence[str]) -> tuple[int, int, int]:
        cells = [each[key] for each in rounds for key in order if key in each]
        floor = sum(one.rung.form.position.on_floor != two.rung.form.position.on_floor for one, two in pairwise(cells))
        return _changes(cells), floor, sum(abs(at - now.index(key)) for at, key in enumerate(order))

    best = min(permutations(now), key=cost)
    (changes, floor, _), (changes_now, floor_now, _) = cost(best), cost(now)
    return (list(best), changes_now - changes) if floor <= floor_now else (now, 0)


def off_the_floor(start: PlanRun) -> Iterator[Remedy]:
    """Every set on the floor led standing or seated, by its own ladder or by another move; else its move left out."""
    edits: list[OneEdit] = []
    names: list[str] = []
    for block in start.session.blocks:
        for key in dict.fromkeys(cell.ref.cell for cell in block.cells if cell.rung.form.position.on_floor):
            cells = tuple(cell for cell in block.cells if cell.ref.cell == key)
            more, name = _standing(start, block, cells)
            edits += more
            names.append(name)
        edits += _options_off(block)
    if edits:
        yield Remedy(words=f"Nobody gets down: {', '.join(names)}", edits=tuple(edits))


def _standing(start: PlanRun, block: Block, cells: tuple[Cell, ...]) -> tuple[tuple[OneEdit, ...], str]:
    own = [each for each in stand_ins(start, cells[0], None) if not each.move and not each.rung.form.position.on_floor]
    if own:
        low = [cell for cell in cells if cell.rung.form.position.on_floor]
        return lead(start, low, own[0]), own[0].rung.name
    kit = {stock.item for stock in start.session.kit}
    there = {cell.move.key for cell in start.session.cells}
    for rung in alternatives(start.library, cells[0].rung, avoid=start.cautions, kit=kit):
        if not rung.form.position.on_floor and rung.move not in there:
            return swap(start, block, cells, rung), rung.name
    name = cells[0].move.name.lower()
    return (RemoveMove(block=block.name, cell=cells[0].ref.cell),), f"without {name}"


def _options_off(block: Block) -> Iterator[OneEdit]:
    """Options that the plan names and that send people to the floor are taken from the ladder."""
    for cell in block.cells:
        for option in cell.options:
            if option.given and option.rung.form.position.on_floor and not cell.rung.form.position.on_floor:
                yield SetCell(ref=cell.ref, field=FIELDS[option.kind], value=None)


def one_more(start: PlanRun) -> Iterator[Remedy]:
    """One person more in the room, or at home where nobody is in the room."""
    who = start.session.who
    if who.in_room:
        yield Remedy(
            words=f"For {who.in_room + 1} in the room", edits=(SetHead(field="who.in_room", value=who.in_room + 1),)
        )
    else:
        yield Remedy(
            words=f"For {who.at_home + 1} at home", edits=(SetHead(field="who.at_home", value=who.at_home + 1),)
        )
