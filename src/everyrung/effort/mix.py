"""Who may come, as shares and spreads: a mix, read from a small TOML file whose every table says why."""

from contextlib import suppress
from dataclasses import dataclass
from functools import partial
from importlib.resources import files
from pathlib import Path
from typing import Any

from everyrung.moves.limit_words import limit, probably
from everyrung.parsing.document import parse, read_text
from everyrung.parsing.table_reader import FileFaults, Skip, Table, attempt, number, words
from everyrung.people.kit_parsing import own
from everyrung.terms.enums import Caution
from everyrung.terms.errors import Faults, Invalid, nearest, require
from everyrung.terms.person import MAX_AGE, MIN_AGE, Experience, Own

SHARES_ERROR = 1e-6  # chosen, only for sums of written decimals


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """A normal spread, cut at its ends by folding back what lies beyond. Raises Invalid when they do not enclose the
    mean, or are narrower than `sd`.
    """

    mean: float
    sd: float
    low: float
    high: float

    def __post_init__(self) -> None:
        require(self.low < self.mean < self.high, "mean", "a mean between low and high", self.mean)
        require(0 < self.sd <= self.high - self.low, "sd", "more than 0, at most the whole width", self.sd)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bundle:
    """Kit that a share of a group, 0 to 1, has at home."""

    share: float
    items: tuple[Own, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """People of one kind: `share` of the mix, share of `women`, ages in years. Without `bmi` (kg/m2) their mass is the
    survey's for their stature. Raises Invalid when shares of levels or bundles do not add up to 1.
    """

    name: str
    share: float
    women: float
    age: Spread
    bmi: Spread | None
    levels: dict[Experience, float]
    bundles: tuple[Bundle, ...]
    because: str

    def __post_init__(self) -> None:
        require(0 <= self.women <= 1, "women", "a share from 0 to 1", self.women)
        for field, shares in (("level", self.levels.values()), ("kit", [each.share for each in self.bundles])):
            require(abs(sum(shares) - 1) < SHARES_ERROR, field, "shares that add up to 1", f"{sum(shares):g}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Mix:
    """A whole mix. `limits` are the shares of people who avoid something, `medicine` of those on rate-limiting
    medicine. Raises Invalid when the groups' shares do not add up to 1.
    """

    name: str
    title: str
    groups: tuple[Group, ...]
    limits: dict[Caution, float]
    medicine: float

    def __post_init__(self) -> None:
        total = sum(group.share for group in self.groups)
        require(abs(total - 1) < SHARES_ERROR, "group", "shares that add up to 1", f"{total:g}")


def mix_names() -> tuple[str, ...]:
    """The mixes that come with Everyrung, in alphabetical order.

    >>> mix_names()
    ('boathouse', 'open-class', 'over-sixty', 'survey')
    """
    return tuple(sorted(path.name.removesuffix(".toml") for path in _folder().iterdir() if path.name.endswith(".toml")))


def read_mix(name: str) -> Mix:
    """A mix that comes with Everyrung, or the file of that path.

    Raises Faults for what is wrong in the file, Invalid with the nearest name when there is no such mix.
    """
    if name in mix_names():
        path = Path(str(_folder() / f"{name}.toml"))
    elif name.endswith(".toml"):
        path = Path(name)
    else:
        listing = f"Known: {', '.join(mix_names())}; or a file that ends in .toml."
        raise Invalid("--mix", "a mix", name, nearest=nearest(name, mix_names()), remedy=listing)
    return _mix(read_text(path), str(path), path.stem)


def _folder() -> Any:
    return files("everyrung.effort") / "mixes"


def _mix(text: str, file: str, name: str) -> Mix:
    reading = FileFaults(file, text)
    table = Table(reading, parse(text, file))
    title = table.take("title", words)
    groups = attempt(table.tables("group"), _group)
    limits, medicine = _limits(table.table("limits")), _medicine(table.table("medicine"))
    try:
        result = table.build(Mix, name=name, title=title, groups=groups, limits=limits, medicine=medicine)
    except Skip:
        raise Faults(reading.faults) from None
    reading.finish()
    return result


def _group(table: Table) -> Group:
    return table.build(
        Group,
        name=table.take("name", words),
        because=table.take("because", words),
        share=table.take("share", _share),
        women=table.take("women", _share),
        age=_spread(table.table("age"), MIN_AGE, MAX_AGE),
        bmi=None if table.take("mass", _survey, "") else _spread(table.table("bmi"), 15.0, 50.0),
        levels=_levels(table.table("level")),
        bundles=attempt(table.tables("kit"), _bundle),
    )


def _survey(value: Any) -> str:
    if value != "survey":
        raise Invalid("", "'survey', or no mass and a bmi", value)
    return "survey"


def _bundle(table: Table) -> Bundle:
    return table.build(Bundle, share=table.take("share", _share), items=table.many("items", own))


def _spread(table: Table, low: float, high: float) -> Spread:
    """The spread at `table`; without ends of its own, those given."""
    return table.build(
        Spread,
        mean=table.take("mean", number),
        sd=table.take("sd", number),
        low=table.take("low", number, low),
        high=table.take("high", number, high),
    )


def _levels(table: Table) -> dict[Experience, float]:
    result = {level: table.take(level.value, _share, 0.0) for level in Experience}
    table.check_fields()
    return result


def _limits(table: Table) -> dict[Caution, float]:
    table.take("because", words)
    result = {caution: table.take(caution.value, _share, 0.0) for caution in Caution}
    for key in table.names:
        if probably(key):  # what people call it, in place of the limit that it means
            table.take(key, partial(_not_a_limit, key), 0.0)
    with suppress(Skip):
        table.check_fields()
    return result


def _not_a_limit(key: str, _: object) -> float:
    limit(key)
    return 0.0


def _medicine(table: Table) -> float:
    table.take("because", words)
    share = table.take("share", _share)
    with suppress(Skip):
        table.check_fields()
    return share


def _share(value: Any) -> float:
    if not 0 <= number(value) <= 1:
        raise Invalid("", "a share from 0 to 1", value)
    return float(value)
