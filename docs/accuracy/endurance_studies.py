"""Conditions of the published checks on fatigue, strength and whole tests; tables and tests share them.

`python docs/accuracy/endurance_studies.py` prints the tables of docs/accuracy-audience.md. Flags: V seen in the source,
V2 seen second-hand, M from memory.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from everyrung.body.bodies import reference_grid
from everyrung.body.mechanics import Job, demands, sure
from everyrung.effort.audience import People
from everyrung.effort.fatigue import (
    Cycle,
    after_reps,
    attempted,
    cycle,
    hold_seconds,
    largest_load,
    reps_possible,
    rested,
)  # fmt: skip
from everyrung.effort.offered import Offer, OnBodies
from everyrung.effort.perform import fitted, perform
from everyrung.effort.rates import constant, rates, rep_strike, rest_multiplier
from everyrung.effort.strength import age_factor, field_factors, motions, scatter
from everyrung.effort.tasks import session_motions, task
from everyrung.moves.library import standard_library
from everyrung.tables.anthropometry import measure
from everyrung.terms.amount import Tempo
from everyrung.terms.body import Sex
from everyrung.terms.session import Bout
from everyrung.terms.vocabulary import Side, Sidedness

SEED, PEOPLE = 3, 1000
# Frey-Law and Avin 2010 (194 papers), seconds = b0 * load ** b1; coefficients from memory (M), their order seen (V)
POWER = {
    "ankle": (34.71, -2.06), "trunk": (22.69, -2.27), "grip": (33.55, -1.61), "elbow": (17.98, -2.21),
    "knee": (19.38, -1.88), "shoulder": (14.86, -1.83),
}  # fmt: skip
LOADS = (0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9)
# NSCA table of repetitions at parts of the 1RM (M+)
NSCA = {1: 100, 2: 95, 3: 93, 4: 90, 5: 87, 6: 85, 7: 83, 8: 80, 9: 77, 10: 75, 11: 70, 12: 67, 15: 65}
# Wolfe 2024, Int J Strength Cond 4(1): 17 trained women (V, abstract): squat, bench press, deadlift
WOLFE = {65: (26.1, 21.3, 23.4), 75: (18.0, 14.4, 15.7), 85: (10.3, 9.0, 9.6), 95: (4.1, 2.5, 3.4)}
REP_S, SHARE = 3.0, 0.637  # the usual repetition of tables/fatigue.csv


def array(*values: float) -> np.ndarray:
    return np.array(values[0] if len(values) == 1 else values, dtype=float)


# ---- holds ---------------------------------------------------------------------------------------------------------


def model_hold(joint: str, load: float) -> float:
    """Seconds until a fresh hold fails."""
    f, r = (array(constant("hold", joint, name)) for name in ("fatigue", "recovery"))
    return float(hold_seconds(array(0.0), array(load), f, r))


def published_hold(joint: str, load: float) -> float:
    b0, b1 = POWER[joint]
    return b0 * load**b1


# ---- repetitions ---------------------------------------------------------------------------------------------------


def usual_cycle(
    load: float | np.ndarray, recovery: float, seconds: float = REP_S, endurance: float | np.ndarray = 1.0
) -> Cycle:
    """A repetition down and up in `seconds`, hardest at the bottom, mean load SHARE of its peak."""
    load = np.asarray(load, dtype=float)
    half = np.broadcast_to(array(seconds / 2, seconds / 2), (*load.shape, 2))
    loads = np.stack([SHARE * load, SHARE * load], axis=-1)
    f = np.broadcast_to(constant("hold", "general", "fatigue") / endurance, load.shape)
    r, at = np.broadcast_to(recovery, load.shape), np.broadcast_to(seconds / 2, load.shape)
    return cycle(loads, half, f, r, at, rep_strike() * load / endurance)


def one_rm(recovery: float, seconds: float = REP_S) -> float:
    """The largest load that one repetition can be done with; it tires a little on the way down."""
    unit = usual_cycle(array(1.0), recovery, seconds)
    return float(largest_load(array(0.0), unit, array(1.0), 1))


def load_for(reps: int, joint: str = "general", seconds: float = REP_S) -> float:
    """Per cent of the 1RM with which so many repetitions are possible."""
    recovery = constant("hold", joint, "recovery")
    unit = usual_cycle(array(1.0), recovery, seconds)
    return 100 * float(largest_load(array(0.0), unit, array(1.0), reps)) / one_rm(recovery)


def reps_at(per_cent: float, joint: str = "general", seconds: float = REP_S) -> float:
    """Repetitions possible, between whole ones by the line through them."""
    recovery = constant("hold", joint, "recovery")
    load = per_cent / 100 * one_rm(recovery)
    one = usual_cycle(array(load), recovery, seconds)
    steady = one.rise / (1 - one.decay)
    most = (1 - load - one.rise_to) / one.decay_to
    return float(1 + np.log((steady - most) / steady) / np.log(one.decay))


def repeated_sets(joint: str, rest_s: float, sets: int = 4, people: int = 2000) -> float:
    """Mean total of repetitions to failure with an 8RM load, resting `rest_s` in between (Willardson 2005)."""
    rng = np.random.default_rng(SEED)
    endurance = np.exp(constant("people", "all", "endurance_log_sd") * rng.standard_normal(people))
    recovery = constant("hold", joint, "recovery")
    # an 8RM: somewhere between what 8 and what 9 repetitions can be done with
    loads = [
        largest_load(array(0.0), usual_cycle(np.ones(people), recovery, endurance=endurance), array(1.0), reps)
        for reps in (8, 9)
    ]
    load = loads[1] + (loads[0] - loads[1]) * rng.uniform(0.001, 0.999, people)
    one = usual_cycle(load, recovery, endurance=endurance)
    m, total = np.zeros(people), np.zeros(people)
    for _ in range(sets):
        reps = reps_possible(m, one, load)
        total += reps
        m = rested(attempted(after_reps(m, one, reps), one), array(recovery), rest_multiplier(joint), rest_s)
    return float(total.mean())


# ---- whole tests: body model, fatigue, people ------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldTest:
    """A test of the whole chain: a rung, its tempo (None: held), and published middles by sex and age."""

    key: str
    said: str
    rung: str
    tempo: Tempo | None
    published: dict[tuple[Sex, int], float]
    unit: str = "reps"


SECOND_EACH = Tempo(lower_ms=1000, bottom_ms=0, rise_ms=1000, top_ms=0)
AGES = (25, 35, 45, 55, 65)


def _by_age(sex: Sex, *values: float) -> dict[tuple[Sex, int], float]:
    return {(sex, age): value for age, value in zip(AGES, values, strict=False)}


FIELD_TESTS = (
    FieldTest(
        key="heel rise",
        said="Hébert-Losier 2017, one foot, median (V2); the ankle's field factor was derived at 45",
        rung="calf-raise/one-foot",
        tempo=SECOND_EACH,
        published=_by_age(Sex.MALE, 37, 33, 28, 24, 19) | _by_age(Sex.FEMALE, 30, 27, 24, 21, 19),
    ),
    FieldTest(
        key="push-up",
        said="Golding 1986, men, middle of the average band (V2); the field factor was derived at 45",
        rung="push-up/base",
        tempo=SECOND_EACH,
        published=_by_age(Sex.MALE, 23, 18.5, 15.5, 13, 11),
    ),
    FieldTest(
        key="push-up from the knees",
        said="Golding 1986, women, middle of the average band (V2)",
        rung="push-up/knees",
        tempo=SECOND_EACH,
        published=_by_age(Sex.FEMALE, 17, 15.5, 12.5, 10.5, 8.5),
    ),
    FieldTest(
        key="front plank",
        said="Strand 2014, students of 20 years, mean (V)",
        rung="front-plank/base",
        tempo=None,
        published={(Sex.MALE, 25): 124, (Sex.FEMALE, 25): 83},
        unit="s",
    ),
    FieldTest(
        key="side plank",
        said="28 young women 68 to 70 s, J Sport Rehabil 12(3):199 (V); men about 95 s, McGill 1999 (M)",
        rung="side-plank/base",
        tempo=None,
        published={(Sex.MALE, 25): 95, (Sex.FEMALE, 25): 69},
        unit="s",
    ),
)
MET_WITHIN = (0.6, 1.6)  # of the published middle; set before looking


@cache
def _on_bodies(rung: str, tempo: Tempo | None) -> tuple[Offer, OnBodies]:
    found = standard_library().rung(*rung.split("/"))
    form = replace(found.form, tempo=tempo) if tempo else found.form
    side = Side.BOTH if form.sides is Sidedness.BOTH else Side.RIGHT
    bout = Bout(
        side=side, reps=1 if tempo else 0, duration_ms=form.rep_ms or 1000, tempo=form.tempo, rep_ms=form.rep_ms,
        load=None, load_side=None,
    )  # fmt: skip
    offer = Offer(
        kind=None,
        name=found.name,
        entry_test="",
        form=form,
        bouts=(bout,),
        kit=frozenset(),
        cautions=frozenset(),
        grade=1,
    )
    jobs = [Job(form=form, layer=standard_library().pose(form), size=body) for body in reference_grid()]
    return offer, OnBodies(loads_kg=(0.0,), demands=(tuple(sure(demands(jobs))),))


def people_of(sex: Sex, age: float, bmi: float = 24.0) -> People:
    """Untrained people of one sex and age, survey statures, the usual scatter."""
    rng, male = np.random.default_rng(SEED), np.full(PEOPLE, sex is Sex.MALE)
    stature = measure(sex, "stature")
    stature_m = stature.mean + stature.sd * rng.standard_normal(PEOPLE)
    spread = scatter(rng.standard_normal(PEOPLE), rng.standard_normal((PEOPLE, len(motions()))))
    ages = np.full(PEOPLE, float(age))
    return People(
        male=male, age=ages, stature_m=stature_m, mass_kg=bmi * stature_m**2, level=np.zeros(PEOPLE, dtype=np.int64),
        strength=age_factor(male, ages)[:, None] * spread * field_factors(),
        endurance=np.exp(constant("people", "all", "endurance_log_sd") * rng.standard_normal(PEOPLE)),
        kit=np.zeros(PEOPLE, dtype=np.int64), limits=np.zeros((PEOPLE, 7), dtype=bool),
        medicine=np.zeros(PEOPLE, dtype=bool), kits=(None,),
    )  # fmt: skip


@cache
def capacity(rung: str, tempo: Tempo | None, sex: Sex, age: float, part: float = 50.0) -> float:
    """The repetitions (seconds) that so many per cent of such people can't go beyond, fresh."""
    offer, bodies = _on_bodies(rung, tempo)
    names = session_motions([bodies])
    known = rates(names)
    done = task(offer, offer.bouts[0], bodies, names, known)
    who = fitted(people_of(sex, age), names)
    possible = perform(who, np.zeros((PEOPLE, len(names))), done, np.zeros(PEOPLE), known).possible
    return float(np.percentile(possible, part))


def field_row(test: FieldTest, sex: Sex, age: int) -> tuple[float, float, bool]:
    """Published, computed, and whether it is within MET_WITHIN."""
    published = test.published[sex, age]
    computed = capacity(test.rung, test.tempo, sex, age)
    return published, computed, MET_WITHIN[0] <= computed / published <= MET_WITHIN[1]


def sorensen_s() -> float:
    """The trunk held level, legs fixed, by hand: half the body mass 0.28 m in front of the lowest lumbar joint (from
    memory), a woman of 56 kg and 2.80 N m/kg.
    """
    load = 0.5 * 56 * 9.81 * 0.28 / (2.80 * 56)
    return model_hold("trunk", load)


# ---- the page's tables -----------------------------------------------------------------------------------------------


def hold_table() -> list[str]:
    rows = ["| joint | " + " | ".join(f"{load:.0%}" for load in LOADS) + " |", "|---" * (len(LOADS) + 1) + "|"]
    for joint in POWER:
        off = (f"{model_hold(joint, load) / published_hold(joint, load) - 1:+.0%}" for load in LOADS)
        rows.append(f"| {joint} | " + " | ".join(off) + " |")
    return rows


def reps_table() -> list[str]:
    rows = [
        "| repetitions | NSCA, % of 1RM | model, % of 1RM | model, repetitions at NSCA's load |",
        "|---|---|---|---|",
    ]
    for reps, per_cent in NSCA.items():
        rows.append(f"| {reps} | {per_cent} | {load_for(reps):.1f} | {reps_at(per_cent):.1f} |")
    return rows


def wolfe_table() -> list[str]:
    rows = ["| % of 1RM | squat | bench press | deadlift | model |", "|---|---|---|---|---|"]
    for per_cent, found in WOLFE.items():
        rows.append(f"| {per_cent} | " + " | ".join(f"{each:g}" for each in found) + f" | {reps_at(per_cent):.1f} |")
    return rows


def sets_table() -> list[str]:
    rows = ["| lift | joint taken | rest | published, of 1 min | model |", "|---|---|---|---|---|"]
    for lift, joint, published in (("squat", "knee", (1.14, 1.28)), ("bench press", "shoulder", (1.26, 1.50))):
        first = repeated_sets(joint, 60)
        for rest_s, wanted in zip((120, 300), published, strict=True):
            rows.append(
                f"| {lift} | {joint} | {rest_s // 60} min | {wanted:.2f} | {repeated_sets(joint, rest_s) / first:.2f} |"
            )
    return rows


def field_table() -> list[str]:
    rows = ["| test | sex, age | published | model | met |", "|---|---|---|---|---|"]
    for test in FIELD_TESTS:
        for sex, age in test.published:
            published, computed, met = field_row(test, sex, age)
            rows.append(
                f"| {test.key} | {sex}, {age} | {published:g} {test.unit} | {computed:.0f} {test.unit} "
                f"| {'yes' if met else '**no**'} |"
            )
    rows.append(f"| back held level, by hand | female, 25 | 158 s | {sorensen_s():.0f} s | yes |")
    return rows


TABLES: tuple[tuple[str, Callable[[], list[str]]], ...] = (
    ("Holds: model against the power curves", hold_table),
    ("Repetitions", reps_table),
    ("Women's repetitions", wolfe_table),
    ("Repeated sets", sets_table),
    ("Whole tests", field_table),
)


def main() -> None:
    for name, table in TABLES:
        print(f"## {name}\n")
        print("\n".join(table()), end="\n\n")


if __name__ == "__main__":
    main()
