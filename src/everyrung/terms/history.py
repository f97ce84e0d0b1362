"""What people really did, set by set, and when they came."""

from collections.abc import Iterator, Mapping
from dataclasses import field
from datetime import date
from enum import StrEnum

from everyrung.terms.errors import Where, require
from everyrung.terms.frozen import dataclass
from everyrung.terms.person import NO_FILE, same_name
from everyrung.terms.units import MAX_REPS, Load

MOST_LEFT = 100  # chosen, because nobody means more
MOST_HEADS = 1000  # chosen, because no hall holds more


class Source(StrEnum):
    """Where a record comes from."""

    CARD = "card"
    PLAYER = "player"
    STAGE = "stage"
    ENTRY = "entry"
    FILE = "file"


@dataclass(frozen=True, slots=True, kw_only=True)
class SetRecord:
    """One set that was done on a day: the keys of the `move` and its `version`, with a load or none, `reps` a side or
    `seconds`, and how many more were `left`. Without a `person` it is the answer of the whole room, `heads` of them.

    `cell` says where in the session, such as "Main/Two/row"; '' where nobody wrote it. `effort` is how hard the evening
    felt, 0 to 10. Raises Invalid for what nobody does.
    """

    where: Where = field(default=NO_FILE, compare=False)
    on: date
    session: str = ""
    person: str = ""
    heads: int = 1
    cell: str = ""
    move: str
    version: str
    load: Load | None = None
    reps: int = 0
    seconds: float = 0.0
    left: float | None = None
    effort: float | None = None
    pain: bool | None = None
    source: Source = Source.FILE

    def __post_init__(self) -> None:
        require(bool(self.move.strip()), "move", "the name of a move", self.move)
        require(bool(self.version.strip()), "version", "which version of it", self.version)
        require(1 <= self.heads <= MOST_HEADS, "heads", f"1 to {MOST_HEADS} people", self.heads)
        require(self.heads == 1 or not self.person, "heads", "1 where a person is named", self.heads)
        require(0 <= self.reps <= MAX_REPS, "reps", f"0 to {MAX_REPS} repetitions", self.reps)
        require(0 <= self.seconds <= 3600, "seconds", "0 to 3600 s", self.seconds)
        require(self.left is None or 0 <= self.left <= MOST_LEFT, "left", f"0 to {MOST_LEFT}", self.left)
        require(self.effort is None or 0 <= self.effort <= 10, "effort", "0 to 10", self.effort)

    @property
    def key(self) -> tuple[object, ...]:
        """What a later record of the same set has in common with this one, which it corrects."""
        return self.on, self.session, same_name(self.person), self.cell, self.move if not self.cell else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class History:
    """Everything that was written down, in that order; a later record of a set corrects an earlier one, and both stay.

    >>> from datetime import date
    >>> row = {"on": date(2026, 11, 2), "person": "Aino", "cell": "Main/One/row", "move": "bent-row", "version": "pair"}
    >>> history = History(records=(SetRecord(**row, reps=8, left=3), SetRecord(**row, reps=8, left=1)))
    >>> [each.left for each in history.current], len(history.records)
    ([1], 2)
    """

    records: tuple[SetRecord, ...] = ()

    @property
    def current(self) -> tuple[SetRecord, ...]:
        """The records that hold, by day; without a cell, sets of one move on one day all hold."""
        latest: dict[object, SetRecord] = {}
        for place, record in enumerate(self.records):
            latest[record.key if record.cell else place] = record
        return tuple(sorted(latest.values(), key=lambda record: record.on))

    def of(self, person: str) -> "History":
        """Those of one person, however the name is spelt."""
        return History(records=tuple(each for each in self.records if same_name(each.person) == same_name(person)))

    def without(self, person: str) -> "History":
        """All but those of one person."""
        return History(records=tuple(each for each in self.records if same_name(each.person) != same_name(person)))

    def evenings(self) -> Mapping[date, tuple[SetRecord, ...]]:
        """The current records by day, in order of the days."""
        days: dict[date, list[SetRecord]] = {}
        for record in self.current:
            days.setdefault(record.on, []).append(record)
        return {day: tuple(records) for day, records in days.items()}

    def __iter__(self) -> Iterator[SetRecord]:
        return iter(self.records)
