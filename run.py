#!/usr/bin/env python3
"""Everyrung's two commands on a fresh machine: `demo` and `test`. Standard library only; makes .venv beside itself."""

import argparse
import hashlib
import os
import shutil
import subprocess
import sys
import venv
from pathlib import Path

HERE = Path(__file__).resolve().parent
VENV = HERE / ".venv"
SCRIPTS = VENV / ("Scripts" if os.name == "nt" else "bin")
PYTHON = SCRIPTS / ("python.exe" if os.name == "nt" else "python")
STAMPS = {command: VENV / f"everyrung-installed-for-{command}" for command in ("demo", "test")}
DEMO = HERE / "examples" / "boathouse-30.toml"
PEOPLE = HERE / "examples" / "boathouse-people.csv"


def main() -> int:
    """Runs one of the two commands and returns its exit code."""
    parser = argparse.ArgumentParser(description=__doc__)
    commands = parser.add_subparsers(dest="command", required=True)
    commands.add_parser("demo", help="set up, check and rehearse the demo session, open the studio on it")
    test = commands.add_parser("test", help="set up and run the tests")
    test.add_argument("--all", action="store_true", help="the slow ones too")
    given, extra = parser.parse_known_args()
    if extra and given.command != "test":
        parser.error(f"unknown: {' '.join(extra)}")
    if sys.version_info < (3, 11):  # noqa: UP036 - this script may be started by any Python
        return say(f"Everyrung needs Python 3.11 or newer; this is {sys.version.split()[0]}.", code=2)
    if not set_up(given.command):
        return 2
    return demo() if given.command == "demo" else run_tests(everything=given.all, extra=extra)


def set_up(command: str) -> bool:
    """Installs into .venv what `command` needs, unless this very project is installed there; then no network is needed.

    The demo does without the tests' tools, half of all there is to download; where they are, it is content with them.
    """
    current = fingerprint()
    enough = (STAMPS["test"],) if command == "test" else tuple(STAMPS.values())
    if PYTHON.exists() and any(stamp.exists() and stamp.read_text(encoding="utf-8") == current for stamp in enough):
        return True
    say("Setting up .venv (once; this needs the network) ...")
    try:
        install("[test]" if command == "test" else "")
    except (OSError, subprocess.CalledProcessError) as error:
        say(f"Setting up failed: {error}.")
        say("Check the network, the disk and that Python has venv (Debian: python3-venv), then run this again.")
        return False
    STAMPS[command].write_text(current, encoding="utf-8")
    return True


def install(extra: str) -> None:
    """The project with one of its extras ("" for none): with uv where it is found, else with venv and pip."""
    target = f"{HERE}{extra}"
    uv = shutil.which("uv")
    if uv:
        subprocess.run([uv, "venv", "--quiet", "--allow-existing", "--python", sys.executable, VENV], check=True)
        subprocess.run([uv, "pip", "install", "--quiet", "--python", PYTHON, "--editable", target], check=True)
    else:
        if not has_pip():  # none yet, or a first run was interrupted
            venv.create(VENV, with_pip=True, clear=True)
        quiet = ["--quiet", "--disable-pip-version-check"]
        subprocess.run([PYTHON, "-m", "pip", "install", *quiet, "--editable", target], check=True)
    if extra == "[test]":
        compiler = subprocess.Popen(
            [PYTHON, HERE / "scripts" / "compile_ahead.py"]
        )  # beside what waits for the network
        subprocess.run([PYTHON, HERE / "scripts" / "javascript_tools.py"], check=True)
        compiler.wait()


def has_pip() -> bool:
    """Whether .venv is whole enough to install into."""
    if not PYTHON.exists():
        return False
    return subprocess.run([PYTHON, "-m", "pip", "--version"], capture_output=True, check=False).returncode == 0


def fingerprint() -> str:
    """What the installation depends on: the project file and this Python."""
    names = ("pyproject.toml", "hatch_build.py", "web/package.json", "web/package-lock.json")
    project = b"".join((HERE / name).read_bytes() for name in names)
    return hashlib.sha256(project + sys.version.encode() + str(HERE).encode()).hexdigest()


def demo() -> int:
    """Checks the demo session, rehearses it, writes its run sheet and its cards, then opens the studio on it."""
    demo, people = str(DEMO), str(PEOPLE)
    done = []
    for step in (
        ["check", demo, "--bodies"],
        ["rehearse", demo, "--brief"],
        ["sheet", demo],
        ["card", demo, "--people", people, "--poster"],
    ):
        done.append(subprocess.run([PYTHON, "-m", "everyrung.cli", *step], check=False).returncode)
        print(flush=True)
    if max(done) == 0:
        say("The run sheet and the cards are in the files named above: open the .html or print the .pdf.")
        say(f"Your own plans: {(SCRIPTS / 'everyrung').relative_to(HERE)} check PLAN (see docs/tutorial.md).")
        return open_studio()
    return max(done)


def open_studio() -> int:
    """The studio on the demo session, until it is stopped; where nobody sits at a terminal, only how to open it."""
    if not sys.stdin.isatty():
        say(f"The studio: {(SCRIPTS / 'everyrung').relative_to(HERE)} studio --demo")
        return 0
    try:
        return subprocess.run([PYTHON, "-m", "everyrung.cli", "studio", "--demo"], check=False).returncode
    except KeyboardInterrupt:
        return 0


def run_tests(*, everything: bool, extra: list[str]) -> int:
    """The tests, the slow ones only when asked for; `extra` goes to pytest."""
    chosen = [] if everything else ["-m", "not slow"]
    spread = ["-n", "3", "--dist", "loadfile", "--no-loadscope-reorder"]  # see tests/conftest.py; browsers also wait
    # Tests start a hundred programs: each would compile all of Everyrung anew where Python is told to keep no bytecode.
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    command = [str(PYTHON), "-m", "pytest", *spread, *chosen, *extra]
    return subprocess.run(command, cwd=HERE, env=environment, check=False).returncode


def say(words: str, code: int = 0) -> int:
    """Progress goes to stderr; returns `code`."""
    print(words, file=sys.stderr, flush=True)
    return code


if __name__ == "__main__":
    sys.exit(main())
