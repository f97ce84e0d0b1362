"""Where the results of jobs stand: in this studio's memory, or in the database that it shares with others."""

import time
from collections import OrderedDict
from typing import Protocol

from everyrung.store.shared_jobs import SharedJobs
from everyrung.web.jobs import Job, JobResult, Progress

KEPT = 64  # results; chosen, because the demo's takes 26 kB
TELL_S = 0.5  # between two signs of how far a job is; chosen, because a page asks each second
STARTING = Progress(words="getting ready", count=0, total=0)


class Board(Protocol):
    """Results by the key of their job, and who computes what."""

    def claim(self, slot: str, job: Job) -> bool:
        """Whether this studio is to compute it; False while another one does, or has done it."""

    def result(self, key: str) -> JobResult | None:
        """The result, or as much of it as there is."""

    def progress(self, key: str) -> Progress | None:
        """How far another studio is with it; None when none computes it."""

    def tell(self, key: str, message: Progress | JobResult) -> None:
        """How far this studio is, or what there is so far."""

    def release(self, key: str) -> None:
        """It is not computed here after all."""

    def drop(self, key: str) -> None:
        """A result that is of no use any more."""

    def cancel(self, slot: str, but: str = "") -> None:
        """No other studio has to finish what was asked for in this slot, except for the job of the key `but`."""

    def to_stop(self) -> frozenset[str]:
        """The jobs of this studio that were given up at another one, by key."""

    def forget_people(self) -> None:
        """Results with known people go; when this returns, no other studio computes one."""


class OwnBoard:
    """As Board, for a studio alone: the latest results."""

    def __init__(self) -> None:
        self._results: OrderedDict[str, JobResult] = OrderedDict()

    def claim(self, slot: str, job: Job) -> bool:  # noqa: ARG002 - there is nobody else
        """Always."""
        return True

    def result(self, key: str) -> JobResult | None:
        """As Board."""
        if key in self._results:
            self._results.move_to_end(key)
        return self._results.get(key)

    def progress(self, key: str) -> Progress | None:  # noqa: ARG002
        """There is no other studio."""
        return None

    def tell(self, key: str, message: Progress | JobResult) -> None:
        """As Board; how far it is the queue itself knows."""
        if isinstance(message, JobResult):
            self._results[key] = message
            self._results.move_to_end(key)
            while len(self._results) > KEPT:
                self._results.popitem(last=False)

    def release(self, key: str) -> None:
        """Nobody else waits for it."""

    def drop(self, key: str) -> None:
        """As Board."""
        self._results.pop(key, None)

    def cancel(self, slot: str, but: str = "") -> None:
        """There is nobody else."""

    def to_stop(self) -> frozenset[str]:
        """There is nobody else."""
        return frozenset()

    def forget_people(self) -> None:
        """All results go."""
        self._results.clear()


class SharedBoard:
    """As Board, for studios on one database. What failed is known here alone: another studio may do better."""

    def __init__(self, jobs: SharedJobs, queue: str) -> None:
        self._jobs, self._queue, self._failures, self._told_s = jobs, queue, OwnBoard(), 0.0

    def claim(self, slot: str, job: Job) -> bool:
        """As Board."""
        return self._jobs.claim(job.key, f"{self._queue}/{slot}", with_people=job.has_people)

    def result(self, key: str) -> JobResult | None:
        """As Board."""
        if failure := self._failures.result(key):
            return failure
        job = self._jobs.read(key)
        return job.result if job else None

    def progress(self, key: str) -> Progress | None:
        """As Board."""
        job = self._jobs.read(key)
        return (job.progress or STARTING) if job and job.runs else None

    def tell(self, key: str, message: Progress | JobResult) -> None:
        """As Board; not each step of a job, only now and then one."""
        if isinstance(message, JobResult):
            if message.problem:
                self._failures.tell(key, message)
                self._jobs.release(key)
            else:
                self._jobs.put(key, result=message, complete=message.finished)
        elif time.monotonic() - self._told_s > TELL_S:
            self._told_s = time.monotonic()
            self._jobs.put(key, progress=message)

    def release(self, key: str) -> None:
        """As Board."""
        self._jobs.release(key)

    def drop(self, key: str) -> None:
        """As Board."""
        self._failures.drop(key)
        self._jobs.drop(key)

    def cancel(self, slot: str, but: str = "") -> None:
        """As Board."""
        self._jobs.cancel(f"{self._queue}/{slot}", but)

    def to_stop(self) -> frozenset[str]:
        """As Board."""
        return self._jobs.to_stop()

    def forget_people(self) -> None:
        """As Board."""
        self._failures.forget_people()
        self._jobs.forget_people()
