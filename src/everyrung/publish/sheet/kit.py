"""What to bring: for each person, for the room, and what is listed as being there."""

from collections import Counter
from collections.abc import Iterable

from everyrung.publish.sheet.terms import KitLine
from everyrung.runsheet.words import mass_words, other_kit
from everyrung.score.lanes import cell_numbers
from everyrung.terms.enums import KitItem, OptionKind
from everyrung.terms.plan import Stock
from everyrung.terms.session import Cell, Session
from everyrung.terms.units import KG_PER_LB, Load

_ANY_BAND = KitItem.BAND.capitalize()


def kit_lines(session: Session) -> tuple[KitLine, ...]:
    """One line for each thing used, dumbbells and bands by weight and grade; then what is there and not used."""
    numbers = cell_numbers(session)
    needs: dict[str, int] = {}
    users: dict[str, list[int]] = {}
    for cell in _all_cells(session):
        for what, pieces in _needs(cell).items():
            needs[what] = max(needs.get(what, 0), pieces)
            users.setdefault(what, []).append(numbers[cell.ref])
    there: dict[str, list[Stock]] = {}
    for stock in session.kit:
        there.setdefault(_stock_name(stock), []).append(stock)
    in_use = set(needs)
    if _ANY_BAND in needs:  # a set that works with a band takes whichever is there
        there[_ANY_BAND] = [stock for stock in session.kit if stock.grade]
        in_use.update(_stock_name(stock) for stock in there[_ANY_BAND])
    lines = [_line(session, what, pieces, there.get(what, []), users[what]) for what, pieces in needs.items()]
    spare = [_line(session, what, 0, stocks, []) for what, stocks in there.items() if what not in in_use]
    return (*sorted(lines, key=_order), *spare)


def kit_notes(session: Session) -> tuple[str, ...]:
    """What people at home need to know, and the usual care with balls."""
    notes = []
    if session.who.at_home:
        notes.append(
            "At home: bring what is listed for each person. Without it take the no-kit version: a floor and a wall are "
            "enough."
        )
    extras = sorted(_option_kit(session) - {need.item for cell in _all_cells(session) for need in cell.rung.kit})
    if extras:
        notes.append(f"Only for harder or easier rungs: {', '.join(extras)}.")
    if any(stock.item is KitItem.BALL for stock in session.kit):
        notes.append(
            "Balls: the rated load must exceed body and dumbbells together; measure the diameter; throw a worn or "
            "scratched ball away."
        )
    return tuple(notes)


def _all_cells(session: Session) -> Iterable[Cell]:
    return (cell for block in (*session.blocks, *session.reserve) for cell in block.cells)


def _needs(cell: Cell) -> Counter[str]:
    """Pieces for one person in one cell, by what they are called."""
    result: Counter[str] = Counter()
    for bout in cell.bouts:
        result |= _load_pieces(bout.load)
    others = other_kit(cell)
    for need in cell.rung.kit:
        if need.item in others or need.item is KitItem.MAT:
            result[_plain(need.item)] = need.pieces
    return result


def _load_pieces(load: Load | None) -> Counter[str]:
    if load is None:
        return Counter()
    if load.band:
        return Counter([load.band.capitalize()])
    return Counter(f"Dumbbell, {mass_words(piece)}" for piece in load.pieces)


def _plain(item: KitItem) -> str:
    return item.capitalize()


def _stock_name(stock: Stock) -> str:
    if stock.mass:
        return f"Dumbbell, {mass_words(stock.mass)}"
    return (stock.grade or stock.item).capitalize()


def _line(session: Session, what: str, pieces: int, stocks: list[Stock], cells: list[int]) -> KitLine:
    people = session.who.in_room
    is_wall = what == _plain(KitItem.WALL)  # a wall is a place, not a piece to bring
    each = "a free stretch" if is_wall and pieces else str(pieces) if pieces else "not used"
    room = "" if is_wall or not pieces or not people else f"{pieces * people} for {people}"
    stock_text = (
        "; ".join(_stock_words(stock, with_grade=what == _ANY_BAND) for stock in stocks) or "not listed in the plan"
    )
    return KitLine(what=what, each=each, room=room, listed=stock_text, cells=_cells(cells))


def _stock_words(stock: Stock, *, with_grade: bool) -> str:
    if stock.item is KitItem.WALL:
        return "there"
    if with_grade:
        return f"{stock.grade}: {_stock_words(stock, with_grade=False)}"
    pieces = f"{stock.pieces} each" if stock.each else str(stock.pieces)
    if stock.pairs:
        return f"{pieces} ({stock.count or stock.each} pair{'s' if max(stock.count, stock.each) > 1 else ''})"
    if stock.diameter_cm and stock.rated_kg:
        rating = f"{stock.rated_kg:g} kg / {stock.rated_kg / KG_PER_LB:.0f} lb"
        return f"{pieces} of {stock.diameter_cm:g} cm, rated {rating}"
    return pieces


def _cells(numbers: list[int]) -> str:
    return ", ".join(str(number) for number in numbers)


def _order(line: KitLine) -> tuple[bool, str]:
    return (not line.what.startswith("Dumbbell"), line.what)


def _option_kit(session: Session) -> set[KitItem]:
    return {
        need.item
        for cell in _all_cells(session)
        for option in cell.options
        if option.kind is not OptionKind.NO_KIT
        for need in option.rung.kit
    }
