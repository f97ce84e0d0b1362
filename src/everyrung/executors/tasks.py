"""The one way to have many values computed: here, by processes of this machine, or on a cluster."""

from collections.abc import Callable, Iterator, Sequence
from os import cpu_count
from typing import TypeVar

from everyrung.executors.address import cluster_address
from everyrung.executors.chunk import is_worker
from everyrung.processes import computing_pool

V = TypeVar("V")
R = TypeVar("R")


def is_elsewhere() -> bool:
    """Whether tasks go to other machines: what they hold is to be sent."""
    return cluster_address() is not None and not is_worker()


def worker_count() -> int:
    """The workers of the cluster, each of which can compute as this machine does; 0 without a cluster. Raises Invalid
    for a cluster that can't be used.
    """
    address = cluster_address()
    if not address:
        return 0
    from everyrung.executors.cluster import check_workers  # slow to import

    return check_workers(address)


def map_tasks(
    task: Callable[[V], R], values: Sequence[V], *, chunk: int, worth_processes: int | None = None
) -> Iterator[R]:
    """The task's answer for each value, in their order, as they get ready; leave off, and what is still to do is
    dropped.

    `task` is a function of a module, or a functools.partial of one with what all values share; like the values and the
    answers it is pickled, `chunk` values at a time. It writes no files: another machine may do it. From
    `worth_processes` values on this machine's processes share the work (None: never). Raises what the task raises;
    ProcessEnded when what computed was ended from outside; Invalid for a cluster that can't be used.
    """
    if is_worker():
        yield from map(task, values)
        return
    address = cluster_address()
    if address is not None:
        from everyrung.executors.cluster import map_on_cluster  # slow to import

        yield from map_on_cluster(address, task, values, chunk)
        return
    cores = cpu_count() or 1
    if worth_processes is None or len(values) < worth_processes or cores < 2:
        yield from map(task, values)
        return
    with computing_pool(cores) as pool:
        yield from pool.map(task, values, chunksize=chunk)
