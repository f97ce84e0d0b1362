"""How often rested people can do a rung: of the library's, as scripts/write_demand_table.py writes it.

So whoever chooses among hundreds of versions can tell at once what they ask, before anybody walks through a session.
"""

import csv
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import numpy as np

from everyrung.store.digest import digest
from everyrung.terms.move import Form
from everyrung.terms.units import Load

FILE = Path(__file__).parent / "possible_reps.csv"
DIGITS = 16  # of a digest; chosen, because a thousand forms are told apart by far fewer

LEAST = 0.1  # of a repetition, for who can do none; chosen, because a factor needs some


@dataclass(frozen=True, slots=True, kw_only=True)
class Possible:
    """Repetitions of one bout, or seconds of a hold, that three in four rested people can do (`quarter` can't do more),
    and half of them; and the muscle group that stops most.
    """

    quarter: float
    half: float
    gives_out: str


@dataclass(frozen=True, slots=True, kw_only=True)
class _Row:
    loads_kg: tuple[float, ...]
    quarter: tuple[float, ...]
    half: tuple[float, ...]
    gives_out: str


def form_key(form: Form, load: Load | None) -> str:
    """What the file calls a form: without how heavy and how often, but with its band."""
    band = form.band or (load.band if load else None)
    return digest(replace(form, amount=None, reps_added=0, band=band))[:DIGITS]


def possible(form: Form, load: Load | None) -> Possible | None:
    """What the file says of a form with a load, between the loads it has; None of one it has not.

    >>> from everyrung.moves.library import standard_library
    >>> squat = standard_library().rung("squat", "base").form
    >>> 10 < possible(squat, None).quarter < possible(squat, None).half
    True
    """
    row = _rows().get(form_key(form, load))
    if row is None:
        return None
    held_kg = load.total_kg if load and load.pieces else 0.0
    quarter, half = (_between(held_kg, row.loads_kg, each) for each in (row.quarter, row.half))
    return Possible(quarter=quarter, half=half, gives_out=row.gives_out)


def _between(held_kg: float, loads_kg: Sequence[float], reps: Sequence[float]) -> float:
    """By an even factor from one load to the next, as repetitions fall with load (brzycki1993, nearly)."""
    return float(np.exp(np.interp(held_kg, loads_kg, np.log(np.maximum(reps, LEAST)))))


@cache
def _rows() -> Mapping[str, _Row]:
    if not FILE.exists():
        return {}
    with FILE.open(encoding="utf-8", newline="") as file:
        return {
            row["form"]: _Row(
                loads_kg=_numbers(row["load_kg"]),
                quarter=_numbers(row["quarter"]),
                half=_numbers(row["half"]),
                gives_out=row["gives_out"],
            )
            for row in csv.DictReader(file)
        }


def _numbers(text: str) -> tuple[float, ...]:
    return tuple(map(float, text.split()))
