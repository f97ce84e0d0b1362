"""Energy against published values: the rows of docs/accuracy/energy_studies.py, and what stands beside them.

Sources: Compendium of Physical Activities, editions 2011 (Ainsworth) and 2024 (Herrmann); the metabolic equation for
stepping of the American College of Sports Medicine (from memory); Minetti 2002, J Appl Physiol 93:1039-1046 (abstract);
Nakagata 2022, J Strength Cond Res 36:1290-1296 (abstract), and its fellow on sessions of slow body-weight exercise,
Descente Sports Science 40 (abstract); Umberger 2003, Comput Methods Biomech Biomed Engin 6:99-111 (from memory).
"""

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from energy_studies import (
    ROWS,
    SLOW_MAN,
    Row,
    joules,
    oxygen,
    row_line,
    slow_kcal,
    speed_lines,
    squat_instants,
    squat_session,
    stepping,
)

from everyrung.body.energy import band, compendium_met, constants, met_w_per_kg, session_energy, upkeep_w_per_nm
from everyrung.body.inverse_dynamics import GRAVITY
from everyrung.terms.forecast import Energy

MISSES = {"NU50": "a miss: a push-up costs 0.52 kcal here for 0.77, since its arms are eased by pushing ahead"}


@pytest.mark.parametrize(
    ("code", "edition", "met"),
    [
        ("02056", "2024", 3.0),
        ("02054", "2011", 3.5),
        ("02054", "2024", 3.5),
        ("02055", "2024", 5.8),
        ("02040", "2011", 8.0),
        ("02040", "2024", 7.5),
        ("02057", "2024", 6.5),
        ("02052", "2024", 5.0),
    ],
)
def test_en01_to_en05_the_compendium_is_copied_with_its_edition(code: str, edition: str, met: float) -> None:
    assert compendium_met(code, edition) == met


def test_en06_kcal_of_20_minutes_at_5_8_met() -> None:
    assert 137.9 < met_w_per_kg() * 68 * 5.8 * 20 * 60 / constants()["j_per_kcal"] < 138.1


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row.key}{'' if row.decides else '-held-back'}")
def test_the_page_s_rows(row: Row, request: pytest.FixtureRequest) -> None:
    """EN07's equation is 21.864 ml/kg/min with the walking part; NU50's push-up is a miss, 0.52 for 0.57 at least."""
    if row.key in MISSES:
        request.applymarker(pytest.mark.xfail(strict=True, reason=MISSES[row.key]))
    assert row.met(), row_line(row)


def test_the_page_shows_every_row_and_the_choice() -> None:
    page = (Path(__file__).parents[2] / "docs" / "accuracy-body.md").read_text(encoding="utf-8")
    missing = [line for line in [*list(speed_lines())[:-1], *map(row_line, ROWS)] if line not in page]
    assert not missing, "run docs/accuracy/energy_studies.py and copy its tables"


def test_the_half_that_decides() -> None:
    assert [row.key for row in ROWS if row.decides] == ["EN01", "EN02", "EN04", "EN07", "NU48", "NU52"]


def test_the_speed_of_a_still_muscle_is_the_one_that_the_deciding_rows_choose() -> None:
    assert list(speed_lines())[-1] == f"chosen: {constants()['fastest_lengths_s']:g}"


def test_en07_stepping_by_the_equation_and_by_the_model() -> None:
    equation = 0.2 * 20 + 1.33 * 1.8 * 0.30 * 20 + 3.5
    assert equation == pytest.approx(21.864, abs=0.004)
    model = oxygen(stepping(20, 0.30))
    assert band(model / 3.5, "MET").holds(equation / 3.5)
    assert model == pytest.approx(equation - 0.2 * 20, rel=0.2)


@pytest.mark.parametrize(("slope", "measured", "sd"), [(0.45, 17.33, 1.11), (-0.45, 3.46, 0.95)])
def test_efficiencies_are_those_of_walking_on_steep_slopes(slope: float, measured: float, sd: float) -> None:
    """Minetti 2002, J/kg a metre walked, above rest: beyond 15 % nearly all work is that of rising and sinking."""
    work = GRAVITY * math.sin(math.atan(slope))
    by = constants()
    model = work / by["positive_efficiency"] if work > 0 else -work / by["negative_efficiency"]
    assert model == pytest.approx(measured, abs=2 * sd)


def test_upkeep_of_force_by_the_heat_of_a_muscle() -> None:
    """Second published model: Umberger's activation and maintenance heat, 1.28 x % fast fibres + 25 W/kg, in the vasti:
    half fast, fibres of 0.099 m, 0.25 MPa, 1,060 kg/m3, 0.042 m from the knee's axis."""
    heat_w_per_nm = (1.28 * 50 + 25) * 1060 * 0.099 / 0.25e6 / 0.042
    assert upkeep_w_per_nm("knee_extension_left") == pytest.approx(heat_w_per_nm, rel=0.25)


def test_a_held_knee_extension_was_about_1_45_w_a_newton_metre() -> None:
    """Kistemaker 2019, J Exp Biol 222:jeb199158 (V): 2.13 +- 0.36 W/kg in all while both knees bore 15.7 N m; at rest,
    seated, 1.5 W/kg of 72 kg (from memory). The resting value makes it uncertain by a factor of two."""
    held = (2.13 - 1.5) * 72 / (2 * 15.7)
    assert held / 2 < upkeep_w_per_nm("knee_extension") < held * 2


def test_every_motion_of_the_body_has_its_upkeep(woman: Any) -> None:
    assert all(upkeep_w_per_nm(motion) > 0 for (way, other) in woman.strengths.ways for motion, _ in (way, other))


@pytest.mark.parametrize("who", ["woman", "man"])
def test_squats_by_turns_with_rest_against_the_compendium(who: str, request: pytest.FixtureRequest) -> None:
    """A squat every 4 s, 40 s work and 40 s rest: middle 3.3 (woman) and 3.4 MET (man), no load in hand.

    The band holds general body-weight work (02056, 3.0) and several exercises of 8 to 15 repetitions (02054, 3.5). It
    is not wide enough to pass for high intensity (02057, 6.5). Squats as resistance training (02052, 5.0; loads are not
    said) lie above it, or near its upper end.
    """
    found = squat_session(request.getfixturevalue(who).size, 4.0)
    assert found.met.holds(compendium_met("02056", "2024"))
    assert found.met.holds(compendium_met("02054", "2024"))
    assert not found.met.holds(compendium_met("02057", "2024"))


def test_quicker_squats_are_harder_up_to_squats_of_the_compendium(woman: Any) -> None:
    """02052, 'slow or explosive', 5.0 MET: a squat every 2.5 s has its middle at 4.0."""
    found = squat_session(woman.size, 2.5)
    assert found.met.middle_not_for_show > squat_session(woman.size, 4.0).met.middle_not_for_show
    assert found.met.holds(compendium_met("02052", "2024"))


def slow_session() -> Energy:
    """Eight men, 63 kg: six exercises, the squat one of them, 3 s down and 3 s up, 10 repetitions and 30 s rest; oxygen
    of the whole session (Descente). Here they are all squats."""
    return squat_session(replace(SLOW_MAN, mass_kg=63.0), 6.0, work_s=60.0, rest_s=30.0)


def test_the_band_holds_a_session_of_slow_body_weight_exercise_that_was_3_1_met() -> None:
    assert slow_session().met.holds(3.1)


def test_a_session_of_slow_body_weight_exercise_was_3_1_met() -> None:
    assert slow_session().met.middle_not_for_show == pytest.approx(3.1, rel=0.15)


def test_a_slow_squat_was_0_50_kcal() -> None:
    """Nakagata 2022: 0.50 +- 0.14 kcal above rest a squat, 15 young men (67 kg by its kcal and MET), depth unknown. The
    library's squat has 0.53, one to 90 degrees without arms held out 0.44."""
    kcal = joules(squat_instants(SLOW_MAN, 6.0)) / constants()["j_per_kcal"]
    assert kcal == pytest.approx(0.50, abs=0.14)
    assert band(kcal, "kcal").holds(0.50)
    assert slow_kcal("squat/base") == pytest.approx(0.50, abs=0.08)


def test_the_reason_names_every_error() -> None:
    said = session_energy(60.0, [], 60.0).reason
    assert said.count("%") == sum(name.startswith("error_") for name in constants())
