"""An extra at full depth, step by step: each goes from the pose where the one before ends to what is written."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from everyrung.terms.pose import ENTRIES, SIDE_TAGS, Layer, Length, Line, Offset, Span, Touch, When


def steps_from(layer: Layer, range_share: float, written: Sequence[Layer]) -> tuple[Layer, ...]:
    """The layers of the steps after the full depth of `layer`; their rest is where the step before ends."""
    here, found = _ended(layer, range_share), []
    for step in written:
        way = _begun(here, step).settled()
        found.append(way)
        here = _ended(way, 1.0)
    return tuple(found)


def _ended(layer: Layer, depth: float) -> Layer:
    """A layer that stays as it is at full depth: nothing in it moves, and what is only touched at rest is left."""
    entries: dict[str, Any] = {
        name: {key: _still(value, depth) for key, value in getattr(layer, name).items() if not _left(value)}
        for name in ENTRIES
    }
    return replace(layer, self_checks=(), **entries)


def _left(value: Any) -> bool:
    return isinstance(value, Touch) and value.when is When.REST


def _still(value: Any, depth: float) -> Any:
    match value:
        case Span():
            return Span(rest=value.at(depth), full=value.at(depth))
        case Length():
            return replace(value, span=_still(value.span, depth))
        case Line():
            return Line(pitch=_still(value.pitch, depth), out=_still(value.out, depth))
        case Offset():
            return Offset(**{name: _still(getattr(value, name), depth) for name in ("forward", "up", "out")})
        case Touch():
            still = {name: _still(getattr(value, name), depth) for name in ("height", "share")}
            return replace(value, when=When.ALWAYS, **still)
    return value


def _begun(here: Layer, step: Layer) -> Layer:
    """A step laid over where the body is: each single number that it names is come to from there, not jumped to."""
    blended: dict[str, Any] = {
        name: {key: _from(_now(getattr(here, name), key), value) for key, value in getattr(step, name).items()}
        for name in ENTRIES
    }
    return here.under(replace(step, **blended))


def _now(entries: Any, key: str) -> Any:
    """The entry that a step's own replaces: of the same name, or of both sides."""
    bare = next((key.removesuffix(tag) for tag in SIDE_TAGS if key.endswith(tag)), key)
    return entries.get(key, entries.get(bare))


def _from(now: Any, value: Any) -> Any:
    """A value that begins where the body is, where both say the same kind of thing and it is written as one number."""
    if now is None or type(now) is not type(value):
        return value
    match value:
        case Span():
            return Span(rest=now.full, full=value.full) if value.rest == value.full else value
        case Length():
            return replace(value, span=_from(now.span, value.span)) if now.in_metres == value.in_metres else value
        case Line():
            return Line(pitch=_from(now.pitch, value.pitch), out=_from(now.out, value.out))
        case Offset():
            names = ("forward", "up", "out")
            return Offset(**{name: _from(getattr(now, name), getattr(value, name)) for name in names})
    return value
