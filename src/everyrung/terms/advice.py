"""What one person is told: which rung, which load and which ball, and the test that decides where it is close."""

from dataclasses import dataclass

from everyrung.terms.brief import Brief
from everyrung.terms.enums import OptionKind
from everyrung.terms.move import Form
from everyrung.terms.plan import Ref

HOLD_OR_SKIP = "Hold the start position, or skip and rest."


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Take(Brief):
    """A rung with its dose and load ('' for none) in words; `kind` is None for the led one, `form` is the rung's."""

    kind: OptionKind | None
    rung: str
    dose: str
    load: str
    entry_test: str
    form: Form


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Advice(Brief):
    """For one cell: what to take (None: HOLD_OR_SKIP), why, how hard it will be, and at a boundary the other answer.

    `harder`, the next step up, is taken when its question is answered yes after the first.
    """

    ref: Ref
    move: str
    take: Take | None
    reason: str
    effort: str
    harder: Take | None


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class PersonAdvice(Brief):
    """A whole evening for one person. `taken` says what was taken where nothing was known; `balls` is ball advice by
    purpose, `heart` what their heart rate may be used for.
    """

    name: str
    taken: tuple[str, ...]
    cells: tuple[Advice, ...]
    balls: tuple[str, ...]
    heart: str
