"""What the rules say while one thing of a clean plan is varied through their limits, as lines for the records."""

import runpy
from collections.abc import Callable, Iterable, Iterator

from recorded import HERE, session_of

from everyrung.checks.registry import check
from everyrung.moves.library import standard_library
from everyrung.terms.enums import Caution, Level, SideRule
from everyrung.terms.errors import Faults
from everyrung.terms.finding import Finding
from everyrung.timing.timeline import build_timeline

COLUMNS = {
    "lunge": "split-squat",
    "hinge": "hip-hinge",
    "row": "bent-row",
    "press": "overhead-press",
    "push": "push-up",
}
LUNGE, TWO, THREE = '  as = "lunge"\n  dose = "8 a side"\n', '  cell.hinge = { dose = "12 reps" }', 'dose = "12 reps" }'
KIT = '[[kit]]\nitem = "chair"\neach = 1\n'
# A text of the clean plan (tests/checks/conftest.py) and what stands in its place, with each of these values in turn.
VARIED: tuple[tuple[str, str, Iterable[object]], ...] = (
    ("slot_minutes = 38", "slot_minutes = {}", range(34, 43)),
    ("in_room = 12", "in_room = {}", (0, 1, 11, 13)),
    ("at_home = 9", "at_home = {}", (0, 1)),
    ('as = "pairs"\ncount = 12', 'as = "pairs"\ncount = {}', (1, 11, 13)),
    ("newcomer_rounds = 2", "newcomer_rounds = {}", (0, 1, 3, 4)),
    ('level = "moderate"', 'level = "{}"', Level),
    ("newcomers = true", 'newcomers = true\nlimits = ["{}"]', Caution),
    (
        'cut_order = ["Main/Three"]',
        "cut_order = [{}]",
        ('"Warm-up/squat-and-reach"', '"Main/Two"', '"Cool-down"', '"Main"'),
    ),
    ('  move = "squat-and-reach"\n  dose = "1:30"', '  move = "squat-and-reach"\n  dose = "{} s"', (79, 80, 81, 82)),
    ('dose = "60 s a side"', 'dose = "{} s a side"', (40, 41, 42)),
    (LUNGE, '  as = "lunge"\n  dose = "{} a side"\n  tempo = "1-0-1-0"\n', range(11, 21)),
    (LUNGE, '  as = "lunge"\n  dose = "{} in all"\n', (13, 14, 15, 16)),
    (LUNGE, '  as = "lunge"\n  dose = "8 a side"\n  sides = "{}"\n', SideRule),
    (LUNGE, '  as = "lunge"\n  dose = "8 a side"\n  right = {{ dose = "{} a side" }}\n', (7, 8, 9)),
    (TWO, '  cell.hinge = {{ dose = "{} reps" }}', (8, 9, 10, 11, 13)),
    (TWO, '  cell.hinge = {{ tempo = "{}" }}', ("2-0-2-0", "3-0-2-1", "1-0-1-0", "3-1-2-0")),
    (TWO, '  cell.hinge = {{ rung = "{}" }}', ("chair", "wall", "reach", "pair", "pair-slow", "one-leg")),
    (
        'round_rest = "0:40"',
        'round_rest = "0:40"\nsay = ["{}"]',
        ("Do it like this.", "Push harder now.", "My left arm."),
    ),
    (KIT, '{}[[kit]]\nitem = "chair"\neach = 1\n', ("", '[[kit]]\nitem = "step"\ncount = 12\n\n')),
)


def limit_lines() -> Iterator[str]:
    edited = runpy.run_path(str(HERE.parent / "checks" / "conftest.py"))["edited"]
    for old, new, values in (*VARIED, *rungs()):
        for value in values:
            text = new.format(value)
            yield " | ".join(text.strip().splitlines())
            yield from (f"  {line}" for line in said_of(edited(((old, text),)), _in_short))


def rungs() -> Iterator[tuple[str, str, Iterable[object]]]:
    """Every rung of every column led, and offered as harder."""
    for key, move in COLUMNS.items():
        old = f'  move = "{move}"\n  as = "{key}"\n' + ('  rung = "knees"\n' if key == "push" else "")
        head = f'  move = "{move}"\n  as = "{key}"\n'
        ladder = [rung.key for rung in standard_library().move(move).ladder]
        yield old, head + '  rung = "{}"\n', ladder
        yield old, head + '  options.harder = "{}"\n', ladder


def said_of(text: str, words: Callable[[Finding], str]) -> Iterator[str]:
    """Each finding of a plan in these words, or what keeps it from being one."""
    try:
        session = session_of(text)
    except Faults as problem:
        yield from map(str, problem.faults)
        return
    yield from map(words, check(session, build_timeline(session)))


def _in_short(each: Finding) -> str:
    """Without what its rule always says."""
    return f"{each.severity} {each.rule} at {each.place}: {each.measured}. {each.remedy} {each.hint}".rstrip()
