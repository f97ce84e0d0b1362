"""What is seen from when to when, before anything is drawn; and what came of writing it."""

from collections.abc import Mapping
from dataclasses import dataclass

from everyrung.terms.enums import Side, Sidedness
from everyrung.terms.errors import require
from everyrung.terms.move import Rung
from everyrung.terms.units import Load, Tempo


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """A rung's figure: it does `reps` repetitions of `rep_ms` from `begins_ms` on, and before and after is at rest.

    `side` is the participant's; of an alternating rung it goes by the repetition.
    """

    rung: Rung
    load: Load | None
    tempo: Tempo
    side: Side
    begins_ms: int = 0
    rep_ms: int = 0
    reps: int = 0

    def in_rep_ms(self, at_ms: int) -> int:
        """How far into a repetition the figure is; 0 at rest."""
        gone_ms = at_ms - self.begins_ms
        return gone_ms % self.rep_ms if 0 <= gone_ms < self.reps * self.rep_ms else 0

    def side_at(self, at_ms: int) -> Side:
        """Alternating moves start on the left, as the timeline has it."""
        if self.rung.form.sides is not Sidedness.ALTERNATING:
            return self.side
        done = (at_ms - self.begins_ms) // self.rep_ms if self.rep_ms else 0
        return Side.RIGHT if min(max(done, 0), max(self.reps - 1, 0)) % 2 else Side.LEFT


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """Words and figure that stay the same from `at_ms` until `end_ms`; only the figure moves.

    `above` stands over the title, `label` over the count ('3', 'of 8'); `working`: now everyone works. `coming` is the
    next move, told early. `agenda` are rows of name and length, where there is no figure yet.
    """

    at_ms: int
    end_ms: int
    above: str
    title: str
    label: str = ""
    count: str = ""
    of: str = ""
    side: str = ""
    notes: tuple[str, ...] = ()
    coming: str = ""
    working: bool = False
    shown: Shown | None = None
    agenda: tuple[tuple[str, str], ...] = ()

    def __post_init__(self) -> None:
        require(0 <= self.at_ms < self.end_ms, "end_ms", f"more than {self.at_ms} ms", self.end_ms)


@dataclass(frozen=True, slots=True, kw_only=True)
class VideoMade:
    """A written video; `split` is the wall time of each part of the work, s."""

    seconds: float
    frames: int
    size_bytes: int
    split: Mapping[str, float]
