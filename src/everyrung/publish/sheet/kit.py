"""What to bring: for each person, for the room, and what is listed as being there."""

from collections.abc import Iterable
from dataclasses import replace

from everyrung.checks.kit_needs import ItemNeed, wanted_by
from everyrung.publish.sheet.terms import KitLine
from everyrung.runsheet.words import mass_words
from everyrung.score.lanes import cell_numbers
from everyrung.terms.enums import KitItem, OptionKind
from everyrung.terms.plan import Stock
from everyrung.terms.session import Cell, Session
from everyrung.terms.units import KG_PER_LB


def kit_lines(session: Session) -> tuple[KitLine, ...]:
    """One line for each thing used, loads and bands by weight and grade; then what is there and not used."""
    numbers = cell_numbers(session)
    pieces: dict[ItemNeed, int] = {}
    users: dict[ItemNeed, list[int]] = {}
    for cell in _all_cells(session):
        for need in wanted_by(cell):
            one = replace(need, pieces=1)
            pieces[one] = max(pieces.get(one, 0), need.pieces)
            users.setdefault(one, []).append(numbers[cell.ref])
    lines = [
        _line(session, one, pieces[one], [stock for stock in session.kit if one.met_by(stock)], cells)
        for one, cells in users.items()
    ]
    spare: dict[ItemNeed, list[Stock]] = {}
    for stock in session.kit:
        if not any(one.met_by(stock) for one in users):
            spare.setdefault(ItemNeed(item=stock.item, mass=stock.mass, grade=stock.grade), []).append(stock)
    spare_lines = [_line(session, one, 0, stocks, []) for one, stocks in spare.items()]
    return (*sorted(lines, key=_order), *spare_lines)


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
        notes.append(f"Only for harder or easier versions: {', '.join(extras)}.")
    if any(stock.item is KitItem.BALL for stock in session.kit):
        notes.append(
            "Balls: the rated load must exceed body and dumbbells together; measure the diameter; throw a worn or "
            "scratched ball away."
        )
    return tuple(notes)


def _all_cells(session: Session) -> Iterable[Cell]:
    return (cell for block in (*session.blocks, *session.reserve) for cell in block.cells)


def _name(need: ItemNeed) -> str:
    if need.mass:
        thing = "dumbbell" if need.item is KitItem.DUMBBELLS else need.item
        return f"{thing.capitalize()}, {mass_words(need.mass)}"
    return (need.grade or need.item).capitalize()


def _line(session: Session, need: ItemNeed, pieces: int, stocks: list[Stock], cells: list[int]) -> KitLine:
    people = session.who.in_room
    is_wall = need.item is KitItem.WALL  # a wall is a place, not a piece to bring
    each = "a free stretch" if is_wall and pieces else str(pieces) if pieces else "not used"
    room = "" if is_wall or not pieces or not people else f"{pieces * people} for {people}"
    stock_text = "; ".join(_with_item(stock, need) for stock in stocks) or "not listed in the plan"
    return KitLine(what=_name(need), each=each, room=room, listed=stock_text, cells=_cells(cells))


def _with_item(stock: Stock, need: ItemNeed) -> str:
    """With what it is, where it is not what the line says."""
    other = stock.item if stock.item is not need.item else None if need.grade else stock.grade
    return f"{other}: {_stock_words(stock)}" if other else _stock_words(stock)


def _stock_words(stock: Stock) -> str:
    if stock.item is KitItem.WALL:
        return "there"
    pieces = f"{stock.pieces} each" if stock.each else str(stock.pieces)
    if stock.pairs:
        return f"{pieces} ({stock.count or stock.each} pair{'s' if max(stock.count, stock.each) > 1 else ''})"
    if stock.diameter_cm and stock.rated_kg:
        rating = f"{stock.rated_kg:g} kg / {stock.rated_kg / KG_PER_LB:.0f} lb"
        return f"{pieces} of {stock.diameter_cm:g} cm, rated {rating}"
    if stock.height_cm:
        return f"{pieces} of {stock.height_cm:g} cm"
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
