"""Chunks of work on a Dask cluster: sent a few ahead, done once more where a worker ended, answered in order.

Dask itself gives a chunk to another worker when one ends, and computes anew what was lost with it. Here stands what it
would leave open: who answers at that address, whether the workers have the same Everyrung, and an end to all waiting.
"""

import asyncio
import logging
import socket
import time
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import CancelledError, ThreadPoolExecutor
from contextlib import contextmanager
from typing import Any, TypeVar

from everyrung.executors.address import EXPECTED, host_and_port
from everyrung.executors.chunk import Facts, do_chunk, facts, pack, unpack
from everyrung.terms.errors import Invalid, ProcessEnded

try:
    from distributed import Client
    from distributed.client import FutureCancelledError
    from distributed.core import rpc
    from distributed.scheduler import KilledWorker
    from distributed.security import Security
except ModuleNotFoundError as missing:
    raise Invalid(
        "cluster", "Dask on this machine", f"no package {missing.name}", remedy='Run: pip install "everyrung[cluster]"'
    ) from None

logging.getLogger("distributed").setLevel(logging.CRITICAL)  # what matters of it is said here, in words
V = TypeVar("V")
R = TypeVar("R")
ANSWER_S = 5.0  # for a scheduler to answer; chosen, because one that takes longer would be no help
WORKER_S = 30.0  # without a worker before it is given up; chosen, because one that is begun anew takes some ten
LOOK_S = 1.0  # between two looks whether the cluster is still there
FETCH_S = 5.0  # for an answer to come over, at first; its worker may have ended since, or it is long
AHEAD = 3  # chunks a worker; chosen, so that it has the next while the answer of the last one travels
LOST = "The cluster at {} is lost: {}. Nothing saved is lost; start it again, or leave it out."


def map_on_cluster(address: str, task: Callable[[V], R], values: Sequence[V], size: int) -> Iterator[R]:
    """As tasks.map_tasks, on the cluster at `address` (tcp://... or tls://..., see docs/scale.md).

    No more than AHEAD chunks a worker are there at a time, so that answers need no more room for a million values.
    """
    task_bytes, chunks = pack(task, values, size)
    todo, waiting = iter(chunks), deque[Any]()
    with connection(address) as client:
        remote = client.submit(bytes, task_bytes, pure=False)  # once a worker; made anew when the worker with it ends
        while True:
            room = AHEAD * max(1, _workers(client, address)) - len(waiting)
            for _, chunk in zip(range(room), todo, strict=False):
                waiting.append(client.submit(do_chunk, facts(), remote, chunk, pure=False))
            if not waiting:
                return
            yield from _answers(client, address, waiting.popleft())


def check_workers(address: str) -> int:
    """How many workers there are, each of which can compute as this machine does. Raises Invalid otherwise."""
    task, (nothing,) = pack(len, [""], 1)
    with connection(address) as client:
        workers = list(client.nthreads())
        futures = [client.submit(do_chunk, facts(), task, nothing, workers=[each], pure=False) for each in workers]
        for each in futures:
            _answers(client, address, each)
    return len(workers)


@contextmanager
def connection(address: str) -> Iterator[Any]:
    """A client of the scheduler there, for the time of the block; leave it, and what it asked for is dropped.

    Raises Invalid when no scheduler answers, or it has no workers.
    """
    identity = _identity(address)
    with Client(address, timeout=ANSWER_S, set_as_default=False) as client:
        if not identity["workers"]:
            try:
                client.wait_for_workers(1, timeout=ANSWER_S)
            except TimeoutError:
                remedy = f"Start some: dask worker {address} --nworkers -1 --nthreads 1"
                raise Invalid("cluster", "a scheduler with workers", f"none at {address}", remedy=remedy) from None
        yield client


def _identity(address: str) -> dict[str, Any]:
    """What the scheduler says of itself. Asked before there is a client, for a client that finds none goes noisily."""
    host, port = host_and_port(address)
    try:
        socket.create_connection((host, port), timeout=ANSWER_S).close()
        with ThreadPoolExecutor(1) as aside:  # who asks may be in a loop of its own, as in a notebook
            identity = aside.submit(asyncio.run, asyncio.wait_for(_ask(address), ANSWER_S)).result()
    except (OSError, TimeoutError) as problem:
        why = getattr(problem, "strerror", None) or str(problem) or "no answer in time"
        remedy = "Start `dask scheduler` there, or leave the cluster out to compute on this machine."
        raise Invalid("cluster", f"{EXPECTED}, that answers", f"{address}: {why}", remedy=remedy) from None
    return identity


async def _ask(address: str) -> dict[str, Any]:
    async with rpc(address, connection_args=Security().get_connection_args("client")) as scheduler:
        identity: dict[str, Any] = await scheduler.identity()
    return identity


def _answers(client: Any, address: str, future: Any) -> list[Any]:
    """The answers of one chunk, however long they take, as long as somebody computes them."""
    alone_since_s, fetch_s = None, FETCH_S
    while True:
        try:
            future.exception(timeout=LOOK_S)  # waits until it is there
            fetch_s *= 2
            kind, answer = future.result(timeout=fetch_s)
        except TimeoutError:
            alone_since_s = None if _workers(client, address) else alone_since_s or time.monotonic()
            if alone_since_s and time.monotonic() - alone_since_s > WORKER_S:
                raise ProcessEnded(LOST.format(address, "it has no workers any more")) from None
        except KilledWorker:
            why = "several workers ended over the same work, perhaps short of memory"
            raise ProcessEnded(LOST.format(address, why)) from None
        except (CancelledError, FutureCancelledError, OSError):
            raise ProcessEnded(LOST.format(address, "its scheduler does not answer any more")) from None
        except Exception as problem:  # the scheduler or the worker could not even read what to do
            cause = problem.__cause__ or problem
            raise _differs(f"{type(cause).__name__}: {cause}".splitlines()[0]) from None
        else:
            if kind == "differs":
                raise _differs(_differences(answer))
            return unpack(kind, answer)


def _workers(client: Any, address: str) -> int:
    try:
        return len(client.sync(client.scheduler.ncores, callback_timeout=ANSWER_S))
    except Exception:
        raise ProcessEnded(LOST.format(address, "its scheduler does not answer any more")) from None


def _differs(what: str) -> Invalid:
    remedy = "Install the same version of Everyrung, with the same libraries, for the scheduler and every worker."
    return Invalid("cluster", "workers that compute as this machine does", what, remedy=remedy)


def _differences(other: Facts) -> str:
    unlike = [(name, other.get(name, "none"), own) for name, own in facts().items() if other.get(name) != own]
    return ", ".join(f"{name} {there} instead of {here}" for name, there, here in unlike)
