"""What one rung in another's place asks people to change; which of it is gravest depends on what it is offered for."""

from everyrung.terms.frozen import dataclass
from everyrung.terms.move import Rung


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """From one rung to another: whether people get down to the floor for it, whether they get down or up, hold in place
    of counting or the other way round, lean or stand on something else, and by how many grades it differs.
    """

    to_floor: bool
    floor: bool
    mode: bool
    surface: bool
    grades: int


def difference(rung: Rung, other: Rung) -> Difference:
    """How `other` differs from `rung`.

    >>> from everyrung import library
    >>> difference(library().rung("push-up", "wall"), library().rung("push-up", "base")).to_floor
    True
    """
    before, after = rung.form, other.form
    return Difference(
        to_floor=after.position.on_floor and not before.position.on_floor,
        floor=before.position.on_floor != after.position.on_floor,
        mode=before.mode is not after.mode,
        surface=before.surface is not after.surface,
        grades=abs(rung.grade - other.grade),
    )
