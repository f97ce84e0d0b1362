"""Computes the demand of every rung of the library, of what the examples lead and offer, and of the forms that
proposals are likely to lead, on every reference body; writes the table that is shipped, and what rests on it: grades,
and how often rested people can do each.

    python scripts/write_demand_table.py

It takes some minutes on two cores; what the table has by the same engine is kept, so that a change of move files takes
as long as the forms that are new. tests/body/test_demand_table.py says when it has to be done: after any change of the
code or the tables that a demand rests on, or of a move's file.
"""

import sys
import time
from collections.abc import Iterable, Iterator
from dataclasses import replace
from os import cpu_count
from pathlib import Path

from everyrung.body.demand_table import FormDemands, form_demands, package_path, package_table, write_table
from everyrung.body.engine_version import engine_digest
from everyrung.body.mechanics import Failure, Job, demand_of
from everyrung.body.reference_grid import reference_grid
from everyrung.body.rung_load import node_loads
from everyrung.checks.ladder_order import grade_of, rung_demands
from everyrung.effort.fresh_people import fresh_by_load
from everyrung.moves.computed_grades import GRADES
from everyrung.moves.library import Library, standard_library
from everyrung.plan.read import read_plan
from everyrung.plan.resolve import resolve
from everyrung.processes import computing_pool
from everyrung.proposals.likely_forms import likely_forms
from everyrung.proposals.possible_reps import FILE as POSSIBLE
from everyrung.proposals.possible_reps import form_key
from everyrung.terms.errors import Invalid
from everyrung.terms.move import Form

EXAMPLES = Path(__file__).parents[1] / "examples"
PORTION = 12  # forms; chosen, because they take some seconds


def jobs_of(form: Form) -> list[list[Job]]:
    """By load, then by body; none for a form that no pose is offered for."""
    try:
        layer = standard_library().pose(form)
    except Invalid:
        return []
    loads = node_loads(form, form.amount)
    return [[Job(form=form, layer=layer, size=size, load=load) for size in reference_grid()] for load in loads]


def example_forms(library: Library) -> Iterator[Form]:
    """What the examples lead and offer: a demo is rehearsed without waiting for bodies."""
    for path in sorted(EXAMPLES.glob("*-[0-9][0-9].toml")):
        for cell in resolve(read_plan(path), library).cells:
            yield from (cell.rung.form, *(option.rung.form for option in cell.options))


def main() -> None:
    library = standard_library()
    versions = (rung.form for key in library.keys for rung in library.move(key).versions)
    forms = dict.fromkeys((*versions, *example_forms(library), *likely_forms(library)))
    asked = {rows[0][0].shape(): rows for form in forms for rows in [jobs_of(form)] if rows}
    engine = engine_digest()
    found = {key: entry.form for key, entry in package_table(engine).find(asked).items()}
    new = [key for key in asked if key not in found]
    begun = time.monotonic()
    with computing_pool(cpu_count() or 1) as pool:
        for first in range(0, len(new), PORTION):
            portion = {key: asked[key] for key in new[first : first + PORTION]}
            jobs = [job for rows in portion.values() for row in rows for job in row]
            answers = pool.map(demand_of, jobs, chunksize=6)
            for key, rows in portion.items():
                entry = entry_of(rows, [[next(answers) for _ in row] for row in rows])
                if entry is not None:
                    found[key] = entry
            write_table(package_path(), engine, found)  # whoever breaks off goes on from here
            done = min(first + PORTION, len(new))
            left_s = (time.monotonic() - begun) / done * (len(new) - done)
            print(f"{done} of {len(new)} forms, some {left_s:.0f} s to go", file=sys.stderr, flush=True)
    package_table.cache_clear()  # what it read at first is the table of before
    write_grades()
    write_possible(forms)
    print(f"{len(found)} forms of {len(asked)}, {len(new)} computed: {package_path().stat().st_size / 1e6:.1f} MB")


def write_grades() -> None:
    """Of every version whose file leaves its grade to the bodies; along a ladder none is less than the one before."""
    library, rows = standard_library(), []
    for key in library.keys:
        left_open = {rung.key for rung in library.source(key)[1].rungs if rung.grade is None}
        versions = [rung for rung in library.move(key).versions if rung.key in left_open]
        least, found = 1, rung_demands(library, versions)
        for rung in versions:
            grade = grade_of(rung, found.get(rung.address, ()))
            if rung.form.move == key:
                grade = least = max(least, grade)
            rows.append((rung.address, grade))
    GRADES.write_text("rung,grade\n" + "".join(f"{address},{grade}\n" for address, grade in rows), encoding="utf-8")


def write_possible(forms: Iterable[Form]) -> None:
    """How often rested people can do each form that has demands."""
    lines = {}
    for form in forms:
        rows = jobs_of(replace(form, amount=None, reps_added=0))
        if rows and (by_load := fresh_by_load(rows)):
            numbers = (
                " ".join(f"{each.load_kg:g}" for each in by_load),
                " ".join(f"{each.quarter:.1f}" for each in by_load),
                " ".join(f"{each.half:.1f}" for each in by_load),
            )
            lines[form_key(form, None)] = ",".join((*numbers, by_load[len(by_load) // 2].gives_out))
    text = "".join(f"{key},{lines[key]}\n" for key in sorted(lines))
    POSSIBLE.write_text(f"form,load_kg,quarter,half,gives_out\n{text}", encoding="utf-8")


def entry_of(rows: list[list[Job]], table: list[list]) -> FormDemands | None:
    """None for a form that some body cannot be put into: that is computed when it is asked for."""
    if any(isinstance(answer, Failure) for row in table for answer in row):
        return None
    return form_demands([row[0].held_kg for row in rows], table)


if __name__ == "__main__":
    main()
