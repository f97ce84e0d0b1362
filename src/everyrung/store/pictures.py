"""What the names of pictures stand for, seen by all studios on one database."""

import time
from typing import Any

from sqlalchemy import Engine, delete, select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session as Work

from everyrung.store.seal import Seal
from everyrung.store.tables import PictureTable

KEPT_MS = 14 * 24 * 3600 * 1000  # chosen, as long as a login holds: a page that is older is loaded anew


class Pictures:
    """All of one database. A name is the digest of what it stands for, so that it never means anything else."""

    def __init__(self, engine: Engine, seal: Seal) -> None:
        self._engine, self._seal = engine, seal

    def put(self, name: str, meaning: Any) -> None:
        """Notes what a name stands for, if nobody has; those of two weeks ago go."""
        now_ms = time.time_ns() // 1_000_000
        try:
            with Work(self._engine.execution_options(writes=True)) as work, work.begin():
                if work.get(PictureTable, name) is None:
                    work.add(PictureTable(name=name, asked=self._seal.close(meaning), at_ms=now_ms))
                    work.execute(delete(PictureTable).where(PictureTable.at_ms < now_ms - KEPT_MS))
        except IntegrityError:
            return  # another studio did in the same instant

    def get(self, name: str) -> Any:
        """What it stands for; None for a name that is not known."""
        with Work(self._engine) as work:
            return self._seal.open(work.scalar(select(PictureTable.asked).where(PictureTable.name == name)))
