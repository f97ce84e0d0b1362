"""A draft: columns put in order, with options, doses and rests, in a frame, so that it fills the slot by the clock."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import NamedTuple

from everyrung.checks.cells import and_list
from everyrung.checks.rules.training import LEAST_REST_MS, TRAINED
from everyrung.cues.speech import number_words
from everyrung.moves.library import Library
from everyrung.plan.resolve import resolve
from everyrung.proposals.columns import DOSES, Column, Version, is_beside
from everyrung.proposals.frame import HERE, announcement, cool_down, warm_up
from everyrung.proposals.shared_kit import waves_needed, with_waves
from everyrung.proposals.versions_beside import VersionsBeside
from everyrung.terms.enums import BlockKind
from everyrung.terms.plan import BlockText, CellText, Plan, Ref, RoundText
from everyrung.terms.session_brief import SessionBrief, Style
from everyrung.timing.timeline import build_timeline

ROUND_REST_MORE_S = 15  # between rounds, over a rest between sets; chosen, because the next round is announced in it
LONGEST_TITLE = 40  # letters; chosen, because a telephone shows no more of them in a line
FULL = 0.97  # of the slot; chosen, because the clock's constants are no better known


class Rests(NamedTuple):
    """The rest between two sets, s: as it is tried first, the least and the most."""

    usual: int
    least: int
    most: int


# Chosen: time to breathe, to set up calmly, and before one cools; between sets of one move the minute of ACSM 2009.
RESTS_S = {
    Style.ROUNDS: Rests(usual=30, least=20, most=75),
    Style.PAIRS: Rests(usual=30, least=20, most=75),
    Style.STATIONS: Rests(usual=30, least=20, most=75),
    Style.STRAIGHT: Rests(usual=65, least=60, most=90),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """A plan with the columns it is made of, in the order they are led, and what it comes to by the clock."""

    plan: Plan
    columns: tuple[Column, ...]
    total_ms: int


def draft(
    beside: VersionsBeside,
    selection: Sequence[Column],
    spare: Sequence[Column],
    doses: Sequence[int] = DOSES,
    newcomer_rounds: int | None = None,
) -> Draft | int:
    """The columns as a session that fills the slot; else by how many ms it is too long (or, below 0, too short).

    `spare` are columns for the reserve, `doses` the repetitions of a first plain set as they are tried;
    `newcomer_rounds` those that first-timers are led through, where these are not as usual.
    """
    sequence, rest = in_order(selection), RESTS_S[beside.brief.style]
    rests = sum(len(column.versions) for column in sequence)
    misses: list[int] = []
    least_reps, most_reps = 0, max(doses)  # between which the slot may still be met, by the doses that were tried
    for reps in doses:
        if not least_reps <= reps <= most_reps:
            continue
        plan = _in_waves(beside, sequence, _plan(beside, sequence, spare, reps, rest.usual, newcomer_rounds))
        total_ms = _total_ms(plan, beside.library)
        miss_ms = total_ms - plan.slot_ms
        rest_s = rest.usual - -(-miss_ms // (1000 * rests))
        rest_s = min(rest.most, max(rest.least, rest_s))
        for seconds in (rest_s, rest_s - 1, rest_s - 2):
            if seconds < rest.least:
                break
            plan = _in_waves(beside, sequence, _plan(beside, sequence, spare, reps, seconds, newcomer_rounds))
            total_ms = _total_ms(plan, beside.library)
            if FULL * plan.slot_ms <= total_ms <= plan.slot_ms:
                return Draft(plan=plan, columns=sequence, total_ms=total_ms)
        misses.append(total_ms - plan.slot_ms)
        if rest_s == rest.least and misses[-1] > 0:
            most_reps = reps - 1
        if rest_s == rest.most and misses[-1] < 0:
            least_reps = reps + 1
    return min(misses, key=abs)


def _in_waves(beside: VersionsBeside, sequence: Sequence[Column], plan: Plan) -> Plan:
    """The plan as it is, or in waves where there is too little kit for everybody at once."""
    short = any(waves_needed(beside.brief, column) for column in sequence)
    return with_waves(plan, beside.library) if short else plan


def in_order(selection: Sequence[Column]) -> tuple[Column, ...]:
    """The order with the fewest changes of place and kit and the least of one pattern on end, hard moves early.

    The best of all orders, by the shortest way through every set of columns that may be left [held1962].
    """
    start = tuple(
        sorted(selection, key=lambda column: (column.position.on_floor, str(column.position), str(column.key)))
    )
    costs = [[_change(before, after) for after in start] for before in start]

    @cache
    def best(last: int, left: frozenset[int]) -> tuple[int, tuple[int, ...]]:
        """What the rest of a round costs after a column, back to the first of the next round, and its order."""
        if not left:
            return costs[last][0], ()
        ways = ((each, *best(each, left - {each})) for each in sorted(left))
        return min((costs[last][each] + cost, (each, *order)) for each, cost, order in ways)

    # Rounds follow each other: what an order costs does not depend on where it begins, but that is not on the floor.
    return tuple(start[at] for at in (0, *best(0, frozenset(range(1, len(start))))[1]))


def _change(before: Column, after: Column) -> int:
    """What it asks to go on from one column to another: getting down or up twenty, so that nobody does twice a round to
    part two of a like pattern; kit two, a like pattern six.
    """
    cost = 20 * (before.position.on_floor != after.position.on_floor)
    cost += before.position is not after.position
    cost += 2 * len(after.kit - before.kit)
    return cost + 6 * (before.move.pattern is after.move.pattern and before is not after)


def _total_ms(plan: Plan, library: Library) -> int:
    return build_timeline(resolve(plan, library)).total_ms


def _plan(
    beside: VersionsBeside,
    sequence: Sequence[Column],
    spare: Sequence[Column],
    reps: int,
    rest_s: int,
    newcomer_rounds: int | None,
) -> Plan:
    brief, library = beside.brief, beside.library
    rounds = len(sequence[0].versions)
    mains = list(_main_blocks(beside, sequence, reps, rest_s))
    return Plan(
        file="proposal",
        title=brief.title or title_of(brief, sequence),
        slot_ms=brief.minutes * 60_000,
        who=brief.who,
        level=brief.level,
        kit=brief.kit,
        newcomer_rounds=newcomer_rounds or (min(2, rounds) if brief.newcomers else None),
        cut_order=tuple(_cut_order(mains)),
        blocks=(
            announcement(brief, sequence, rounds),
            warm_up(brief, library, sequence),
            *mains,
            cool_down(brief, library, sequence),
            _reserve(beside, spare),
        ),
    )


def _main_blocks(beside: VersionsBeside, sequence: Sequence[Column], reps: int, rest_s: int) -> Iterator[BlockText]:
    """One block of all moves; or one for each pair, or each move, in the styles that finish these first."""
    together = beside.brief.style.moves_together or len(sequence)
    groups = [sequence[at : at + together] for at in range(0, len(sequence), together)]
    for number, group in enumerate(groups, 1):
        name = "Main" if len(groups) == 1 else f"Part {number_words(number).capitalize()}"
        on_end = len(group) == 1 and group[0].move.pattern in TRAINED
        yield main_block(beside, name, group, reps, max(rest_s, LEAST_REST_MS // 1000) if on_end else rest_s)


def main_block(beside: VersionsBeside, name: str, group: Sequence[Column], reps: int, rest_s: int) -> BlockText:
    """Columns as one block of rounds, each set with its dose, load and options."""
    texts = [[_cell(beside, column, version, reps) for version in column.versions] for column in group]
    keys = [column.move.key for column in group]
    rounds = tuple(
        RoundText(where=HERE, name=number_words(at + 1).capitalize(), cells=dict(zip(keys, cells, strict=True)))
        for at, cells in enumerate(zip(*texts, strict=True))
    )
    rests_ms = [_rest_ms(group, at, reps, rest_s) for at in range(len(group))]
    return BlockText(
        where=HERE,
        kind=BlockKind.MAIN,
        name=name,
        rest_ms=rest_s * 1000,
        round_rest_ms=max((rest_s + ROUND_REST_MORE_S) * 1000, rests_ms.pop()),
        columns={
            key: replace(cells[0], options={}, add=(), rest_ms=rest_ms if rest_ms > rest_s * 1000 else None)
            for key, cells, rest_ms in zip(keys, texts, (*rests_ms, 0), strict=True)
        },
        rounds=rounds,
    )


def _rest_ms(group: Sequence[Column], at: int, reps: int, rest_s: int) -> int:
    """The rest after a set: longer than the usual one where what it trains would come again too soon from another."""
    pattern, left_ms = group[at].move.pattern, LEAST_REST_MS
    if len(group) == 1 or pattern not in TRAINED:
        return rest_s * 1000
    for column in (*group[at + 1 :], *group[:at]):
        if column.move.pattern is pattern:
            break
        left_ms -= rest_s * 1000 + min(version.work_ms(reps) for version in column.versions)
    return max(rest_s * 1000, -(-left_ms // 1000) * 1000)


def _cell(beside: VersionsBeside, column: Column, version: Version, reps: int) -> CellText:
    return CellText(
        where=HERE,
        move=column.move.key,
        rung=version.rung.key,
        add=version.add,
        dose=version.dose(reps),
        load=version.load,
        options=beside.of(column.move, version),
    )


def _reserve(beside: VersionsBeside, spare: Sequence[Column]) -> BlockText:
    """Two moves for an evening that runs early: no kit to fetch or to share, standing where there are such."""
    own = (column for column in spare if not waves_needed(beside.brief, column))
    easy = sorted(own, key=lambda column: (bool(column.kit), column.position.on_floor))
    texts = {
        column.move.key: _cell(beside, column, column.versions[0], DOSES[0])
        for column in easy[:2]
    }  # fmt: skip
    return BlockText(where=HERE, kind=BlockKind.RESERVE, name="Reserve", columns=texts)


def _cut_order(mains: Sequence[BlockText]) -> Iterator[Ref]:
    """The last round of each main block set by set, from its end; its first set stays."""
    for block in mains[::-1]:
        if len(block.rounds) > 1:
            last = block.rounds[-1]
            for key in list(last.cells)[:0:-1]:
                yield Ref(block=block.name, round=last.name, cell=key)
            yield Ref(block=block.name, round=last.name)


def title_of(brief: SessionBrief, sequence: Sequence[Column]) -> str:
    """'30 minutes: knee, hip and push' for want of a name of her own; of many patterns those in focus first and those
    beside the point last, as many as fit, 'and more'.
    """
    there = [column.move.pattern for column in sequence]
    patterns = dict.fromkeys((*brief.focus, *sorted(there, key=lambda each: is_beside(brief, each))))
    words = [str(each).removesuffix("-dominant") for each in patterns if each in there]
    title = f"{brief.minutes} minutes: {and_list(words)}"
    for count in range(len(words) - 1, 0, -1):
        if len(title) <= LONGEST_TITLE:
            break
        title = f"{brief.minutes} minutes: {', '.join(words[:count])} and more"
    return title
