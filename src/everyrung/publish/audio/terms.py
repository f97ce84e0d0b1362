"""Beeps on the session's clock, before anything sounds."""

from dataclasses import dataclass
from enum import StrEnum

from everyrung.terms.fault import require


class BeepKind(StrEnum):
    """What a beep says; where two would fall on the same ms, the one that stands first here is beeped."""

    GO = "go"  # a bout starts, and with it its first repetition
    CHANGE = "change"  # a side switch starts, and so the bout before it is over
    END = "end"
    COUNT_IN = "count-in"
    LAST = "last"  # the last seconds of a hold or of a bout that is led by time
    REP = "rep"  # a further repetition starts; in a hold, ten more seconds are done


@dataclass(frozen=True, slots=True, kw_only=True)
class Beep:
    """One signal; `at_ms` is its onset."""

    at_ms: int
    kind: BeepKind

    def __post_init__(self) -> None:
        require(self.at_ms >= 0, "at_ms", "0 ms or more", self.at_ms)
