"""Bodies and poses that several folders of tests share; mujoco is loaded only when one of them is asked for."""

import os
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings

settings.register_profile("no clock", deadline=None)  # a busy machine is no fault of the program
settings.load_profile("no clock")
for threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):  # as everyrung.body does, for numpy may be loaded first
    os.environ.setdefault(threads, "1")


# Words of a plan file: tables, fields with underscores, a field's value, an option's path, a place with its slashes, an
# entry of a list, a command's switch, a line of a file.
_FILE_LANGUAGE = re.compile(
    r"\[\[|\]\]|\b[a-z]+(?:_[a-z]+)+\b|\b[a-z]\w* = [\"\[{]|\boptions\.|\b(?!Europe/)[A-Z][\w-]*/[\w-]+|\b\w+\[\d+\]"
    r"|(?<!\w)--[a-z]+|\w\.toml:|\bcell\.\w"
)


@pytest.fixture(scope="session")
def file_language() -> Callable[[str], list[str]]:
    """Finds what belongs into a plan file and not before a coach's eyes."""
    return lambda text: [found[0] for found in _FILE_LANGUAGE.finditer(re.sub(r"https?://\S+", "", text))]


@pytest.fixture(scope="session")
def share_results() -> Callable[[Path], None]:
    """Gives a home of a test's own the common file of computed results, or each would compute the same bodies anew."""
    from everyrung.store.cache import default_cache

    common = default_cache().path

    def share(home: Path) -> None:
        common.parent.mkdir(parents=True, exist_ok=True)
        home.mkdir(parents=True, exist_ok=True)
        (home / common.name).symlink_to(common)

    return share


@pytest.fixture(scope="session")
def woman() -> Any:
    from everyrung.body.bodies import body_model
    from everyrung.terms.person import BodySize, Sex

    return body_model(BodySize(sex=Sex.FEMALE, stature_m=1.63, mass_kg=62.0))


@pytest.fixture(scope="session")
def man() -> Any:
    from everyrung.body.bodies import body_model
    from everyrung.terms.person import BodySize, Sex

    return body_model(BodySize(sex=Sex.MALE, stature_m=1.76, mass_kg=80.0))


@pytest.fixture(scope="session")
def any_poses() -> Callable[..., list[Any]]:
    """Poses of any place and turn with every angle inside its range, the same each time."""
    import numpy as np

    from everyrung.body.configuration import upright
    from everyrung.body.coordinates import ROOT

    def poses(body: Any, count: int) -> list[Any]:
        random = np.random.default_rng(1)
        found = []
        for _ in range(count):
            q_ind = upright()
            q_ind[:3] = random.normal(size=3)
            turn = random.normal(size=4)
            q_ind[3:ROOT] = turn / np.linalg.norm(turn)
            q_ind[ROOT:] = random.uniform(body.limits.low, body.limits.high)
            found.append(q_ind)
        return found

    return poses


def pytest_addoption(parser: pytest.Parser) -> None:
    """The pictures of docs/studio.md are taken by tests/browser/test_story.py."""
    parser.addoption("--pictures", action="store_true", help="write the pictures of docs/studio.md anew")
