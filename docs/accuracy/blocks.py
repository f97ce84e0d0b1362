"""Prints the tables on blocks of docs/accuracy-weeks.md: what each promise comes to, read off the plans of some blocks.

Run: python docs/accuracy/blocks.py
"""

import sys
import time
from collections.abc import Iterator
from datetime import date, timedelta
from itertools import pairwise

import numpy as np

from everyrung import library
from everyrung.blocks.block_file import block_from_text
from everyrung.blocks.block_view import balance_minutes
from everyrung.blocks.middle import session_parts
from everyrung.blocks.search import Block, propose_block
from everyrung.plan.read import plan_from_text
from everyrung.plan.resolve import resolve
from everyrung.store.cache import default_cache
from everyrung.terms.block_brief import EveningKind
from everyrung.terms.enums import BlockKind, Pattern
from everyrung.terms.session import Session
from everyrung.weeks.crowd import draw_crowd
from everyrung.weeks.lines import Lines, library_lines

HEAD = 'title = "{what}"\nfirst = 2027-01-11\nweeks = {weeks}\nbrief = "{what}"\n{more}'
EVENING = '[[weekly]]\nday = "{day}"\nstarts = "18:30"\n'
# What is asked for, weeks, days, and more of the head.
BLOCKS = (
    ("45 min whole body, dumbbells 4 to 12 kg, 8 chairs", 8, ("Monday", "Thursday"), ""),
    ("35 min whole body, dumbbells 4 to 10 kg, 10 chairs", 6, ("Monday", "Thursday"), "closed = [2027-02-04]\n"),
    ("40 min, two 4 kg, 12 mini bands", 6, ("Wednesday",), ""),
    ("30 min, chairs", 5, ("Tuesday", "Friday"), ""),
    ("40 min gentle, 10 chairs, two 3 kg", 6, ("Monday", "Thursday"), "balance = true\n"),
)
HEADS = (
    "block", "asks more a week", "sets, of the last full week's", "patterns missing", "easier weeks",
    "patterns that stay", "balance a week", "steps below their bound", "processor",
)  # fmt: skip
WHOLE = {Pattern.KNEE, Pattern.HIP, Pattern.PUSH, Pattern.PULL, Pattern.OVERHEAD, Pattern.TRUNK}
MOVES, PEOPLE, SEED = ("squat", "hip-hinge", "overhead-press", "bent-row", "floor-press"), 101, 1
GAPS = ((2.0, 3.0), (4.0, 5.0), (6.0, 8.0), (8.0, 10.0))  # kg; neighbours of a club's rack (weeks/lines.py)


def main() -> None:
    """Both tables, as the page has them."""
    moves = library()
    print(f"| {' | '.join(HEADS)} |")
    print("|---|---|---|---|---|---|---|---|---|", flush=True)
    for what, weeks, days, more in BLOCKS:
        head = HEAD.format(what=what, weeks=weeks, more=more) + "".join(EVENING.format(day=day) for day in days)
        begin_s = time.process_time()
        block = propose_block(block_from_text(head, "block.toml", moves).brief, moves, cache=default_cache())
        row = [f"{what}; {weeks} weeks, {len(days)} a week", *facts(block), f"{time.process_time() - begin_s:.0f} s"]
        print(f"| {' | '.join(row)} |", flush=True)
        print(f"gives up: {'; '.join(block.gives_up) or 'nothing'}", file=sys.stderr)
    print("\n| move | " + " | ".join(f"{one:g} to {other:g} kg" for one, other in GAPS) + " |")
    print("|---|" + "---|" * len(GAPS))
    lines = library_lines(MOVES, moves)
    for at, each in enumerate(lines.lines):
        print(f"| {moves.move(each.move).name} | {' | '.join(bridges(lines, at))} |")


def facts(block: Block) -> Iterator[str]:
    """Of one block, read off the texts of its plans."""
    sessions = {each.evening.on: _session(each.text) for each in block.evenings}
    full = [each.evening for each in block.evenings if each.evening.kind is EveningKind.BUILD]
    growth = _growth(block, sessions)
    yield f"{min(growth) - 1:.1%} to {max(growth) - 1:.1%}"
    by_week: dict[int, list[int]] = {}
    for evening in full:
        by_week.setdefault(evening.week, []).append(len(sessions[evening.on].cells_of(BlockKind.MAIN)))
    whole = [sum(sets) for sets in by_week.values() if len(sets) == len(block.brief.weekly)]
    yield f"{max(after / before for before, after in pairwise(whole)):.2f}"
    yield str(sum(1 for _ in _missing(block, sessions)))
    yield ", ".join(map(str, sorted({e.evening.week for e in block.evenings if e.evening.kind is EveningKind.EASIER})))
    stays = [_part_patterns(block, after) for after in range(max(block.parts.values()) + 1)]
    kept = [len(now & before) / len(now) for before, now in pairwise(stays)]
    yield f"{min(kept):.0%}" if kept else "one part"
    minutes: dict[int, float] = {}
    for each in block.evenings:
        minutes[each.evening.week] = minutes.get(each.evening.week, 0.0) + balance_minutes(sessions[each.evening.on])
    yield f"{min(minutes.values()):.0f} to {max(minutes.values()):.0f} min"
    steps = block.steps
    yield f"{max(0.0, steps.bound - steps.worth) / max(abs(steps.bound), 1.0):.1%}"


def _session(text: str) -> Session:
    return resolve(plan_from_text(text, "evening.toml"), library())


def _growth(block: Block, sessions: dict[date, Session]) -> list[float]:
    """By week, how many times as much its evenings ask as the last of their weekday did, measured on the plans."""
    latest: dict[int, float] = {}
    pairs: dict[int, list[tuple[float, float]]] = {}
    for each in block.evenings:
        evening = each.evening
        if evening.kind is not EveningKind.BUILD:
            continue
        session = sessions[evening.on]
        mains = {one.name for one in session.of_kind(BlockKind.MAIN)}
        now = sum(part for name, part in session_parts(session, library(), default_cache()) if name in mains)
        if evening.weekly in latest:
            pairs.setdefault(evening.week, []).append((latest[evening.weekly], now))
        latest[evening.weekly] = now
    return [sum(now for _, now in some) / sum(before for before, _ in some) for some in pairs.values()]


def _missing(block: Block, sessions: dict[date, Session]) -> Iterator[tuple[date, Pattern]]:
    """Patterns that are not there in the seven days from an evening on; a window that the block ends in, or in which
    an evening is closed, is not whole.
    """
    days = sorted(sessions)
    for first in days:
        window = [day for day in days if first <= day < first + timedelta(days=7)]
        if len(window) == len(block.brief.weekly):
            there = {cell.move.pattern for day in window for cell in sessions[day].cells_of(BlockKind.MAIN)}
            yield from ((first, pattern) for pattern in WHOLE - there)


def _part_patterns(block: Block, part: int) -> set[Pattern]:
    columns = block.skeleton.columns.items()
    return {column.move.pattern for (_, of_part), group in columns if of_part == part for column in group}


def bridges(lines: Lines, at: int) -> Iterator[str]:
    """How many versions with the lighter of two pieces lie between it and the next piece, by the hardest joint's part
    of strength, for the middle one of PEOPLE.
    """
    line, crowd = lines.lines[at], draw_crowd(lines.motions, PEOPLE, SEED)
    peak = {}
    for entry, (rung, kg) in enumerate(zip(line.rung.tolist(), line.load_kg.tolist(), strict=True)):
        every = np.full(PEOPLE, entry)
        trial = lines.try_set(crowd.truth, lines.fresh(PEOPLE), at, every, np.full(PEOPLE, 8))
        peak[rung, kg] = float(np.median(trial.peak))
    base = next(rung for rung, offer in enumerate(line.offers) if offer.pieces == 2)
    for light, heavy in GAPS:
        low, high = peak[base, 2 * light], peak[base, 2 * heavy]
        between = sum(low < value < high for (rung, kg), value in peak.items() if kg <= 2 * light and rung != base)
        yield f"{heavy / light - 1:.0%}: {between}"


if __name__ == "__main__":
    main()
