"""Plans of every kind, the same for each number, and their sessions with any cut order."""

import random
import runpy
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import tomlkit

from everyrung.moves.library import standard_library
from everyrung.pipeline import run_plan
from everyrung.plan.read import plan_from_text
from everyrung.plan.resolve import resolve
from everyrung.terms.enums import BlockKind, Caution, Level, MoveKind, Side
from everyrung.terms.errors import Faults
from everyrung.terms.plan import Ref
from everyrung.terms.session import Session

ROOT = Path(__file__).parents[2]
LIBRARY = standard_library()


def plan_number(number: int) -> str:
    """A plan that can be read: half are built at random from the library, half are examples with something spoilt."""
    seed = random.Random(number)
    for _ in range(200):
        text = _built(seed) if number % 2 else _spoilt(seed)
        try:
            run_plan(plan_from_text(text, "plan.toml"), library=LIBRARY)
        except (Faults, TypeError, ValueError):
            continue
        return text
    raise AssertionError(f"no plan of number {number} can be read")


def _spoilt(seed: random.Random) -> str:
    spoil: Callable[[str, random.Random], str] = _mutations()["spoilt_values"]
    texts: list[str] = _mutations()["TEXTS"]
    return spoil(seed.choice(texts), seed)


_CACHE: dict[str, Any] = {}


def _mutations() -> dict[str, Any]:
    if not _CACHE:
        _CACHE.update(runpy.run_path(str(ROOT / "tests" / "plan" / "test_mutations.py")))
    return _CACHE


_KIT: list[dict[str, Any]] = [
    {"item": "dumbbells", "mass": "4 kg", "as": "pairs", "count": 12},
    {"item": "dumbbells", "mass": "8 kg", "count": 6},
    {"item": "band", "grade": "light band", "each": 1},
    {"item": "mini band", "grade": "light mini band", "each": 1},
    {"item": "kettlebell", "mass": "8 kg", "count": 12},
    {"item": "sliders", "count": 12},
    {"item": "ball", "diameter": "65 cm", "rated": "250 kg", "count": 12},
    {"item": "chair", "each": 1},
    {"item": "chair", "count": 3},
    {"item": "step", "count": 12},
]


def _built(seed: random.Random) -> str:
    """Two to five strength moves in one to three rounds that change something, perhaps a warm-up and a cool-down."""
    limits = seed.sample([str(each) for each in Caution], seed.choice([0, 0, 1, 1, 2]))
    blocks = [_main(seed)]
    for kind, moves in ((BlockKind.WARM_UP, MoveKind.WARM_UP), (BlockKind.COOL_DOWN, MoveKind.COOL_DOWN)):
        if seed.random() < 0.7:
            keys = [key for key in LIBRARY.keys if LIBRARY.move(key).kind is moves]
            chosen = seed.sample(keys, seed.randint(1, 5))
            block = {"kind": str(kind), "move": [{"move": key} for key in chosen]}
            blocks = [block, *blocks] if kind is BlockKind.WARM_UP else [*blocks, block]
    if seed.random() < 0.4:
        blocks.append({"kind": "reserve", "move": [{"move": seed.choice(["calf-raise", "squat", "front-plank"])}]})
    plan = {
        "title": "Any evening",
        "slot_minutes": seed.choice([15, 20, 25, 30, 45]),
        "level": str(seed.choice(list(Level))),
        "who": {"in_room": seed.randint(1, 14), "newcomers": seed.random() < 0.5, "limits": limits},
        "kit": [dict(each) for each in _KIT if seed.random() < 0.6],
        "block": blocks,
    }
    return tomlkit.dumps({key: value for key, value in plan.items() if value != []})


def _main(seed: random.Random) -> dict[str, Any]:
    keys = [key for key in LIBRARY.keys if LIBRARY.move(key).kind is MoveKind.STRENGTH]
    moves = []
    for key in seed.sample(keys, seed.randint(2, 5)):
        move = {"move": key, "rung": seed.choice(LIBRARY.move(key).versions).key}
        if seed.random() < 0.4:
            move["options"] = {seed.choice(["harder", "easier", "no_kit"]): seed.choice(LIBRARY.move(key).versions).key}
        moves.append(move)
    rounds = []
    for number in range(seed.randint(1, 3)):
        cells = {each["move"]: _changed(seed, each["move"]) for each in moves if number and seed.random() < 0.6}
        rounds.append({"name": f"Round {number + 1}", "cell": cells} if cells else {"name": f"Round {number + 1}"})
    return {
        "kind": "main",
        "say": seed.choice([["Let us begin."], ["Faster, like this."]]),
        "move": moves,
        "round": rounds,
    }


def _changed(seed: random.Random, move: str) -> dict[str, Any]:
    return seed.choice(
        [
            {"dose": f"{seed.randint(5, 20)} a side"},
            {"rung": seed.choice(LIBRARY.move(move).versions).key},
            {"add": [{"pause": "2 s"}]},
            {"sides": "left only"},
            {"options": {"easier": seed.choice(LIBRARY.move(move).versions).key}},
        ]
    )


def session_number(number: int) -> Session:
    """The plan of a number, resolved, with up to ten of all its places in its cut order, in any order."""
    seed = random.Random(number)
    session = resolve(plan_from_text(plan_number(number), "plan.toml"), LIBRARY)
    places = list(dict.fromkeys(_places(session)))
    return replace(session, cut_order=tuple(seed.sample(places, min(len(places), seed.randint(1, 10)))))


def _places(session: Session) -> Iterator[Ref]:
    """Blocks, rounds, sets and, of some sets, one side."""
    for block in session.blocks:
        yield Ref(block=block.name)
        for each in block.rounds:
            yield Ref(block=block.name, round=each.name)
            for cell in each.cells:
                yield cell.ref
                if len(cell.bouts) > 1:
                    yield replace(cell.ref, side=Side.LEFT)
