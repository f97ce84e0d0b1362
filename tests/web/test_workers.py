"""Tasks in a process of their own: they tell how far they are, are given up for good, and survive a process's end."""

import os
import pickle
import queue
import signal
import time
from collections.abc import Callable, Iterator
from concurrent.futures.process import BrokenProcessPool
from typing import Any

import pytest
import worker_tasks

from everyrung.web.log import TaskFailed, log_line
from everyrung.web.workers import ProcessWorkers, TaskCancelled

LONG_S = 60


@pytest.fixture(scope="module")
def workers() -> Iterator[ProcessWorkers]:
    made = ProcessWorkers(grace_s=LONG_S)  # nothing is ended but what a test ends
    yield made
    made.close()


def begun(workers: ProcessWorkers, task: Callable[..., Any]) -> tuple[Any, Any]:
    """A task that runs, and the first that it told."""
    told: queue.SimpleQueue[Any] = queue.SimpleQueue()
    answer = workers.submit(task, hear=told.put)
    return answer, told.get(timeout=LONG_S)


def is_gone(pid: int) -> bool:
    until = time.monotonic() + LONG_S
    while time.monotonic() < until:
        try:
            os.kill(pid, 0)
        except ProcessLookupError:
            return True
        time.sleep(0.01)
    return False


def test_what_a_task_tells_is_heard_whole_and_in_order(workers: ProcessWorkers) -> None:
    told: queue.SimpleQueue[Any] = queue.SimpleQueue()
    answer = workers.submit(worker_tasks.steps, hear=told.put)
    assert [told.get(timeout=LONG_S) for _ in range(500)] == list(range(500))
    workers.cancel(answer)
    with pytest.raises(TaskCancelled):
        answer.result(LONG_S)


def test_a_cancelled_task_stops_and_its_process_goes_on(workers: ProcessWorkers) -> None:
    answer, pid = begun(workers, worker_tasks.busy)
    workers.cancel(answer)
    with pytest.raises(TaskCancelled):
        answer.result(LONG_S)
    assert workers.submit(os.getpid).result(LONG_S) == pid


def test_a_cancelled_task_that_never_looks_is_ended_with_all_that_it_began() -> None:
    workers = ProcessWorkers(grace_s=0.1)
    answer, (pid, child) = begun(workers, worker_tasks.deaf)
    workers.cancel(answer)
    with pytest.raises(TaskCancelled):
        answer.result(LONG_S)
    assert is_gone(pid)
    assert is_gone(child)
    assert workers.submit(os.getpid).result(LONG_S) not in (pid, child)
    workers.close()


def test_a_task_that_is_ended_writes_nothing_more(workers: ProcessWorkers) -> None:
    answer, pid = begun(workers, worker_tasks.busy)
    workers.end(answer)
    assert answer.done()
    assert is_gone(pid)
    assert isinstance(answer.exception(), TaskCancelled)


def test_an_exception_that_cannot_travel_is_told_without_its_words(workers: ProcessWorkers) -> None:
    with pytest.raises(TypeError):  # what the task raises, pickled, breaks whoever reads it
        pickle.loads(pickle.dumps(worker_tasks.Odd("Sunniva", "her answers")))
    problem = workers.submit(worker_tasks.odd).exception(LONG_S)
    assert isinstance(problem, TaskFailed)
    assert "Odd" in log_line(problem)
    assert "Sunniva" not in log_line(problem)
    assert workers.submit(worker_tasks.no_answer).exception(LONG_S) is not None
    assert workers.submit(os.getpid).result(LONG_S)  # and the process goes on


def test_an_exception_says_where_it_arose_in_its_own_process(workers: ProcessWorkers) -> None:
    problem = workers.submit(int, "seven").exception(LONG_S)
    assert isinstance(problem, ValueError)
    assert "ValueError at workers.py:" in log_line(problem)


def test_a_killed_process_is_told_once_and_the_next_task_has_a_new_one(workers: ProcessWorkers) -> None:
    answer, pid = begun(workers, worker_tasks.busy)
    os.kill(pid, signal.SIGKILL)
    with pytest.raises(BrokenProcessPool):
        answer.result(LONG_S)
    assert workers.submit(os.getpid).result(LONG_S) != pid


def test_nothing_runs_after_the_studio_was_closed() -> None:
    workers = ProcessWorkers()
    answer, (pid, child) = begun(workers, worker_tasks.deaf)
    workers.close()
    assert answer.done()
    assert is_gone(pid)
    assert is_gone(child)
    with pytest.raises(RuntimeError, match="closed"):
        workers.submit(os.getpid)
