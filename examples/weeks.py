"""For a coach: some weeks' plans from one, a repetition more each week, each of them fitted to the first one's slot.

    python examples/weeks.py examples/boathouse-30.toml OUT 6

Doses of the main blocks grow that are written as "8 reps" or "8 a side". What no longer fits goes by the cut order.
"""

import re
import sys
import tomllib
from pathlib import Path

import everyrung as er


def later(values: object, more: int) -> object:
    """The same values with more repetitions in every dose."""
    if isinstance(values, dict):
        grown = {key: later(value, more) for key, value in values.items()}
        dose = re.fullmatch(r"(\d+) (reps|a side)", str(values.get("dose", "")))
        return grown | {"dose": f"{int(dose[1]) + more} {dose[2]}"} if dose else grown
    return [later(each, more) for each in values] if isinstance(values, list) else values


def main(path: str, folder: str, weeks: int) -> None:
    minutes = er.load_plan(path).slot_ms // 60_000
    first = tomllib.loads(Path(path).read_text(encoding="utf-8"))
    for week in range(1, weeks + 1):
        blocks = [later(each, week - 1) if each["kind"] == "main" else each for each in first["block"]]
        plan = er.load_plan(first | {"title": f"{first['title']}, week {week}", "block": blocks})
        er.save_plan(plan, Path(folder) / f"week-{week}.toml")
        done = er.analyze(plan, minutes=minutes)
        lost = ", ".join(str(change) for change in done.refit.lost) or "nothing"
        print(f"week {week}: {done.timeline.total_ms / 60_000:.1f} min; goes: {lost}")


if __name__ == "__main__":
    try:
        main(sys.argv[1], sys.argv[2], int(sys.argv[3]))
    except (er.Faults, er.Invalid) as problem:
        sys.exit(str(problem))
