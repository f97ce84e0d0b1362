"""What gives out first in every rung of the library, and whether a coach would name it for that move.

`python docs/accuracy/limits.py` prints the table of docs/limits.md; docs/accuracy/limits.csv holds the reasons of those
rungs that something else stops. Bodies that were not computed before start processes: hence the guard below.
"""

from collections.abc import Iterator
from csv import DictReader
from dataclasses import dataclass
from functools import cache
from math import isfinite
from pathlib import Path

from audience_page import table
from whole_tests import capacity, done, stopped_by

from everyrung.moves.library import standard_library
from everyrung.tables.reader import read_table
from everyrung.terms.enums import MoveKind
from everyrung.terms.person import Sex

AGE = 40  # the middle of an open class; untrained
SEXES = (Sex.FEMALE, Sex.MALE)
FAR = {
    "repetitions": 40,
    "s": 120,
}  # chosen: some three times 14 and six times 20, our sessions' most
REASONS = Path(__file__).with_name("limits.csv")
# Legs and trunk have muscles here, so tables/focus.csv knows their words by muscle groups; here by what those turn.
OF_GROUPS = {
    "hip extension": ("buttocks", "back of the thigh"),
    "hip flexion": ("front of the hip", "front of the thigh"),
    "hip abduction": ("side of the hip",),
    "hip adduction": ("inner thigh",),
    "knee extension": ("front of the thigh",),
    "knee flexion": ("back of the thigh",),
    "ankle plantarflexion": ("calf", "deep calf"),
    "trunk extension": ("back", "trunk"),
    "trunk flexion": ("front of the trunk", "trunk"),
    "trunk bend": ("waist", "trunk"),
    "trunk turn": ("waist", "front of the trunk", "trunk"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """What stops most people of one sex first, which part of them, and the repetitions or s of the middle one."""

    motion: str
    part: float
    after: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """What stops women and men at a rung, and the words of its move."""

    rung: str
    unit: str
    stops: tuple[Stop, ...]
    focus: tuple[str, ...]

    @property
    def unnamed(self) -> tuple[Stop, ...]:
        """What stops somebody and is none of the words of the move."""
        return tuple(one for one in self.stops if not set(words_of(one.motion)) & set(self.focus))

    @property
    def unnamed_near(self) -> tuple[str, ...]:
        """The motions of those that end a set as long as sets are."""
        return tuple(dict.fromkeys(one.motion for one in self.unnamed if one.after <= FAR[self.unit]))


def words_of(motion: str) -> tuple[str, ...]:
    """A coach's words for what turns a joint this way."""
    name = motion.replace(" ", "_")
    rows = (row for row in read_table("focus").rows if row["by"] == "motion")
    return (*(row["word"] for row in rows if row["name"] == name), *OF_GROUPS.get(motion, ()))


@cache
def limits() -> tuple[Limit, ...]:
    """Of every rung of every strength move that asks for any strength."""
    return tuple(_limits())


def _limits() -> Iterator[Limit]:
    library = standard_library()
    for move in (library.move(key) for key in library.keys):
        for rung in move.ladder if move.kind is MoveKind.STRENGTH else ():
            if done(rung.address, None, Sex.FEMALE, AGE)[1]:
                stops = tuple(_stop(rung.address, sex) for sex in SEXES)
                unit = "s" if rung.form.tempo.is_hold else "repetitions"
                yield Limit(rung=rung.address, unit=unit, stops=stops, focus=move.focus)


def _stop(rung: str, sex: Sex) -> Stop:
    motion, part = stopped_by(rung, None, sex, AGE)
    return Stop(motion=motion, part=part, after=capacity(rung, None, sex, AGE))


@cache
def reasons() -> dict[tuple[str, str], str]:
    """By rung and motion."""
    with REASONS.open(encoding="utf-8") as file:
        return {(row["rung"], row["motion"]): row["reason"] for row in DictReader(file)}


def named(one: Limit) -> str:
    """'yes', or why a coach's words are not what stops people."""
    if not one.unnamed:
        return "yes"
    if not one.unnamed_near:
        return f"no, but beyond {FAR[one.unit]} {one.unit}"
    why = dict.fromkeys(reasons()[one.rung, motion] for motion in one.unnamed_near)  # one reason is said once
    return "; ".join(f"**no**: {each}" for each in why)


def _cell(one: Stop) -> str:
    after = f"{one.after:.0f}" if isfinite(one.after) else "never"
    return f"{one.motion} ({100 * one.part:.0f} %), {after}"


def limits_table() -> list[str]:
    """Every rung, a line each."""
    rows = [f"{one.rung} | {' | '.join(map(_cell, one.stops))} | {one.unit} | {named(one)}" for one in limits()]
    return table("rung | women | men | of | a coach names it", rows)


def summary() -> str:
    """How many rungs are how."""
    near = [one for one in limits() if one.unnamed_near]
    far = sum(bool(one.unnamed) for one in limits()) - len(near)
    faults = sum(named(one).startswith("**no**: open") for one in near)
    return (
        f"Of {len(limits())} rungs, {len(limits()) - len(near) - far} are stopped by what a coach names, {far} by "
        f"something else only after more than {FAR['repetitions']} repetitions or {FAR['s']} s, and {len(near)} by "
        f"something else before: {len(near) - faults} with a reason that a coach would give, {faults} by a fault of "
        "the model or of the rung that is open."
    )


def main() -> None:
    """Prints the page's own parts."""
    print(summary(), *limits_table(), sep="\n")


if __name__ == "__main__":
    main()
