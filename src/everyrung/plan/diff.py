"""What differs between two plans, place by place in a coach's words; and whether two people changed the same place."""

from collections.abc import Iterator, Mapping
from typing import Any

from everyrung.plan.serialize import Values, plan_values
from everyrung.terms.frozen import dataclass
from everyrung.terms.plan import Plan

_NAMED = {"block": ("name", "kind"), "move": ("as", "move"), "round": ("name",)}
ORDER = "order"


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One place of a plan that says something else now; '' for nothing."""

    place: str
    was: str
    now: str


def changes(before: Plan, after: Plan) -> tuple[Change, ...]:
    """Every place of two plans that differs, in the order of the later one, then what is gone.

    >>> from dataclasses import replace
    >>> from everyrung import load_plan
    >>> before = load_plan("examples/boathouse-30.toml")
    >>> [(change.place, change.now) for change in changes(before, replace(before, slot_ms=25 * 60_000))]
    [('slot_minutes', '25')]
    """
    one, two = leaves(before), leaves(after)
    places = [*two, *(place for place in one if place not in two)]
    return tuple(
        Change(place=place, was=one.get(place, ""), now=two.get(place, ""))
        for place in places
        if one.get(place, "") != two.get(place, "")
    )


def clashes(mine: tuple[Change, ...], theirs: tuple[Change, ...]) -> tuple[Change, ...]:
    """Those of `theirs` that change a place of `mine`, or something in it, or what it is in, to another end."""
    ends = {each.place: each.now for each in mine}
    return tuple(
        each for each in theirs if ends.get(each.place) != each.now and any(_touch(each.place, place) for place in ends)
    )


def _touch(one: str, two: str) -> bool:
    a, b = one.split("/"), two.split("/")
    return all(x == y for x, y in zip(a, b, strict=False))


def leaves(plan: Plan) -> dict[str, str]:
    """Every value of a plan in words, by its place: 'Main/Two/squat/dose' -> '8 reps'. Orders of
    moves count as values.
    """
    return dict(_leaves("", plan_values(plan)))


def _leaves(place: str, values: Values) -> Iterator[tuple[str, str]]:
    for key, value in values.items():
        if key in _NAMED and isinstance(value, list):
            yield from _tables(place, key, value)
        elif key in ("cell", "who", "clock", "options") and isinstance(value, Mapping):
            inside = place if key == "cell" else _join(place, key)
            yield from _leaves_of(inside, value)
        elif key == "kit":
            yield from ((_join(_join(place, "kit"), str(at + 1)), _value_words(each)) for at, each in enumerate(value))
        else:
            yield _join(place, key), _value_words(value)


def _leaves_of(place: str, values: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    for key, value in values.items():
        if isinstance(value, Mapping) and "options" not in place.split("/"):
            yield from _leaves(_join(place, key), dict(value))
        else:
            yield _join(place, key), _value_words(value)


def _tables(place: str, key: str, tables: list[Values]) -> Iterator[tuple[str, str]]:
    names = [_name(key, each) for each in tables]
    yield _join(place, f"{key} {ORDER}"), ", ".join(names)
    for name, each in zip(names, tables, strict=True):
        inside = _join(place, name)
        yield inside, "there"
        yield from _leaves(inside, each)


def _name(key: str, values: Values) -> str:
    name = next(str(values[field]) for field in _NAMED[key] if field in values)
    return name.capitalize() if key == "block" and "name" not in values else name


def _join(place: str, key: str) -> str:
    return f"{place}/{key}" if place else key


def _value_words(value: Any) -> str:
    if isinstance(value, Mapping):
        return ", ".join(f"{key} {_value_words(each)}" for key, each in value.items())
    if isinstance(value, list):
        return "; ".join(_value_words(each) for each in value)
    return str(value)
