"""Waves in words, to be printed or shown: who is in which wave, what each does when, what would save waiting."""

from collections.abc import Sequence

from everyrung.checks.waves import Group, RoundWaves, cell_words, who_is_where
from everyrung.room.one_change import Change
from everyrung.terms.brief import Brief
from everyrung.terms.frozen import dataclass
from everyrung.terms.plan import LETTERS
from everyrung.terms.units import clock_text

MOST_CHANGES = 3  # named for a round; chosen, because more are not weighed up
ALL = "all"


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class TurnWords(Brief):
    """One turn: when in the round, ms; and what each wave does, by its letter or 'all'."""

    at_ms: int
    end_ms: int
    does: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class GroupWords(Brief):
    """Moves that are done side by side: who is in which wave ('A: places 1 to 5'), none where all do the same."""

    who: tuple[str, ...]
    turns: tuple[TurnWords, ...]


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class WaveWords(Brief):
    """A round in waves; `savings` are single changes that were tried, with what each comes to."""

    name: str
    total_ms: int
    longer_ms: int
    idle_ms: int
    groups: tuple[GroupWords, ...]
    too_few: tuple[str, ...]
    savings: tuple[str, ...]


def wave_words(one: RoundWaves, changes: Sequence[Change] = ()) -> WaveWords:
    """A round's waves with the best of the changes."""
    return WaveWords(
        name=one.name,
        total_ms=one.total_ms,
        longer_ms=one.total_ms - one.together_ms,
        idle_ms=one.idle_ms,
        groups=tuple(_group(each, one.people) for each in one.groups),
        too_few=tuple(cell.move.name for cell in one.too_few),
        savings=tuple(f"{each.words}: {_saving(each)}" for each in changes[:MOST_CHANGES]),
    )


def _group(group: Group, people: int) -> GroupWords:
    letters = [ALL] if group.waves == 1 else LETTERS[: group.waves]
    turns = tuple(
        TurnWords(
            at_ms=turn.at_ms,
            end_ms=turn.end_ms,
            does=tuple(zip(letters, map(cell_words, turn.cells), strict=True)),
        )
        for turn in group.turns
    )
    return GroupWords(who=who_is_where(people, group.waves) if group.waves > 1 else (), turns=turns)


def _saving(each: Change) -> str:
    waves = each.after.most_waves
    how = "all at once" if waves == 1 else f"{waves} waves"
    return f"{how}, {clock_text(each.after.idle_ms)} of waiting"
