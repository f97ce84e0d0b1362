"""What the leader says and when: cues placed on the session's clock, and those that found no place, with the reason."""

from dataclasses import dataclass
from enum import StrEnum

from everyrung.terms.fault import require
from everyrung.terms.plan import Ref
from everyrung.terms.vocabulary import CueKind


class Track(StrEnum):
    """For people who see the session for the first time, and for those who come again."""

    FIRST = "first time"
    AGAIN = "again"


@dataclass(frozen=True, slots=True, kw_only=True)
class SaidCue:
    """Some words of one kind, on the session's clock; `ref` is the cell they are about, None for the whole session."""

    at_ms: int
    end_ms: int
    kind: CueKind
    text: str
    ref: Ref | None

    def __post_init__(self) -> None:
        require(0 <= self.at_ms < self.end_ms, "end_ms", f"more than {self.at_ms} ms", self.end_ms)
        require(bool(self.text.strip()), "text", "words", self.text)


@dataclass(frozen=True, slots=True, kw_only=True)
class UnsaidCue:
    """Words that found no place, and why."""

    kind: CueKind
    text: str
    ref: Ref | None
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CueTrack:
    """All that is said on one track, in order of time, no two at once; and what is not."""

    track: Track
    said: tuple[SaidCue, ...]
    unsaid: tuple[UnsaidCue, ...] = ()

    def __post_init__(self) -> None:
        for before, after in zip(self.said, self.said[1:], strict=False):
            require(before.end_ms <= after.at_ms, "said", f"a cue from {before.end_ms} ms on", after.at_ms)
