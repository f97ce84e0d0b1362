"""The run sheet's types for the browser's scripts, from its JSON schema: src/everyrung/static/show/run-sheet.d.ts.

python scripts/write_sheet_types.py
"""

import json
from dataclasses import asdict
from pathlib import Path
from types import ModuleType
from typing import Any

from everyrung.publish.figure import anatomy, draw, layers, patches

ROOT = Path(__file__).resolve().parents[1]
SCHEMA = ROOT / "docs" / "run-sheet.schema.json"
STATIC = ROOT / "src" / "everyrung" / "static"
TYPES, CONSTANTS = STATIC / "show" / "run-sheet.d.ts", STATIC / "figure" / "constants.js"
HEAD = "// The run sheet as docs/run-sheet.schema.json has it; written by scripts/write_javascript.py.\n"
LOOKS_HEAD = (
    "// @ts-check\n// How figures look, as in print, where the reasons are; written by scripts/write_javascript.py.\n\n"
)
LOOKS: dict[ModuleType, tuple[str, ...]] = {
    layers: ("FAR_SLIMMER", "LIMB_NEARER_M", "HEAD_NEARER_M", "HELD_NEARER_M", "BALL_FARTHER_M", "BEHIND_M"),
    anatomy: ("LIMB_JOINTS", "STEPS", "BREADTH", "FACE_SHARE", "HAIR", "NOSE", "EYES"),
    draw: (
        *("INK", "PAPER", "STROKE_SHARE", "HALO", "EDGE", "BELOW", "SEAM", "EYE", "RIM", "RIM_DASH", "RIM_DASHES"),
        *("GHOST", "GHOST_DASHES", "FLOOR", "HATCH", "HATCH_APART", "HATCH_DEEP", "HATCH_FROM"),
    ),
}
PLAIN = {"string": "string", "integer": "number", "number": "number", "boolean": "boolean", "null": "null"}


def types(schema: dict[str, Any]) -> str:
    """A declaration for each of the schema's definitions, in their order."""
    return HEAD + "".join(f"\n{_declared(name, entry)}" for name, entry in schema["$defs"].items())


def _declared(name: str, entry: dict[str, Any]) -> str:
    about = f"/** {' '.join(entry['description'].split())} */\n" if "description" in entry else ""
    if "properties" not in entry:
        return f"{about}export type {name} = {_type(entry)};\n"
    needed = set(entry.get("required", ()))
    fields = [
        f"  {field}{'' if field in needed else '?'}: {_type(each)};\n" for field, each in entry["properties"].items()
    ]
    return f"{about}export interface {name} {{\n{''.join(fields)}}}\n"


def _type(entry: dict[str, Any]) -> str:
    if "$ref" in entry:
        return str(entry["$ref"].rsplit("/", 1)[-1])
    if "enum" in entry:
        return " | ".join(map(json.dumps, entry["enum"]))
    if "anyOf" in entry:
        return " | ".join(map(_type, entry["anyOf"]))
    if "prefixItems" in entry:
        return f"[{', '.join(map(_type, entry['prefixItems']))}]"
    if entry["type"] == "array":
        inner = _type(entry["items"])
        return f"({inner})[]" if "|" in inner else f"{inner}[]"
    if entry["type"] == "object":
        return f"Record<string, {_type(entry['additionalProperties'])}>"
    return PLAIN[entry["type"]]


def constants() -> str:
    """A module with the values of LOOKS, by their own names."""
    values = {name: getattr(module, name) for module, names in LOOKS.items() for name in names}
    values["PATCHES"] = {name: [asdict(patch) for patch in several] for name, several in patches.PATCHES.items()}
    return LOOKS_HEAD + "".join(f"export const {name} = {json.dumps(value)};\n" for name, value in values.items())


def written() -> dict[Path, str]:
    """Every file's text."""
    return {TYPES: types(json.loads(SCHEMA.read_text(encoding="utf-8"))), CONSTANTS: constants()}


if __name__ == "__main__":
    for path, text in written().items():
        path.write_text(text, encoding="utf-8")
