"""Bodies, poses and databases that several folders of tests share; what is heavy is loaded only when asked for."""

import gc
import os
import re
import shutil
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings

gc.disable()  # while twelve thousand tests are gathered nothing of them becomes free; see pytest_collection_finish
SERVERS = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
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


@pytest.fixture(scope="session", autouse=True)
def one_process_a_worker() -> None:
    """Where pytest-xdist works on every core, each of its workers computes alone: two more processes for it would only
    take the time that they need to start.
    """
    if "PYTEST_XDIST_WORKER" in os.environ:
        from everyrung.body import mechanics

        mechanics.WORTH_PROCESSES = None


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


@pytest.fixture(scope="session")
def postgresql() -> Iterator[Any]:
    """A real server on a socket in a temporary folder."""
    if not SERVERS:
        pytest.skip("no PostgreSQL server here: apt-get install postgresql")
    if os.geteuid() != 0 or not shutil.which("runuser"):
        pytest.skip("starting PostgreSQL needs root, to become the user postgres")
    folder = Path(subprocess.run(["mktemp", "-d"], capture_output=True, text=True, check=True).stdout.strip())
    shutil.chown(folder, "postgres")
    programs, data = SERVERS[-1].parent, folder / "data"

    def as_postgres(*words: object) -> None:
        command = ["runuser", "-u", "postgres", "--", *map(str, words)]
        subprocess.run(command, check=True, capture_output=True, cwd=folder)

    as_postgres(programs / "initdb", "-D", data, "--auth=trust", "--encoding=UTF8", "--no-locale")
    options = f"-c listen_addresses= -c unix_socket_directories={folder} -c fsync=off"
    as_postgres(programs / "pg_ctl", "-D", data, "-o", options, "-w", "-l", folder / "log", "start")
    try:
        from sqlalchemy import make_url

        yield make_url(f"postgresql+psycopg://postgres@/postgres?host={folder}")
    finally:
        as_postgres(programs / "pg_ctl", "-D", data, "-m", "immediate", "stop")
        shutil.rmtree(folder)


@pytest.fixture(scope="session")
def new_studio_file(tmp_path_factory: pytest.TempPathFactory) -> Callable[[Path], Any]:
    """Opens a database of its own, empty, in a folder: a copy of one file, whose tables were made step by step once."""
    from sqlalchemy import URL

    from everyrung.store.database import open_database

    def opened(path: Path) -> Any:
        return open_database(URL.create("sqlite", database=str(path)))

    first = tmp_path_factory.mktemp("first") / "studio.sqlite"
    opened(first).dispose()

    def anew(folder: Path) -> Any:
        return opened(Path(shutil.copy(first, folder / first.name)))  # with its rights

    return anew


@pytest.fixture(params=["sqlite", "postgresql"])
def engine(request: pytest.FixtureRequest, tmp_path: Path, new_studio_file: Callable[[Path], Any]) -> Iterator[Any]:
    """A database of each kind, empty."""
    from everyrung.store.database import open_database
    from everyrung.store.tables import Base

    if request.param == "sqlite":
        made = new_studio_file(tmp_path)
    else:
        made = open_database(request.getfixturevalue("postgresql"))
        with made.begin() as connection:
            for table in reversed(Base.metadata.sorted_tables):
                connection.execute(table.delete())
    yield made
    made.dispose()


@pytest.hookimpl(optionalhook=True)  # of pytest-xdist
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> Any:
    """The tests of one file run in one process, where what they share is made once; those of the stage, in four files,
    share a studio and two stages that take long to set."""
    from xdist.scheduler import LoadFileScheduling

    class ByFile(LoadFileScheduling):
        def _split_scope(self, nodeid: str) -> str:
            file = super()._split_scope(nodeid)
            return "stage" if file.startswith("tests/browser/test_stage_") else file

    return ByFile(config, log)


def pytest_addoption(parser: pytest.Parser) -> None:
    """The pictures of docs/studio.md and docs/tutorial.md are taken by tests/browser/test_story.py."""
    parser.addoption("--pictures", action="store_true", help="write the pictures of these pages anew")


def pytest_collection_finish() -> None:
    """What is there by now stays to the end: the search for what is free need not go through it again and again, which
    took an eighth of all time.
    """
    gc.collect()
    gc.freeze()
    gc.set_threshold(50_000, 20, 50)
    gc.enable()
