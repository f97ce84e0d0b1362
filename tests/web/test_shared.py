"""Several studios on one database, as objects of this process: one computes, all see it, and one that ends is missed.

Each test runs on SQLite and on a real PostgreSQL server.
"""

import asyncio
import time
from collections.abc import Coroutine, Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from by_hand import ByHand
from sqlalchemy import Engine, text, update
from sqlalchemy.orm import Session as Work

from everyrung.moves.library import standard_library
from everyrung.pipeline import AudienceSpec
from everyrung.store import shared_jobs
from everyrung.store.database import open_database
from everyrung.store.seal import Seal
from everyrung.store.studios import GONE_S, Studios
from everyrung.store.tables import StudioTable
from everyrung.terms.person import Person
from everyrung.web import passphrase, sharing
from everyrung.web.board import SharedBoard
from everyrung.web.job_queue import JobQueue
from everyrung.web.jobs import Job, JobResult, Progress
from everyrung.web.pairing import FIRST_S
from everyrung.web.passphrase import MOST_TRIES
from everyrung.web.settings import Settings
from everyrung.web.sharing import shared_studio
from everyrung.web.studio import Studio

TEXT = (Path(__file__).parents[1] / "cli" / "small.toml").read_text(encoding="utf-8")
HER = Person(name="Sunniva", stature_m=1.7)
DONE = JobResult(finished=True, notes=("all of it",))
SEAL = Seal("a secret of their folder")


class One:
    """One of several studios: its queue, and what it computes by hand."""

    def __init__(self, engine: Engine) -> None:
        self.studios, self.hand = Studios(engine), ByHand()
        self.jobs = JobQueue(self.hand, SharedBoard(shared_jobs.SharedJobs(engine, self.studios, SEAL), "jobs"))


@pytest.fixture
def two(engine: Engine) -> tuple[One, One]:
    return One(engine), One(engine)


def job(dose: str = "8 reps", people: tuple[Person, ...] = ()) -> Job:
    return Job(text=TEXT.replace('dose = "8 reps"', f'dose = "{dose}"'), audience=AudienceSpec(people=people))


def silence(engine: Engine, one: One) -> None:
    """As if its process had been killed some time ago."""
    with Work(engine.execution_options(writes=True)) as work, work.begin():
        past_ms = time.time_ns() // 1_000_000 - int(1000 * GONE_S) - 1000
        work.execute(update(StudioTable).where(StudioTable.id == one.studios.name).values(beat_ms=past_ms))


def test_a_job_asked_for_at_both_is_computed_by_one_and_seen_at_both(two: tuple[One, One]) -> None:
    here, there = two
    here.jobs.submit("write/s", job())
    there.jobs.submit("write/s", job())
    there.jobs.submit("write/s", job())
    assert (len(here.hand.begun), len(there.hand.begun)) == (1, 0)
    assert there.jobs.progress(job().key)
    here.hand.hear(Progress(words="people", count=1, total=2))
    assert there.jobs.progress(job().key) == Progress(words="people", count=1, total=2)
    here.hand.hear(JobResult(notes=("bodies",)))
    assert there.jobs.result(job().key) == JobResult(notes=("bodies",))
    here.hand.answers[0].set_result(DONE)
    assert there.jobs.result(job().key) == here.jobs.result(job().key) == DONE
    assert there.jobs.progress(job().key) is None
    there.jobs.submit("write/s", job())
    assert not there.hand.begun


def test_each_computes_another_job(two: tuple[One, One]) -> None:
    here, there = two
    here.jobs.submit("write/s", job())
    there.jobs.submit("write/t", job("9 reps"))
    assert [here.hand.begun, there.hand.begun] == [[job()], [job("9 reps")]]


def test_what_a_dead_one_computed_another_takes_up(two: tuple[One, One], engine: Engine) -> None:
    here, there = two
    here.jobs.submit("write/s", job())
    there.jobs.submit("write/s", job())
    assert not there.hand.begun
    silence(engine, here)
    assert there.jobs.progress(job().key) is None
    there.jobs.submit("write/s", job())  # by the page, which asks each second
    assert there.hand.begun == [job()]
    here.hand.answers[0].set_result(JobResult(finished=True, notes=("late",)))  # it was only slow
    assert there.jobs.result(job().key) is None
    there.hand.answers[0].set_result(DONE)
    assert here.jobs.result(job().key) == DONE


def test_what_is_given_up_at_one_is_given_up_where_it_is_computed(two: tuple[One, One]) -> None:
    here, there = two
    here.jobs.submit("write/s", job())
    there.jobs.cancel("write/s")
    assert not here.hand.given_up
    here.jobs.look()
    assert here.hand.given_up == here.hand.answers
    there.jobs.submit("write/s", job())  # asked for again before it has stopped
    assert there.hand.begun == [job()]


def test_the_next_of_a_slot_takes_the_place_of_the_one_elsewhere(two: tuple[One, One]) -> None:
    here, there = two
    here.jobs.submit("write/s", job())
    there.jobs.submit("write/s", job("9 reps"))
    assert there.hand.begun == [job("9 reps")]
    here.jobs.look()
    assert here.hand.given_up == here.hand.answers


def test_what_failed_at_one_another_tries(two: tuple[One, One], capsys: pytest.CaptureFixture[str]) -> None:
    here, there = two
    here.jobs.submit("write/s", job())
    here.hand.answers[0].set_exception(MemoryError())
    assert "MemoryError" in capsys.readouterr().err
    failed = here.jobs.result(job().key)
    assert failed
    assert "short of memory" in failed.problem
    assert there.jobs.result(job().key) is None
    there.jobs.submit("write/s", job())
    assert there.hand.begun == [job()]


def test_people_are_forgotten_at_all(two: tuple[One, One], monkeypatch: pytest.MonkeyPatch) -> None:
    here, there = two
    with_her = [job(people=(HER,)), job("9 reps", people=(HER,))]
    here.jobs.submit("cards/s", with_her[0])
    here.hand.answers[0].set_result(DONE)
    here.jobs.submit("cards/s", with_her[1])
    looks = []

    def look(_: float) -> None:
        looks.append(1)
        here.jobs.look()  # as its heartbeat does

    monkeypatch.setattr(shared_jobs.time, "sleep", look)
    there.jobs.forget_people()
    assert looks == [1]
    assert here.hand.answers[1].exception()
    assert here.jobs.result(with_her[0].key) is None


def test_nothing_of_a_result_stands_in_the_database_as_it_is(two: tuple[One, One], engine: Engine) -> None:
    here, _ = two
    here.jobs.submit("cards/s", job(people=(HER,)))
    here.hand.answers[0].set_result(JobResult(finished=True, notes=("Sunniva",)))
    with engine.connect() as connection:
        row = connection.execute(text("SELECT * FROM job")).one()
    assert b"Sunniva" not in bytes(row.result)
    assert SEAL.open(bytes(row.result)).notes == ("Sunniva",)
    assert Seal("another").open(bytes(row.result)) is None
    assert SEAL.open(bytes(row.result)[:-4] + b"AAAA") is None


@pytest.fixture
def pair(engine: Engine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[tuple[Studio, Studio]]:
    monkeypatch.setattr(sharing, "BEAT_S", 0.05)
    settings = Settings(folder=tmp_path)
    made = shared_studio(settings, open_database(engine.url)), shared_studio(settings, open_database(engine.url))
    yield made
    for each in made:
        each.close()


def test_names_of_pictures_hold_at_both(pair: tuple[Studio, Studio]) -> None:
    rung = standard_library().rung("squat", "base")
    name = pair[0].figure(rung)
    assert pair[1].asked_picture(name) == (rung, None, None)
    assert pair[1].figure(rung) == name
    assert pair[1].asked_picture("no-such-name") is None


def in_a_loop(work: Coroutine[Any, Any, Any]) -> Any:
    """In a thread of its own, for a browser's tests in the same process leave a loop running in this one."""
    with ThreadPoolExecutor(1) as aside:
        return aside.submit(asyncio.run, work).result()


def test_wrong_tries_are_counted_together(pair: tuple[Studio, Studio], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(passphrase, "SLOWER_S", 0.0)
    here, there = (each.wrong_codes for each in pair)
    assert not here.right("192.0.2.9", "1", "2")
    assert 0 < there.wait_s("192.0.2.9") <= FIRST_S
    assert not there.right("192.0.2.9", "1", "2")
    assert FIRST_S < here.wait_s("192.0.2.9") <= 2 * FIRST_S
    assert there.wait_s("192.0.2.8") == 0
    assert there.right("192.0.2.9", "2", "2")
    assert here.wait_s("192.0.2.9") == 0

    async def guesses() -> list[bool | None]:
        return [await each.tries.check("192.0.2.9", "wrong", "$argon2id$no") for each in pair * (MOST_TRIES // 2)]

    assert in_a_loop(guesses()) == [False] * MOST_TRIES
    assert in_a_loop(pair[0].tries.check("192.0.2.9", "wrong", "$argon2id$no")) is None
    assert in_a_loop(pair[1].tries.check("192.0.2.8", "wrong", "$argon2id$no")) is False


def test_a_studio_that_ends_is_missed_at_once_and_one_that_runs_is_not(engine: Engine, tmp_path: Path) -> None:
    made = shared_studio(Settings(folder=tmp_path), open_database(engine.url))
    others = Studios(engine)
    assert len(others.running()) == 2
    made.close()
    assert others.running() == {others.name}
