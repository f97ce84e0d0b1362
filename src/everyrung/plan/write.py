"""Writing a plan file: fresh, or over an existing text so that its comments and order survive."""

from collections.abc import Mapping
from typing import Any

import tomlkit
from tomlkit.exceptions import ConvertError
from tomlkit.items import AoT

from everyrung.plan.read import plan_from_text
from everyrung.plan.serialize import Values, plan_values
from everyrung.terms.errors import Invalid
from everyrung.terms.plan import Plan

_TABLE_LISTS = ("kit", "block", "move", "round")


def write_plan(plan: Plan, over: str = "") -> str:
    """The text of `plan`; with `over` (a text that reads as a plan) only what differs from it is touched.

    Raises Invalid for a value that TOML cannot hold, Faults when `over` does not read as a plan.
    """
    if not over:
        return values_text(plan_values(plan))
    document = tomlkit.parse(over)
    _merge(document, plan_values(plan), plan_values(plan_from_text(over, plan.file)))
    return tomlkit.dumps(document)


def values_text(values: Mapping[str, Any]) -> str:
    """The text of a file with these values. Raises Invalid for a key or a value that TOML cannot hold.

    >>> print(values_text({"title": "One set", "slot_minutes": 5}), end="")
    title = "One set"
    slot_minutes = 5
    """
    document = tomlkit.document()
    for key, value in values.items():
        try:
            document.append(key, item(key, value))
        except (ConvertError, TypeError, AttributeError) as problem:
            remedy = "Keys are words; values are words, numbers, True, False, lists and dicts of them."
            raise Invalid(str(key), "what a plan file can hold", str(problem), remedy=remedy) from None
    return tomlkit.dumps(document)


def canonical(text: str, file: str) -> str:
    """A plan text with every amount in its usual form ("0:40", "10 lb"); comments and order as they were.

    Raises Faults when it does not read as a plan, Invalid for a value that TOML cannot hold.
    """
    return write_plan(plan_from_text(text, file), over=text)


def with_remarks(text: str, remarks: Mapping[tuple[str | int, ...], str]) -> str:
    """A plan text with a remark behind each value that a path leads to; what is not there gets none.

    >>> print(with_remarks('title = "One set"', {("title",): "as said"}))
    title = "One set" # as said
    """
    document = tomlkit.parse(text)
    for (*path, last), remark in remarks.items():
        table: Any = document
        for step in path:
            table = table[step]
        if last in table:
            table[last].comment(remark)
    return tomlkit.dumps(document)


def item(key: str, value: Any) -> Any:
    """A value as tomlkit writes it under `key`: lists of tables in double brackets, the rest on one line. Raises
    Invalid for what TOML cannot hold.
    """
    if key in _TABLE_LISTS and value and isinstance(value, list):
        tables = tomlkit.aot()
        for each in value:
            table = tomlkit.table()
            for name, inner in each.items():
                table.append(name, item(name, inner))
            tables.append(table)
        return tables
    if key in ("who", "clock"):
        table = tomlkit.table()
        table.update(value)
        return table
    return _inline(value)


def _inline(value: Any) -> Any:
    """Levers, options and sides stay on one line, as a coach writes them."""
    if isinstance(value, dict):
        table = tomlkit.inline_table()
        for name, inner in value.items():
            table.append(name, _inline(inner))
        return table
    if isinstance(value, list):
        array = tomlkit.array()
        for each in value:
            array.append(_inline(each))
        return array
    try:
        return tomlkit.item(value)
    except ConvertError:
        raise Invalid("value", "words, numbers, lists and tables", f"{value!r}", remedy="Leave it out.") from None


def _merge(target: Any, values: Values, had: Values) -> None:
    """Makes `target` say `values`. `had` is what it says now in usual form, so that defaults written out stay."""
    for key in [key for key in target if key not in values and key in had]:
        del target[key]
    for key, value in values.items():
        if key not in target:
            target[key] = item(key, value)
        elif isinstance(value, Mapping) and isinstance(target[key], Mapping):
            _merge(target[key], dict(value), dict(had.get(key, {})))
        elif isinstance(value, list) and isinstance(target[key], list):
            _merge_list(key, target[key], value, had.get(key, []))
        elif target[key] != value:
            target[key] = item(key, value)


def _merge_list(key: str, target: Any, values: list[Any], had: list[Any]) -> None:
    while len(target) > len(values):
        del target[len(target) - 1]
    for place, value in enumerate(values):
        if place >= len(target):
            entry = item(key, [value]) if isinstance(target, AoT) else None
            target.append(entry[0] if entry is not None else _inline(value))
        elif isinstance(value, Mapping) and isinstance(target[place], Mapping):
            before = had[place] if place < len(had) and isinstance(had[place], Mapping) else {}
            _merge(target[place], dict(value), dict(before))
        elif target[place] != value:
            target[place] = _inline(value)
