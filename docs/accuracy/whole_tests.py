"""Whole tests of ordinary people, body model, fatigue and people at once: conditions, counts and what is foretold.

Flags: V seen in the source, V2 seen second-hand, M from memory (M+ sure), D derived, P practice, C chosen.
Bodies that were not computed before start processes, which read a script anew: a script that asks needs a guard.
"""

from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from endurance_studies import FEMALE, model_hold, ordinary
from numpy.typing import NDArray

from everyrung.body.bodies import body_model
from everyrung.body.configuration import Configuration, freedom, upright
from everyrung.body.demand_table import demand_arrays
from everyrung.body.inverse_dynamics import inverse_dynamics
from everyrung.body.mechanics import Job, demands, in_job_order
from everyrung.body.reference_grid import reference_grid
from everyrung.body.rung_load import node_loads
from everyrung.effort.audience import People, audience
from everyrung.effort.choices import BodyDemands, Offer
from everyrung.effort.mix import read_mix
from everyrung.effort.people_strength import age_factors, field_factors, joint_count, motions, scatter
from everyrung.effort.perform_set import Outcome, perform_set, person_parameters
from everyrung.effort.rates import Rates, constant, rates
from everyrung.effort.set_load import SetLoad, session_motions, set_load
from everyrung.effort.three_compartment import PARTS
from everyrung.moves.library import standard_library
from everyrung.tables.anthropometry import measure
from everyrung.terms.enums import Side, Sidedness
from everyrung.terms.person import Sex
from everyrung.terms.session import Bout
from everyrung.terms.units import Tempo

SEED, PEOPLE = 3, 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldTest:
    """A test of the whole chain: a rung, its tempo (None: held), and published middles by sex and age."""

    key: str
    said: str
    rung: str
    tempo: Tempo | None
    published: dict[tuple[Sex, int], float]
    unit: str = "reps"
    steadied: bool = False  # fingertips on a wall spare the standing hip what would tip the body sideways


SECOND_EACH = Tempo(lower_ms=1000, bottom_ms=0, rise_ms=1000, top_ms=0)
AGES, DERIVED_AT = (25, 35, 45, 55, 65), 45
DERIVED = ("heel rise", "push-up", "push-up from the knees")  # the field factors come from these, at DERIVED_AT
MET_WITHIN, FALL_WITHIN = (0.6, 1.6), 0.1  # the first of the published middle, set before looking


def _by_age(sex: Sex, *values: float) -> dict[tuple[Sex, int], float]:
    return {(sex, age): value for age, value in zip(AGES, values, strict=False)}


FIELD_TESTS = (
    FieldTest(
        key="heel rise",
        said="Hébert-Losier 2017, one foot, fingertips on a wall, on a slope of 10 degrees (here level), by age (V2)",
        rung="calf-raise/one-foot",
        tempo=SECOND_EACH,
        published=_by_age(Sex.MALE, 37, 33, 28, 24, 19) | _by_age(Sex.FEMALE, 30, 27, 24, 21, 19),
        steadied=True,
    ),
    FieldTest(
        key="push-up",
        said="Golding 1986, men, middle of the average band (V2)",
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
        said="Strand 2014, students of 20 years, mean; men 124 +- 72 s, women 83 +- 63 s (V)",
        rung="front-plank/base",
        tempo=None,
        published={(Sex.MALE, 20): 124, (Sex.FEMALE, 20): 83},
        unit="s",
    ),
    FieldTest(
        key="side plank",
        said="28 young women, 68 and 70 +- 23 s, J Sport Rehabil 12(3):199 (V); men about 95 s, McGill 1999 (M)",
        rung="side-plank/base",
        tempo=None,
        published={(Sex.MALE, 25): 95, (Sex.FEMALE, 25): 69},
        unit="s",
    ),
)
CHAIR = "chair-stand/base"  # 30-s chair stand, 25th percentiles at 65 to 69 years (Rikli and Jones 1999; V2, M+)
CHAIR_LEAST = {Sex.MALE: 12, Sex.FEMALE: 11}
SORENSEN_S, SORENSEN_SD = 158, 45  # 28 young women, J Sport Rehabil 12(3):199 (V)


@cache
def _on_bodies(rung: str, tempo: Tempo | None) -> tuple[Offer, BodyDemands]:
    found = standard_library().rung(*rung.split("/"))
    form = replace(found.form, tempo=tempo) if tempo else found.form
    side = Side.BOTH if form.sides is Sidedness.BOTH else Side.RIGHT
    bout = Bout(
        side=side, reps=1 if tempo else 0, duration_ms=form.rep_ms or 1000, tempo=form.tempo, rep_ms=form.rep_ms,
        load=None, load_side=None,
    )  # fmt: skip
    offer = Offer(
        kind=None, name=found.name, entry_test="", form=form, bouts=(bout,), kit=frozenset(), cautions=frozenset(),
        grade=1,
    )  # fmt: skip
    jobs = [Job(form=form, layer=standard_library().pose(form), size=body) for body in reference_grid()]
    return offer, BodyDemands(loads_kg=(0.0,), arrays=demand_arrays([in_job_order(demands(jobs))]))


@cache
def people_of(sex: Sex, age: float, bmi: float = 24.0) -> People:
    """Untrained people of one sex and age, survey statures, the usual scatter."""
    rng, male = np.random.default_rng(SEED), np.full(PEOPLE, sex is Sex.MALE)
    stature = measure(sex, "stature")
    stature_m = stature.mean + stature.sd * rng.standard_normal(PEOPLE)
    drawn = rng.standard_normal(PEOPLE), rng.standard_normal((PEOPLE, len(motions())))
    joint = np.random.default_rng([SEED, 1]).standard_normal((PEOPLE, joint_count()))  # apart, so the others stay
    spread = scatter(drawn[0], joint, drawn[1])
    ages = np.full(PEOPLE, float(age))
    return People(
        male=male, age=ages, stature_m=stature_m, mass_kg=bmi * stature_m**2, level=np.zeros(PEOPLE, dtype=np.int64),
        strength=age_factors(male, ages) * spread * field_factors(),
        endurance=np.exp(constant("people", "all", "endurance_log_sd") * rng.standard_normal(PEOPLE)),
        kit=np.zeros(PEOPLE, dtype=np.int64), limits=np.zeros((PEOPLE, 7), dtype=bool),
        medicine=np.zeros(PEOPLE, dtype=bool), spot=np.arange(PEOPLE), kits=(None,),
    )  # fmt: skip


STEADIED = ("hip_abduction", "hip_adduction", "hip_rotation", "trunk_bend", "foot")
SPARED = 10.0  # times as strong; chosen, so that a steadied joint stops nobody


def spared() -> NDArray[np.float64]:
    """What a hand on the wall spares, as factors on strength (axis: motion)."""
    return np.array([SPARED if name.startswith(STEADIED) else 1.0 for name in motions()])


@cache
def set_of(rung: str, tempo: Tempo | None) -> tuple[SetLoad, tuple[str, ...], Rates]:
    """What one set of the rung asks, the names of the motions, and their rates."""
    offer, bodies = _on_bodies(rung, tempo)
    names = session_motions([bodies])
    known = rates(names)
    return set_load(offer, offer.bouts[0], bodies, names, known), names, known


@cache
def done(
    rung: str, tempo: Tempo | None, sex: Sex, age: float, *, steadied: bool = False
) -> tuple[Outcome, tuple[str, ...]]:
    """1,000 such people at the rung, fresh, and the names of the motions."""
    asked, names, known = set_of(rung, tempo)
    people = people_of(sex, age)
    if steadied:
        people = replace(people, strength=people.strength * spared())
    who = person_parameters(people, names)
    return perform_set(who, np.zeros((PEOPLE, len(names), PARTS)), asked, np.zeros(PEOPLE), known), names


def capacity(
    rung: str, tempo: Tempo | None, sex: Sex, age: float, part: float = 50.0, *, steadied: bool = False
) -> float:
    """The repetitions (seconds) that so many per cent of such people can't go beyond, fresh."""
    return float(np.percentile(done(rung, tempo, sex, age, steadied=steadied)[0].possible, part))


def stopped_by(rung: str, tempo: Tempo | None, sex: Sex, age: float, *, steadied: bool = False) -> tuple[str, float]:
    """What gives out first most often, without its side, and in which part of the people."""
    outcome, names = done(rung, tempo, sex, age, steadied=steadied)
    said = [name.removesuffix("_left").removesuffix("_right").replace("_", " ") for name in names]
    each, counts = np.unique([said[place] for place in outcome.limiting], return_counts=True)
    return str(each[counts.argmax()]), float(counts.max() / PEOPLE)


HINGE, HINGES, TENS_KG = "hip-hinge/pair", 8, 2 * 10 * 0.45359237  # two dumbbells of 10 lb


@cache
def hinges_finished() -> float:
    """The part of the boathouse's crowd that finishes eight hinges with two dumbbells of 10 lb, fresh."""
    library, form = standard_library(), standard_library().rung(*HINGE.split("/")).form
    loads = node_loads(form, form.amount)
    rows = [
        [Job(form=form, layer=library.pose(form), size=one, load=load) for one in reference_grid()] for load in loads
    ]
    arrays = demand_arrays([in_job_order(demands(row)) for row in rows])
    bodies = BodyDemands(loads_kg=tuple(row[0].held_kg for row in rows), arrays=arrays)
    bout = Bout(
        side=Side.BOTH, reps=HINGES, duration_ms=HINGES * (form.rep_ms or 0), tempo=form.tempo, rep_ms=form.rep_ms,
        load=None, load_side=None,
    )  # fmt: skip
    offer = replace(_on_bodies("squat/base", None)[0], form=form, bouts=(bout,))
    names = session_motions([bodies])
    task, crowd = (
        set_load(offer, bout, bodies, names, rates(names)),
        next(audience(read_mix("boathouse"), PEOPLE, 1, 0.5)),
    )
    who = person_parameters(crowd, names)
    outcome = perform_set(who, np.zeros((PEOPLE, len(names), PARTS)), task, np.full(PEOPLE, TENS_KG), rates(names))
    return float(np.mean(outcome.possible >= HINGES))


def field_row(test: FieldTest, sex: Sex, age: int) -> tuple[float, float, bool]:
    """Published, computed, and whether it is within MET_WITHIN."""
    published = test.published[sex, age]
    computed = capacity(test.rung, test.tempo, sex, age, steadied=test.steadied)
    return published, computed, MET_WITHIN[0] <= computed / published <= MET_WITHIN[1]


def left_at_65(test: FieldTest, sex: Sex) -> tuple[float, float, bool]:
    """The part of a test's repetitions at 25 that is left at 65: published, computed, met."""
    published = test.published[sex, 65] / test.published[sex, 25]
    old, young = (capacity(test.rung, test.tempo, sex, age, steadied=test.steadied) for age in (65, 25))
    computed = old / young
    return published, computed, abs(computed - published) <= FALL_WITHIN


CROSSED = {"elbow_flexion": 130.0, "shoulder_flexion": 30.0}  # arms over the chest, degrees


@cache
def level_back_nm(sex: Sex) -> tuple[float, float, float]:
    """The trunk of an ordinary body held level, face down, legs and pelvis fixed, arms crossed, N m: the moment that
    forecasts are made from, which is the mean over the lumbar joints by their shares of the bend; that at the lowest of
    them; and the strength, which was measured about one axis near the lowest.
    """
    body = body_model(ordinary(sex))
    angles = {f"{name}_{side}": np.radians(angle) for name, angle in CROSSED.items() for side in ("left", "right")}
    q_ind = upright(**angles)
    q_ind[3:7] = [0.5**0.5, 0.5**0.5, 0.0, 0.0]
    here = Configuration(body, q_ind)
    lowest = body.mj_model.joint("flex_extension").dofadr[0]
    full = inverse_dynamics(here, [], None, [])
    strength = body.strengths.at(upright())[body.strengths.motions.index("trunk_extension")]
    return abs(float(here.gravity_load()[freedom("trunk_flexion")])), abs(float(full[lowest])), float(strength)


def sorensen_s(sex: Sex = FEMALE) -> float:
    """How long that is held; no field factor."""
    mean_nm, _, strength_nm = level_back_nm(sex)
    return model_hold("trunk", mean_nm / strength_nm)
