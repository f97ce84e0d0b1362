"""The background of the studio: the errands that wait, the one that runs, and the answers, each under its own key."""

import threading
from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import CancelledError, Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import get_context
from multiprocessing.connection import Connection
from typing import Any, TypeVar

from everyrung.web.errands import Computed, Errand, Stand, work

T = TypeVar("T")
KEPT = 64  # answers; chosen, because the demo's takes 26 kB
STARTING = Stand(words="getting ready", done=0, total=0)


class Backroom:
    """Computes off the studio's own process, so that a page never waits.

    Each place (a session, say) waits for one errand at most: the next one of the same place replaces it, and gives up
    the one that runs. Answers are found by the errand's key, so what is outdated can't be taken for current.
    """

    def __init__(self) -> None:
        self._spawn = get_context("spawn")
        self._one = threading.Lock()
        self._waiting: OrderedDict[str, Errand] = OrderedDict()
        self._answers: OrderedDict[str, Computed] = OrderedDict()
        self._stand: dict[str, Stand] = {}
        self._running: tuple[int, str, Errand] | None = None
        self._number = 0
        self._wanted = self._spawn.Value("i", 0)
        self._quick: ProcessPoolExecutor | None = None
        self._pipe: Connection | None = None
        self._process: Any = None
        self._closed = False

    def want(self, place: str, errand: Errand) -> None:
        """Asks for an answer, and lets go of what this place wanted before."""
        key = errand.key
        with self._one:
            if key in self._answers and self._answers[key].finished:
                self._drop(place)
                return
            if self._running and self._running[1] == place:
                if self._running[2].key == key:
                    self._waiting.pop(place, None)
                    return
                self._wanted.value = 0
            self._waiting[place] = errand
            self._stand.setdefault(key, STARTING)
        self._next()

    def leave(self, place: str) -> None:
        """Nobody waits there any more."""
        with self._one:
            self._drop(place)

    def found(self, key: str) -> Computed | None:
        """The answer, or as much of it as there is."""
        with self._one:
            if key in self._answers:
                self._answers.move_to_end(key)
            return self._answers.get(key)

    def stand(self, key: str) -> Stand | None:
        """How far it is; None when nobody asked for it, or it is finished."""
        with self._one:
            return self._stand.get(key)

    def quick(self, task: Callable[..., T], *given: Any) -> "Future[T]":
        """Something short, a figure say, in a process of its own that no long errand blocks.

        A process that was ended from outside is replaced, and what it did is done once more; then BrokenProcessPool.
        """
        answer: Future[T] = Future()
        answer.set_running_or_notify_cancel()  # so that nobody who left makes it an answer that can't be given
        self._begin(answer, task, given, again=True)
        return answer

    def _begin(self, answer: "Future[T]", task: Callable[..., T], given: tuple[Any, ...], *, again: bool) -> None:
        def ended(done: "Future[T]") -> None:
            problem = CancelledError() if done.cancelled() else done.exception()
            if isinstance(problem, BrokenProcessPool) and again:
                self._begin(answer, task, given, again=False)
            elif problem:
                answer.set_exception(problem)
            else:
                answer.set_result(done.result())

        try:
            self._submitted(task, given).add_done_callback(ended)
        except RuntimeError as problem:  # broken again at once, or the studio ends
            answer.set_exception(problem)

    def _submitted(self, task: Callable[..., T], given: tuple[Any, ...]) -> "Future[T]":
        """The task with the pool that there is; a broken one is let go."""
        with self._one:
            if self._closed:
                raise RuntimeError("the studio is closed")
            try:
                if self._quick:
                    return self._quick.submit(task, *given)
            except BrokenProcessPool:
                self._quick = None
            self._quick = ProcessPoolExecutor(1, mp_context=self._spawn)
            return self._quick.submit(task, *given)

    def forget_people(self) -> None:
        """All answers, and what waits with people in it, are let go; what is made with people now is broken off."""
        with self._one:
            self._answers.clear()
            for place in [place for place, errand in self._waiting.items() if errand.expected.people]:
                self._drop(place)
            if self._process and self._running and self._running[2].expected.people:
                self._process.kill()
                self._process.join(5)

    def close(self) -> None:
        """Ends both processes."""
        with self._one:
            self._closed = True
            self._wanted.value = 0
            if self._pipe:
                self._pipe.close()
            if self._process:
                self._process.terminate()
                self._process.join(5)
            if self._quick:
                self._quick.shutdown(wait=False, cancel_futures=True)

    def _drop(self, place: str) -> None:
        errand = self._waiting.pop(place, None)
        if errand:
            self._stand.pop(errand.key, None)
        if self._running and self._running[1] == place:
            self._wanted.value = 0

    def _next(self) -> None:
        with self._one:
            if self._running or not self._waiting or self._closed:
                return
            place, errand = self._waiting.popitem(last=False)
            self._number += 1
            self._running = (self._number, place, errand)
            self._wanted.value = self._number
            pipe = self._started()
            pipe.send((self._number, errand))

    def _started(self) -> Connection:
        if self._process is None or not self._process.is_alive():
            ours, theirs = self._spawn.Pipe(duplex=False)[::-1]
            answers, answering = self._spawn.Pipe(duplex=False)
            self._process = self._spawn.Process(target=work, args=(theirs, answering, self._wanted), daemon=False)
            self._process.start()
            theirs.close()
            answering.close()
            self._pipe = ours
            threading.Thread(target=self._listen, args=(answers,), daemon=True).start()
        assert self._pipe is not None
        return self._pipe

    def _listen(self, answers: Connection) -> None:
        while True:
            try:
                number, said = answers.recv()
            except (EOFError, OSError):
                self._ended(None)
                return
            if isinstance(said, Stand):
                self._heard(number, said)
            elif isinstance(said, Computed):
                self._keep(number, said)
            if said is None or (isinstance(said, Computed) and said.finished):
                self._ended(number)

    def _heard(self, number: int, said: Stand) -> None:
        with self._one:
            if self._running and self._running[0] == number:
                self._stand[self._running[2].key] = said

    def _keep(self, number: int, said: Computed) -> None:
        with self._one:
            if self._running and self._running[0] == number:
                key = self._running[2].key
                self._answers[key] = said
                self._answers.move_to_end(key)
                while len(self._answers) > KEPT:
                    self._answers.popitem(last=False)

    def _ended(self, number: int | None) -> None:
        """An errand is over; without a number, its process is."""
        with self._one:
            if self._running and number in (None, self._running[0]):
                key = self._running[2].key
                self._stand.pop(key, None)
                if number is None and not self._closed:
                    words = "The background stopped while it computed this. Change something, or load the page anew."
                    self._answers[key] = Computed(problem=words, finished=True)
                self._running = None
        self._next()
