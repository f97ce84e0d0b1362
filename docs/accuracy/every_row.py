"""Every row on bodies of the tables of published checks, with what it comes to: python docs/accuracy/every_row.py

A row counts when the model foretells its number, order or sign; of a row with several parts all have to be met. Not
counted, each with its reason: rows that the model's own tables are copied from, definitions, and what is beyond it.
docs/accuracy-rows.md has the table; tests/published/test_rows_page.py holds it. Bodies that were not computed before
start processes: hence the guard below.
"""

import os

os.environ.setdefault("OMP_NUM_THREADS", "1")

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import endurance_studies
import energy_studies
import fit_fatigue
import push_studies
import rating_studies
import studies
import two_choices
from endurance_studies import STRENGTH, Band, age_part, model_hold, ordinary
from set_studies import SET_STUDIES, used_now
from whole_tests import CHAIR, SECOND_EACH, capacity, sorensen_s

from everyrung.body.configuration import upright
from everyrung.body.joint_strength import strengths
from everyrung.terms.person import Sex

MALE, FEMALE = Sex.MALE, Sex.FEMALE
SAME = studies.SAME
HALVES = two_choices.DECIDES | energy_studies.DECIDES | fit_fatigue.DECIDES
STOOD = {MALE: 14, FEMALE: 12}  # CN28: the least of the middle half of people of 60 to 64 years, in 30 s
TWO_ERRORS = 1.35  # exp(2 x 0.15): two errors of a joint's age factor, as the bands of NU24 have

COPIED = "the model's own tables are copied from it"
DEFINED = "a definition or an identity, which the model uses"
NOT_COUNTED = {
    **dict.fromkeys(("AN01", "AN02", "AN03", "AN04", "AN05", "AN06", "AN07"), COPIED),
    **dict.fromkeys(("ST01", "ST02", "ST03", "NU11", "NU12", "NU13", "NU14", "NU15", "NU19"), COPIED),
    **dict.fromkeys(("NU21", "NU22", "NU23", "NU27", "FA04", "FA05"), COPIED),
    **dict.fromkeys(("FA06", "FA07", "EN06", "HR01", "HR02", "HR03", "HR04", "HR05", "HR06"), DEFINED),
    **studies.NOT_EXPRESSIBLE,
    **push_studies.BEYOND,
    "FA03": "the 63 studies behind it are not at hand",
    "NU20": "about athletes of one sport against others, whom the model does not tell apart",
    "NU47": "what people say of repetitions left; forecasts are of what is left",
    "NU55": "how far people dare to reach; there is no sway in the model",
    "NU56": "how long people keep their balance; there is no sway in the model",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class RowFound:
    """What a row comes to."""

    key: str
    said: str
    model: str
    met: bool

    @property
    def half(self) -> str:
        """Of topics that something was fitted to: the half that the row is in."""
        return {True: "deciding", False: "held back", None: "nothing was fitted"}[HALVES.get(self.key)]


def of_studies() -> Iterator[RowFound]:
    for one in two_choices.EVERY:
        if one.key in two_choices.DECIDES:
            found = one.ask()
            yield RowFound(key=one.key, said=one.published, model=found.numbers, met=found.met)


def of_energy() -> Iterator[RowFound]:
    for row in energy_studies.ROWS:
        model = " > ".join(f"{value:.2f}" for value in row.ask())
        wanted = "" if row.published is None else f": {row.published:.2f}"
        yield RowFound(key=row.key, said=f"{row.said}{wanted}", model=f"{model} {row.unit}", met=row.met())


def of_sets() -> Iterator[RowFound]:
    for key in ("NU36", "NU37", "NU39", "NU45"):
        parts = [one for one in SET_STUDIES if one.key == key]
        found = [one.ask(used_now()) for one in parts]
        yield RowFound(
            key=key,
            said=f"{parts[0].said}: {' and '.join(f'{one.published:g}' for one in parts)}",
            model=" and ".join(f"{value:.2f}" for value in found),
            met=all(one.met(used_now()) for one in parts),
        )


def of_bands() -> Iterator[RowFound]:
    for key in ("ST04", "ST05", "ST07", "ST08", "ST09", "NU24"):
        bands: list[Band] = [one for one in STRENGTH if key in one.published]
        yield RowFound(
            key=key,
            said="; ".join(f"{one.key}: {one.low:.2f} to {one.high:.2f}" for one in bands),
            model=" and ".join(f"{one.compute():.2f}" for one in bands),
            met=all(one.met for one in bands),
        )


def knee_by_angle() -> RowFound:
    man = strengths(ordinary(MALE))
    place = man.motions.index("knee_extension_right")
    middle, flexed, extended = (
        float(man.at(upright(knee_flexion_right=angle))[place]) for angle in (1.134, 1.658, 0.349)
    )
    said = "Sarabon 2021: men's knees hardest at mid-range (65), then flexed (95), then extended (20 degrees)"
    numbers = f"{middle:.0f} > {flexed:.0f} > {extended:.0f} N m"
    return RowFound(key="ST06", said=said, model=numbers, met=middle > flexed > extended)


def old_calves() -> RowFound:
    said = "Anderson 2007: calves over 65 of young, men 1.12, women 1.20, within two errors"
    left = {sex: age_part(sex, 72, "ankle_plantarflexion") for sex in Sex}
    met = all(wanted / TWO_ERRORS <= left[sex] <= wanted * TWO_ERRORS for sex, wanted in ((MALE, 1.12), (FEMALE, 1.20)))
    return RowFound(key="NU25", said=said, model=f"{left[MALE]:.2f} and {left[FEMALE]:.2f}", met=met)


def womens_knees() -> RowFound:
    """By weight and stature, as the study has it."""
    per_size = []
    for sex in (FEMALE, MALE):
        size = ordinary(sex)
        one = strengths(size)
        per_size.append(
            float(one.greatest_nm[one.motions.index("knee_extension_right")]) / (size.mass_kg * size.stature_m)
        )
    ratio = per_size[0] / per_size[1]
    said = "Anderson 2007: women's knees of men's by weight x stature 0.975, within a tenth"
    return RowFound(key="NU26", said=said, model=f"{ratio:.2f}", met=abs(ratio - 0.975) <= SAME)


def holds_by_sex() -> Iterator[RowFound]:
    side = {sex: capacity("side-plank/base", None, sex, 25) for sex in Sex}
    back = {sex: sorensen_s(sex) for sex in Sex}
    ratio = side[MALE] / back[MALE]
    yield RowFound(
        key="NU16",
        said="McGill 1999: men's side bridge over back extensors 0.65 (0.45 to 0.85)",
        model=f"{side[MALE]:.0f} of {back[MALE]:.0f} s: {ratio:.2f}",
        met=0.45 <= ratio <= 0.85,
    )
    longer = {name: each[FEMALE] > each[MALE] * (1 + SAME) for name, each in (("back", back), ("side", side))}
    yield RowFound(
        key="NU18",
        said="McGill 1999: women hold the back longer than men, the side bridge not (longer: by more than a tenth)",
        model=f"back {back[FEMALE]:.0f} and {back[MALE]:.0f} s, side {side[FEMALE]:.0f} and {side[MALE]:.0f} s",
        met=longer["back"] and not longer["side"],
    )


def chair_stand() -> RowFound:
    found = {sex: capacity(CHAIR, SECOND_EACH, sex, 62, 25.0) for sex in Sex}
    return RowFound(
        key="CN28",
        said="Rikli and Jones 1999: three in four of 60 to 64 years do 14 (men), 12 (women) or more in 30 s",
        model=f"{found[MALE]:.0f} and {found[FEMALE]:.0f} before they must stop",
        met=all(found[sex] >= STOOD[sex] for sex in Sex),
    )


def of_fatigue() -> Iterator[RowFound]:
    at_half = {joint: model_hold(joint, 0.5) for joint in fit_fatigue.POWER}
    order = "ankle", "trunk", "grip", "elbow", "knee", "shoulder"
    times = [at_half[joint] for joint in order]
    yield RowFound(
        key="FA01",
        said=f"Frey-Law and Avin 2010: holds last longest in {', '.join(order)}",
        model=", ".join(f"{seconds:.0f}" for seconds in times) + " s",
        met=times == sorted(times, reverse=True),
    )
    r = {rest_s: endurance_studies.looft_r(rest_s) for rest_s in endurance_studies.LOOFT_RESTS_S}
    yield RowFound(
        key="FA02",
        said="Looft 2020: recovery at rest is 15 times that under load",
        model=f"{max(r.values()):.0f} to {min(r.values()):.0f} in rests of {min(r)} to {max(r)} s",
        met=all(abs(value / 15 - 1) <= SAME for value in r.values()),
    )
    same = "the same by its making: one number for both"
    yield RowFound(key="NU40", said="Day 2023: as many curls at 80 % in women as in men", model=same, met=True)
    yield RowFound(key="NU42", said="Ferrari 2017: as many in trained, in four upper-body lifts", model=same, met=True)
    yield RowFound(key="NU43", said="Monteiro 2019: women tire more over four sets of 10RM", model=same, met=False)
    more, less = (rating_studies.mean_rating(sets) for name, each in rating_studies.RANKS.items()
                  if "NU46" in name for sets in each)  # fmt: skip
    yield RowFound(
        key="NU46",
        said="Testa 2012: a rating follows the part of the possible repetitions, not the load",
        model=f"{more:.1f} > {less:.1f}",
        met=more > less,
    )


ASK: tuple[Callable[[], Iterator[RowFound] | RowFound], ...] = (
    of_studies, of_bands, knee_by_angle, old_calves, womens_knees, holds_by_sex, chair_stand, of_fatigue, of_sets,
    of_energy,
)  # fmt: skip


def listed(ask: Callable[[], Iterator[RowFound] | RowFound]) -> list[RowFound]:
    """The rows that one of ASK gives."""
    found = ask()
    return [found] if isinstance(found, RowFound) else list(found)


def every_row() -> list[RowFound]:
    """All rows that count."""
    return [row for ask in ASK for row in listed(ask)]


def line(row: RowFound) -> str:
    return f"| {row.key} | {row.said} | {row.model} | {row.half} | {'yes' if row.met else '**no**'} |"


def sentence(rows: list[RowFound]) -> str:
    """How many are met, in all and by halves."""
    by_half = []
    for half, said in (
        ("deciding", "that decided"),
        ("held back", "held back"),
        ("nothing was fitted", "without a fit"),
    ):
        mine = [row for row in rows if row.half == half]
        by_half.append(f"{sum(row.met for row in mine)} of {len(mine)} {said}")
    met = sum(row.met for row in rows)
    return f"{met} of {len(rows)} rows are met ({met / len(rows):.0%}): {', '.join(by_half)}."


def main() -> None:
    rows = every_row()
    print(sentence(rows), "\n\n| row | published | model | half | met |\n|---|---|---|---|---|", sep="")
    print("\n".join(map(line, rows)))
    print("\n| not counted | why |\n|---|---|")
    print("\n".join(f"| {key} | {why} |" for key, why in sorted(NOT_COUNTED.items())))


if __name__ == "__main__":
    main()
