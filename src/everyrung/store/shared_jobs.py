"""Jobs of several studios on one database: each is computed by one of them, and its result is there for all."""

import time
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Engine, delete, select, update
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session as Work

from everyrung.store.seal import Seal
from everyrung.store.studios import GONE_S, Studios, running
from everyrung.store.tables import JobTable

KEPT = 512  # results; chosen, because each is some 30 kB
ENDED_S, LOOK_S = GONE_S + 4.0, 0.1  # how long others have to end what they do with people, and between two looks


@dataclass(frozen=True, slots=True, kw_only=True)
class SharedJob:
    """What is known of a job: `runs` while a studio that runs computes it."""

    runs: bool
    finished: bool
    progress: Any
    result: Any


class SharedJobs:
    """All of one database, for the studio `studios.name`."""

    def __init__(self, engine: Engine, studios: Studios, seal: Seal) -> None:
        self._engine, self._studios, self._seal = engine, studios, seal

    def claim(self, key: str, slot: str, *, with_people: bool) -> bool:
        """Whether this studio is to compute it: nobody did, or who did runs no more. `with_people`: known ones."""
        try:
            with self._writing() as work, work.begin():
                row = work.get(JobTable, key, with_for_update=True)
                if row and (row.finished or (row.studio_id in running(work) and not row.cancelled)):
                    return row.studio_id == self._studios.name and not row.finished
                if row is None:
                    row = JobTable(key=key)
                    work.add(row)
                row.slot, row.studio_id, row.with_people = slot[:200], self._studios.name, with_people
                row.cancelled, row.finished, row.progress, row.result, row.at_ms = False, False, None, None, _now_ms()
        except IntegrityError:  # another one in the same instant
            return False
        return True

    def read(self, key: str) -> SharedJob | None:
        """What is known of it; None when nobody asked."""
        with Work(self._engine) as work:
            row = work.get(JobTable, key)
            if row is None:
                return None
            runs = not (row.finished or row.cancelled) and row.studio_id in running(work)
            result, progress = self._seal.open(row.result), self._seal.open(row.progress)
            return SharedJob(runs=runs, finished=row.finished and result is not None, progress=progress, result=result)

    def put(self, key: str, *, progress: Any = None, result: Any = None, complete: bool = False) -> None:
        """How far this studio's job is, what there is so far, or all of it; nothing once it was taken from it."""
        values: dict[str, Any] = {"at_ms": _now_ms(), "finished": complete}
        if progress is not None:
            values["progress"] = self._seal.close(progress)
        if result is not None:
            values["result"] = self._seal.close(result)
        with self._writing() as work, work.begin():
            work.execute(update(JobTable).where(*self._mine(key)).values(**values))
            if complete:
                oldest = select(JobTable.key).where(JobTable.finished).order_by(JobTable.at_ms.desc()).offset(KEPT)
                work.execute(delete(JobTable).where(JobTable.key.in_(oldest.scalar_subquery())))

    def release(self, key: str) -> None:
        """This studio does not compute it after all."""
        with self._writing() as work, work.begin():
            work.execute(delete(JobTable).where(*self._mine(key), JobTable.finished.is_(False)))

    def drop(self, key: str) -> None:
        """A result that is of no use any more."""
        with self._writing() as work, work.begin():
            work.execute(delete(JobTable).where(JobTable.key == key, JobTable.finished))

    def cancel(self, slot: str, but: str = "") -> None:
        """Nobody waits there any more, except for the job of the key `but`; whoever computes it hears of it."""
        waits = JobTable.slot == slot[:200], JobTable.key != but, JobTable.finished.is_(False)
        with self._writing() as work, work.begin():
            work.execute(update(JobTable).where(*waits).values(cancelled=True))

    def to_stop(self) -> frozenset[str]:
        """The keys of this studio's jobs that nobody waits for any more."""
        query = select(JobTable.key).where(JobTable.studio_id == self._studios.name, JobTable.cancelled)
        with Work(self._engine) as work:
            return frozenset(work.scalars(query))

    def forget_people(self) -> None:
        """Every result with known people goes, and every such job is given up; when this returns, none is computed."""
        with self._writing() as work, work.begin():
            work.execute(delete(JobTable).where(JobTable.with_people, JobTable.finished))
            work.execute(update(JobTable).where(JobTable.with_people).values(cancelled=True))
        ends_s = time.monotonic() + ENDED_S
        while time.monotonic() < ends_s and self._any_with_people():
            time.sleep(LOOK_S)

    def _any_with_people(self) -> bool:
        with Work(self._engine) as work:
            others = running(work) - {self._studios.name}
            query = select(JobTable.key).where(JobTable.with_people, JobTable.studio_id.in_(others)).limit(1)
            return work.scalars(query).first() is not None

    def _writing(self) -> Work:
        return Work(self._engine.execution_options(writes=True))

    def _mine(self, key: str) -> tuple[Any, ...]:
        return JobTable.key == key, JobTable.studio_id == self._studios.name


def _now_ms() -> int:
    return time.time_ns() // 1_000_000
