"""What a card says, in words and ready to set: the one source of its page and of its print. No word about health."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One rung with dose, load and test; `when` says who takes it, '' for the answer itself."""

    when: str
    rung: str
    dose: str
    load: str
    test: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """What to do of one move in one round: nothing where the round leaves it out."""

    choices: tuple[Choice, ...]
    effort: str
    skip: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveRow:
    """A move through the rounds, and what to look for."""

    name: str
    entries: tuple[Entry, ...]
    checks: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CardBlock:
    """A block's table: its rounds across."""

    name: str
    rounds: tuple[str, ...]
    rows: tuple[MoveRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """`kit` is what to have at hand, `balls` which ball, `taken` what was guessed."""

    kind: str
    title: str
    whom: str
    kit: tuple[str, ...]
    balls: tuple[str, ...]
    taken: tuple[str, ...]
    heart: str
    blocks: tuple[CardBlock, ...]
    how: tuple[str, ...]
    stop: tuple[str, ...]
