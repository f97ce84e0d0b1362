"""What every led rung asks of every reference body: computed once, read by checks and publications."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from everyrung.terms.brief import Brief
from everyrung.terms.person import BodySize
from everyrung.terms.plan import Ref
from everyrung.terms.rung_demand import RungDemand


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Mechanics(Brief):
    """Demands by cell and body. `failed` holds what could not be posed at all: cell and reason."""

    bodies: tuple[BodySize, ...]
    demands: Mapping[tuple[Ref, BodySize], RungDemand]
    failed: Mapping[Ref, str]

    def of(self, ref: Ref) -> Iterator[tuple[BodySize, RungDemand]]:
        """The demand of one cell on each body that has one."""
        for body in self.bodies:
            found = self.demands.get((ref, body))
            if found is not None:
                yield body, found
