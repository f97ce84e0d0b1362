"""Where a finding stands: the places it knows, and the one way to say them.

A finding: what a rule measured, against what limit, and what to do about it.
"""

from collections.abc import Callable, Hashable, Iterable, Iterator

from everyrung.terms.brief import Brief
from everyrung.terms.enums import BlockKind, Severity
from everyrung.terms.errors import Where, require
from everyrung.terms.frozen import dataclass
from everyrung.terms.plan import Ref

MAX_NAMED = 6  # chosen, because more places than this in one sentence are no longer read


@dataclass(frozen=True, slots=True)
class WholeSession:
    """The session as a whole."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OfKind:
    """All blocks of a kind, be there any or none."""

    kind: BlockKind


@dataclass(frozen=True, slots=True, kw_only=True)
class InCutOrder:
    """What the plan's cut order says of a place, or, without one, the order itself."""

    ref: Ref | None = None


Location = Ref | OfKind | InCutOrder | WholeSession
Row = tuple[str, ...]


def location_words(places: Iterable[Location], row_words: Callable[[Row], str] = " / ".join) -> str:
    """'Main / One, Two / lunge; Extra / calf-raise': the cells of one column together.

    `row_words` makes words of one row of names, read from the outside in.
    """
    columns: dict[Hashable, list[Location]] = {}
    for place in dict.fromkeys(places):
        columns.setdefault(_column(place), []).append(place)
    return name_list((row_words(_row(column)) for column in columns.values()), "; ")


def name_list(words: Iterable[str], between: str = ", ", most: int = MAX_NAMED) -> str:
    """Different words joined, cut after `most` with how many are left out."""
    different = list(dict.fromkeys(words))
    more = [f"{len(different) - most} more"] if len(different) > most else []
    return between.join([*different[:most], *more])


def _column(place: Location) -> Hashable:
    """What places that are said together have in common."""
    if isinstance(place, Ref) and place.cell and not place.side:
        return place.block, place.cell
    return place


def _row(column: list[Location]) -> Row:
    match column[0]:
        case Ref() as ref:
            return tuple(_names(ref, [each.round for each in column if isinstance(each, Ref)]))
        case InCutOrder(ref=Ref() as ref):
            block, *inside = _names(ref, [ref.round])
            return (f"cut order: {block}", *inside)
        case InCutOrder():
            return ("cut order",)
        case OfKind(kind=kind):
            return ("main blocks" if kind is BlockKind.MAIN else str(kind),)
        case WholeSession():
            return ("whole session",)


def _names(ref: Ref, rounds: list[str]) -> Iterator[str]:
    """The names that are there; a block without rounds is not named twice."""
    names = (ref.block, "" if rounds == [ref.block] else ", ".join(rounds), ref.cell, str(ref.side or ""))
    return (name for name in names if name)


Identity = tuple[str, str, frozenset[Location]]


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Finding(Brief):
    """`places` are all that it speaks of, and `place` says them in words; `source` says who set the limit;
    `hint` how to write it in a file: it is for those who read files, and only the command line says it.

    `what` tells findings of one rule at one place apart: a caution, an option's kind, an item of kit, a move.
    """

    rule: str
    severity: Severity
    where: Where
    places: tuple[Location, ...]
    measured: str
    limit: str
    source: str
    remedy: str
    hint: str = ""
    what: str = ""

    def __post_init__(self) -> None:
        require(isinstance(self.severity, Severity), "severity", "error, warning or note", self.severity)
        require(bool(self.places), "places", "one place or more", self.places)
        for name in ("rule", "measured", "limit", "source", "remedy"):
            require(bool(getattr(self, name)), name, "some words", "nothing")

    @property
    def identity(self) -> Identity:
        """What stays the same when only its numbers change: the rule, what it is about, and where."""
        return self.rule, self.what, frozenset(self.places)

    @property
    def place(self) -> str:
        """'Main / One, Two / lunge': where it stands, in words."""
        return location_words(self.places)

    def __str__(self) -> str:
        return (
            f"{self.severity} {self.rule} at {self.place} ({self.where.file}:{self.where.line}): "
            f"{self.measured}; {self.limit} ({self.source}). {self.remedy} {self.hint}"
        ).rstrip()
