"""The jobs of the studio: those that wait, the one that runs, and the results, each under its own key."""

import sys
import threading
import time
from collections import OrderedDict
from concurrent.futures import Future
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, field
from functools import partial
from math import inf
from typing import Any

from everyrung.terms.errors import ProcessEnded
from everyrung.web.board import STARTING, Board, OwnBoard
from everyrung.web.first_time import make_ready
from everyrung.web.jobs import Job, JobResult, Progress, do_job
from everyrung.web.log import log_line
from everyrung.web.workers import ProcessWorkers, TaskCancelled, Workers

LEFT_S = 15.0  # chosen, because a page asks each second, also one behind another, and a line may drop for some seconds
AGAIN_S = 2.0  # chosen, because a page that asks by itself does so each second, and a coach reads the words first
CUT_OFF = (BrokenProcessPool, ProcessEnded, MemoryError)
ENDED = "What computed this was stopped from outside; the machine may be short of memory. Your plan is safe."
AGAIN = "Reload the page to try again."
FAILED = "This could not be computed. Your plan is safe; the window the studio runs in says more."


class JobQueue:
    """Computes off the studio's own process, one job at a time, so that a page never waits.

    Each slot (a session's rehearsal, say) has one job at most: the next one of the same slot takes its place, and the
    one that runs is given up; so is one for the eyes of a page alone that no page has asked for lately. Results go by
    the job's key, so that what is outdated can't be taken for current. They stand on the `board`: where other studios
    write on it too, a job is computed by one of them.
    """

    def __init__(self, workers: Workers | None = None, board: Board | None = None) -> None:
        self._workers: Workers = workers or ProcessWorkers(aside=True)
        self.board: Board = board or OwnBoard()
        self._lock = threading.RLock()
        self._waiting: OrderedDict[str, Job] = OrderedDict()
        self._asked_s: dict[str, float] = {}  # when a page asked last, by slot that waits or runs; never left: inf
        self._ended_s: dict[str, float] = {}  # when jobs were ended from outside, by key
        self._running: _Running | None = None
        self._is_closed = False

    def make_ready(self) -> None:
        """Has done, before anybody waits for it, what takes long the first time on a machine."""
        self._workers.submit(make_ready)

    def submit(self, slot: str, job: Job, *, while_asked: bool = False) -> None:
        """Asks for a job's result, and lets go of what this slot asked for before; of a job wanted only `while_asked`
        it is let go, too, when nobody asks for it any more."""
        with self._lock:
            if self._is_done(job.key):
                self._cancel(slot)
                return
            self._asked_s[slot] = time.monotonic() if while_asked else inf
            running = self._running
            if running and running.slot == slot:
                if running.job.key == job.key and not running.is_cancelled:
                    self._waiting.pop(slot, None)
                    return
                self._give_up(running)
            self._waiting[slot] = job
        self._next()

    def cancel(self, slot: str) -> None:
        """Nobody waits there any more."""
        with self._lock:
            self._cancel(slot)
            self.board.cancel(slot)

    def _cancel(self, slot: str) -> None:
        self._waiting.pop(slot, None)
        self._asked_s.pop(slot, None)
        if self._running and self._running.slot == slot:
            self._give_up(self._running)

    def look(self) -> None:
        """Gives up what nobody waits for at any studio any more."""
        to_stop = self.board.to_stop()
        with self._lock:
            running = self._running
            if running and running.job.key in to_stop:
                if running.job.has_people:
                    self._end(running)
                else:
                    self._give_up(running)

    def job_of(self, slot: str) -> Job | None:
        """The job of a slot that waits or runs here; None where there is none."""
        with self._lock:
            if slot in self._waiting:
                return self._waiting[slot]
            running = self._running
            return running.job if running and running.slot == slot and not running.is_cancelled else None

    def result(self, key: str) -> JobResult | None:
        """The result, or as much of it as there is."""
        with self._lock:
            return self.board.result(key)

    def progress(self, key: str) -> Progress | None:
        """How far it is; None when nobody asked for it, or it is finished."""
        with self._lock:
            if self._running and not self._running.is_cancelled and self._running.job.key == key:
                return self._running.progress
            return STARTING if any(job.key == key for job in self._waiting.values()) else self.board.progress(key)

    def forget_people(self) -> None:
        """All results, and the jobs with people in them, are let go; when this returns, none writes anything more."""
        with self._lock:
            for slot in [slot for slot, job in self._waiting.items() if job.has_people]:
                del self._waiting[slot]
            if self._running and self._running.job.has_people:
                self._end(self._running)
        self.board.forget_people()

    def close(self) -> None:
        """Gives up everything; nothing is left running."""
        with self._lock:
            self._is_closed = True
            self._waiting.clear()
        self._workers.close()

    def _is_done(self, key: str) -> bool:
        """Whether there is a whole result; not one whose files are gone, nor, after a while, one that was ended."""
        ended_s = self._ended_s.get(key)
        if ended_s is not None and time.monotonic() - ended_s > AGAIN_S:
            del self._ended_s[key]
            self.board.drop(key)
        result = self.board.result(key)
        if result and result.folder and not result.folder.is_dir():
            self.board.drop(key)  # made for other choices since
            return False
        return bool(result and result.finished)

    def _is_left(self, slot: str, job: Job) -> bool:
        """Whether it is for a page alone, and that was left: when somebody comes back, it is asked for anew."""
        is_left = time.monotonic() - self._asked_s.get(slot, inf) > LEFT_S
        return is_left and not any(each.key == job.key for other, each in self._waiting.items() if other != slot)

    def _give_up(self, running: "_Running") -> None:
        if not running.is_cancelled and running.answer:
            running.is_cancelled = True
            self._workers.cancel(running.answer)

    def _end(self, running: "_Running") -> None:
        running.is_cancelled = True
        if running.answer:
            self._workers.end(running.answer)

    def _next(self) -> None:
        with self._lock:
            if self._running or self._is_closed:
                return
            while self._waiting:
                slot, job = self._waiting.popitem(last=False)
                self.board.cancel(slot, but=job.key)
                if self._is_left(slot, job):
                    continue
                if not self._is_done(job.key) and self.board.claim(slot, job):
                    break
            else:
                return
            running = self._running = _Running(slot=slot, job=job)
            running.answer = self._workers.submit(do_job, job, hear=partial(self._hear, running))
        running.answer.add_done_callback(partial(self._over, running))

    def _hear(self, running: "_Running", message: Progress | JobResult) -> None:
        with self._lock:
            if self._running is not running or running.is_cancelled:
                return
            if self._is_left(running.slot, running.job):
                self._give_up(running)
                return
            if isinstance(message, Progress):
                running.progress = message
            self.board.tell(running.job.key, message)

    def _over(self, running: "_Running", answer: "Future[JobResult]") -> None:
        problem = answer.exception()
        with self._lock:
            self._running = None
            if running.is_cancelled or self._is_closed or isinstance(problem, TaskCancelled):
                self.board.release(running.job.key)
            else:
                if isinstance(problem, CUT_OFF):
                    self._ended_s[running.job.key] = time.monotonic()
                self.board.tell(running.job.key, _failure(problem) if problem else answer.result())
        self._next()


@dataclass(slots=True, kw_only=True)
class _Running:
    slot: str
    job: Job
    progress: Progress = field(default=STARTING)
    answer: "Future[Any] | None" = None
    is_cancelled: bool = False


def _failure(problem: BaseException) -> JobResult:
    """Why there is no result, in words; the window says more."""
    print(f"background: {log_line(problem)}", file=sys.stderr)
    if isinstance(problem, ProcessEnded):
        return JobResult(problem=f"{problem} {AGAIN}", finished=True)
    return JobResult(problem=f"{ENDED} {AGAIN}" if isinstance(problem, CUT_OFF) else FAILED, finished=True)
