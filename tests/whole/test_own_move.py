"""A coach's own move with a pose that cannot be: a finding that names it, nothing hangs, nothing is lost."""

import shutil
from collections.abc import Callable
from importlib.resources import as_file, files
from pathlib import Path

import pytest

from everyrung.moves.library import Library
from everyrung.pipeline import Options, run
from everyrung.results.analysis import Analysis
from everyrung.store.cache import Cache
from everyrung.terms.errors import Faults

PLAN = """
title = "Own"
slot_minutes = 10
[who]
in_room = 4
[[block]]
kind = "main"
name = "Main"
  [[block.move]]
  move = "squat"
  dose = "8 reps"
"""
Spoilt = Callable[[str, str], Analysis]


@pytest.fixture
def spoilt(tmp_path: Path) -> Spoilt:
    """A run, on the bodies, of a plan whose one move has its pose changed."""

    def made(old: str, new: str) -> Analysis:
        folder = tmp_path / "library"
        with as_file(files("everyrung.moves") / "library") as moves:
            shutil.copytree(moves, folder)
        text = (folder / "squat.toml").read_text(encoding="utf-8")
        assert old in text
        (folder / "squat.toml").write_text(text.replace(old, new, 1), encoding="utf-8")
        (tmp_path / "plan.toml").write_text(PLAN, encoding="utf-8")
        options = Options(bodies=True, cache=Cache(tmp_path / "computed.sqlite"))
        return run(tmp_path / "plan.toml", library=Library(folder), options=options)

    return made


KNEES = "angles = { knee_flexion = [4, 100] }"


def test_a_contradictory_pose_is_a_finding_that_says_how_far_off(spoilt: Spoilt) -> None:
    done = spoilt(KNEES, "angles = { knee_flexion = [4, 100], hip_flexion = 0, ankle_dorsiflexion = -40 }")
    found = next(each for each in done.findings if each.rule == "pose-misfit")
    assert "12 of 12 bodies can't take the pose of 'Squat'" in found.measured
    assert "off by" in found.measured
    assert "squat" in found.place


def test_a_pose_with_an_unknown_name_is_a_finding_with_the_nearest_name(spoilt: Spoilt) -> None:
    done = spoilt(KNEES, "angles = { knee_flexoin = [4, 100] }")
    found = next(each for each in done.findings if each.rule == "not-posed")
    assert "knee_flexoin" in found.measured
    assert found.severity == "note", "a pose is no reason to forbid a session"


def test_a_pose_that_is_no_pose_is_a_fault_of_the_file(spoilt: Spoilt) -> None:
    with pytest.raises(Faults, match=r"squat.toml:\d+: pose.angles.knee_flexion: expected"):
        spoilt(KNEES, 'angles = { knee_flexion = "deep" }')
