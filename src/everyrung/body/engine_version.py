"""What a demand rests on, as a digest: the code that computes it and the published numbers that it reads."""

from functools import cache
from importlib.resources import files
from pathlib import Path

from everyrung.store.digest import code_digest, digest, file_digest, versions

MODULES = (
    "antagonists", "bodies", "configuration", "contacts", "coordinates", "demand", "energy", "ik_tasks",
    "inverse_dynamics", "inverse_kinematics", "joint_strength", "landmarks", "least_effort", "machine_code", "masses",
    "model", "muscle_pull", "muscles", "pose_problem", "pose_search", "pose_vocabulary", "posture",
    "rung_demand", "rung_load", "self_checks", "skeleton", "static_optimization", "trajectory", "upstream_model",
)  # fmt: skip
DRAWING_MODULES, DRAWING_TERMS = ("figure_points", "rung_motion"), ("figure",)
TABLES = (
    "body_proportions", "compendium", "joint_ends", "joint_range", "joint_strength", "metabolic", "muscle_groups",
    "muscle_length", "segment_masses",
)  # fmt: skip
TERMS = ("demand", "person", "pose", "units")  # what else a demand is asked with comes with each question
LIBRARIES = ("mujoco", "musclemimic-models", "numba", "numpy", "scipy")


@cache
def engine_digest() -> str:
    """What every demand rests on; the same on every machine, whatever libraries are installed."""
    tables = [file_digest(Path(str(files("everyrung.tables") / f"{name}.csv"))) for name in TABLES]
    modules = [f"everyrung.body.{name}" for name in MODULES] + [f"everyrung.terms.{name}" for name in TERMS]
    return digest(code_digest(*modules, "everyrung.tables.anthropometry", "everyrung.tables.strength"), tables)


@cache
def answer_digest() -> str:
    """What a demand or a drawing computed here rests on: with the code that draws, and the libraries that are
    installed.
    """
    return digest(
        engine_digest(),
        code_digest(
            *(f"everyrung.body.{name}" for name in DRAWING_MODULES),
            *(f"everyrung.terms.{name}" for name in DRAWING_TERMS),
        ),
        versions(*LIBRARIES),
    )
