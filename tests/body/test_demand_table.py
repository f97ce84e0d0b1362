"""The shipped table is of this engine and this library, says what a full solve says, and is never trusted otherwise."""

import ast
import random
import re
import zipfile
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import pytest

import everyrung.body
from everyrung.body.demand_table import (
    ENGINE,
    DemandTable,
    between,
    form_demands,
    package_path,
    package_table,
    write_table,
)
from everyrung.body.engine_version import DRAWING_MODULES, DRAWING_TERMS, MODULES, TABLES, TERMS, engine_digest
from everyrung.body.mechanics import Failure, Job, demand_of, demands, from_table, is_beyond_some, is_in_table
from everyrung.body.reference_grid import reference_grid
from everyrung.body.rung_load import NODE_PIECES_KG, node_loads
from everyrung.effort.perform_set import weights
from everyrung.effort.set_load import load_parts
from everyrung.moves.library import standard_library
from everyrung.plan.read import read_plan
from everyrung.plan.resolve import resolve
from everyrung.terms.demand import RungDemand
from everyrung.terms.person import BodySize, Sex
from everyrung.terms.units import Load, Mass, MassUnit

BODY = Path(everyrung.body.__file__).parent
LIBRARY = standard_library()
DEMO = Path(__file__).parents[2] / "examples" / "boathouse-30.toml"
RUNGS = {
    f"{move}/{rung.key}": rung.form
    for move in LIBRARY.keys
    for rung in LIBRARY.move(move).versions
    if LIBRARY.takes(rung.form)
}
LOADED = sorted(name for name, form in RUNGS.items() if form.load.pieces)
LEAST_EFFORT = 0.05  # of a muscle group: less is no work; chosen, as RESTING in effort/set_load.py
STALE = "The engine, its tables, a move or the demo changed: run `python scripts/write_demand_table.py` (some minutes)."


def job(name: str, size: BodySize, kg: float | None = None) -> Job:
    """A rung of the library, with pieces of `kg`."""
    form = RUNGS[name]
    load = None if kg is None else Load(pieces=(Mass(amount=kg, unit=MassUnit.KG),) * form.load.pieces)
    return Job(form=form, layer=LIBRARY.pose(form), size=size, load=load)


def solved(asked: Job) -> RungDemand:
    found = demand_of(asked)
    assert not isinstance(found, Failure), found
    return found


def test_the_table_was_made_by_this_engine() -> None:
    assert package_table(engine_digest()).names, STALE


def test_the_table_has_every_rung_of_the_library() -> None:
    names = package_table(engine_digest()).names
    missing = [
        name
        for name, form in RUNGS.items()
        if Job(form=form, layer=LIBRARY.pose(form), size=reference_grid()[0], load=form.amount).shape() not in names
    ]
    assert missing == [], STALE


def test_the_table_has_what_the_demo_leads_and_offers() -> None:
    """So that the first rehearsal of a new installation waits for no body."""
    cells = resolve(read_plan(DEMO), LIBRARY).cells
    forms = {rung.form for cell in cells for rung in (cell.rung, *(option.rung for option in cell.options))}
    asked = {Job(form=form, layer=LIBRARY.pose(form), size=reference_grid()[0]).shape() for form in forms}
    assert asked - set(package_table(engine_digest()).find(asked)) == set(), STALE


def test_the_engine_is_all_that_a_demand_imports_and_reads() -> None:
    """Every module of the body that rung_demand leads to, late imports too, and every table that one of them names."""
    seen, todo, tables = set(), ["rung_demand"], set()
    while todo:
        name = todo.pop()
        if name in seen:
            continue
        seen.add(name)
        text = (BODY / f"{name}.py").read_text(encoding="utf-8")
        tables |= set(re.findall(r'read_table\("(\w+)"\)', text))
        todo += [
            str(node.module).removeprefix("everyrung.body.")
            for node in ast.walk(ast.parse(text))
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("everyrung.body.")
        ]
    for reader in ("anthropometry", "strength"):
        text = (BODY.parent / "tables" / f"{reader}.py").read_text(encoding="utf-8")
        tables |= set(re.findall(r'(?:read_table|typed_rows)\("(\w+)"\)', text))
    assert seen == set(MODULES)
    assert tables == set(TABLES)


def test_a_drawing_rests_on_the_engine_and_on_what_its_own_modules_import() -> None:
    """Enums and moves come with each question, errors with no answer."""
    body, terms = set(), set()
    for name in DRAWING_MODULES:
        text = (BODY / f"{name}.py").read_text(encoding="utf-8")
        body |= set(re.findall(r"from everyrung\.body\.(\w+) import", text))
        terms |= set(re.findall(r"from everyrung\.terms\.(\w+) import", text))
    assert body - {"mechanics"} <= {*MODULES, *DRAWING_MODULES}
    assert terms - {"enums", "errors", "move"} <= {*TERMS, *DRAWING_TERMS}


@pytest.mark.parametrize("name", random.Random(17).sample(sorted(RUNGS), 8))
def test_the_table_says_what_a_full_solve_says(name: str) -> None:
    """To 1 part in 10,000, for its numbers are rounded; words are the same."""
    rng = random.Random(name)
    size = rng.choice(reference_grid())
    asked = job(name, size, rng.choice(NODE_PIECES_KG) if RUNGS[name].load.pieces else None)
    here, there = from_table([asked])[0], solved(asked)
    assert (here.misfits, here.shortfalls, here.has_converged) == (there.misfits, there.shortfalls, there.has_converged)
    assert (here.self_checks, here.rep_ms, here.from_memory) == (there.self_checks, there.rep_ms, there.from_memory)
    parts = {each.motion: each for each in there.motions}
    assert {each.motion for each in here.motions} == set(parts)
    for each in here.motions:
        assert each.fraction == pytest.approx(parts[each.motion].fraction, rel=1e-4, abs=1e-6)
        assert each.phases == pytest.approx(parts[each.motion].phases, rel=1e-4, abs=1e-6)
    assert [one.peak for one in here.groups] == pytest.approx([one.peak for one in there.groups], rel=1e-4, abs=1e-5)
    assert here.above_rest_w == pytest.approx(there.above_rest_w, rel=1e-4)
    assert here.balance_m == (None if there.balance_m is None else pytest.approx(there.balance_m, abs=1e-5))


@pytest.mark.parametrize("name", random.Random(18).sample(LOADED, 4))
def test_between_two_loads_the_hardest_joint_is_within_three_points_of_its_strength(name: str) -> None:
    rng = random.Random(name)
    asked = job(name, rng.choice(reference_grid()), rng.uniform(1.0, 9.0))
    here = from_table([asked]).get(0)
    there = solved(asked)
    if here is None:  # one of the two loads is too heavy to be held
        return
    assert here.load_kg == pytest.approx(there.load_kg, abs=1e-3)
    assert here.hardest
    assert there.hardest
    assert here.hardest.fraction == pytest.approx(there.hardest.fraction, abs=0.03)


def test_what_was_asked_lately_is_known_and_says_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    """A proposal asks for the same versions again and again; however many are asked, no more than so many are kept."""
    monkeypatch.setattr("everyrung.body.demand_table.ANSWERS", 5)
    table, form = DemandTable(package_path(), engine_digest()), standard_library().rung("squat", "base").form
    job = Job(form=form, layer=standard_library().pose(form), size=reference_grid()[0])
    first = table.at(job.shape(), job.size, job.held_kg)
    assert first is not None
    assert table.at(job.shape(), job.size, job.held_kg) is first
    others = [table.at(job.shape(), size, job.held_kg) for size in reference_grid()[1:]]
    assert len({each.size for each in others if each}) == 11
    again = table.at(job.shape(), job.size, job.held_kg)
    assert again is not first
    assert again == first


def test_a_load_beyond_the_table_and_a_body_off_the_grid_are_solved() -> None:
    name, size = LOADED[0], reference_grid()[0]
    heavy = job(name, size, NODE_PIECES_KG[-1] + 1.0)
    other = job(name, replace(size, mass_kg=size.mass_kg + 3.0))
    assert from_table([heavy, other]) == {}
    assert from_table([job(name, size)]).keys() == {0}


def test_where_a_body_cannot_hold_one_of_two_loads_what_lies_between_is_solved() -> None:
    entry = made_entry(short_at=1)
    assert entry.at(reference_grid()[0], 2.0) is not None, "a load of the table itself"
    assert entry.at(reference_grid()[0], 1.0) is None
    assert made_entry(short_at=None).at(reference_grid()[0], 1.0) is not None


def made_entry(short_at: int | None) -> Any:
    """One form on one body with 0 and 2 kg; with the load of `short_at` it cannot be held."""
    usual = solved(job(LOADED[0], reference_grid()[0]))
    rows = [
        [replace(usual, load_kg=kg, shortfalls=("short",) if at == short_at else ())]
        for at, kg in enumerate((0.0, 2.0))
    ]
    from everyrung.body.demand_table import TableEntry

    form = form_demands((0.0, 2.0), rows)
    return TableEntry(form=form, table=form.table())


def test_numbers_between_two_loads_by_hand() -> None:
    """The middle of 1 and 3; a motion that only the heavier asks for is half of its 4; its time is not halved."""
    low, high = np.array([1.0, np.nan, np.nan]), np.array([3.0, 4.0, 700.0])
    when = np.array([False, False, True])
    assert between(low, high, 0.5, when).tolist() == [2.0, 2.0, 700.0]
    assert np.isnan(between(low, np.array([3.0, np.nan, np.nan]), 0.5, when)[1])


def test_a_table_of_another_engine_is_not_used(tmp_path: Path) -> None:
    assert DemandTable(package_path(), "another engine").names == frozenset()
    assert DemandTable(tmp_path / "none.zip", "engine").names == frozenset()


@pytest.mark.parametrize("spoil", ["cut off", "no entry", "not msgpack"])
def test_a_spoilt_table_is_passed_over(tmp_path: Path, spoil: str) -> None:
    path = tmp_path / "table.zip"
    usual = solved(job(LOADED[0], reference_grid()[0]))
    write_table(path, "engine", {"form": form_demands((0.0,), [[usual]])})
    assert DemandTable(path, "engine").find(["form", "other"]).keys() == {"form"}
    if spoil == "cut off":
        path.write_bytes(path.read_bytes()[:-200])
    else:
        with zipfile.ZipFile(path, "w") as file:
            file.writestr(ENGINE, "engine")
            if spoil == "not msgpack":
                file.writestr("form", b"\x00 nothing")
    assert DemandTable(path, "engine").find(["form"]) == {}


def test_what_the_table_lacks_is_computed_in_its_place() -> None:
    name, size = LOADED[0], reference_grid()[0]
    jobs = [job(name, size), job(name, size, 20.0), job(name, size, 4.54)]
    found = dict(demands(jobs))
    assert sorted(found) == [0, 1, 2]
    assert isinstance(found[1], RungDemand)
    assert found[1].load_kg == pytest.approx(20.0 * RUNGS[name].load.pieces, abs=1.1)  # and a ball, perhaps


@pytest.mark.slow
def test_people_between_the_bodies_and_loads_are_told_within_stated_errors() -> None:
    """2,000 random people and loads against full solves, in points of strength (docs/speed.md): the hardest joint, and
    of every muscle group that works the mean and the peak of its effort.

    A person is made of the reference bodies, and of the loads, as the forecast makes her (effort/perform_set.py).
    """
    rng, found = np.random.default_rng(2000), []
    for _ in range(2000):
        name = LOADED[rng.integers(len(LOADED))] if rng.random() < 0.5 else sorted(RUNGS)[rng.integers(len(RUNGS))]
        male = bool(rng.random() < 0.5)
        sex = Sex.MALE if male else Sex.FEMALE
        grid = [size for size in reference_grid() if size.sex is sex]
        stature_m = float(rng.uniform(grid[0].stature_m - 0.05, grid[-1].stature_m + 0.05))
        size = BodySize(sex=sex, stature_m=stature_m, mass_kg=float(rng.uniform(19.0, 34.0)) * stature_m**2)
        kg = float(rng.uniform(0.5, 12.0))
        errors = errors_of(name, size, kg)
        if errors:
            found.append((errors, f"{name} on {size}, {kg:.1f} kg a piece"))
    for each in sorted(found, key=lambda one: -one[0].hardest)[:8]:
        print(f"{each[0].hardest:.2f} at {each[0].joint}: {each[1]}")
    spreads = {
        "hardest joint": np.array([each.hardest for each, _ in found]),
        "group mean": np.concatenate([each.group_means for each, _ in found]),
        "group peak": np.concatenate([each.group_peaks for each, _ in found]),
    }
    for what, off in spreads.items():
        print(
            f"{what}: {len(off)}, median {np.median(off):.2f}, p95 {np.quantile(off, 0.95):.2f}, worst {off.max():.2f}"
        )
    assert len(found) > 1500
    for off, middle, most in zip(spreads.values(), (0.2, 0.2, 0.2), (1.5, 1.5, 3.0), strict=True):
        assert np.median(off) < middle
        assert np.quantile(off, 0.95) < most


class Errors(NamedTuple):
    """How far a person is off, in points: the hardest joint, which it is; each muscle group's mean and peak."""

    hardest: float
    joint: str
    group_means: list[float]
    group_peaks: list[float]


def errors_of(name: str, size: BodySize, kg: float) -> Errors | None:
    """None where the body cannot hold the rung at all."""
    form = RUNGS[name]
    holds = form.load.pieces
    there = solved(job(name, size, kg if holds else None))
    if not there.feasible or not there.hardest:
        return None
    rows = [
        from_table([Job(form=form, layer=LIBRARY.pose(form), size=body, load=load) for body in reference_grid()])
        for load in node_loads(form, form.amount)
    ]
    parts = weights(np.array([size.sex is Sex.MALE]), np.array([size.stature_m]), np.array([size.mass_kg]))[0]
    by_load = load_parts(NODE_PIECES_KG, np.array([kg]))[0] if holds else np.ones(1)

    def mixed(value: Callable[[RungDemand], float]) -> float:
        return sum(
            by_load[load] * parts[body] * value(row[body])
            for load, row in enumerate(rows)
            for body in range(len(parts))
        )

    names = [each.motion for each in there.motions if not each.motion.startswith(("neck", "forearm", "toe"))]
    here = {motion: mixed(lambda one, motion=motion: fraction_of(one, motion)) for motion in names}
    joint = max(names, key=lambda motion: here[motion])
    working = [place for place, group in enumerate(there.groups) if group.peak >= LEAST_EFFORT]
    return Errors(
        hardest=abs(here[joint] - there.hardest.fraction) * 100,
        joint=joint,
        group_means=[
            abs(mixed(lambda one, at=at: one.groups[at].mean) - there.groups[at].mean) * 100 for at in working
        ],
        group_peaks=[
            abs(mixed(lambda one, at=at: one.groups[at].peak) - there.groups[at].peak) * 100 for at in working
        ],
    )


def fraction_of(demand: RungDemand, motion: str) -> float:
    """The part of its strength that a motion needs; 0 where this body does not turn it."""
    return next((each.fraction for each in demand.motions if each.motion == motion), 0.0)


def test_a_load_between_two_that_a_body_cannot_hold_is_beyond_it_and_a_full_solve_says_so_too() -> None:
    sizes = reference_grid()
    for name, kg in (("front-raise/base", 10.0), ("lateral-raise/base", 10.0)):
        asked = [job(name, size, kg) for size in sizes]
        assert is_beyond_some(asked[0], sizes)
        assert not is_in_table(asked[0], sizes)
        assert not all(solved(each).feasible for each in asked[:2])
    assert not is_beyond_some(job("front-raise/base", sizes[0], 0.01), sizes)
