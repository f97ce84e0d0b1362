"""From sex, stature and mass to a body: its height, mass and proportions, and the reference grid."""

from typing import Any

import numpy as np
import pytest

from everyrung.body.bodies import body_model
from everyrung.body.configuration import Configuration
from everyrung.body.joint_strength import strength_mass_kg
from everyrung.body.reference_grid import reference_grid
from everyrung.terms.errors import Invalid
from everyrung.terms.person import BodySize, Sex

GRID = reference_grid()


@pytest.mark.parametrize("size", GRID, ids=str)
def test_a_body_has_its_size(size: BodySize) -> None:
    body = body_model(size)
    configuration = Configuration(body)
    soles = [configuration.point(f"{name}_{side}") for name in ("heel", "ball", "toe") for side in ("left", "right")]
    floor = soles[0][2]
    assert all(abs(sole[2] - floor) < 1e-6 for sole in soles)
    assert configuration.point("head_top")[2] - floor == pytest.approx(size.stature_m, abs=1e-6)
    assert sum(body.mj_model.body_mass) == pytest.approx(size.mass_kg, rel=1e-12)
    lengths = body.proportions
    for name, height in [("hip", lengths.hip_m), ("knee", lengths.knee_m), ("ankle", lengths.ankle_m)]:
        assert configuration.point(f"{name}_right")[2] - floor == pytest.approx(height, abs=1e-5)
    assert configuration.point("neck")[2] - floor == pytest.approx(lengths.cervicale_m, abs=1e-6)
    assert configuration.point("shoulder_left")[2] - floor == pytest.approx(lengths.shoulder_m, abs=1e-6)


def test_the_grid_has_both_sexes_short_and_tall_light_and_heavy() -> None:
    assert len(set(GRID)) == 12
    for sex in Sex:
        mine = [size for size in GRID if size.sex is sex]
        assert len({size.stature_m for size in mine}) == 3
        assert all(sum(other.stature_m == size.stature_m for other in mine) == 2 for size in mine)


def test_a_body_is_built_once() -> None:
    assert body_model(GRID[0]) is body_model(BodySize(sex=GRID[0].sex, stature_m=1.525, mass_kg=GRID[0].mass_kg))


def test_left_and_right_are_mirrors(woman: Any) -> None:
    configuration = Configuration(woman)
    for name in woman.landmarks:
        if name.endswith("_left"):
            left, right = configuration.point(name), configuration.point(name.replace("_left", "_right"))
            assert left * [-1, 1, 1] == pytest.approx(right, abs=1e-4)
    pulls = dict(zip(woman.muscles.names, configuration.muscle_lengths(), strict=True))
    assert all(abs(pulls[name] - pulls[f"{name[:-1]}l"]) < 2e-3 for name in pulls if name.endswith("_r"))


def test_muscle_paths_grow_with_their_bone() -> None:
    """A muscle on one uniformly scaled bone, and its fibres, keep their shape; upstream is the body of scale 1."""
    small, tall = (body_model(size) for size in (GRID[0], GRID[-1]))
    at = small.muscles.names.index("vasint_r")  # from thigh to knee cap and shin
    grown = tall.muscles.neutral_m[at] / small.muscles.neutral_m[at]
    assert grown == pytest.approx(tall.scales.thigh / small.scales.thigh, rel=0.02)
    assert tall.muscles.fibre_m[at] / small.muscles.fibre_m[at] == pytest.approx(grown)


@pytest.mark.parametrize(
    ("stature_m", "mass_kg", "field"),
    [(1.0, 50, "stature"), (2.4, 90, "stature"), (1.7, 20, "mass"), (1.7, 300, "mass")],
)
def test_impossible_bodies_are_refused(stature_m: float, mass_kg: float, field: str) -> None:
    with pytest.raises(Invalid, match=field):
        BodySize(sex=Sex.FEMALE, stature_m=stature_m, mass_kg=mass_kg)


def test_not_a_number_is_no_size() -> None:
    with pytest.raises(Invalid):
        BodySize(sex=Sex.FEMALE, stature_m=float("nan"), mass_kg=60)
    with pytest.raises(Invalid):
        BodySize(sex=Sex.FEMALE, stature_m=1.7, mass_kg=float("nan"))


def test_the_heavier_of_two_equally_tall_is_stronger_but_not_for_her_mass() -> None:
    light, heavy = (BodySize(sex=Sex.FEMALE, stature_m=1.6, mass_kg=kg) for kg in (54.0, 77.0))
    assert strength_mass_kg(light) < strength_mass_kg(heavy)
    assert strength_mass_kg(heavy) / 77 < strength_mass_kg(light) / 54
    assert np.isclose(strength_mass_kg(BodySize(sex=Sex.MALE, stature_m=1.8, mass_kg=24 * 1.8**2)), 24 * 1.8**2)


def test_the_extremes_still_stand() -> None:
    for sex in Sex:
        for stature_m in (1.30, 2.20):
            for bmi in (14.5, 54.0):
                size = BodySize(sex=sex, stature_m=stature_m, mass_kg=bmi * stature_m**2)
                configuration = Configuration(body_model(size))
                assert configuration.point("head_top")[2] - configuration.point("heel_left")[2] == pytest.approx(
                    stature_m
                )
                assert (configuration.body.mj_model.body_mass[3:] > 0).all()
                assert np.isfinite(configuration.passive_load()).all()
