"""Places in the document of a plan file, and putting values there so that comments and order survive."""

from collections.abc import Callable, Iterator
from typing import Any

import tomlkit
from tomlkit.items import AoT, Comment, InlineTable, Table

from everyrung.plan.write import item
from everyrung.terms.errors import Invalid, nearest
from everyrung.terms.plan import Plan, Ref


def put(target: Any, key: str, value: Any) -> None:
    """Puts a value in its place; None takes it out. A comment at its end stays. Raises Invalid for what TOML cannot
    hold.
    """
    if value is None:
        target.pop(key, None)
        return
    entry = item(key, value)
    had = target.get(key)
    if hasattr(had, "trivia") and hasattr(entry, "trivia") and not isinstance(entry, Table | AoT):
        entry.trivia.comment_ws, entry.trivia.comment = had.trivia.comment_ws, had.trivia.comment
    if key in target or not isinstance(target, Table) or isinstance(entry, Table | AoT):
        target[key] = entry
    else:
        _append_before_comments(target, key, entry)


def _append_before_comments(table: Table, key: str, entry: Any) -> None:
    """After the table's last key: the comments that follow it speak of what comes next."""
    body = table.value.body
    after = [tail for tail in range(len(body)) if body[tail][0] is not None]
    tail = body[after[-1] + 1 :] if after else []
    if not any(isinstance(part, Comment) for _, part in tail):
        table[key] = entry
        return
    del body[after[-1] + 1 :]
    table[key] = entry
    body.extend(tail)


def put_option(cell: Any, key: str, value: Any) -> None:
    """Puts one of a cell's options; its sisters stay as they are written. Raises Invalid for what TOML cannot hold."""
    if "options" in cell:
        put(cell["options"], key, value)
        if not cell["options"]:
            del cell["options"]
    elif value is not None and isinstance(cell, InlineTable):
        cell["options"] = item("options", {key: value})
    elif value is not None:
        cell.append(tomlkit.key(["options", key]), item(key, value))


def put_cells(table: Any, cells: dict[str, dict[str, Any]]) -> None:
    """Writes all that a round says of its cells anew. Raises Invalid for what TOML cannot hold."""
    table.pop("cell", None)
    for key, values in cells.items():
        cell = cell_in(table, key)
        for name, value in values.items():
            if name == "options":
                for kind, option in value.items():
                    put_option(cell, kind, option)
            else:
                put(cell, name, value)


def append(target: Any, key: str, values: dict[str, Any]) -> None:
    """Adds one table at the end of a list of tables, a line apart from what follows. Raises Invalid for what TOML
    cannot hold.
    """
    tables = item(key, [values])
    tables[0].add(tomlkit.nl())
    if key in target:
        target[key].append(tables[0])
    else:
        target[key] = tables


def block_of(document: Any, plan: Plan, name: str) -> tuple[int, Any]:
    """A block's place among the plan's, from 0, and its table. Raises Invalid with the nearest name."""
    at = place_of([block.name for block in plan.blocks], name, "block")
    return at, document["block"][at]


def part_of(document: Any, plan: Plan, ref: Ref) -> Any:
    """The table of a round, or of a block; a block without written rounds is its own only one. Raises Invalid for a
    place that is not there.
    """
    place, block = block_of(document, plan, ref.block)
    rounds = [each.name for each in plan.blocks[place].rounds]
    if not ref.round or (not rounds and ref.round == ref.block):
        return block
    at = place_of(rounds, ref.round, "round")
    return block["round"][at]


def cell_of(document: Any, plan: Plan, ref: Ref, *, column: bool = False) -> Any:
    """The table that a cell's own words stand in, made where there is none yet; or that of its whole `column`. Raises
    Invalid for a place that is not there.
    """
    place, block = block_of(document, plan, ref.block)
    rounds = [each.name for each in plan.blocks[place].rounds]
    at = place_of(list(plan.blocks[place].columns), ref.cell, "move")
    if column or not rounds:
        return block["move"][at]
    return cell_in(block["round"][place_of(rounds, ref.round, "round")], ref.cell)


def cell_in(table: Any, key: str) -> Any:
    """A round's table for one cell, made where there is none yet, in the style of those beside it."""
    if "cell" not in table:
        table["cell"] = tomlkit.table(is_super_table=True)
    if key not in table["cell"]:
        table["cell"][key] = tomlkit.inline_table() if _has_dotted_key(table, "cell") else tomlkit.table()
    return table["cell"][key]


def _has_dotted_key(table: Any, name: str) -> bool:
    """Whether a table is written as `cell.squat = { … }`: under a bracket of its own more of it would get lost."""
    return any(key is not None and key.key == name and key.is_dotted() for key, _ in table.value.body)


def rounds_own(document: Any, plan: Plan, ref: Ref) -> Iterator[Any]:
    """The tables in which rounds have words of their own about a column. Raises Invalid for a block
    that is not there.
    """
    _, block = block_of(document, plan, ref.block)
    for each in block.get("round", []):
        if ref.cell in each.get("cell", {}):
            yield each["cell"][ref.cell]


def drop_cell(table: Any, key: str) -> None:
    """Takes everything that a round says of a column out of the round's table. Raises Invalid for what TOML cannot
    hold.
    """
    if key in table.get("cell", {}):
        del table["cell"][key]
        if not table["cell"]:
            del table["cell"]
    if key in table.get("skip", []):
        put(table, "skip", [name for name in plain(table["skip"]) if name != key] or None)


def put_above_tables(document: Any, key: str, value: Any) -> None:
    """Puts a new key of the head above the first bracket, or it would belong to that table."""
    lines = tomlkit.dumps(document).splitlines(keepends=True)
    brackets = (place for place, line in enumerate(lines) if line.lstrip().startswith("["))
    at = next(brackets, len(lines))
    while at and (not lines[at - 1].strip() or lines[at - 1].lstrip().startswith("#")):
        at -= 1
    fresh = tomlkit.parse("".join([*lines[:at], tomlkit.dumps({key: value}), *lines[at:]]))
    document.clear()
    document.body.clear()  # comments are not among the keys, and would come before all of them
    document.parsing(True)  # as it stands: no empty lines of its own
    for name, part in fresh.body:
        document.append(name, part)
    document.parsing(False)


def forget(document: Any, plan: Plan, is_gone: Callable[[Ref], bool]) -> None:
    """Takes places that are `is_gone` out of the cut order, and the cut order out when nothing is left of it."""
    for at in reversed([at for at, ref in enumerate(plan.cut_order) if is_gone(ref)]):
        del document["cut_order"][at]
    if plan.cut_order and not document["cut_order"]:
        del document["cut_order"]


def place_of(names: list[str], name: str, what: str) -> int:
    """Where a name stands among others, from 0; `what` is the word for it. Raises Invalid with the nearest.

    >>> place_of(["One", "Two"], "Two", "round")
    1
    """
    if name not in names:
        raise Invalid(what, f"a {what} of this plan", name, nearest=nearest(name, names))
    return names.index(name)


def plain(value: Any) -> list[Any]:
    """A list of the document as one of Python's own."""
    return list(value.unwrap() if hasattr(value, "unwrap") else value)
