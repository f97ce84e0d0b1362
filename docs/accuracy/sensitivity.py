"""What is still from memory, by how much it moves the answers: python docs/accuracy/sensitivity.py

Every row of every table flagged M or M-. A strength is changed by its own error, up and down, and the hardest joint of
every library rung on the twelve reference bodies is looked at again: a demand is a moment over a strength, so the
shipped table answers without a new pose. A range of motion is asked how many poses lie at its ends. What people differ
by is asked how far it moves the strength or the repetitions of a class. Prints the tables of docs/accuracy-memory.md.
"""

import os

os.environ.setdefault("OMP_NUM_THREADS", "1")

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from everyrung.body.demand_table import TableEntry, package_table
from everyrung.body.energy import constants as metabolic
from everyrung.body.engine_version import engine_digest
from everyrung.body.joint_strength import body_coordinates
from everyrung.body.mechanics import Job
from everyrung.body.reference_grid import reference_grid
from everyrung.effort.audience import audience
from everyrung.effort.mix import read_mix
from everyrung.effort.people_strength import without_side
from everyrung.moves.library import standard_library
from everyrung.tables import reader
from everyrung.tables.strength import StrengthRow, strength_rows
from everyrung.tables.strength_of_people import people_constant
from everyrung.terms.demand import RungDemand
from everyrung.terms.errors import Invalid
from everyrung.terms.person import Experience

FLAGS = ("M", "M-")
BEFORE = {"joint_strength": 28, "joint_range": 16, "strength_people": 3, "fatigue": 1, "heart": 1, "metabolic": 1}
NEAR_DEG = 5.0  # of an end; chosen, because poses are known to about 2 degrees


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """What one number's error moves: the hardest joint of a rung on a body, in the mean and at most, and the part of
    rungs and bodies whose hardest joint becomes another one.
    """

    name: str
    error: float
    mean: float
    most: float
    other: float


def flagged() -> dict[str, list[str]]:
    """The first cells of all rows from memory, by table."""
    found = {}
    for path in sorted(Path(reader.FOLDER).glob("*.csv")):
        rows = reader.read_table(path.stem).rows
        names = [" ".join(list(row.values())[:1]) for row in rows if row.get("flag") in FLAGS]
        if names:
            found[path.stem] = names
    return found


@cache
def demands() -> tuple[tuple[str, RungDemand], ...]:
    """Every library rung that has a table, as it is led, on every reference body."""
    library, table, bodies = standard_library(), package_table(engine_digest()), reference_grid()
    found = []
    for key in library.keys:
        for rung in library.move(key).ladder:
            try:
                job = Job(form=rung.form, layer=library.pose(rung.form), size=bodies[0])
            except Invalid:
                continue
            shape = job.shape()
            entry: TableEntry | None = table.find([shape]).get(shape)
            every = [entry.at(size, job.held_kg) for size in bodies] if entry else []
            found += [(f"{key}/{rung.key}", one) for one in every if one]
    return tuple(found)


@cache
def fractions() -> tuple[NDArray[np.float64], tuple[str, ...]]:
    """What each demand asks of each motion, a part of its strength (demand, motion), nothing of it as 0; and the
    motions' names, from the last of the alphabet to the first.
    """
    names = tuple(sorted({each.motion for _, one in demands() for each in one.motions}, reverse=True))
    column = {name: at for at, name in enumerate(names)}
    found = np.zeros((len(demands()), len(names)))
    for row, (_, one) in zip(found, demands(), strict=True):
        row[[column[each.motion] for each in one.motions]] = [each.fraction for each in one.motions]
    return found, names


def hardest(factor: dict[str, float]) -> tuple[NDArray[np.float64], NDArray[np.str_]]:
    """Of every demand the greatest part of a motion's strength once that is multiplied by a factor, and which motion
    it is, without its side.
    """
    found, names = fractions()
    parts = found / [factor.get(name, factor.get(without_side(name), 1.0)) for name in names]
    return parts.max(axis=1), np.array([without_side(name) for name in names])[parts.argmax(axis=1)]


def moved(row: StrengthRow) -> Moved:
    """What the row's error does, up and down."""
    part, name = hardest({})
    asks = part > 0
    changes, others = [], []
    for side in (1.0, -1.0):
        after, other = hardest({row.motion: float(np.exp(side * row.error_log_sd))})
        changes.append(np.abs(after[asks] / part[asks] - 1))
        others.append((other != name)[asks])
    return Moved(
        name=row.motion, error=row.error_log_sd, mean=float(np.mean(changes)), most=float(np.max(changes)),
        other=float(np.mean(others)),
    )  # fmt: skip


@cache
def every_moved() -> tuple[tuple[StrengthRow, Moved], ...]:
    """All strengths, the one that moves most first."""
    return tuple(sorted(((row, moved(row)) for row in strength_rows()), key=lambda pair: -pair[1].mean))


def strengths_table(from_memory: bool) -> Iterator[str]:
    """One line a strength, those from memory or the others."""
    yield "| strength | flag | off by | hardest joint moves, mean | at most | another joint is the hardest |"
    yield "|---|---|---|---|---|---|"
    for row, one in every_moved():
        if (row.flag in FLAGS) is from_memory:
            yield (
                f"| {one.name.replace('_', ' ')} | {row.flag} | {one.error:.0%} | {one.mean:.2%} | {one.most:.0%} "
                f"| {one.other:.1%} |"
            )


def at_the_end(coordinate: str) -> float:
    """The part of rungs and bodies in which this angle comes within NEAR_DEG of an end of its range."""
    row = next(row for row in reader.read_table("joint_range").rows if row["coordinate"] == coordinate)
    low, high = float(row["low_deg"]) + NEAR_DEG, float(row["high_deg"]) - NEAR_DEG
    names = set(body_coordinates(coordinate))
    near = [
        any(
            not low < deg < high
            for joint in one.joints if joint.name in names for deg in (joint.rest_deg, joint.full_deg)
        )
        for _, one in demands()
    ]  # fmt: skip
    return float(np.mean(near))


def ranges_table() -> Iterator[str]:
    """One line a range of motion from memory, the one that poses meet most often first."""
    yield f"| range | poses within {NEAR_DEG:g} degrees of an end |"
    yield "|---|---|"
    for part, name in sorted(((at_the_end(name), name) for name in flagged()["joint_range"]), reverse=True):
        yield f"| {name.replace('_', ' ')} | {part:.0%} |"


def others_table() -> Iterator[str]:
    """What people differ by, and what is left."""
    crowd = list(audience(read_mix("boathouse"), 4000, 1, 0.5))
    strong = float(np.mean(np.concatenate([one.level for one in crowd]) == list(Experience).index(Experience.STRONG)))
    gain = people_constant("training_strong") - 1
    yield "| number | table | what it moves |"
    yield "|---|---|---|"
    yield (
        f"| training strong | strength_people | half of its {gain:.0%} more or less moves the strength of {strong:.0%} "
        f"of the boathouse by {gain / 2 / (1 + gain):.0%} |"
    )
    yield "| endurance log sd | fatigue | how far people's repetitions spread, not their middle |"
    yield "| capacity spread | heart | how far people's heart rates spread, not their middle |"
    lengths = len(flagged()["muscle_length"])
    yield (
        f"| {lengths} lengths of fibres | muscle_length | what holding costs, by motion, inside the "
        f"{metabolic()['error_holding']:.0%} that every band has for it |"
    )


def counts_table() -> Iterator[str]:
    """How many are left, by table."""
    now = {name: len(rows) for name, rows in flagged().items()}
    yield "| table | from memory before | now |"
    yield "|---|---|---|"
    for name in sorted(BEFORE.keys() | now.keys()):
        yield f"| {name} | {BEFORE.get(name, 0)} | {now.get(name, 0)} |"
    yield f"| all | {sum(BEFORE.values())} | {sum(now.values())} |"


TABLES = {
    "How many": counts_table, "Strengths from memory": lambda: strengths_table(True), "Ranges": ranges_table,
    "The others": others_table, "Strengths that were found or derived": lambda: strengths_table(False),
}  # fmt: skip


def main() -> None:
    for name, lines in TABLES.items():
        print(f"## {name}\n")
        print("\n".join(lines()), end="\n\n")


if __name__ == "__main__":
    main()
