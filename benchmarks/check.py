"""What `everyrung check` and `everyrung --help` cost against a bare interpreter start, and a cell at 15, 150 and 1,500.

Run: .venv/bin/python benchmarks/check.py. The commands take turns, and of each the least processor time counts, its own
and the system's, so that what else the machine does matters little. Compiled modules are kept, as in an installed
program, in a folder of this run. Ratios within one run mean something; the milliseconds are this machine's.
"""

import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from everyrung.checks.registry import check
from everyrung.moves.library import standard_library
from everyrung.plan.read import plan_from_text
from everyrung.plan.resolve import resolve
from everyrung.timing.timeline import build_timeline

HERE = Path(__file__).resolve().parent
TURNS, ROUNDS = 25, 7  # chosen, because the least of so many comes out the same again within a tenth
BARE, CLI = "python -c pass", [sys.executable, "-m", "everyrung.cli"]
COMMANDS = {
    BARE: [sys.executable, "-c", "pass"],
    "import everyrung": [sys.executable, "-c", "import everyrung"],
    "everyrung --help": [*CLI, "--help"],
    "everyrung check": [*CLI, "check", str(HERE.parent / "examples" / "boathouse-30.toml")],
}
MOST = {"everyrung --help": 3.0, "everyrung check": 8.0}  # times the bare start
MOST_MS_A_CELL = 0.3  # at 1,500 cells
MOVES = ("squat", "split-squat", "hip-hinge", "bridge", "push-up")


def plan_text(cells: int, block: str) -> str:
    """A plan of five moves in as many rounds as make `cells` cells, each round a repetition more than the first."""
    columns = "".join(f'[[block.move]]\nmove = "{move}"\n' for move in MOVES)
    rounds = "".join(
        f'[[block.round]]\nname = "{number}"\ncell.squat = {{ dose = "{8 + number % 12} reps" }}\n'
        for number in range(cells // len(MOVES))
    )
    head = 'title = "Long"\nslot_minutes = 240\n[who]\nin_room = 5\n[[block]]\nkind = "main"\n'
    return f'{head}name = "{block}"\n{columns}{rounds}'


def check_ms(text: str) -> float:
    """Processor time of what `everyrung check` does once it is loaded."""
    start = time.process_time()
    session = resolve(plan_from_text(text, "long.toml"), standard_library())
    check(session, build_timeline(session))
    return (time.process_time() - start) * 1000


def cells_ms(cells: int) -> float:
    """Processor time of one check of this many cells, in a process of its own, for what was decided once is known; the
    library and the rules are read before, by a plan that shares no cell with it.
    """
    code = f"""
import sys
sys.path.insert(0, {str(HERE)!r})
from check import check_ms, plan_text
check_ms(plan_text(15, "One"))
print(check_ms(plan_text({cells}, "Two")))
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return float(done.stdout)


def command_ms(command: list[str], environment: dict[str, str]) -> float:
    """Processor time of one process, from its start to its end."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(command, env=environment, capture_output=True, check=False)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return (after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime) * 1000


def least_ms() -> dict[str, float]:
    """The least of each command, after one run that compiles."""
    with tempfile.TemporaryDirectory() as compiled:
        environment = {**os.environ, "PYTHONPYCACHEPREFIX": compiled}
        environment.pop("PYTHONDONTWRITEBYTECODE", None)
        turns = [{name: command_ms(each, environment) for name, each in COMMANDS.items()} for _ in range(TURNS + 1)]
    return {name: min(turn[name] for turn in turns[1:]) for name in COMMANDS}


def main() -> None:
    """Prints the comparisons."""
    taken = least_ms()
    for name, each_ms in taken.items():
        most = f", at most {MOST[name]:g}" if name in MOST else ""
        print(f"{name:<18}{each_ms:7.1f} ms   {each_ms / taken[BARE]:5.2f} x the bare start{most}")
    base_us = 0.0
    for cells in (15, 150, 1500):
        each_us = min(cells_ms(cells) for _ in range(ROUNDS)) / cells * 1000
        base_us = base_us or each_us
        most = f", at most {MOST_MS_A_CELL * 1000:g}" if cells == 1500 else ""
        print(f"{cells:>5} cells       {each_us:7.1f} us a cell{most}   {each_us / base_us:.2f} x of 15 cells")


if __name__ == "__main__":
    main()
