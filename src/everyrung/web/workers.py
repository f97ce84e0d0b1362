"""Where jobs run: a process of its own on this machine, behind an interface that a cluster can stand behind as well."""

import os
import pickle
import signal
import threading
from collections.abc import Callable
from concurrent.futures import CancelledError, Future
from concurrent.futures.process import BrokenProcessPool
from contextlib import suppress
from dataclasses import dataclass
from functools import partial
from multiprocessing.connection import Connection
from typing import Any, Protocol, TypeVar

from everyrung.processes import SPAWN, process_pool
from everyrung.web.log import TaskFailed, log_line

T = TypeVar("T")
Hear = Callable[[Any], None]
GRACE_S = 2.0  # chosen, because a job looks whether it is cancelled each rung, which takes some hundredths of a second
END_S = 5.0  # chosen, because the system ends a process within a second
ASIDE = 10  # of the 19 steps down there are (POSIX nice); chosen, because a page then gets nine tenths of a shared core
ALL = -1  # stands for every number of a task


class TaskCancelled(Exception):
    """Nobody waits for this task any more."""


class Workers(Protocol):
    """What the studio asks of the place where jobs run. Nothing shared: tasks, answers and messages are pickled.

    A task is a function of a module, sent by its name. One that says how far it is takes `tell` as its last argument,
    and what it tells is heard here; `tell` raises TaskCancelled in it when nobody waits any more (`tell(None)` only
    looks).
    """

    def submit(self, task: Callable[..., T], *values: Any, hear: Hear | None = None) -> "Future[T]":
        """The task's answer, or its exception; BrokenProcessPool when its process ended. Raises RuntimeError when
        closed."""

    def cancel(self, answer: "Future[Any]") -> None:
        """The task is given up; its answer is TaskCancelled once nothing of it runs any more, which is soon."""

    def end(self, answer: "Future[Any]") -> None:
        """As `cancel`, at once: when this returns, the task writes nothing more."""

    def close(self) -> None:
        """Everything is given up; nothing is left running."""


class ProcessWorkers:
    """One process, begun when there is something to do, and begun anew after it was ended from outside.

    `again`: how often a task is done once more by the next process; 0 for tasks that write files. `aside`: it gives way
    to whatever somebody waits for at this machine.
    """

    def __init__(self, *, again: int = 0, grace_s: float = GRACE_S, aside: bool = False) -> None:
        self._again, self._grace_s, self._aside = again, grace_s, aside
        self._lock = threading.RLock()
        self._tasks: dict[int, _Task] = {}
        self._number = 0
        self._process: _Process | None = None
        self._is_closed = False

    def submit(self, task: Callable[..., T], *values: Any, hear: Hear | None = None) -> "Future[T]":
        """As Workers."""
        answer: Future[T] = Future()
        answer.set_running_or_notify_cancel()  # so that nobody who left makes it an answer that can't be given
        task_bytes = pickle.dumps((task, values, hear is not None))
        self._begin(_Task(task_bytes=task_bytes, answer=answer, hear=hear, again=self._again))
        return answer

    def cancel(self, answer: "Future[Any]") -> None:
        """As Workers: the task is asked to stop; after the grace its process is ended."""
        number = self._mark(answer)
        if number is not None:
            later = threading.Timer(self._grace_s, self._end, [number])
            later.daemon = True
            later.start()

    def end(self, answer: "Future[Any]") -> None:
        """As Workers: the process is ended at once."""
        number = self._mark(answer)
        if number is not None:
            self._end(number)
            answer.exception(END_S)

    def close(self) -> None:
        """As Workers."""
        with self._lock:
            self._is_closed = True
            process = self._process
        if process:
            process.to_cancel.value = ALL
            process.end()
            process.pool.shutdown(wait=True, cancel_futures=True)

    def _begin(self, task: "_Task") -> None:
        with self._lock:
            if self._is_closed:
                raise RuntimeError("the studio is closed")
            self._number += 1
            number, self._tasks[self._number] = self._number, task
            future = self._send(number, task)
        future.add_done_callback(partial(self._over, number))

    def _send(self, number: int, task: "_Task") -> "Future[bytes]":
        """To the process that there is; to a new one when it was ended since it was last heard of."""
        for _ in range(2):
            task.process = self._process = self._process or _Process(self._pass_on, aside=self._aside)
            with suppress(BrokenProcessPool, OSError):
                return self._process.submit(number, task.task_bytes)
            self._process = None
        none: Future[bytes] = Future()
        none.set_exception(BrokenProcessPool("no process could be started"))
        return none

    def _mark(self, answer: "Future[Any]") -> int | None:
        """Notes that nobody waits for this answer; its number, while it is still computed."""
        with self._lock:
            for number, task in self._tasks.items():
                if task.answer is answer and task.process:
                    task.is_cancelled = True
                    task.process.to_cancel.value = number
                    return number
        return None

    def _end(self, number: int) -> None:
        """Ends the process that still does this task."""
        with self._lock:
            task = self._tasks.get(number)
            if task and task.process:
                task.process.end()

    def _pass_on(self, number: int, message: bytes) -> None:
        with self._lock:
            task = self._tasks.get(number)
        if task and task.hear and not task.is_cancelled:
            task.hear(pickle.loads(message))

    def _over(self, number: int, future: "Future[bytes]") -> None:
        problem = CancelledError() if future.cancelled() else future.exception()
        with self._lock:
            task = self._tasks.pop(number)
            if isinstance(problem, BrokenProcessPool) and self._process is task.process:
                self._process = None
            again = isinstance(problem, BrokenProcessPool) and task.again > 0 and not self._is_closed
        if task.is_cancelled or future.cancelled():
            task.answer.set_exception(TaskCancelled())
        elif again:
            task.again -= 1
            self._begin(task)
        elif problem:
            task.answer.set_exception(problem)
        else:
            _give(task.answer, future.result())


@dataclass(slots=True, kw_only=True)
class _Task:
    task_bytes: bytes
    answer: "Future[Any]"
    hear: Hear | None
    again: int
    process: "_Process | None" = None
    is_cancelled: bool = False


class _Process:
    """The process, what it tells, and the number of the task that is given up."""

    def __init__(self, hear: Callable[[int, bytes], None], *, aside: bool) -> None:
        self.to_cancel = SPAWN.RawValue("q", 0)  # without a lock, for a process that is ended may hold it
        self._pid: int | None = None
        pipe, self._telling = SPAWN.Pipe(duplex=False)
        self.pool = process_pool(1, _attach, self._telling, self.to_cancel, aside)
        threading.Thread(target=self._listen, args=(pipe, hear), daemon=True).start()

    def submit(self, number: int, task_bytes: bytes) -> "Future[bytes]":
        future = self.pool.submit(_do, number, task_bytes)
        self._telling.close()  # the process has it now, and its end is heard
        return future

    def end(self) -> None:
        """A process that has not said its number yet is only just starting, and does nothing that is given up."""
        if self._pid is not None:
            with suppress(OSError):
                os.kill(self._pid, signal.SIGTERM)  # on Windows too this ends it at once

    def _listen(self, pipe: Connection, hear: Callable[[int, bytes], None]) -> None:
        with suppress(EOFError, OSError):
            self._pid = pipe.recv()
            while True:
                hear(*pipe.recv())
        self._pid = None


def _give(answer: "Future[Any]", answer_bytes: bytes) -> None:
    try:
        value, line = pickle.loads(answer_bytes)
    except Exception as problem:
        value, line = problem, log_line(problem)
    if line:
        value.__cause__ = TaskFailed(line)
        answer.set_exception(value)
    else:
        answer.set_result(value)


# In the process itself.


_to_parent: Connection
_to_cancel: Any


def _attach(telling: Connection, to_cancel: Any, aside: bool) -> None:
    global _to_parent, _to_cancel
    if aside and hasattr(os, "nice"):
        os.nice(ASIDE)  # and with it the processes that a job starts
    _to_parent, _to_cancel = telling, to_cancel
    _to_parent.send(os.getpid())


def _do(number: int, task_bytes: bytes) -> bytes:
    try:
        task, values, tells = pickle.loads(task_bytes)
        _go_on(number)
        return pickle.dumps((task(*values, partial(_tell, number)) if tells else task(*values), ""))
    except Exception as problem:
        return _as_bytes(problem, log_line(problem))


def _as_bytes(problem: Exception, line: str) -> bytes:
    """The exception with its line for the log; of one that can't be sent, the line alone."""
    try:
        answer_bytes = pickle.dumps((problem, line))
        pickle.loads(answer_bytes)
    except Exception:
        return pickle.dumps((TaskFailed(line), line))
    return answer_bytes


def _go_on(number: int) -> None:
    if _to_cancel.value in (number, ALL):
        raise TaskCancelled


def _tell(number: int, message: Any) -> None:
    _go_on(number)
    if message is not None:
        _to_parent.send((number, pickle.dumps(message)))
