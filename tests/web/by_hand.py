"""Jobs whose end a test says, for what several tests of queues share."""

from collections.abc import Callable
from concurrent.futures import Future
from typing import Any

from everyrung.web.jobs import Job
from everyrung.web.workers import TaskCancelled


class ByHand:
    """A place where jobs run of which a test says when they end: nothing of the queue assumes this machine."""

    def __init__(self) -> None:
        self.begun: list[Job] = []
        self.answers: list[Future[Any]] = []
        self.hear: Callable[[Any], None] = print
        self.given_up: list[Future[Any]] = []
        self.closed = False

    def submit(self, _task: Callable[..., Any], *values: Any, hear: Callable[[Any], None] | None = None) -> Any:
        assert hear
        self.begun.append(values[0])
        self.answers.append(Future())
        self.hear = hear
        return self.answers[-1]

    def cancel(self, answer: "Future[Any]") -> None:
        self.given_up.append(answer)

    def end(self, answer: "Future[Any]") -> None:
        answer.set_exception(TaskCancelled())

    def close(self) -> None:
        self.closed = True
