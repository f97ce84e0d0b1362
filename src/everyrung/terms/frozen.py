"""Frozen dataclasses with slots that cost less than half of the usual to declare.

The standard library writes and compiles six functions for each such class, and a check needs a hundred of them before
it reads a line: benchmarks/check.py; docs/dependencies.md has what that costs, here and with other libraries. Here
`__init__` alone is compiled; the other five are written once, below, for every class. To a type checker, and to
`fields`, `replace`, `asdict` and `pickle`, a class is as the standard library makes it: tests/terms/test_frozen.py
compares the two.
"""

import dataclasses
from collections.abc import Callable
from dataclasses import MISSING, Field, FrozenInstanceError, fields
from operator import attrgetter
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from dataclasses import dataclass as dataclass  # what a type checker knows of the arguments and of what is made
else:

    def dataclass(*, frozen=False, slots=False, kw_only=False, repr=True, eq=True):  # noqa: A002
        """As `dataclasses.dataclass` with these arguments, and by it where a class can change."""
        if not (frozen and slots):
            return dataclasses.dataclass(frozen=frozen, slots=slots, kw_only=kw_only, repr=repr, eq=eq)
        return lambda cls: _freeze(cls, kw_only=kw_only, show=repr, compare=eq)


def _freeze(cls: type[Any], *, kw_only: bool, show: bool, compare: bool) -> type[Any]:
    own = set(vars(cls))
    frozen: type[Any] = dataclasses.dataclass(init=False, repr=False, eq=False, slots=True, kw_only=kw_only)(cls)
    parts = fields(frozen)
    frozen.__init__ = _initializer(frozen, parts)
    methods: dict[str, Callable[..., Any]] = {
        "__setattr__": _refuse_to_set,
        "__delattr__": _refuse_to_delete,
        "__getstate__": _state,
        "__setstate__": _set_state,
    }
    if show:
        methods["__repr__"] = _representation([each.name for each in parts if each.repr])
    if compare:
        methods |= _comparison(parts)
    for name, method in methods.items():
        if name not in own:
            setattr(frozen, name, method)
    frozen.__dataclass_params__.frozen = True
    return frozen


def _initializer(frozen: type[Any], parts: tuple[Field[Any], ...]) -> Callable[..., None]:
    """`__init__`, which sets each slot by its descriptor, for `__setattr__` refuses; then `__post_init__`."""
    names: dict[str, Any] = {"_missing": MISSING}
    by_place: list[str] = []
    by_name: list[str] = []
    lines: list[str] = []
    for each in parts:
        name, value, parameter = each.name, each.name, each.name
        if each.default is not MISSING:
            names[f"_default_{name}"] = each.default
            parameter = f"{name}=_default_{name}"
        elif each.default_factory is not MISSING:
            names[f"_make_{name}"] = each.default_factory
            parameter, value = f"{name}=_missing", f"_make_{name}() if {name} is _missing else {name}"
        names[f"_set_{name}"] = getattr(frozen, name).__set__
        lines.append(f" _set_{name}(self, {value})\n")
        (by_name if each.kw_only else by_place).append(parameter)
    if hasattr(frozen, "__post_init__"):
        lines.append(" self.__post_init__()\n")
    parameters = ", ".join(["self", *by_place, *(["*", *by_name] if by_name else [])])
    exec(f"def __init__({parameters}):\n{''.join(lines) or ' pass'}", names)
    initializer: Callable[..., None] = names["__init__"]
    initializer.__qualname__, initializer.__module__ = f"{frozen.__qualname__}.__init__", frozen.__module__
    initializer.__annotations__ = {each.name: each.type for each in parts} | {"return": None}
    return initializer


def _comparison(parts: tuple[Field[Any], ...]) -> dict[str, Callable[..., Any]]:
    """`__eq__` and `__hash__` by those fields that have a part in each, as one tuple."""
    key = _values([each.name for each in parts if each.compare])
    hash_key = _values([each.name for each in parts if (each.compare if each.hash is None else each.hash)])

    def equal(self: Any, other: object) -> Any:
        return key(self) == key(other) if other.__class__ is self.__class__ else NotImplemented

    def hash_(self: Any) -> int:
        return hash(hash_key(self))

    return {"__eq__": equal, "__hash__": hash_}


def _values(names: list[str]) -> Callable[[Any], tuple[Any, ...]]:
    if not names:
        return lambda _: ()
    return attrgetter(*names, *(names if len(names) == 1 else ()))  # of one name alone it would give no tuple


def _representation(names: list[str]) -> Callable[[Any], str]:
    def representation(self: Any) -> str:
        return f"{type(self).__qualname__}({', '.join(f'{name}={getattr(self, name)!r}' for name in names)})"

    return representation


def _refuse_to_set(_: Any, name: str, _value: object) -> None:
    raise FrozenInstanceError(f"cannot assign to field {name!r}")


def _refuse_to_delete(_: Any, name: str) -> None:
    raise FrozenInstanceError(f"cannot delete field {name!r}")


def _state(self: Any) -> list[Any]:
    return [getattr(self, each.name) for each in fields(self)]


def _set_state(self: Any, state: list[Any]) -> None:
    for each, value in zip(fields(self), state, strict=True):
        object.__setattr__(self, each.name, value)
