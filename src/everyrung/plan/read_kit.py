"""Reading one [[kit]] entry."""

import re
from typing import Any

from everyrung.parsing.table_reader import Table, one_of, whole
from everyrung.parsing.units import mass
from everyrung.terms.enums import BandGrade, KitItem
from everyrung.terms.errors import Invalid
from everyrung.terms.plan import Stock
from everyrung.terms.units import KG_PER_LB

_CENTIMETRES = re.compile(r"(\d{2,3}(?:\.\d)?)\s*cm")


def read_stock(table: Table) -> Stock:
    """One kit entry: `item`, `count` or `each`, and what that item needs said of it."""
    rated = table.take("rated", mass_kg, None)
    return table.build(
        Stock,
        item=table.take("item", one_of(KitItem)),
        count=table.take("count", whole(0, 10_000), 0),
        each=table.take("each", whole(0, 20), 0),
        mass=table.take("mass", mass, None),
        pairs=table.take("as", _pairs, "singles") == "pairs",
        diameter_cm=table.take("diameter", _centimetres, None),
        rated_kg=rated,
        grade=table.take("grade", one_of(BandGrade), None),
    )


def mass_kg(value: Any) -> float:
    """A ball's rated load in kg from "250 kg" or "550 lb"; a rating may be heavier than anything held."""
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
