"""For a coach: what does a plan lose when the slot is shorter, and is it still fit to lead?

python examples/slots.py examples/boathouse-30.toml 20 25 30
"""

import sys

import everyrung as er


def main(path: str, slots: list[int]) -> None:
    plan = er.load_plan(path)
    for minutes in slots:
        result = er.analyze(plan, minutes=minutes)
        fit = result.refit
        long = f"{result.timeline.total_ms / 60_000:.1f} min"
        verdict = (
            "fit to lead" if result.clean and not fit.problem else f"not right yet: {fit.problem or 'see findings'}"
        )
        print(f"{minutes} minutes: {long}, {verdict}")
        for change in (*fit.lost, *fit.gained):
            print(f"    {change}")


if __name__ == "__main__":
    try:
        main(sys.argv[1], [int(word) for word in sys.argv[2:]] or [20, 25, 30])
    except (er.Faults, er.Invalid) as problem:
        sys.exit(str(problem))
