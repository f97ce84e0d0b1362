"""Edits as they come from a form, and as a button sends them: names of fields in, typed edits out, and back."""

import json
from collections.abc import Callable, Mapping
from dataclasses import fields
from typing import Any

from everyrung.plan.read import ref
from everyrung.terms import edit as edits
from everyrung.terms.edit import Edit
from everyrung.terms.enums import BlockKind
from everyrung.terms.errors import Invalid, nearest, or_list
from everyrung.terms.plan import Ref
from everyrung.web.form_values import plain_number, ticked_limits, with_unit
from everyrung.web.wave_form import waves_from

Form = Mapping[str, str]
_WHOLE = ("slot_minutes", "newcomer_rounds", "who.in_room", "who.at_home", "leader.age", "count", "each")
_LISTS = ("say", "cut_order", "cues")
_CELL_FIELDS = (
    "dose", "tempo", "beats_a_minute", "load", "carry", "rest", "sides", "name", "entry_test", "cues", "note",
    "options.harder", "options.easier", "options.no_kit", "left", "right", "lock",
)  # fmt: skip
_HEAD_FIELDS = (
    "title", "slot_minutes", "level", "view", "sides", "newcomer_rounds", "cover_notes", "cut_order",
    "who.in_room", "who.at_home", "who.newcomers", "who.live", "who.lip_readers", "who.limits",
    "leader.stature", "leader.mass", "leader.age", "leader.sex", "leader.level",
)  # fmt: skip
_PART_FIELDS = ("say", "talk", "rest", "round_rest", "waves", "name", "lock")
_KIT_FIELDS = ("item", "mass", "as", "diameter", "rated", "grade", "height", "count", "each")
MOST_TOGETHER = 400  # edits; chosen, because a long session has a hundred cells
MOST_WORDS = 300  # letters, as many as the store keeps of what was done


def edit_from(form: Form) -> Edit:
    """The edit that a form asks for. Raises Invalid for one that is none."""
    kind = form.get("edit", "")
    if kind not in _READERS:
        raise Invalid("edit", or_list(_READERS, 20), kind, nearest=nearest(kind, _READERS))
    return _READERS[kind](form)


def base_of(form: Form) -> int:
    """The version that a form's page showed. Raises Invalid."""
    number = form.get("base", "")
    if not number.isdecimal() or len(number) > 9:
        raise Invalid("base", "the version that the page showed", number)
    return int(number)


def _ref(form: Form) -> Ref:
    return ref(form.get("ref", ""))


def _field(form: Form, names: tuple[str, ...]) -> str:
    name = form.get("field", "")
    if name not in names:
        raise Invalid("field", or_list(names, 20), name, nearest=nearest(name, names))
    return name


def _value(form: Form, field: str) -> Any:
    """What a plan file would hold: empty is left open; numbers are numbers; lines are a list."""
    text = form.get("value", "").replace("\r\n", "\n").strip()
    if field in ("who.newcomers", "who.live", "who.lip_readers"):
        return text == "yes"
    if field == "lock":
        return True if text == "yes" else None
    if field == "who.limits":
        return ticked_limits(form) or None
    if not text:
        return None
    if field in _LISTS:
        return [line.strip() for line in text.split("\n") if line.strip()]
    if field == "waves":
        return [[key.strip() for key in line.split(",")] for line in text.split("\n") if line.strip()]
    if field in _WHOLE:
        return int(text) if text.isdecimal() and len(text) < 10 else text
    if field == "beats_a_minute":
        return plain_number(text)
    if text.startswith("{"):
        return _table(text)
    return with_unit(field, text, form.get("unit", ""))


def _table(text: str) -> dict[str, Any]:
    try:
        table = json.loads(text)
    except (ValueError, RecursionError):
        table = None
    if not isinstance(table, dict):
        raise Invalid("value", "a table", text)
    return table


def _rung(form: Form) -> Edit:
    """A rung's key, or a table of rung, levers, name and entry test."""
    text = form.get("value", "").strip()
    column, move = form.get("scope") == "column", form.get("move", "")
    if not text:
        raise Invalid("rung", "a rung other than the one that is led", "the same")
    if not text.startswith("{"):
        return edits.TakeRung(ref=_ref(form), rung=text, column=column, move=move)
    own = _table(text)
    words = {key: str(own.get(key, "")) for key in ("name", "entry_test")}
    levers = own.get("levers", [])
    if not isinstance(levers, list) or not all(isinstance(each, dict) for each in levers):
        raise Invalid("levers", "a list of levers", levers)
    rung = str(own.get("rung", "base"))
    return edits.TakeRung(ref=_ref(form), rung=rung, levers=tuple(levers), column=column, move=move, **words)


def _lever(form: Form) -> Edit:
    return edits.AddLever(ref=_ref(form), lever=_table(form.get("value", "")))


def _kit(form: Form) -> Edit:
    texts = {name: form.get(name, "").strip() for name in _KIT_FIELDS}
    stock = {
        name: int(text) if name in _WHOLE and text.isdecimal() else with_unit(name, text)
        for name, text in texts.items()
        if text
    }
    return edits.AddKit(stock=stock)


def _whole(form: Form, name: str) -> int:
    text = form.get(name, "")
    if not text.isdecimal() or len(text) > 5:
        raise Invalid(name, "a whole number", text)
    return int(text)


def _kind(form: Form) -> Edit:
    kinds = [str(kind) for kind in BlockKind]
    kind = form.get("kind", "")
    if kind not in kinds:
        raise Invalid("kind", or_list(kinds), kind, nearest=nearest(kind, kinds))
    return edits.AddBlock(kind=BlockKind(kind), move=form.get("move", "squat"))


def _set(form: Form, names: tuple[str, ...]) -> tuple[str, Any]:
    field = _field(form, names)
    return field, _value(form, field)


def _head(form: Form) -> Edit:
    field, value = _set(form, _HEAD_FIELDS)
    return edits.SetHead(field=field, value=value)


def _part(form: Form) -> Edit:
    field, value = _set(form, _PART_FIELDS)
    return edits.SetPart(ref=_ref(form), field=field, value=value)


def _cell(form: Form) -> Edit:
    field, value = _set(form, _CELL_FIELDS)
    return edits.SetCell(ref=_ref(form), field=field, value=value, column=form.get("scope") == "column")


def _several(form: Form) -> Edit:
    """Edits that are one step: a list of forms, and the words for all of them."""
    try:
        values = json.loads(form.get("value", ""))
    except (ValueError, RecursionError):
        values = None
    forms = values if isinstance(values, list) and 0 < len(values) <= MOST_TOGETHER else []
    if not forms or not all(
        isinstance(each, dict) and all(isinstance(one, str) for one in each.values()) for each in forms
    ):
        raise Invalid("value", f"a list of 1 to {MOST_TOGETHER} edits", form.get("value", "")[:60])
    parts = tuple(one for each in forms if not isinstance(one := edit_from(each), edits.Several))
    return edits.Several(edits=parts, words=form.get("words", "")[:MOST_WORDS])


_READERS: dict[str, Callable[[Form], Edit]] = {
    "head": _head,
    "part": _part,
    "waves": lambda form: edits.SetPart(ref=_ref(form), field="waves", value=waves_from(form)),
    "cell": _cell,
    "rung": _rung,
    "lever": _lever,
    "drop-lever": lambda form: edits.DropLever(ref=_ref(form)),
    "add-round": lambda form: edits.AddRound(block=form.get("block", "")),
    "remove-round": lambda form: edits.RemoveRound(ref=_ref(form)),
    "add-move": lambda form: edits.AddMove(block=form.get("block", ""), move=form.get("move", "")),
    "remove-move": lambda form: edits.RemoveMove(block=form.get("block", ""), cell=form.get("cell", "")),
    "shift-move": lambda form: edits.ShiftMove(
        block=form.get("block", ""), cell=form.get("cell", ""), to=_whole(form, "to")
    ),
    "skip": lambda form: edits.SkipCell(ref=_ref(form), skip=form.get("value") == "yes"),
    "add-block": _kind,
    "remove-block": lambda form: edits.RemoveBlock(block=form.get("block", "")),
    "add-kit": _kit,
    "several": _several,
    "remove-kit": lambda form: edits.RemoveKit(at=_whole(form, "at")),
}


_KINDS: dict[type, str] = {
    edits.SetHead: "head",
    edits.SetPart: "part",
    edits.SetCell: "cell",
    edits.TakeRung: "rung",
    edits.AddLever: "lever",
    edits.DropLever: "drop-lever",
    edits.AddRound: "add-round",
    edits.RemoveRound: "remove-round",
    edits.AddMove: "add-move",
    edits.RemoveMove: "remove-move",
    edits.ShiftMove: "shift-move",
    edits.SkipCell: "skip",
    edits.AddBlock: "add-block",
    edits.RemoveBlock: "remove-block",
    edits.AddKit: "add-kit",
    edits.RemoveKit: "remove-kit",
}


def form_of(edit: Edit) -> dict[str, str]:
    """The form that asks for an edit: `edit_from` makes the same of it again."""
    if isinstance(edit, edits.Several):
        forms = json.dumps([form_of(each) for each in edit.edits], ensure_ascii=False)
        return {"edit": "several", "value": forms, "words": edit.words}
    values = {each.name: getattr(edit, each.name) for each in fields(edit)}
    if isinstance(edit, edits.TakeRung):
        own = {name: values.pop(name) for name in ("rung", "levers", "name", "entry_test")}
        plain = not (edit.levers or edit.name or edit.entry_test)
        values["value"] = edit.rung if plain else {**own, "levers": list(edit.levers)}
    if values.pop("column", False):
        values["scope"] = "column"
    values |= values.pop("stock", {})
    for name in ("lever", "skip"):
        if name in values:
            values["value"] = values.pop(name)
    return {"edit": _KINDS[type(edit)]} | {name: _form_text(value) for name, value in values.items()}


def _form_text(value: Any) -> str:
    if value is None or isinstance(value, bool):
        return "yes" if value else ""
    if isinstance(value, dict):
        return json.dumps(value, ensure_ascii=False)
    if isinstance(value, list):
        return "\n".join(", ".join(map(str, each)) if isinstance(each, list) else str(each) for each in value)
    return str(value)
