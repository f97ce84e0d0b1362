"""Reading one [[kit]] entry.

Reading a plan file: TOML to a Plan, or every fault in it with its line.
"""

import re
from dataclasses import fields
from functools import lru_cache
from pathlib import Path
from typing import Any

from everyrung.moves.limit_words import limit
from everyrung.parsing import person_fields
from everyrung.parsing.document import parse, read_text
from everyrung.parsing.table_reader import FileFaults, Skip, Table, attempt, flag, one_of, text, whole, words
from everyrung.parsing.units import duration, mass
from everyrung.plan.read_blocks import read_block
from everyrung.terms.enums import BandGrade, KitItem, Level, Side, SideRule, View
from everyrung.terms.errors import Faults, Invalid
from everyrung.terms.plan import MAX_CELLS, BlockText, Leader, Plan, Ref, Stock, Who
from everyrung.terms.session import Clock
from everyrung.terms.units import KG_PER_LB, MAX_STEP_CM, MIN_STEP_CM

PLANS_KEPT = 64  # texts; chosen, because an edit asks four times for the plan before it and for the one after it
_CENTIMETRES = re.compile(r"(\d{2,3}(?:\.\d)?)\s*cm")


def read_stock(table: Table) -> Stock:
    """One kit entry: `item`, `count` or `each`, and what that item needs said of it. What is wrong is noted in the
    table's file.
    """
    rated_kg = table.take("rated", mass_kg, None)
    return table.build(
        Stock,
        item=table.take("item", one_of(KitItem)),
        count=table.take("count", whole(0, 10_000), 0),
        each=table.take("each", whole(0, 20), 0),
        mass=table.take("mass", mass, None),
        pairs=table.take("as", _pairs, "singles") == "pairs",
        diameter_cm=table.take("diameter", _centimetres, None),
        rated_kg=rated_kg,
        grade=table.take("grade", one_of(BandGrade), None),
        height_cm=table.take("height", _step_cm, None),
    )


def _step_cm(value: Any) -> float:
    match = re.fullmatch(r"(\d{1,2}(?:\.\d)?)\s*cm", value.strip()) if isinstance(value, str) else None
    if match is None or not MIN_STEP_CM <= float(match[1]) <= MAX_STEP_CM:
        raise Invalid("", f'a height of {MIN_STEP_CM:g} to {MAX_STEP_CM:g} cm, such as "20 cm"', value)
    return float(match[1])


def mass_kg(value: Any) -> float:
    """A ball's rated load in kg; a rating may be heavier than anything held. Raises Invalid for what is no mass with
    its unit.

    >>> mass_kg("250 kg")
    250.0
    """
    match = re.fullmatch(r"(\d{2,4}(?:\.\d+)?)\s*(kg|lb)", value.strip()) if isinstance(value, str) else None
    if match is None:
        raise Invalid("", 'a rated load with its unit, such as "250 kg"', value)
    return float(match[1]) * (KG_PER_LB if match[2] == "lb" else 1.0)


def _pairs(value: Any) -> str:
    if value not in ("pairs", "singles"):
        raise Invalid("", "'pairs' or 'singles'", value)
    return str(value)


def _centimetres(value: Any) -> float:
    match = _CENTIMETRES.fullmatch(value.strip()) if isinstance(value, str) else None
    if match is None or not 20 <= float(match[1]) <= 120:
        raise Invalid("", 'a diameter of 20 to 120 cm, such as "55 cm"', value)
    return float(match[1])


def read_plan(path: Path) -> Plan:
    """The plan at `path`. Raises Faults with every fault found; the file is never changed."""
    return plan_from_text(read_text(path), str(path))


@lru_cache(PLANS_KEPT)
def plan_from_text(toml: str, file: str) -> Plan:
    """A plan from its text; `file` is only for the places in faults and findings. Raises Faults
    with every fault found.
    """
    reading = FileFaults(file, toml)
    table = Table(reading, parse(toml, file))
    try:
        plan = _plan(table, file)
    except Skip:
        raise Faults(reading.faults) from None
    reading.finish()
    return plan


def _plan(table: Table, file: str) -> Plan:
    blocks = attempt(table.tables("block"), read_block)
    if not table.has("block"):
        table.reading.fault(("block",), Invalid("block", "at least one [[block]]", "none"))
    _check_size(table, blocks)
    _check_names(table, blocks)
    return table.build(
        Plan,
        file=file,
        title=table.take("title", _title),
        slot_ms=table.take("slot_minutes", _minutes),
        level=table.take("level", one_of(Level), None),
        view=table.take("view", one_of(View), None),
        who=_who(table.table("who")),
        leader=_leader(table.table("leader")),
        kit=attempt(table.tables("kit"), read_stock),
        sides=table.take("sides", one_of(SideRule), None),
        newcomer_rounds=table.take("newcomer_rounds", whole(0, 50), None),
        cut_order=table.many("cut_order", ref),
        places=table.places,
        clock=_clock(table.table("clock")),
        cover_notes=table.take("cover_notes", text, ""),
        blocks=blocks,
    )


def _title(value: Any) -> str:
    """A title that fits on one line of a sheet."""
    if len(words(value)) > 120:
        raise Invalid(
            "",
            "at most 120 letters",
            f"{len(value)} letters",
            remedy="Put the rest into the notes.",
        )
    return words(value)


def _minutes(value: Any) -> int:
    return whole(5, 240)(value) * 60_000


def _who(table: Table) -> Who | None:
    try:
        return table.build(
            Who,
            in_room=table.take("in_room", whole(0, 5000), 0),
            at_home=table.take("at_home", whole(0, 1_000_000), 0),
            newcomers=table.take("newcomers", flag, False),
            limits=table.many("limits", limit),
            live=table.take("live", flag, False),
            lip_readers=table.take("lip_readers", flag, False),
        )
    except Skip:
        return None


def _leader(table: Table) -> Leader | None:
    try:
        return table.build(
            Leader,
            stature_m=table.take("stature", person_fields.stature, None),
            mass_kg=table.take("mass", person_fields.body_mass, None),
            age=table.take("age", person_fields.age, None),
            sex=table.take("sex", person_fields.sex, None),
            level=table.take("level", person_fields.level, None),
        )
    except Skip:
        return None


def _clock(table: Table) -> dict[str, int]:
    """Coach's own constants: written without their unit (`settle = "6 s"`, `talk_wpm = 150`)."""
    constants: dict[str, int] = {}
    for each in fields(Clock):
        key = each.name.removesuffix("_ms")
        if table.has(key):
            constants[each.name] = table.take(key, whole(60, 240) if key == "talk_wpm" else duration)
        else:
            table.take(key, text, "")  # known here, so that a misspelt neighbour finds it
    try:
        table.check_fields()
    except Skip:
        return {}
    return constants


def ref(value: Any) -> Ref:
    """A place of a plan from its words: 'Main', 'Main/Three', 'Main/Three/lunge' or 'Main/Three/lunge/left'. Raises
    Invalid for any other form.

    >>> ref("Main/Three/lunge").cell
    'lunge'
    """
    parts = [part.strip() for part in words(value).split("/")]
    if len(parts) > 4 or not all(parts) or (len(parts) == 4 and parts[3] not in ("left", "right")):
        raise Invalid("", "'block', 'block/round', 'block/round/cell' or 'block/round/cell/left'", value)
    block, round_name, cell, side = [*parts, *[""] * (4 - len(parts))]
    return Ref(block=block, round=round_name, cell=cell, side=Side(side) if side else None)


def _check_size(table: Table, blocks: tuple[BlockText, ...]) -> None:
    cells = sum(len(block.columns) * max(1, len(block.rounds)) for block in blocks)
    if cells > MAX_CELLS:
        problem = Invalid("block", f"at most {MAX_CELLS:,} cells", f"{cells:,} cells", remedy="Split the plan.")
        table.reading.fault(("block",), problem)


def _check_names(table: Table, blocks: tuple[BlockText, ...]) -> None:
    names: set[str] = set()
    for place, block in enumerate(blocks):
        if block.name in names:
            problem = Invalid("name", "a name of its own for each block", block.name)
            table.reading.fault(("block", place), problem)
        names.add(block.name)
