"""A finding: what a rule measured, against what limit, and what to do about it."""

from dataclasses import dataclass

from everyrung.terms.brief import Brief
from everyrung.terms.enums import Severity
from everyrung.terms.errors import Where, require
from everyrung.terms.place import Location, location_words

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
