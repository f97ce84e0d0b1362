"""What the leader says and when: cues placed on the session's clock, and those that found no place, with the reason."""

from dataclasses import dataclass
from enum import StrEnum

from everyrung.terms.brief import Brief
from everyrung.terms.enums import CueKind
from everyrung.terms.errors import or_list, require
from everyrung.terms.plan import Ref


class Track(StrEnum):
    """For people who see the session for the first time, and for those who come again."""

    FIRST = "first time"
    AGAIN = "again"


# What is written down beforehand; a change and a count follow from the plan.
WRITTEN_KINDS = (CueKind.SET_UP, CueKind.FORM, CueKind.BREATHING, CueKind.SAFETY, CueKind.ENCOURAGEMENT)
MAX_OWN_LETTERS = 120  # chosen, because a longer cue takes over ten seconds to say


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnCue:
    """Words of the coach's own, said before the library's: at every rung of `move`, or at its `rung` alone; without a
    move at every set.
    """

    move: str = ""
    rung: str = ""
    kind: CueKind
    text: str

    def __post_init__(self) -> None:
        require(self.kind in WRITTEN_KINDS, "kind", or_list([repr(str(each)) for each in WRITTEN_KINDS], 9), self.kind)
        length = f"one line of words, of up to {MAX_OWN_LETTERS} letters"
        right = 1 <= len(self.text.strip()) <= MAX_OWN_LETTERS and self.text.isprintable()
        require(right, "text", length, self.text)
        require(bool(self.move) or not self.rung, "rung", "a move that it is a rung of", self.rung)


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


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class CueTrack(Brief):
    """All that is said on one track, in order of time, no two at once; and what is not."""

    track: Track
    said: tuple[SaidCue, ...]
    unsaid: tuple[UnsaidCue, ...] = ()

    def __post_init__(self) -> None:
        for before, after in zip(self.said, self.said[1:], strict=False):
            require(before.end_ms <= after.at_ms, "said", f"a cue from {before.end_ms} ms on", after.at_ms)
