"""What a rehearsal says: shares of an audience with their standard errors, what limits them, what they are advised."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from everyrung.terms.brief import Brief
from everyrung.terms.energy import Energy
from everyrung.terms.enums import Caution, OptionKind
from everyrung.terms.errors import require
from everyrung.terms.plan import Ref

LEAST_MOVED = 1.0  # points; chosen, because less is within the error of the usual people
USUAL_PEOPLE = 2000  # chosen, because a share of them has a standard error of 1.1 points at most


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """So many of so many simulated people.

    `low` and `high` are the ends of the band in which the fraction lies in four of five cases, the model's own error
    and that of the number drawn taken together (effort/uncertainty.py); None where the model has no part in it.
    """

    count: int
    of: int
    low: float | None = None
    high: float | None = None

    def __post_init__(self) -> None:
        require(0 <= self.count <= self.of, "count", f"0 to {self.of}", self.count)

    @property
    def part(self) -> float:
        """As a fraction; of nobody, 0."""
        return self.count / self.of if self.of else 0.0

    @property
    def error(self) -> float:
        """The standard error of the fraction, from the number of people drawn alone."""
        return math.sqrt(self.part * (1 - self.part) / self.of) if self.of else 0.0

    @property
    def plain(self) -> str:
        """'62%'."""
        return f"{self.part:.0%}"

    @property
    def band(self) -> str:
        """'(45 to 78)', in per cent; '' where the model has no part in it."""
        if self.low is None or self.high is None:
            return ""
        return f"({100 * self.low:.0f} to {100 * self.high:.0f})"

    def __str__(self) -> str:
        """'62% (45 to 78)', or '62%'."""
        return f"{self.plain} {self.band}".rstrip()


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """The tenth, the middle and the ninetieth of a hundred people."""

    p10: float
    p50: float
    p90: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadAdvice:
    """A load ('' for none) and who is advised to take it."""

    load: str
    advised: Share


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class RungForecast(Brief):
    """One rung that a cell offers; `kind` is None for the led one.

    `finishing` has everyone try it with the plan's load, whatever their kit and limits. `possible` are the repetitions
    (seconds, of a hold) until failure, `most` where counting stops; `left` those left to the people advised to it.
    `limiting` names what stops people first, with shares. `advised` adds up over `loads`.
    """

    kind: OptionKind | None
    name: str
    unit: str
    asked: float
    finishing: Share
    possible: Spread
    most: float
    left: Spread | None
    limiting: tuple[tuple[str, Share], ...]
    advised: Share
    loads: tuple[LoadAdvice, ...]


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class CellForecast(Brief):
    """One cell. `some_rung`: who can finish one that their kit and limits allow; `skipping`: who is told to hold or
    skip; `left`: the repetitions (of a hold, its seconds as repetitions) left to those who take what they are advised,
    None where nobody does; `moved`: by how many points `some_rung` and the led rung's finishing move under each other
    assumption.
    """

    ref: Ref
    rungs: tuple[RungForecast, ...]
    some_rung: Share
    skipping: Share
    left: Spread | None
    moved: Mapping[str, tuple[float, float]]

    @property
    def led(self) -> RungForecast | None:
        """The led rung, when it could be computed."""
        return next((rung for rung in self.rungs if rung.kind is None), None)


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Forecast(Brief):
    """A whole rehearsal of a session before an audience.

    `whole` finish every cell with some rung. `without_path` counts, by what people avoid, those who are left without a
    rung in some cell for that reason, with the cells. `sore`: newcomers who do more hard lowering than the dose.
    `broken` has, by block and round, what stops those whom the led rungs stop, counted once a person. `heart` is the
    band of mean rates in the main part, in words, for the middle one of those not on rate-limiting medicine; `energy`
    reaches from the tenth to the ninetieth of a hundred.
    """

    people: int
    mix: str
    seed: int
    cells: tuple[CellForecast, ...]
    whole: Share
    sore: Share
    without_path: Mapping[Caution, tuple[Share, tuple[Ref, ...]]]
    broken: Mapping[tuple[str, str], tuple[tuple[str, Share], ...]]
    on_medicine: Share
    heart: str
    energy: Energy
    failed: Mapping[Ref, str]

    @property
    def worst(self) -> CellForecast | None:
        """The cell that fewest can finish with some rung."""
        return min(self.cells, key=lambda cell: (cell.some_rung.part, _led(cell)), default=None)


def _led(cell: CellForecast) -> float:
    return cell.led.finishing.part if cell.led else 1.0
