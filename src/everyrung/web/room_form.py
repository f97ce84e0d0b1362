"""A room as a form has it: its outline and what stands in it by points, in the file's own unit; and back again."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields
from math import isfinite, nan
from typing import Any

import tomli

from everyrung.plan.write import values_text
from everyrung.terms.errors import Fault, Faults, Invalid, or_list
from everyrung.terms.room import Emergency, FloorKind, Light

BLANK_ROWS = 3  # to fill in; chosen, because more push the rest down the page
MOST_ROWS = 30  # things in a room that the form keeps; chosen, because a room with more is measured into a file
# What may stand in a room: the table in the file, what its points are, and what its size means.
WHAT = {
    "door": ("from and to", ""),
    "no way out": ("from and to", ""),
    "wall": ("from and to", ""),
    "mirror": ("from and to", ""),
    "screen": ("from and to", ""),
    "pillar": ("its middle", "how thick"),
    "step": ("its corners", "how high"),
    "storage": ("its corners", ""),
    "floor": ("its corners", "what of"),
    "seat": ("where", ""),
    "camera": ("where, and towards", "how high, degrees"),
}
WORDS = {
    "door": "door, a way out",
    "no way out": "door, no way out",
    "wall": "wall to lean on",
    "floor": "floor of another kind",
    "seat": "seat at the side",
}
EMERGENCY = tuple(each.name for each in fields(Emergency))
Values = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One thing in the room, as it was written."""

    what: str = ""
    name: str = ""
    points: str = ""
    size: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomForm:
    """Everything as it was written, so that nothing is lost when some of it cannot be kept."""

    plain: Mapping[str, str]
    rows: tuple[Row, ...]
    emergency: Mapping[str, str]

    @property
    def lines(self) -> tuple[Row, ...]:
        """The rows, and some to fill in."""
        return (*self.rows, *([Row()] * BLANK_ROWS))


PLAIN = ("name", "unit", "ceiling", "light", "outline", "leader", "demonstrator")


def form_of(answers: Mapping[str, str]) -> RoomForm:
    """From what a page says."""
    rows = tuple(
        Row(**{name: answers.get(f"{name}-{at}", "").strip()[:2000] for name in ("what", "name", "points", "size")})
        for at in range(1, MOST_ROWS + BLANK_ROWS + 1)
    )
    return RoomForm(
        plain={name: answers.get(name, "").strip()[:8000] for name in PLAIN},
        rows=tuple(row for row in rows if row.what),
        emergency={name: answers.get(f"help-{name}", "").strip()[:200] for name in EMERGENCY},
    )


def form_of_text(text: str) -> RoomForm:
    """From a room file that reads as one."""
    values = tomli.loads(text)
    return RoomForm(
        plain={
            "name": values["name"],
            "unit": values.get("unit", "m"),
            "ceiling": f"{values['ceiling']:g}",
            "light": values.get("light", str(Light.BRIGHT)),
            "outline": _points_text(values["outline"]),
            "leader": _points_text([values["leader"]]),
            "demonstrator": _points_text([values["demonstrator"]] if "demonstrator" in values else []),
        },
        rows=tuple(_rows(values)),
        emergency={name: values.get("emergency", {}).get(name, "") for name in EMERGENCY},
    )


def _rows(values: Values) -> Iterator[Row]:
    for key in ("door", "wall", "mirror"):
        for one in values.get(key, []):
            what = "no way out" if key == "door" and not one.get("exit", True) else key
            yield Row(what=what, name=one.get("name", ""), points=_points_text([one["from"], one["to"]]))
    for one in values.get("pillar", []):
        yield Row(what="pillar", name=one.get("name", ""), points=_points_text([one["at"]]), size=f"{one['thick']:g}")
    for key, size in (("step", "height"), ("storage", ""), ("floor", "kind")):
        for one in values.get(key, []):
            extra = one.get(size, "")
            words = f"{extra:g}" if isinstance(extra, int | float) else str(extra)
            yield Row(what=key, name=one.get("name", ""), points=_points_text(one["outline"]), size=words)
    if "screen" in values:
        yield Row(what="screen", points=_points_text([values["screen"]["from"], values["screen"]["to"]]))
    yield from (Row(what="seat", points=_points_text([one])) for one in values.get("seats", []))
    if "camera" in values:
        one = values["camera"]
        size = ", ".join(f"{one[name]:g}" for name in ("height", "angle") if name in one)
        yield Row(what="camera", points=_points_text([one["at"], one["toward"]]), size=size)


def _points_text(points: list[list[float]]) -> str:
    return ", ".join(" ".join(f"{number:g}" for number in point) for point in points)


def room_text(form: RoomForm) -> str:
    """The form as the text of a room file, not yet read as a room. Raises Invalid for what is no number or point."""
    plain = form.plain
    values: Values = {
        "name": plain["name"],
        "unit": plain["unit"] or "m",
        "outline": _points("outline", plain["outline"]),
        "ceiling": _number("ceiling", plain["ceiling"]),
        "light": plain["light"] or str(Light.BRIGHT),
        "leader": _point("leader", plain["leader"]),
    }
    if plain["demonstrator"]:
        values["demonstrator"] = _point("demonstrator", plain["demonstrator"])
    for at, row in enumerate(form.rows, start=1):
        _put(values, row, f"line {at}, {WORDS.get(row.what, row.what)}")
    if len(form.rows) > MOST_ROWS:
        remedy = "Write the room as a file, and bring that in."
        raise Invalid("things in the room", f"at most {MOST_ROWS}", len(form.rows), remedy=remedy)
    if any(form.emergency.values()):
        values["emergency"] = {name: words for name, words in form.emergency.items() if words}
    return values_text(values)


def _put(values: Values, row: Row, where: str) -> None:
    if row.what not in WHAT:
        raise Invalid(where, or_list(WHAT), row.what)
    points = _points(where, row.points)
    name = {"name": row.name} if row.name else {}
    if row.what in ("door", "no way out", "wall", "mirror", "screen"):
        start, end = _exactly(where, points, 2)
        stretch = {**name, "from": start, "to": end}
        if row.what == "screen":
            _once(values, "screen", where)
            values["screen"] = {"from": start, "to": end}
        elif row.what == "no way out":
            values.setdefault("door", []).append({**stretch, "exit": False})
        else:
            values.setdefault(row.what, []).append(stretch)
    elif row.what == "seat":
        values.setdefault("seats", []).extend(points)
    elif row.what == "pillar":
        (middle,) = _exactly(where, points, 1)
        values.setdefault("pillar", []).append({**name, "at": middle, "thick": _number(where, row.size)})
    elif row.what == "camera":
        _once(values, "camera", where)
        values["camera"] = _camera(row, points, where)
    else:
        values.setdefault(row.what, []).append({**name, "outline": points, **_size(row, where)})


def _once(values: Values, key: str, where: str) -> None:
    if key in values:
        raise Invalid(where, f"one {key} in a room", "a second one")


def _camera(row: Row, points: list[list[float]], where: str) -> Values:
    at, toward = _exactly(where, points, 2)
    height, *angle = [_number(where, part) for part in row.size.split(",")]
    return {"at": at, "height": height, "toward": toward, **({"angle": angle[0]} if angle else {})}


def _size(row: Row, where: str) -> Values:
    """A step's height, a floor's kind; nothing for storage."""
    if row.what == "step":
        return {"height": _number(where, row.size)} if row.size else {}
    if row.what == "floor":
        if row.size not in list(FloorKind):
            raise Invalid(where, or_list(map(str, FloorKind)), row.size)
        return {"kind": row.size}
    return {}


def _exactly(where: str, points: list[list[float]], count: int) -> list[list[float]]:
    if len(points) != count:
        raise Invalid(where, "one point" if count == 1 else f"{count} points", f"{len(points)}")
    return points


def _point(where: str, words: str) -> list[float]:
    return _exactly(where, _points(where, words), 1)[0]


def _points(where: str, words: str) -> list[list[float]]:
    return [_pair(where, part) for part in words.replace(";", ",").replace("\n", ",").split(",") if part.strip()]


def _pair(where: str, words: str) -> list[float]:
    numbers = words.split()
    if len(numbers) != 2:
        remedy = "Across, a space, along; a comma between one point and the next: 0 0, 12 0, 12 8, 0 8."
        raise Invalid(where, "points of two numbers each", words.strip(), remedy=remedy)
    return [_number(where, each) for each in numbers]


def _number(where: str, words: str) -> float:
    try:
        number = float(words)
    except ValueError:
        number = nan
    if not isfinite(number):
        remedy = "Write the number alone; the unit stands at the top, and is the same for all."
        raise Invalid(where, "a number", words, remedy=remedy)
    return number


def room_refusals(problem: Invalid | Faults) -> list[str]:
    """What keeps a form from being a room, each as a sentence with the place in the form's words."""
    faults = problem.faults if isinstance(problem, Faults) else ()
    if isinstance(problem, Invalid):
        words = [f"{problem.field.capitalize()}: expected {problem.expected}; got {problem.got}.", problem.remedy]
        return [" ".join(each for each in words if each)]
    return [_fault_words(each) for each in faults]


def _fault_words(fault: Fault) -> str:
    place = fault.where.field.replace("[", " ").replace("]", "").replace(".", ", ").replace("_", " ")
    words = [f"{place.capitalize()}: expected {fault.expected}; got {fault.got}."]
    words += [f"Nearest: {fault.nearest}."] if fault.nearest else []
    return " ".join([*words, *([fault.remedy] if fault.remedy else [])])
