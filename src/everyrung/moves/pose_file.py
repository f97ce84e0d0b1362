"""Reading poses: the `[pose]` table of a move file, and the rules that all moves share (pose_rules.toml)."""

import re
from collections.abc import Callable
from enum import StrEnum
from functools import cache
from pathlib import Path
from typing import Any, TypeVar

from everyrung.parsing.document import parse, read_text
from everyrung.parsing.table_reader import FileFaults, Skip, Table, as_table, attempt, number, one_of, words
from everyrung.terms.enums import (
    BandGrade,
    Carry,
    Depth,
    End,
    Extra,
    Hold,
    Limb,
    LoadNeed,
    Mode,
    Position,
    Press,
    Reach,
    Rotation,
    Sidedness,
    Support,
    Surface,
)
from everyrung.terms.errors import Faults, Invalid
from everyrung.terms.frozen import dataclass
from everyrung.terms.pose import (
    MOST_RANGE,
    Case,
    Ground,
    Layer,
    Length,
    Line,
    Offset,
    PoseText,
    Push,
    Refusal,
    SelfCheck,
    Span,
    Tether,
    Touch,
    When,
)

T = TypeVar("T")
WORDS: dict[str, type[StrEnum]] = {
    "position": Position,
    "support": Support,
    "surface": Surface,
    "hold": Hold,
    "carry": Carry,
    "reach": Reach,
    "press": Press,
    "rotation": Rotation,
    "extra": Extra,
    "load": LoadNeed,
    "band": BandGrade,
    "sides": Sidedness,
    "mode": Mode,
    "depth": Depth,
    "limb": Limb,
}
Word = StrEnum("Word", {name.upper(): name for name in WORDS})  # type: ignore[misc]
JOINED = ("apart", "stretched")  # entries that go from one point to another
NO_NAMES: tuple[str, ...] = ()
SEEN = ("side", "front", "three-quarter")
_METRES = re.compile(r"(-?\d{1,3}(?:\.\d{1,3})?)\s*(m|cm)")


def read_pose(table: Table) -> PoseText:
    """The `[pose]` table of a move: its layer, `[[pose.case]]` for what levers change, `[[pose.step]]` for an
    extra at full depth, `[[pose.refused]]` for what levers can't change.
    """
    cases = attempt(table.tables("case"), _case)
    steps = attempt(table.tables("step"), _case)
    refusals = attempt(table.tables("refused"), _refusal)
    deepest = table.take("deepest", number, MOST_RANGE)
    common = table.many("shared", one_of(Word)) if table.has("shared") else None
    layer = _layer(table)
    table.check_fields()
    return PoseText(layer=layer, cases=cases, steps=steps, refusals=refusals, deepest=deepest, shared=common)


@dataclass(frozen=True, slots=True, kw_only=True)
class SharedRules:
    """The layers below and above every move's own, and what no move can take."""

    below: tuple[Case, ...]
    above: tuple[Case, ...]
    refusals: tuple[Refusal, ...]


@cache
def shared_rules() -> SharedRules:
    """The rules of pose_rules.toml. Raises Faults when the file is spoilt."""
    path = Path(__file__).parent / "pose_rules.toml"
    text = read_text(path)
    reading = FileFaults(path.name, text)
    table = Table(reading, parse(text, path.name))
    below, above = (attempt(table.tables(name), _case) for name in ("below", "above"))
    refusals = attempt(table.tables("refused"), _refusal)
    try:
        table.check_fields()
    except Skip:
        raise Faults(reading.faults) from None
    return SharedRules(below=below, above=above, refusals=refusals)


def _case(table: Table) -> Case:
    form_words = _form_words(table)
    layer = _layer(table)
    return table.build(Case, words=form_words, layer=layer)


def _refusal(table: Table) -> Refusal:
    return table.build(Refusal, words=_form_words(table), because=table.take("because", words))


def _form_words(table: Table) -> dict[str, tuple[str, ...]]:
    return {name: table.take(name, _some(one_of(each))) for name, each in WORDS.items() if table.has(name)}


def _some(parser: Callable[[Any], StrEnum]) -> Callable[[Any], tuple[str, ...]]:
    """One word or a list of them."""

    def parse_words(value: Any) -> tuple[str, ...]:
        return tuple(str(parser(each)) for each in (value if isinstance(value, list) else [value]))

    return parse_words


def _layer(table: Table) -> Layer:
    return Layer(
        rests=table.take("rests", _rests, None),
        seen=table.take("seen", _view, None),
        energy=table.take("energy", words, None),
        self_checks=attempt(table.tables("self_check"), _self_check),
        angles=_entries(table, "angles", span),
        loose=_entries(table, "loose", span),
        lines=_entries(table, "lines", line),
        begins=_entries(table, "begins", line),
        apart=_entries(table, "apart", offset),
        height=_entries(table, "height", length),
        touch=_entries(table, "touch", touch),
        over=_entries(table, "over", span),
        squeeze=_entries(table, "squeeze", span),
        hangs=_entries(table, "hangs", span),
        stretched=_entries(table, "stretched", span),
        tethered=_entries(table, "tethered", tether),
        open=_entries(table, "open", span),
    )


def _self_check(table: Table) -> SelfCheck:
    return table.build(
        SelfCheck,
        say=table.take("say", words),
        angle=table.take("angle", _names, NO_NAMES),
        straight=table.take("straight", _names, NO_NAMES),
        follows=table.take("follows", _names, NO_NAMES),
        stays=table.take("stays", words, ""),
        degrees=table.take("degrees", number, 180.0),
        within=table.take("within", number, 10.0),
    )


def _names(value: Any) -> tuple[str, ...]:
    return tuple(words(value).split())


def _entries(table: Table, key: str, parser: Callable[[Any], T]) -> dict[str, T | None]:
    """Named values; `false` takes away what an earlier layer asked for."""
    if not table.take(key, as_table, None):
        return {}  # as most are
    inner = table.table(key)
    for name in inner.names if key in JOINED else ():
        if " to " not in name:
            table.reading.fault((*inner.path, name), Invalid(name, "two points, such as 'heel to knee'", name))
    entries = {name: inner.take(name, lambda value: None if value is False else parser(value)) for name in inner.names}
    try:
        inner.check_fields()
    except Skip:
        return {}
    return entries


def _rests(value: Any) -> End:
    if value not in tuple(End):
        raise Invalid("", "'top' or 'bottom': the phase of least depth", value)
    return End(value)


def _view(value: Any) -> str:
    if value not in SEEN:
        raise Invalid("", " or ".join(repr(name) for name in SEEN), value)
    return str(value)


def span(value: Any) -> Span:
    """One number, or two: at rest and at full depth; a third is where it ends beyond full depth."""
    several = value if isinstance(value, list) else [value, value]
    if len(several) not in (2, 3):
        raise Invalid("", "a number, or two in brackets: at rest and at full depth; a third where it ends", value)
    return Span(**dict(zip(("rest", "full", "ends"), map(number, several), strict=False)))


def length(value: Any) -> Length:
    """Shares of the stature, or text with a unit such as "45 cm"."""
    several = value if isinstance(value, list) else [value, value]
    if not any(isinstance(each, str) for each in several):
        return Length(span=span(value))
    return Length(span=span([_metres(each) for each in several]), in_metres=True)


def _metres(value: Any) -> float:
    match = _METRES.fullmatch(value.strip()) if isinstance(value, str) else None
    if not match:
        raise Invalid("", 'a share of the stature such as 0.2, or a length such as "45 cm"', value)
    return float(match[1]) * (0.01 if match[2] == "cm" else 1.0)


def line(value: Any) -> Line:
    """A pitch in degrees, or a table of pitch and out."""
    if not isinstance(value, dict):
        return Line(pitch=span(value), out=Span(rest=0.0, full=0.0))
    _check_names(value, ("pitch", "out"))
    return Line(pitch=span(value.get("pitch", 0)), out=span(value.get("out", 0)))


def tether(value: Any) -> Tether:
    """Where a band is fast, as a direction, and how far it is stretched."""
    if not isinstance(value, dict):
        raise Invalid("", "a table such as { pitch = 10, stretch = [0.5, 1] }", value)
    _check_names(value, ("pitch", "out", "stretch"))
    way = {name: value[name] for name in ("pitch", "out") if name in value}
    return Tether(line=line(way), stretch=span(value.get("stretch", 1)))


def offset(value: Any) -> Offset:
    if not isinstance(value, dict):
        raise Invalid("", "a table such as { forward = 0.4, up = 0 }", value)
    _check_names(value, ("forward", "up", "out"))
    return Offset(**{name: length(each) for name, each in value.items()})


def touch(value: Any) -> Touch:
    """What is touched, as one word, or a table with more about it."""
    if not isinstance(value, dict):
        return Touch(on=one_of(Ground)(value))
    _check_names(value, ("on", "push", "when", "height", "share"))
    return Touch(
        on=one_of(Ground)(value.get("on")),
        push=one_of(Push)(value.get("push", "up")),
        when=one_of(When)(value.get("when", "always")),
        height=length(value["height"]) if "height" in value else None,
        share=span(value["share"]) if "share" in value else None,
    )


def _check_names(value: dict[str, Any], names: tuple[str, ...]) -> None:
    for name in value:
        if words(name) not in names:
            raise Invalid("", "only " + ", ".join(names), name)
