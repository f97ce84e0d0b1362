"""Between the reference bodies and loads: exact on them, close to a full computation elsewhere."""

import numpy as np
import pytest

from everyrung.body.mechanics import Job, demands, in_job_order
from everyrung.body.reference_grid import reference_grid
from everyrung.body.rung_load import NODE_PIECES_KG
from everyrung.effort.perform_set import weights
from everyrung.moves.library import standard_library
from everyrung.terms.person import BodySize, Sex
from everyrung.terms.units import Load, Mass, MassUnit

SIZES = [
    BodySize(sex=Sex.FEMALE, stature_m=1.58, mass_kg=61.0),
    BodySize(sex=Sex.FEMALE, stature_m=1.70, mass_kg=78.0),
    BodySize(sex=Sex.MALE, stature_m=1.71, mass_kg=69.0),
    BodySize(sex=Sex.MALE, stature_m=1.82, mass_kg=95.0),
]


def parts(sizes: list[BodySize]) -> np.ndarray:
    male = np.array([size.sex is Sex.MALE for size in sizes])
    return weights(male, np.array([size.stature_m for size in sizes]), np.array([size.mass_kg for size in sizes]))


def test_on_a_reference_body_only_that_body_counts() -> None:
    assert parts(list(reference_grid())) == pytest.approx(np.eye(12), abs=0.02)  # its mass is rounded to 0.1 kg


def test_parts_add_up_and_keep_to_one_sex() -> None:
    found = parts(SIZES)
    assert found.sum(axis=1) == pytest.approx(1.0)
    male = np.array([body.sex is Sex.MALE for body in reference_grid()])
    for size, row in zip(SIZES, found, strict=True):
        assert np.abs(row[male != (size.sex is Sex.MALE)]).sum() == 0


@pytest.mark.parametrize("rung", ["squat/base", pytest.param("hip-hinge/pair", marks=pytest.mark.slow)])
def test_a_demand_between_bodies_and_loads_is_within_a_twentieth_of_the_full_one(rung: str) -> None:
    library = standard_library()
    form = library.rung(*rung.split("/")).form
    pieces = 2 if rung.endswith("pair") else 0

    def load(kg: float) -> Load | None:
        return Load(pieces=(Mass(amount=kg, unit=MassUnit.KG),) * pieces) if pieces else None

    def fractions(sizes: list[BodySize], kg: float) -> np.ndarray:
        jobs = [Job(form=form, layer=library.pose(form), size=size, load=load(kg)) for size in sizes]
        names = ("knee_extension_left", "hip_extension_left", "trunk_extension")
        found = [[one.motion(name) for name in names] for one in in_job_order(demands(jobs))]
        return np.array([[each.fraction if each else 0.0 for each in row] for row in found])

    low, high = (fractions(list(reference_grid()), kg) for kg in NODE_PIECES_KG[:2])
    share = (4.0 - NODE_PIECES_KG[0]) / (NODE_PIECES_KG[1] - NODE_PIECES_KG[0])
    grid = low + share * (high - low) if pieces else low
    full = fractions(SIZES, 4.0)
    between = parts(SIZES) @ grid
    asked = full > 0.2  # what is hardly asked for limits nobody
    assert asked.any()
    assert np.abs(between[asked] / full[asked] - 1).max() < 0.05
