"""The waves of a part as a form has them: by move who begins with it in which group; and back into groups of a plan."""

from collections.abc import Mapping
from dataclasses import dataclass

from everyrung.checks.waves import who_is_where
from everyrung.terms.errors import Invalid
from everyrung.terms.plan import LETTERS, MOST_WAVES, WAVE_RESTS, BlockText
from everyrung.terms.sentences import lower_first
from everyrung.timing.turns import at_turn

BEGINS, COUNT = "begins-", "waves-"  # what the names of fields start with: a move's key, a group's number comes after
FEWEST_WAVES = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class BeginsWith:
    """A move and who begins with it, '1A' for wave A of group 1; '' where all do it at once."""

    key: str
    name: str
    slot: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WaveGroup:
    """A group: its number from 1, what each wave does turn by turn, and how many waves there are."""

    number: int
    lines: tuple[str, ...]
    waves: int


@dataclass(frozen=True, slots=True, kw_only=True)
class WaveFields:
    """All of a part: its moves, its groups, and the slots that a move can be given, with their words."""

    moves: tuple[BeginsWith, ...]
    groups: tuple[WaveGroup, ...]
    slots: tuple[tuple[str, str], ...]

    @property
    def counts(self) -> tuple[int, ...]:
        """How many waves a group can have."""
        return tuple(range(FEWEST_WAVES, MOST_WAVES + 1))


def wave_fields(text: BlockText, names: Mapping[str, str], in_room: int) -> WaveFields:
    """What the form shows of a part; `names` are those of its moves by their keys."""
    slots = {key: f"{at}{LETTERS[place]}" for at, one in enumerate(text.waves, 1) for place, key in enumerate(one)}
    groups = tuple(
        WaveGroup(number=at, lines=_lines(one, names, in_room), waves=len(one)) for at, one in enumerate(text.waves, 1)
    )
    most = min(len(groups) + 1, len(text.columns))
    return WaveFields(
        moves=tuple(BeginsWith(key=key, name=names.get(key, key), slot=slots.get(key, "")) for key in text.columns),
        groups=groups,
        slots=tuple(
            (f"{at}{letter}", f"{letter} begins, group {at}")
            for at in range(1, most + 1)
            for letter in LETTERS[:MOST_WAVES]
        ),
    )


def _lines(group: tuple[str, ...], names: Mapping[str, str], in_room: int) -> tuple[str, ...]:
    """'A: places 1 to 8: squat, then lunge' for each wave."""
    who = who_is_where(max(in_room, len(group)), len(group))
    ways = zip(*(at_turn(group, turn) for turn in range(len(group))), strict=True)
    return tuple(
        f"{where}: {', then '.join(_move(key, names) for key in way)}" for where, way in zip(who, ways, strict=True)
    )


def _move(key: str, names: Mapping[str, str]) -> str:
    name = names.get(key, key)
    return lower_first(name)


def waves_from(form: Mapping[str, str]) -> list[list[str]] | None:
    """The groups that a form asks for; None where all do everything at once. Raises Invalid for what can't be led."""
    groups: dict[int, dict[int, str]] = {}
    for field, slot in form.items():
        if field.startswith(BEGINS) and slot:
            number, wave = _slot(slot)
            group = groups.setdefault(number, {})
            key = field.removeprefix(BEGINS)
            if wave in group:
                both = f"{group[wave]} and {key}"
                raise Invalid("waves", f"one move that {LETTERS[wave]} begins with in group {number}", both)
            group[wave] = key
    return [_group(form, number, groups[number]) for number in sorted(groups)] or None


def _slot(slot: str) -> tuple[int, int]:
    number, letter = slot[:-1], slot[-1]
    if not (number.isdecimal() and len(number) < 3 and letter in LETTERS[:MOST_WAVES]):
        raise Invalid("waves", "a group and a wave, such as 1A", slot)
    return int(number), LETTERS.index(letter)


def _group(form: Mapping[str, str], number: int, moves: Mapping[int, str]) -> list[str]:
    """As many turns as waves; who begins without a move rests then."""
    count = form.get(f"{COUNT}{number}", "")
    turns = int(count) if count.isdecimal() and len(count) < 3 else FEWEST_WAVES
    waves = min(MOST_WAVES, max(FEWEST_WAVES, turns, max(moves) + 1))
    return [moves.get(wave, WAVE_RESTS) for wave in range(waves)]
