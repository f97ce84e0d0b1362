"""A browser, and a real studio served by its own command; without Chromium these tests are skipped and say so."""

import os
import re
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from stage_steps import SMALL, set_stage

# Debian's; the one without a window asks half as much of the processor.
BROWSERS = [Path("/usr/bin/chromium-headless-shell"), Path("/usr/bin/chromium")]
# Without a graphics card pages are painted by the processor; by way of a simulated card they took ten times as long.
FLAGS = [
    *("--no-sandbox", "--disable-gpu", "--enable-unsafe-swiftshader"),
    *("--disable-background-networking", "--disable-component-update"),
]

PATIENCE_MS = 180_000  # a test waits for what must come, however busy the machine is


@pytest.fixture(scope="session")
def chromium() -> Iterator[Any]:
    program = next((each for each in BROWSERS if each.exists()), None)
    if program is None:
        pytest.skip("no Chromium here: apt-get install chromium-headless-shell")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=str(program), args=FLAGS)
        make = browser.new_context

        def patient(**options: Any) -> Any:
            context = make(**options)
            context.set_default_timeout(PATIENCE_MS)
            return context

        browser.new_context = patient
        yield browser
        browser.close()


class Served:
    """A studio in a process of its own."""

    def __init__(self, home: Path) -> None:
        self.home, self.process = home, None  # type: ignore[var-annotated]
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = probe.getsockname()[1]

    @property
    def address(self) -> str:
        return f"http://localhost:{self.port}"

    def start(self) -> None:
        command = [sys.executable, "-m", "everyrung.cli", "studio", "--no-browser", "--demo", "--port", str(self.port)]
        environment = os.environ | {"EVERYRUNG_HOME": str(self.home)}
        self.process = subprocess.Popen(
            command, env=environment, stdout=subprocess.PIPE, text=True, start_new_session=True
        )
        assert re.search(r"http://localhost:\d+/", self.process.stdout.readline())
        for _ in range(1000):
            with socket.socket() as probe:
                if probe.connect_ex(("127.0.0.1", self.port)) == 0:
                    return
            time.sleep(0.05)
        raise AssertionError("the studio does not listen")

    def kill(self) -> None:
        """As hard as it gets, its background with it."""
        if self.process:
            os.killpg(self.process.pid, 9)
            self.process.wait()
            self.process.stdout.close()
            self.process = None


@pytest.fixture
def served(tmp_path: Path, request: pytest.FixtureRequest, share_results: Callable[[Path], None]) -> Iterator[Served]:
    request.getfixturevalue("chromium")  # skipped where there is none
    made = Served(tmp_path / "home")
    share_results(made.home)
    made.start()
    yield made
    made.kill()


@pytest.fixture
def served_anew(tmp_path: Path, request: pytest.FixtureRequest) -> Iterator[Served]:
    """A studio that has computed nothing yet, so that its background works for minutes."""
    request.getfixturevalue("chromium")  # skipped where there is none
    made = Served(tmp_path / "home")
    made.start()
    yield made
    made.kill()


@pytest.fixture(scope="session")
def shared(
    tmp_path_factory: pytest.TempPathFactory, chromium: Any, share_results: Callable[[Path], None]
) -> Iterator[Served]:
    """One studio for all tests that leave it as they find it, or add to it what is theirs alone."""
    del chromium  # skipped where there is none
    made = Served(tmp_path_factory.mktemp("shared") / "home")
    share_results(made.home)
    made.start()
    SHARED.append(made)
    yield made
    made.kill()


SHARED: list[Served] = []


# The shared studio stands still while tests of other folders run, or it would compute on what these once asked.


@pytest.hookimpl(tryfirst=True)
def pytest_runtest_setup() -> None:
    signal_shared(signal.SIGCONT)


@pytest.hookimpl(trylast=True)
def pytest_runtest_teardown(nextitem: pytest.Item | None) -> None:
    if nextitem is None or Path(__file__).parent not in nextitem.path.parents:
        signal_shared(signal.SIGSTOP)


def signal_shared(number: int) -> None:
    for each in SHARED:
        if each.process:
            os.killpg(each.process.pid, number)


@pytest.fixture
def own_page(chromium: Any, served: Served) -> Iterator[Any]:
    """A page of a studio of its own."""
    yield from opened(chromium, served)


@pytest.fixture(scope="module")
def shared_page(chromium: Any, shared: Served) -> Iterator[Any]:
    """A page of the studio that many share."""
    yield from opened(chromium, shared)


def opened(chromium: Any, served: Served) -> Iterator[Any]:
    """A page whose console must stay silent of errors of its own."""
    context = chromium.new_context(viewport={"width": 1280, "height": 900}, reduced_motion="reduce")
    made = context.new_page()
    errors: list[str] = []
    made.on("pageerror", lambda error: errors.append(f"{error} {error.stack}"))
    made.on("console", lambda said: errors.append(said.text) if "Content Security Policy" in said.text else None)
    made.goto(served.address)
    yield made
    assert not errors
    context.close()


@pytest.fixture(scope="session")
def session(chromium: Any, shared: Any) -> str:
    """A short one, which is set quickly."""
    return set_in_its_page(chromium, shared, SMALL)


@pytest.fixture(scope="session")
def boathouse(chromium: Any, shared: Any) -> str:
    return set_in_its_page(chromium, shared)


def set_in_its_page(chromium: Any, shared: Served, plan: Path | None = None) -> str:
    """A stage set, its address; no page stays open that would go on asking."""
    with contextmanager(opened)(chromium, shared) as page:
        return set_stage(page, shared.address, plan)


@pytest.fixture
def stage(chromium: Any, session: str) -> Any:
    context = chromium.new_context(viewport={"width": 1280, "height": 720}, reduced_motion="reduce")
    page = context.new_page()
    page.errors = []
    page.on("pageerror", lambda error: page.errors.append(str(error)))
    page.goto(f"{session}/lead")  # the browser's own token
    yield page
    assert not page.errors
    context.close()
