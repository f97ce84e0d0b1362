"""A finding: what a rule measured, against what limit, and what to do about it."""

from dataclasses import dataclass

from everyrung.terms.fault import Where, require
from everyrung.terms.vocabulary import Severity


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """`place` is the block, round and cell in words; `source` says who set the limit."""

    rule: str
    severity: Severity
    where: Where
    place: str
    measured: str
    limit: str
    source: str
    remedy: str

    def __post_init__(self) -> None:
        require(isinstance(self.severity, Severity), "severity", "error, warning or note", self.severity)
        for name in ("rule", "place", "measured", "limit", "source", "remedy"):
            require(bool(getattr(self, name)), name, "some words", "nothing")

    def __str__(self) -> str:
        return (
            f"{self.severity} {self.rule} at {self.place} ({self.where.file}:{self.where.line}): "
            f"{self.measured}; {self.limit} ({self.source}). {self.remedy}"
        )
