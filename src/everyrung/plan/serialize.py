"""A plan as the plain values of its file: the one place that says how each field is written."""

from collections.abc import Mapping
from dataclasses import fields
from typing import Any

from everyrung.moves.lever_words import write_lever
from everyrung.parsing.body_size import written_mass, written_stature
from everyrung.terms.lever import Lever
from everyrung.terms.plan import BlockText, CellText, Leader, OptionText, Plan, RoundText, SideText, Stock, Who
from everyrung.terms.units import clock_text

Values = dict[str, Any]


def plan_values(plan: Plan) -> Values:
    """Every field of a plan under the key it has in the file; fields left at their default are left out.

    >>> from everyrung import load_plan
    >>> plan_values(load_plan("examples/boathouse-30.toml"))["slot_minutes"]
    30
    """
    return _without_defaults(
        {
            "title": plan.title,
            "slot_minutes": plan.slot_ms // 60_000,
            "level": str(plan.level) if plan.level else None,
            "view": str(plan.view) if plan.view else None,
            "sides": str(plan.sides) if plan.sides else None,
            "newcomer_rounds": plan.newcomer_rounds,
            "cut_order": [str(ref) for ref in plan.cut_order],
            "cover_notes": plan.cover_notes,
            "who": _who(plan.who),
            "leader": _leader(plan.leader),
            "clock": _clock(plan.clock),
            "kit": [stock_values(stock) for stock in plan.kit],
            "block": [_block(block) for block in plan.blocks],
        }
    )


def _without_defaults(values: Values, defaults: Mapping[str, object] | None = None) -> Values:
    usual = defaults or {}
    return {
        key: value
        for key, value in values.items()
        if value is not None and value is not False and value not in ("", [], {}) and usual.get(key) != value
    }


def _who(who: Who) -> Values:
    return _without_defaults(
        {
            "in_room": who.in_room or None,
            "at_home": who.at_home or None,
            "newcomers": who.newcomers,
            "live": who.live,
            "lip_readers": who.lip_readers,
            "limits": [str(limit) for limit in who.limits],
        }
    )


def _leader(leader: Leader) -> Values:
    return _without_defaults(
        {
            "stature": written_stature(leader.stature_m) if leader.stature_m else None,
            "mass": written_mass(leader.mass_kg) if leader.mass_kg else None,
            "age": leader.age,
            "sex": str(leader.sex) if leader.sex else None,
            "level": str(leader.level) if leader.level else None,
        }
    )


def _clock(changes: Mapping[str, int]) -> Values:
    return {
        name.removesuffix("_ms"): clock_text(value) if name.endswith("_ms") else value
        for name, value in changes.items()
    }


def stock_values(stock: Stock) -> Values:
    """One kit entry as a plan file has it: `read_stock` makes the same of it again."""
    return _without_defaults(
        {
            "item": str(stock.item),
            "mass": str(stock.mass) if stock.mass else None,
            "as": "pairs" if stock.pairs else None,
            "diameter": f"{stock.diameter_cm:g} cm" if stock.diameter_cm else None,
            "rated": f"{stock.rated_kg!r} kg".replace(".0 ", " ") if stock.rated_kg else None,
            "grade": str(stock.grade) if stock.grade else None,
            "height": f"{stock.height_cm:g} cm" if stock.height_cm else None,
            "count": stock.count or None,
            "each": stock.each or None,
        }
    )


def _block(block: BlockText) -> Values:
    return _without_defaults(
        {
            "kind": str(block.kind),
            "name": block.name,
            "talk": _time(block.talk_ms),
            "say": list(block.say),
            "rest": _time(block.rest_ms),
            "round_rest": _time(block.round_rest_ms),
            "waves": [list(group) for group in block.waves],
            "lock": block.lock,
            "move": [_column(key, cell) for key, cell in block.columns.items()],
            "round": [_round(each) for each in block.rounds],
        },
        {"name": str(block.kind).capitalize()},
    )


def _time(duration_ms: int | None) -> str | None:
    return None if duration_ms is None else clock_text(duration_ms)


def _column(key: str, cell: CellText) -> Values:
    head = {"move": cell.move, "as": key} if key != cell.move else {"move": cell.move}
    return {**head, **{name: value for name, value in cell_values(cell).items() if name != "move"}}


def _round(each: RoundText) -> Values:
    return _without_defaults(
        {
            "name": each.name,
            "like": each.like,
            "rest": _time(each.rest_ms),
            "skip": list(each.skip),
            "cell": {key: cell_values(cell) for key, cell in each.cells.items()},
        }
    )


def cell_values(cell: CellText) -> Values:
    """The fields of one cell under the keys they have in the file, in its order; what is not said is left out."""
    return {
        **_without_defaults(
            {
                "move": cell.move,
                "rung": cell.rung,
                "dose": str(cell.dose) if cell.dose else None,
                "tempo": str(cell.tempo) if cell.tempo else None,
                "beats_a_minute": _plain_number(cell.beats_a_minute),
                "load": str(cell.load) if cell.load else None,
                "carry": str(cell.carry) if cell.carry else None,
                "rest": _time(cell.rest_ms),
                "sides": str(cell.sides) if cell.sides else None,
                "add": _levers(cell.add),
                "options": {kind.key: option_value(option) for kind, option in cell.options.items()},
                "name": cell.name,
                "entry_test": cell.entry_test,
                "cues": list(cell.cues),
                "note": cell.note,
                "lock": cell.lock,
            }
        ),
        # An empty list or table here says something: no levers, a side with nothing changed.
        **({"levers": _levers(cell.levers)} if cell.levers is not None else {}),
        **({"left": _side(cell.left)} if cell.left is not None else {}),
        **({"right": _side(cell.right)} if cell.right is not None else {}),
    }


def _plain_number(number: float | None) -> float | int | None:
    """128 and not 128.0."""
    return int(number) if number is not None and number == int(number) else number


def _levers(levers: tuple[Lever, ...]) -> list[Values]:
    return [write_lever(lever) for lever in levers]


def _side(side: SideText) -> Values:
    return {each.name: str(value) for each in fields(side) if (value := getattr(side, each.name)) is not None}


def option_value(option: OptionText) -> str | Values:
    """An option as it stands in the file: a rung's key alone, or a table."""
    if not (option.levers or option.name or option.entry_test):
        return option.rung
    values = {"rung": option.rung, "levers": _levers(option.levers), "name": option.name}
    return _without_defaults({**values, "entry_test": option.entry_test}, {"rung": "base"})
