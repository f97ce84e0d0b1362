"""One row of a table of the coach's own things, taken away by its number."""

from sqlalchemy import Engine
from sqlalchemy.orm import Session as Work

from everyrung.store.sessions import NotThere
from everyrung.store.tables import OwnCueTable, OwnRungTable


def remove_row(engine: Engine, table: type[OwnCueTable] | type[OwnRungTable], key: int, told: str) -> None:
    """Raises NotThere with the words of `told` when there is none."""
    with Work(engine.execution_options(writes=True)) as work, work.begin():
        found = work.get(table, key) if 0 < key < 2**31 else None
        if found is None:
            raise NotThere(told)
        work.delete(found)
