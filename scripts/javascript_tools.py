"""Brings the type checker and the linter of the browser's scripts into .venv/javascript; the tests alone need them.

    python scripts/javascript_tools.py      (`python3 run.py test` does it)

As the package's build brings the scripts of others: by npm on our lock file, with the Node of its wheel.
"""

import importlib.util
import shutil
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
FOLDER = ROOT / ".venv" / "javascript"
FILES = (".npmrc", "package.json", "package-lock.json")


def main() -> int:
    """Does nothing where they are as the lock file says."""
    lock = (ROOT / "web" / "package-lock.json").read_bytes()
    stamp = FOLDER / "lock-of-what-is-here"
    if stamp.exists() and stamp.read_bytes() == lock:
        return 0
    shutil.rmtree(FOLDER, ignore_errors=True)
    FOLDER.mkdir(parents=True)
    for name in FILES:
        shutil.copy(ROOT / "web" / name, FOLDER / name)
    spec = importlib.util.spec_from_file_location("hatch_build", ROOT / "hatch_build.py")
    assert spec
    assert spec.loader
    build = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(build)
    try:
        build.fetch(FOLDER)
    except RuntimeError as error:
        print(error, file=sys.stderr)
        return 1
    stamp.write_bytes(lock)
    return 0


if __name__ == "__main__":
    sys.exit(main())
