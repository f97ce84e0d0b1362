"""A scheduler and workers as processes of this machine, on its loopback address."""

import json
import os
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from everyrung.executors.cluster import connection
from everyrung.terms.errors import Invalid

PATHS = [str(Path(__file__).parent), *(each for each in sys.path if each.endswith("src"))]
BEGIN_S = 60  # for a process on a busy machine


class Loopback:
    """What is running: `workers` by their processes."""

    def __init__(self, folder: Path, protocol: str) -> None:
        self._file, self._folder = folder / "scheduler.json", folder
        self.scheduler = self._start("scheduler", "--host", "127.0.0.1", "--port", "0", "--protocol", protocol)
        self.workers: list[subprocess.Popen[bytes]] = []

    @property
    def address(self) -> str:
        end_s = time.monotonic() + BEGIN_S
        while not self._file.exists():
            assert time.monotonic() < end_s, self.log()
            time.sleep(0.02)
        return str(json.loads(self._file.read_text())["address"])

    def add(self, count: int) -> None:
        self.workers += [self._start("worker", "--nthreads", "1", "--no-nanny") for _ in range(count)]

    def wait(self, workers: int) -> None:
        end_s = time.monotonic() + BEGIN_S
        while time.monotonic() < end_s:
            try:
                with connection(self.address) as client:
                    if len(client.nthreads()) >= workers:
                        return
            except Invalid:
                time.sleep(0.05)
        raise AssertionError(self.log())

    def log(self) -> str:
        return "\n".join(path.read_text() for path in self._folder.glob("*.log"))

    def end(self) -> None:
        for each in [*self.workers, self.scheduler]:
            each.kill()
            each.wait()

    def _start(self, what: str, *options: str) -> subprocess.Popen[bytes]:
        command = [sys.executable, "-m", f"distributed.cli.dask_{what}", "--scheduler-file", str(self._file)]
        # As Dask's nanny has it, which is left out: memory that is free goes back to the system at once.
        kept = {
            "MALLOC_TRIM_THRESHOLD_": "65536",
            "PYTHONPATH": os.pathsep.join(PATHS),
            "DASK_TEMPORARY_DIRECTORY": str(self._folder),
        }
        with (self._folder / f"{what}-{time.monotonic_ns()}.log").open("wb") as log:
            return subprocess.Popen(
                [*command, "--no-dashboard", *options], stdout=log, stderr=log, cwd=self._folder, env=os.environ | kept
            )


@contextmanager
def loopback(folder: Path, workers: int, protocol: str = "tcp") -> Iterator[Loopback]:
    """A cluster of that many workers, ended with the block; with "tls", Dask's settings name the certificates."""
    made = Loopback(folder, protocol)
    try:
        made.address  # noqa: B018 - the workers read the file
        made.add(workers)
        if workers:
            made.wait(workers)
        yield made
    finally:
        made.end()
