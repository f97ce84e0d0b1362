"""A move of the coach's own from one that there is: the same file with another name, other angles, another base."""

from collections.abc import Iterator, Mapping
from dataclasses import fields
from typing import Any

from everyrung.moves.computed_grades import computed_grades
from everyrung.moves.levers import compose
from everyrung.moves.move_file import MoveText
from everyrung.moves.poses import in_hand
from everyrung.terms.errors import Invalid
from everyrung.terms.frozen import dataclass
from everyrung.terms.lever import Lever, Swap
from everyrung.terms.move import Form
from everyrung.terms.units import Tempo

REACH_DEG = 45.0  # each way from what it was; chosen, because what goes farther is another move, and is written as one
ANGLES, LINES = "angles", "lines"
_ENDS = ("at rest", "at full depth")
_BASE = ("position", "support", "surface", "hold", "reach", "press", "load", "carry", "rotation")  # of the [base] table


@dataclass(frozen=True, slots=True, kw_only=True)
class Slider:
    """One angle of a move's own pose that can be changed: `name` says which, `words` says it to the coach; degrees."""

    name: str
    words: str
    degrees: float

    @property
    def low(self) -> float:
        return self.degrees - REACH_DEG

    @property
    def high(self) -> float:
        return self.degrees + REACH_DEG


def sliders(values: Mapping[str, Any]) -> tuple[Slider, ...]:
    """The angles of the [pose] table of a move file, as its values were parsed: joints, and where parts point."""
    return tuple(_sliders(values.get("pose", {})))


def _sliders(pose: Mapping[str, Any]) -> Iterator[Slider]:
    for table, what in ((ANGLES, "{}"), (LINES, "Where the {} points")):
        for name, value in pose.get(table, {}).items():
            pitch = value.get("pitch") if isinstance(value, Mapping) else value
            if isinstance(pitch, bool) or pitch is None:
                continue
            words = what.format(name.replace("_", " ")).capitalize()
            if isinstance(pitch, list):
                for at, degrees in enumerate(pitch[:2]):
                    yield Slider(name=f"{table}.{name}.{at}", words=f"{words}, {_ENDS[at]}", degrees=float(degrees))
            else:
                yield Slider(name=f"{table}.{name}", words=words, degrees=float(pitch))


def copy_text(
    text: str, source: MoveText, name: str, degrees: Mapping[str, float], levers: tuple[Lever, ...] = ()
) -> tuple[str, tuple[str, ...]]:
    """The text of a move file that is a copy of another's, and what it does without, in words.

    `degrees`: by the names of its sliders; `levers`: put on its base. A rung of the ladder that contradicts the new
    base, or is the same as it now, is left out. Comments and cautions stay. Raises Invalid.
    """
    import tomlkit  # slow to import: only for a copy

    document: Any = tomlkit.parse(text)
    document["name"] = name
    document["rung"][[rung.key for rung in source.rungs].index("base")]["name"] = name
    for rung in document["rung"]:  # those of the bodies go along, for the copy's address has none
        if "grade" not in rung and (grade := computed_grades().get(f"{source.move.key}/{rung['key']}")):
            rung["grade"] = grade
    for slider in sliders(document.unwrap()):
        if slider.name in degrees and degrees[slider.name] != slider.degrees:
            _set(document["pose"], slider, degrees[slider.name])
    if not levers:
        return tomlkit.dumps(document), ()
    if any(isinstance(lever, Swap) for lever in levers):
        raise Invalid("levers", "levers of this move", "another move", remedy="Copy the other move instead.")
    base = in_hand(compose(source.move.base, levers))  # with a load goes how it is carried, or it hangs nowhere
    _set_base(document, source.move.base, base)
    left_out = _left_out(source, base)
    for place in sorted(left_out, reverse=True):
        del document["rung"][place]
    words = tuple(f"{source.rungs[place].name}: {why}" for place, why in left_out.items())
    return tomlkit.dumps(document), words


def _set(pose: Any, slider: Slider, degrees: float) -> None:
    if not slider.low <= degrees <= slider.high:
        raise Invalid(slider.words, f"{slider.low:g} to {slider.high:g} degrees", f"{degrees:g}")
    table, name, *end = slider.name.split(".")
    value = round(degrees, 1)
    number: float | int = int(value) if value == int(value) else value
    holder, key = (pose[table][name], "pitch") if "pitch" in _keys(pose[table][name]) else (pose[table], name)
    if end:
        holder[key][int(end[0])] = number
    else:
        holder[key] = number


def _keys(value: Any) -> tuple[str, ...]:
    return tuple(value) if isinstance(value, Mapping) else ()


def _set_base(document: Any, old: Form, new: Form) -> None:
    """Writes what the levers changed into [base]. Raises Invalid for what a base does not have."""
    table = document["base"]
    names = {field.name for field in fields(Form) if getattr(old, field.name) != getattr(new, field.name)}
    for name in names & {*_BASE, "tempo", "sides", "amount", "band"}:
        value = getattr(new, name)
        if name == "tempo":
            table["tempo"] = tempo_text(value)
        elif name == "sides":
            document["sides"] = str(value)
        elif name in ("amount", "band"):
            raise Invalid("levers", "a load without its size: a plan says how heavy", str(value))
        elif value is None:
            table.pop(name, None)
        else:
            table[name] = str(value)
    for name in names - {*_BASE, "tempo", "sides", "amount", "band"}:
        raise Invalid("levers", "levers that a move's own base can have", name.replace("_", " "), remedy=_REMEDY)


_REMEDY = "Range, repetitions, pulses and extras make rungs: put them on a rung of the new move."


def tempo_text(tempo: Tempo) -> str:
    """'2-0-2-0', as a move file has it."""
    parts = (tempo.lower_ms, tempo.bottom_ms, tempo.rise_ms, tempo.top_ms)
    return "-".join(f"{each / 1000:g}" for each in parts)


def _left_out(source: MoveText, base: Form) -> dict[int, str]:
    """The places of rungs that the new base cannot have, each with why."""
    left: dict[int, str] = {}
    forms = {base}
    for place, rung in enumerate(source.rungs):
        if not rung.levers or isinstance(rung.levers[0], Swap):
            continue
        try:
            form = compose(base, rung.levers)
        except Invalid as problem:
            left[place] = f"{problem.got}"
            continue
        if form in forms:
            left[place] = "is the same as another rung now"
        forms.add(form)
    return left
