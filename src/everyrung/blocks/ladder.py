"""A column's ladder over weeks: the columns that come of it by one lever more, in every round alike."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from everyrung.blocks.middle import DEMAND_REPS
from everyrung.proposals.columns import Column, RungsWithLevers, Version, step
from everyrung.terms.enums import Mode, Sidedness
from everyrung.terms.session_brief import SessionBrief

LEVERS = {"reps": "two repetitions more", "load": "the next piece up", "rung": "the next version"}
DEEPEST = 3  # steps from the first; chosen: a part of six weeks has no more for one move
MOST_REPS, MOST_REPS_LOADED = 15, 12  # in the hardest round: 8 to 12 with a load, more without (ratamess2009)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ladder:
    """Columns of one move, the first as the skeleton has it; `steps` are (from, to, lever) by their places."""

    columns: tuple[Column, ...]
    steps: tuple[tuple[int, int, str], ...]


def ladder_of(
    brief: SessionBrief, rungs: RungsWithLevers, first: Column, levers: Sequence[str] = tuple(LEVERS)
) -> Ladder:
    """All that comes of a column by up to DEEPEST steps, each of one lever in every round."""
    columns, steps = [first], []
    keys = {first.key: 0}
    layer = [0]
    for _ in range(DEEPEST):
        deeper = []
        for at in layer:
            for lever, column in _after(brief, rungs, columns[at], levers):
                if column.key not in keys:
                    keys[column.key] = len(columns)
                    columns.append(column)
                    deeper.append(keys[column.key])
                steps.append((at, keys[column.key], lever))
        layer = deeper
    return Ladder(columns=tuple(columns), steps=tuple(dict.fromkeys(steps)))


def _after(
    brief: SessionBrief, rungs: RungsWithLevers, column: Column, levers: Sequence[str]
) -> Iterator[tuple[str, Column]]:
    """A step of each lever; after a heavier load or a harder version repetitions begin again from where they began."""
    for lever in levers:
        versions = [step(brief, rungs, column.move, version, lever) for version in column.versions]
        there = [version for version in versions if version is not None]
        if len(there) < len(versions):
            continue
        if lever != "reps":
            again = column.versions[0].more
            there = [replace(version, more=version.more - again) for version in there]
        if all(_trains(version) for version in there):
            yield lever, replace(column, versions=tuple(there))


def _trains(version: Version) -> bool:
    """Whether its repetitions still train strength."""
    most = MOST_REPS_LOADED if version.load else MOST_REPS
    form = version.variant.form
    plain = form.mode is not Mode.HOLD and form.sides is Sidedness.BOTH
    return (DEMAND_REPS + version.more if plain else version.dose(DEMAND_REPS).reps or 0) <= most


def lever_between(before: Column, after: Column) -> str:
    """By which lever one column of a move differs from another: a key of LEVERS, '' where it does not.

    After a heavier load or a harder version repetitions may be fewer, so these go first.
    """
    pairs = list(zip(before.versions, after.versions, strict=False))
    if any(one.rung.key != other.rung.key for one, other in pairs):
        return "rung"
    if any(one.load != other.load for one, other in pairs):
        return "load"
    return "reps" if any(one.more != other.more for one, other in pairs) else ""


def with_fewer_rounds(column: Column) -> Column:
    """The column of an easier week: without its last round, which is the hardest."""
    return replace(column, versions=column.versions[:-1] or column.versions, steps=column.steps[:-1])
