"""What the body model is worth, printed as the tables of docs/accuracy-body.md: python docs/accuracy/body_model.py"""

import os
import time

os.environ.setdefault("OMP_NUM_THREADS", "1")

import numpy as np

from everyrung.body.bodies import body_model, factors, pulls
from everyrung.body.configuration import Configuration, freedom, upright
from everyrung.body.coordinates import coordinate_names
from everyrung.body.model import bare_body
from everyrung.body.reference_grid import reference_grid
from everyrung.terms.person import BodySize, Sex

POSES = {
    "stand": {},
    "hinge, hips 90": {"hip_flexion": 90, "knee_flexion": 15},
    "deep squat": {"hip_flexion": 115, "knee_flexion": 125, "ankle_dorsiflexion": 30},
    "straight leg raised 80": {"hip_flexion": 80},
    "kneeling lunge, back leg": {"hip_flexion": -10, "knee_flexion": 90, "toe_extension": 50},
    "trunk bent 60": {"trunk_flexion": 60},
}
REPORTED = ("trunk_flexion", "hip_flexion_left", "knee_flexion_left", "ankle_dorsiflexion_left", "toe_extension_left")


def pose(angles: dict[str, float]) -> np.ndarray:
    sided = {
        name: np.radians(value)
        for name in coordinate_names()
        for base, value in angles.items()
        if name.removesuffix("_left").removesuffix("_right") == base
    }
    return upright(**sided)


def milliseconds(ask: object, times: int = 200) -> float:
    start = time.perf_counter()
    for _ in range(times):
        ask()  # type: ignore[operator]
    return (time.perf_counter() - start) / times * 1000


def speed(size: BodySize) -> None:
    first = milliseconds(lambda: body_model(size), 1)
    sizes = [BodySize(sex=Sex.MALE, stature_m=1.7 + k / 1000, mass_kg=70.0) for k in range(5)]
    later = [milliseconds(lambda one=one: body_model(one), 1) for one in sizes]
    configuration, q_ind = Configuration(body_model(size)), pose(POSES["deep squat"])
    print(f"| build, first in a process | {first:.0f} ms |\n| build, each further body | {np.median(later):.0f} ms |")
    asks = {
        "take a pose (kinematics)": lambda: configuration.set_q(q_ind),
        "gravity load": configuration.gravity_load,
        "a point's Jacobian": lambda: configuration.point_jacobian("grip_left"),
        "centre of mass and its Jacobian": configuration.centre_of_mass_jacobian,
        "moment arms of 266 muscles": configuration.moment_arms,
        "passive load": configuration.passive_load,
    }
    for name, ask in asks.items():
        print(f"| {name} | {milliseconds(ask):.3f} ms |")


def fit(size: BodySize) -> None:
    found = pulls(bare_body(size))
    factor = factors(found.moments_nm, found.measured_nm)
    print("\n| group | force, times the upstream model's |\n|---|---|")
    for group, value in zip(found.groups, factor, strict=True):
        print(f"| {group} | {value:.2f} |")
    print("\n| motion | table, N m | wheel's muscles | fitted | off |\n|---|---|---|---|---|")
    for motion, row, wanted in zip(found.motions, found.moments_nm, found.measured_nm, strict=True):
        if not motion.endswith("_left") or motion.startswith("trunk"):
            after = row @ factor
            print(f"| {motion} | {wanted:.0f} | {row.sum():.0f} | {after:.0f} | {after / wanted - 1:+.0%} |")


def passive(size: BodySize) -> None:
    configuration = Configuration(body_model(size))
    print("\n| pose | " + " | ".join(REPORTED) + " |\n|---|" + "---|" * len(REPORTED))
    for name, angles in POSES.items():
        configuration.set_q(pose(angles))
        load = configuration.passive_load()
        print(f"| {name} | " + " | ".join(f"{load[freedom(one)]:.1f}" for one in REPORTED) + " |")


def grid() -> None:
    print("\n| body | trunk | pelvis | thigh | shank | foot | centre of mass, % of stature |")
    print("|---|---|---|---|---|---|---|")
    for size in reference_grid():
        body = body_model(size)
        configuration, by = Configuration(body), body.scales
        height = (configuration.centre_of_mass() - configuration.point("heel_left"))[2] / size.stature_m
        scale = " | ".join(f"{getattr(by, part):.2f}" for part in ("trunk", "pelvis", "thigh", "shank", "foot"))
        print(f"| {size} | {scale} | {height:.1%} |")


if __name__ == "__main__":
    man = BodySize(sex=Sex.MALE, stature_m=1.756, mass_kg=74.0)
    speed(man)
    fit(man)
    passive(man)
    grid()
