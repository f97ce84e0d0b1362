"""A run sheet as JSON, in and out, and the schema that it is published under."""

import json
from typing import Any

import msgspec

from everyrung.runsheet.terms import VERSION, RunSheet
from everyrung.terms.errors import Invalid

DIALECT = "https://json-schema.org/draft/2020-12/schema"
OTHER_VERSION = "Make it again from its plan with this version of Everyrung."


def to_json(sheet: RunSheet) -> str:
    """The whole sheet in one line, every field written."""
    return msgspec.json.encode(sheet).decode()


def from_json(text: str | bytes) -> RunSheet:
    """The sheet that `to_json` wrote. Raises Invalid, which says where in it something else was expected."""
    try:
        version = msgspec.json.decode(text, type=_Version).version
        if version != VERSION:
            raise Invalid("version", str(VERSION), version, remedy=OTHER_VERSION)
        return msgspec.json.decode(text, type=RunSheet)
    except msgspec.DecodeError as problem:  # a place in the sheet, '$.cells[3].block', is part of what it says
        raise Invalid("run sheet", "a run sheet as JSON", str(problem)) from None


class _Version(msgspec.Struct):
    version: int


def schema_text() -> str:
    """docs/run-sheet.schema.json: what JSON `from_json` reads, but for what one entry says of another (that no place is
    beyond its list, that spans leave no gap).
    """
    definitions = _any_version(msgspec.json.schema(RunSheet))
    schema = {"$schema": DIALECT, "title": f"Everyrung run sheet, version {VERSION}", **definitions}
    for entry in schema["$defs"].values():
        if "description" in entry:
            entry["description"] = " ".join(entry["description"].split())
    return json.dumps(schema, indent=1, ensure_ascii=False) + "\n"


def _any_version(schema: Any) -> Any:
    """The schema as every msgspec writes it: from 0.23 on it says what the names of an object are, too."""
    if isinstance(schema, list):
        return [_any_version(each) for each in schema]
    if not isinstance(schema, dict):
        return schema
    return {name: _any_version(each) for name, each in schema.items() if name != "propertyNames"}


if __name__ == "__main__":
    print(schema_text(), end="")
