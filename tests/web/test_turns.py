"""Saves of one session come one by one, and answers wait for them, but not for ever."""

import threading
import time
from concurrent.futures import ThreadPoolExecutor

import pytest

from everyrung.web import turns
from everyrung.web.turns import Turns

SOON_S = 5.0


def test_saves_come_one_by_one_and_an_answer_after_all_of_them() -> None:
    session, first, go = Turns(), threading.Event(), threading.Event()
    order: list[str] = []

    def save(name: str) -> None:
        with session.save():
            order.append(f"{name} begins")
            if name == "one":
                first.set()
                assert go.wait(SOON_S)
            order.append(f"{name} ends")

    def answer() -> None:
        with session.answer():
            order.append("answer")

    with ThreadPoolExecutor(3) as pool:
        jobs = [pool.submit(save, "one")]
        assert first.wait(SOON_S)
        jobs.append(pool.submit(save, "two"))
        while session._saves < 2:
            time.sleep(0.001)
        jobs.append(pool.submit(answer))
        time.sleep(0.05)
        go.set()
        for job in jobs:
            job.result(SOON_S)
    assert order == ["one begins", "one ends", "two begins", "two ends", "answer"]


def test_an_answer_does_not_wait_for_ever(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(turns, "MOST_WAIT_S", 0.05)
    session = Turns()
    with session.save(), session.answer():
        pass


def test_a_save_that_fails_keeps_nobody_waiting() -> None:
    session = Turns()
    with pytest.raises(ValueError, match="no"), session.save():
        raise ValueError("no")
    begun = time.monotonic()
    with session.answer(), session.save():
        assert time.monotonic() - begun < turns.MOST_WAIT_S
