"""People drawn from mixes: the same for the same seed, and as the survey measured."""

from pathlib import Path

import numpy as np
import pytest

from everyrung.effort.audience import CAUTIONS, LEVELS, People, _cut, _mass, audience
from everyrung.effort.mix import Spread, mix_names, read_mix
from everyrung.effort.people_strength import motions, person_log_sds
from everyrung.tables.anthropometry import measure
from everyrung.terms.errors import Faults, Invalid
from everyrung.terms.person import Experience, Sex

RAW = Path(__file__).parents[3] / "shared" / "published" / "ansur2"


def together(mix: str, count: int, seed: int = 1, in_room: float = 0.5) -> dict[str, np.ndarray]:
    blocks = list(audience(read_mix(mix), count, seed, in_room))
    names = ("male", "age", "stature_m", "mass_kg", "level", "strength", "endurance", "kit", "limits", "medicine")
    return {name: np.concatenate([getattr(one, name) for one in blocks]) for name in names}


def test_the_same_seed_draws_the_same_people_and_another_one_others() -> None:
    one, again, other = together("boathouse", 1500), together("boathouse", 1500), together("boathouse", 1500, seed=2)
    assert all((one[name] == again[name]).all() for name in one)
    assert (one["stature_m"] != other["stature_m"]).mean() > 0.99


def test_the_first_people_are_the_same_however_many_there_are() -> None:
    few, many = together("boathouse", 700), together("boathouse", 3200)
    assert all((few[name] == many[name][:700]).all() for name in few)


@pytest.mark.parametrize("name", mix_names())
def test_every_mix_can_be_read_and_draws_adults_within_its_spreads(name: str) -> None:
    mix, people = read_mix(name), together(name, 2000)
    assert people["age"].min() >= min(group.age.low for group in mix.groups)
    assert people["age"].max() <= max(group.age.high for group in mix.groups)
    assert (people["mass_kg"] / people["stature_m"] ** 2).max() <= 50
    women = sum(group.share * group.women for group in mix.groups)
    assert 1 - people["male"].mean() == pytest.approx(women, abs=3 * np.sqrt(women * (1 - women) / 2000))


@pytest.mark.parametrize(("sex", "correlation"), [(Sex.FEMALE, 0.533), (Sex.MALE, 0.469)])
def test_the_survey_s_people_come_out_as_measured(sex: Sex, correlation: float) -> None:
    # Gordon 2014, ANSUR II (V), by this project's own table of it: means, spreads, correlation of mass and stature
    people = together("survey", 50_000, seed=3)
    chosen = people["male"] == (sex is Sex.MALE)
    stature, mass, count = people["stature_m"][chosen], people["mass_kg"][chosen], chosen.sum()
    for values, name in ((stature, "stature"), (mass, "mass")):
        found = measure(sex, name)
        assert values.mean() == pytest.approx(found.mean, abs=3 * found.sd / np.sqrt(count))
        assert values.std() == pytest.approx(found.sd, rel=0.03)
    assert np.corrcoef(stature, mass)[0, 1] == pytest.approx(correlation, abs=0.015)


@pytest.mark.skipif(not RAW.exists(), reason="the survey's raw files lie beside the project, not in it")
@pytest.mark.parametrize("sex", list(Sex))
def test_statures_are_spread_as_in_the_survey_s_raw_file(sex: Sex) -> None:
    import csv

    with (RAW / f"ansur2_{sex}.csv").open(encoding="latin-1") as file:
        raw = np.array([float(row["stature"]) / 1000 for row in csv.DictReader(file)])
    people = together("survey", 50_000, seed=4)
    drawn = people["stature_m"][people["male"] == (sex is Sex.MALE)]
    for part in (5, 25, 50, 75, 95):
        assert np.percentile(drawn, part) == pytest.approx(np.percentile(raw, part), abs=0.006)


def test_strength_and_endurance_scatter_as_the_tables_say() -> None:
    people = together("survey", 30_000, seed=5)
    young = people["age"] < 25.5
    logs = np.log(people["strength"][young])
    assert logs.std(axis=0) == pytest.approx(person_log_sds(), rel=0.05)
    hip, other_way, knee = (logs[:, motions().index(name)] for name in ("hip_extension", "hip_flexion", "knee_flexion"))
    assert np.corrcoef(hip, other_way)[0, 1] == pytest.approx(0.65, abs=0.03)
    assert np.corrcoef(hip, knee)[0, 1] == pytest.approx(0.45, abs=0.03)
    assert np.log(people["endurance"]).std() == pytest.approx(0.32, rel=0.03)


def test_a_wider_scatter_draws_the_same_people_wider() -> None:
    mix = read_mix("boathouse")
    usual, wide = (next(audience(mix, 500, 1, 0.5, width)) for width in (1.0, 1.5))
    assert isinstance(usual, People)
    assert (usual.age == wide.age).all()
    assert np.log(wide.strength).std() > np.log(usual.strength).std()


def test_shares_of_rooms_kits_levels_limits_and_medicine_are_the_mix_s() -> None:
    people = together("boathouse", 20_000, in_room=0.6)
    assert (people["kit"] == 0).mean() == pytest.approx(0.6, abs=0.015)
    new = 0.65 * 0.1 + 0.35 * 0.5
    assert (people["level"] == LEVELS.index(Experience.NEW)).mean() == pytest.approx(new, abs=0.012)
    knee = people["limits"][:, [str(each) for each in CAUTIONS].index("deep knee bend")]
    assert knee.mean() == pytest.approx(0.10, abs=0.01)
    assert people["medicine"].mean() == pytest.approx(0.06, abs=0.01)


def test_who_is_drawn_outside_a_spread_is_folded_back_as_far_inside_its_end() -> None:
    ages = Spread(mean=30.0, sd=10.0, low=20.0, high=45.0)
    drawn = _cut(ages, np.array([-3.0, -1.5, -0.5, 1.0, 2.0]))  # by hand: 0, 15, 25, 40 and 50 years
    assert drawn == pytest.approx([40.0, 25.0, 25.0, 40.0, 40.0])
    assert set(_cut(ages, np.array([-9.0, 9.0]))) <= {20.0, 45.0}  # who would leave by the other end stays at an end


def test_a_mass_by_the_survey_s_line_stays_within_the_body_mass_indices_that_a_mix_may_name() -> None:
    (group,) = read_mix("survey").groups
    stature, male = np.array([1.5, 1.5, 1.8, 1.8]), np.array([False, False, True, True])
    mass = _mass(group, male, stature, np.array([-20.0, 20.0, -20.0, 20.0]))  # far beyond anyone who was measured
    assert mass / (stature * stature) == pytest.approx([15.0, 50.0, 15.0, 50.0])


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (("share = 1.0", "share = 0.9"), "add up to 1"),
        (("new = 0.35, regular = 0.5", "new = 1.0, regular = 0.85"), "add up to 1"),  # two wholes
        (("new = 0.35, regular = 0.5, strong = 0.15", "new = 0.0"), "add up to 1"),
        (("women = 0.7", "women = 1.7"), "from 0 to 1"),
        (("women = 0.7", "women = -0.1"), "from 0 to 1"),
        (("women = 0.7", "wimen = 0.7"), "women"),
        (('"2 x 3 kg"', '"2 x 3"'), "3 kg"),
        (('"2 x 3 kg"', "0"), "text in quotes"),
        (("mean = 43", "mean = 93"), "between low and high"),
        (('because = "from memory: about one adult in fifteen takes a beta-blocker"', ""), "because"),
        (('"overhead" = 0.06', '"overhed" = 0.06'), "overhead"),
    ],
)
def test_a_mix_that_makes_no_sense_is_a_fault_that_says_where(tmp_path, change: tuple[str, str], words: str) -> None:
    import everyrung.effort

    text = (Path(everyrung.effort.__file__).parent / "mixes" / "open-class.toml").read_text(encoding="utf-8")
    assert change[0] in text
    path = tmp_path / "mine.toml"
    path.write_text(text.replace(*change, 1), encoding="utf-8")
    with pytest.raises(Faults) as caught:
        read_mix(str(path))
    assert words in str(caught.value)
    assert "mine.toml" in str(caught.value)


def test_an_unknown_mix_is_refused_with_the_nearest_name() -> None:
    with pytest.raises(Invalid) as caught:
        read_mix("boathous")
    assert caught.value.nearest == "boathouse"
