"""Writing people: one file that can be shared, and the health answers beside it for the coach alone."""

import json
from collections.abc import Sequence
from itertools import chain
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Table

from everyrung.parsing.body_size import written_mass, written_stature
from everyrung.parsing.document import read_text
from everyrung.people.health import health_from_text, health_path, join_health, split
from everyrung.people.kit_parsing import own_words
from everyrung.people.read import check_kind, people_from_text
from everyrung.store.files import FOR_THE_COACH_ALONE, replace_text
from everyrung.terms.errors import Faults, Invalid
from everyrung.terms.person import Estimate, Health, Person, same_name

_HEALTH_HEAD = "Said in confidence: for the coach alone. Never printed, never sent on."
Values = dict[str, Any]


def write_people(people: Sequence[Person], path: Path) -> tuple[Path, ...]:
    """Writes `path` and, when anyone gave health answers, the file beside it; returns what was written.

    Comments in a file that is there already stay. A health file beside it goes when nobody has answers any more.
    Raises Invalid, before anything is written, when the people would not be read back as they are.
    """
    check_toml(path)
    public, answers = split(people)
    beside = health_path(path)
    text, private = people_text(public, _old(path)), health_text(answers, _old(beside))
    _check(people, text, private)
    if answers:  # first, so that at no moment an answer is in neither file
        replace_text(beside.resolve(), private, mode=FOR_THE_COACH_ALONE)
    replace_text(path.resolve(), text)
    if not answers:
        beside.unlink(missing_ok=True)
    return (path, beside) if answers else (path,)


def check_toml(path: Path) -> None:
    """Raises unless people can be written at `path`."""
    check_kind(path)
    if path.suffix.casefold() != ".toml":
        raise Invalid("out", "a name that ends in .toml", path.name, remedy=f"Write {path.stem}.toml.")


def people_text(people: Sequence[Person], over: str = "") -> str:
    """The TOML text of the people without their health answers."""
    had: dict[str, Values] = {}
    if over:
        try:
            had = {same_name(each.name): person_values(each) for each in people_from_text(over, "people.toml")}
        except Faults:
            over = ""  # it was no file of people, so there is nothing of it to keep
    return _document([person_values(person) for person in people], over, had)


def health_text(answers: dict[str, Health], over: str = "") -> str:
    """The TOML text of the health answers."""
    entries = [health_values(name, health) for name, health in answers.items()]
    text = _document(entries, over, {})
    return text if text.startswith("#") else f"# {_HEALTH_HEAD}\n\n{text}"


def person_values(person: Person) -> Values:
    """What is known of one person, as it is written."""
    values: Values = {"name": person.name, "stature": written_stature(person.stature_m)}
    if person.mass_kg is not None:
        values["mass"] = written_mass(person.mass_kg)
    for key in ("age", "sex", "level"):
        value = getattr(person, key)
        if value is not None:
            values[key] = value if key == "age" else str(value)
    if person.kit:
        values["kit"] = [own_words(thing) for thing in person.kit]
    return values | _estimate("strength", person.strength) | _estimate("endurance", person.endurance)


def health_values(name: str, health: Health) -> Values:
    """What one person answered, as it is written."""
    values: Values = {"name": name}
    if health.limits:
        values["limits"] = [str(limit) for limit in health.limits]
    return values | ({"medicine": True} if health.rate_limiting else {})


def _estimate(key: str, estimate: Estimate | None) -> Values:
    return {key: estimate.factor, f"{key}_error": estimate.log_sd} if estimate else {}


def _old(path: Path) -> str:
    """The text that is there now; nothing when it cannot be read."""
    try:
        return read_text(path) if path.exists() else ""
    except Faults:
        return ""


def _check(people: Sequence[Person], text: str, private: str) -> None:
    """Refuses to write what would not be read back as it is."""
    file = "people.toml"
    try:
        again = join_health(people_from_text(text, file), health_from_text(private, file))
    except Faults as faults:
        first = faults.faults[0]
        raise Invalid(first.where.field, first.expected, first.got, remedy="Nothing was written.") from None
    for was, now in zip(people, again, strict=True):
        if was != now:
            raise Invalid("person", "a person who reads back as written", was.name, remedy="Nothing was written.")


def _document(entries: list[Values], over: str, had: dict[str, Values]) -> str:
    """A text of [[person]] tables; those of `over` stay as they were written where they say the same."""
    try:
        document = tomlkit.parse(over)
    except TOMLKitError:
        return _fresh(entries)
    tables: Any = document.get("person")
    names = [same_name(each["name"]) for each in entries]
    old = [same_name(str(each.get("name", ""))) for each in tables] if isinstance(tables, AoT) else []
    if [name for name in old if name in names] != names[: len(set(old) & set(names))] or not old:
        return _fresh(entries)
    for place in reversed([place for place, name in enumerate(old) if name not in names]):
        del tables[place]
    for place, values in enumerate(entries):
        if place < len(tables):
            _merge(tables[place], values, had.get(names[place], {}))
        else:
            tables.append(_table(values))
    return tomlkit.dumps(document)


def _fresh(entries: list[Values]) -> str:
    """A text with nothing in it to keep; written here, for tomlkit takes many times as long for a long list."""
    lines = (
        ["[[person]]", *(f"{key} = {_toml_value(value)}" for key, value in values.items()), ""] for values in entries
    )
    return "\n".join(chain.from_iterable(lines))


def _toml_value(value: Any) -> str:
    """A value of TOML 1.0; its basic strings are JSON's, but for the sign of number 127."""
    if isinstance(value, list):
        return f"[{', '.join(map(_toml_value, value))}]"
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")


def _table(values: Values) -> Table:
    table = tomlkit.table()
    for key, value in values.items():
        table.append(key, value)
    return table


def _merge(target: Any, values: Values, had: Values) -> None:
    """Makes `target` say `values`. `had` is what it says now in usual form."""
    for key in [key for key in target if key not in values]:
        del target[key]
    for key, value in values.items():
        if key not in target or (had.get(key) != value and target[key] != value):
            target[key] = value
