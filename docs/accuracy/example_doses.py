"""How many repetitions each example leaves its middle person in the last round, against what it is meant to leave.

`python docs/accuracy/example_doses.py` prints the tables of docs/rehearsal.md. No source outside the project: two to
four left is common practice, and how many can be done is the model's (docs/accuracy-audience.md). Bodies that were not
computed before start processes, which read this script anew: hence its guard below.
"""

from dataclasses import dataclass
from functools import cache
from pathlib import Path

from audience_page import table

from everyrung.pipeline import AudienceSpec, Options, run
from everyrung.results.analysis import Analysis
from everyrung.store.cache import default_cache
from everyrung.terms.enums import Pattern
from everyrung.terms.forecast import CellForecast

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
NAMES = sorted(path.stem for path in EXAMPLES.glob("*-[0-9][0-9].toml"))
COUNT = 2_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Aim:
    """Who a plan is for and the repetitions that its last round is to leave their middle one; `most` None: no limit."""

    mix: str = "boathouse"
    least: int = 2
    most: int | None = 4
    because: str = "enough to train, and the form stays (common practice)"

    def holds(self, left: int) -> bool:
        return self.least <= left and (self.most is None or left <= self.most)

    def __str__(self) -> str:
        return f"{self.least} or more" if self.most is None else f"{self.least} to {self.most}"


AIMS = {
    "steady-30": Aim(mix="over-sixty", least=4, most=6, because="older people begin lower (common practice)"),
    "seated-30": Aim(mix="over-sixty", least=6, most=None, because="a chair without fear comes first"),
    "first-evening-30": Aim(
        mix="open-class", least=6, most=None, because="nobody's strength is known, and nobody is to be sore for days"
    ),
    "office-20": Aim(mix="open-class", least=6, most=None, because="street clothes, and the meeting goes on"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """A set of the last round as it is led: what is asked and what the middle person could do, of `unit`."""

    plan: str
    set: str
    pattern: Pattern
    asked: int
    possible: int
    unit: str

    @property
    def left(self) -> int:
        return self.possible - self.asked


def aim(name: str) -> Aim:
    return AIMS.get(name, Aim())


@cache
def rehearsed(name: str) -> Analysis:
    """An example before the people whom it is for."""
    spec = AudienceSpec(mix=aim(name).mix, count=COUNT)
    return run(EXAMPLES / f"{name}.toml", options=Options(audience=spec, cache=default_cache()))


@cache
def last_round(name: str) -> tuple[Left, ...]:
    """The sets of each main block's last round, in order."""
    done = rehearsed(name)
    if done.forecast is None:
        raise ValueError(f"{name}: {[str(each) for each in done.findings]}")
    last = {(block.name, block.rounds[-1].name) for block in done.session.blocks if block.rounds}
    sets = (each for each in done.forecast.cells if (each.ref.block, each.ref.round) in last)
    return tuple(_left(name, each) for each in sets)


def _left(name: str, forecast: CellForecast) -> Left:
    led = forecast.led_rung
    if led is None:
        raise ValueError(f"{name}: {forecast.ref} could not be computed as it is led")
    cell = next(each for each in rehearsed(name).session.cells if each.ref == forecast.ref)
    return Left(
        plan=name,
        set=forecast.ref.cell,
        pattern=cell.move.pattern,
        asked=round(led.asked),
        possible=round(led.possible.p50),
        unit=led.unit,
    )


def counted(name: str) -> tuple[Left, ...]:
    """What the aim is about: sets of repetitions. Holds and what goes by the clock at one's own pace are not."""
    return tuple(each for each in last_round(name) if each.unit == "reps" and each.pattern is not Pattern.CONDITIONING)


def doses_table() -> list[str]:
    rows = (
        f"{name} | {aim(name).mix} | {aim(name)} | {', '.join(f'{each.set} {each.left}' for each in counted(name))}"
        for name in NAMES
    )
    return table("plan | who comes | aim | left in its last round", list(rows))


def aims_lines() -> list[str]:
    """Why each aim is what it is."""
    return [f"- **{each}** ({', '.join(names)}): {each.because}." for each, names in _by_aim().items()]


def _by_aim() -> dict[Aim, list[str]]:
    result: dict[Aim, list[str]] = {}
    for name in NAMES:
        result.setdefault(aim(name), []).append(name if name in AIMS else "all others")
    return {each: list(dict.fromkeys(names)) for each, names in result.items()}


def clock_table() -> list[str]:
    """Holds, and what is done at one's own pace until the time is up."""
    rows = [
        f"{name} | {each.set} | {each.asked} | {_most(each)} | {'s' if each.unit != 'reps' else 'repetitions'}"
        for name in NAMES
        for each in last_round(name)
        if each not in counted(name)
    ]
    return table("plan | set | asked | could be done | of", rows)


def _most(each: Left) -> str:
    return f"{each.possible} or more" if each.possible >= (100 if each.unit == "reps" else 600) else str(each.possible)


if __name__ == "__main__":
    print("\n".join([*aims_lines(), "", *doses_table(), "", *clock_table()]))
