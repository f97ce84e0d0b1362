"""Parts made in a process beside this one, such as sounds while the pages are drawn."""

import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Future
from concurrent.futures import wait as wait_for
from contextlib import contextmanager
from importlib import import_module
from os import cpu_count
from pathlib import Path

from everyrung.plugins import instances_in
from everyrung.processes import computing_pool
from everyrung.publish.folder.contents import Part, product
from everyrung.publish.output import Order, Output
from everyrung.results.analysis import Analysis

WORTH_MS = 600_000  # of a session; chosen, because starting a process takes as long as the sound of ten minutes
TOLD_S = 0.2  # chosen, because who presses Stop does not notice a fifth of a second
Futures = Mapping[str, "Future[tuple[Part, int]]"]


@contextmanager
def parts_beside(outputs: Sequence[Output], run: Analysis, folder: Path) -> Iterator[Futures]:
    """Those of the outputs that may be made so, begun, by their names; none where it is not worth a process. One
    process does all, for a track of half an hour takes some hundred MB. Leave, and what is still to do is dropped.
    """
    if not any(output.beside for output in outputs) or run.timeline.total_ms < WORTH_MS or (cpu_count() or 1) < 2:
        yield {}
        return
    with computing_pool(1) as pool:
        yield {
            output.name: pool.submit(_part_in, module_of(output), output.name, run, folder)
            for output in outputs
            if output.beside
        }


def part_of(future: "Future[tuple[Part, int]]", telling: Callable[[], None]) -> tuple[Part, int]:
    """The part and how long it took, ms, once it is there; `telling` is called meanwhile, and may raise to stop."""
    while not future.done():
        telling()
        wait_for([future], timeout=TOLD_S)
    return future.result()


def timed_part(output: Output, order: Order) -> tuple[Part, int]:
    """What an output writes, and how long it took, ms."""
    begin = time.perf_counter()
    files = tuple(product(path, order.folder, what) for path, what in output.write(order))
    return Part(products=files, notes=tuple(order.notes)), round((time.perf_counter() - begin) * 1000)


def module_of(output: Output) -> str:
    """The name of the module that has an output: the other process imports that one and no other."""
    return str(getattr(output.write, "func", output.write).__module__)


def _part_in(module: str, name: str, run: Analysis, folder: Path) -> tuple[Part, int]:
    """In the other process."""
    output = next(each for each in instances_in(import_module(module), Output) if each.name == name)
    return timed_part(output, Order(run=run, folder=folder))
