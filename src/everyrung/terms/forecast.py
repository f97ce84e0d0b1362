"""Energy as it may be shown: a band with its error and the reason, never a bare number of kcal or MET.

What a rehearsal says: shares of an audience with their standard errors, what limits them, what they are advised.

What one person is told: which rung, which load and which ball, and the test that decides where it is close.
"""

import math
from collections.abc import Mapping

from everyrung.terms.brief import Brief
from everyrung.terms.enums import Caution, OptionKind
from everyrung.terms.errors import Invalid, require
from everyrung.terms.frozen import dataclass
from everyrung.terms.move import Form
from everyrung.terms.plan import Ref

STEP = {"kcal": 5.0, "MET": 0.5}  # chosen, because finer digits would promise more than the error allows


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Band:
    """From `less` below the middle to `more` above it, both fractions of it; as text its ends, rounded outwards.

    `middle_not_for_show` is there for sums and tests. Raises Invalid for a unit without a step, a middle that
    is no finite number of at least zero, or an error that is none.
    """

    middle_not_for_show: float
    less: float
    more: float
    unit: str

    def __post_init__(self) -> None:
        if self.unit not in STEP:
            raise Invalid("energy: unit", " or ".join(STEP), self.unit)
        if not (math.isfinite(self.middle_not_for_show) and self.middle_not_for_show >= 0):
            raise Invalid(f"energy: {self.unit}", "0 or more", self.middle_not_for_show)
        if not (0 < self.less <= 1 and 0 < self.more < math.inf):
            raise Invalid("energy: error", "up to 100 % less, and some % more", f"{self.less:g}, {self.more:g}")

    def holds(self, value: float) -> bool:
        """Whether a value measured elsewhere lies in the band."""
        middle = self.middle_not_for_show
        return middle * (1 - self.less) <= value <= middle * (1 + self.more)

    def __str__(self) -> str:
        step, middle = STEP[self.unit], self.middle_not_for_show
        low = math.floor(middle * (1 - self.less) / step) * step
        high = math.ceil(middle * (1 + self.more) / step) * step
        return f"{low:g} to {high:g} {self.unit}"

    __repr__ = __str__


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Energy:
    """What a session costs one body, resting included: both bands, and why they are as wide as they are."""

    kcal: Band
    met: Band
    reason: str

    def __post_init__(self) -> None:
        if (self.kcal.unit, self.met.unit) != ("kcal", "MET"):
            raise Invalid("energy: units", "a band of kcal and one of MET", f"{self.kcal.unit} and {self.met.unit}")
        if not self.reason.strip():
            raise Invalid("energy: reason", "why the band is as wide as it is", "nothing")

    def __str__(self) -> str:
        error = f"{100 * self.met.less:.0f} % less to {100 * self.met.more:.0f} % more"
        return f"{self.kcal}, {self.met} ({error}, because of {self.reason})"

    __repr__ = __str__


LEAST_MOVED = 1.0  # points; chosen, because less is within the error of the usual people
USUAL_PEOPLE = 2000  # chosen, because a share of them has a standard error of 1.1 points at most


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """A count of simulated people, of how many.

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
class Rating:
    """How hard something will feel, from 0, nothing at all, to 10, the most there is: the middle answer, and the ends
    between which four of five answers lie. Raises Invalid for ratings off the scale or out of order.
    """

    middle: float
    low: float
    high: float

    def __post_init__(self) -> None:
        require(
            0 <= self.low <= self.middle <= self.high <= 10,
            "rating",
            "0 to 10, the low end first",
            (self.low, self.middle, self.high),
        )

    def __str__(self) -> str:
        """'6 of 10 (4 to 8)'."""
        return f"{self.middle:.0f} of 10 ({self.low:.0f} to {self.high:.0f})"


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
    `limiting` names what stops people first, with shares, and `limiting_side` those names that do so on one side of a
    one-sided set: "working" or "other". `advised` adds up over `loads`.
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
    limiting_side: Mapping[str, str]
    advised: Share
    loads: tuple[LoadAdvice, ...]


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class CellForecast(Brief):
    """One cell. `some_rung`: who can finish one that their kit and limits allow; `skipping`: who is told to hold or
    skip; `left`: the repetitions (of a hold, its seconds as repetitions) left to those who take what they are advised,
    None where nobody does; `rating`: how hard it feels to them; `moved`: by how many points `some_rung` and the led
    rung's finishing move under each other assumption.
    """

    ref: Ref
    rungs: tuple[RungForecast, ...]
    some_rung: Share
    skipping: Share
    left: Spread | None
    rating: Rating | None
    moved: Mapping[str, tuple[float, float]]

    @property
    def led_rung(self) -> RungForecast | None:
        """The led rung, when it could be computed."""
        return next((rung for rung in self.rungs if rung.kind is None), None)


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Forecast(Brief):
    """A whole rehearsal of a session before an audience.

    `whole` finish every cell with some rung. `without_path` counts, by what people avoid, those who are left without a
    rung in some cell for that reason, with the cells. `sore`: newcomers who do more hard lowering than the dose.
    `older` are those of 65 years or more.
    `broken` has, by block and round, what stops those whom the led rungs stop, counted once a person. `heart` is the
    band of mean rates in the main part, in words, for the middle one of those not on rate-limiting medicine; `energy`
    reaches from the tenth to the ninetieth of a hundred. `rating` is what people say of the whole session of `minutes`,
    None where nobody does a set.
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
    older: Share
    heart: str
    energy: Energy
    rating: Rating | None
    minutes: float
    failed: Mapping[Ref, str]

    @property
    def session_load(self) -> float | None:
        """The middle rating, whole as people give it, times the minutes (foster2001); None where nobody does a set."""
        return round(self.rating.middle) * self.minutes if self.rating else None

    @property
    def worst(self) -> CellForecast | None:
        """The cell that fewest can finish with some rung."""
        return min(self.cells, key=lambda cell: (cell.some_rung.part, _led_share(cell)), default=None)


def _led_share(cell: CellForecast) -> float:
    return cell.led_rung.finishing.part if cell.led_rung else 1.0


HOLD_OR_SKIP = "Hold the start position, or skip and rest."


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Take(Brief):
    """A rung with its dose and load ('' for none) in words; `kind` is None for the led one, `form` is the rung's.
    `reps` is the dose in repetitions, a side where there are two; 0 for a hold.
    """

    kind: OptionKind | None
    rung: str
    dose: str
    reps: int
    load: str
    entry_test: str
    form: Form


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Advice(Brief):
    """For one cell: what to take (None: HOLD_OR_SKIP), why, how hard it will be, and at a boundary the other answer.

    `harder`, the next step up, is taken when its question is answered yes after the first. `keep` is what was taken
    last time, where that is not the same and may stay; '' where there is nothing to keep.
    """

    ref: Ref
    move: str
    take: Take | None
    reason: str
    effort: str
    harder: Take | None
    keep: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class PersonAdvice(Brief):
    """A whole evening for one person. `taken` says what was taken where nothing was known; `balls` is ball advice by
    purpose, `heart` what their heart rate may be used for. `since` says in lines what is new since last time and why,
    and what it would be to keep as it was; empty for who is here the first time.
    """

    name: str
    taken: tuple[str, ...]
    cells: tuple[Advice, ...]
    balls: tuple[str, ...]
    heart: str
    since: tuple[str, ...] = ()
