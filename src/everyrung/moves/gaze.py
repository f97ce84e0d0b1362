"""Where the head is while a rung is done: whether whoever does it can look at a screen, or at the leader."""

from everyrung.moves.cautions import LOADED_LEAN, trunk_lean
from everyrung.terms.enums import Caution, Position
from everyrung.terms.move import Rung
from everyrung.terms.pose import Layer

# Upright enough to look ahead. Leaning faces a wall or a chair; on hands and knees, on the front and in supports the
# face is to the floor, on the back to the ceiling, on the side across the room (facts of the positions).
_UPRIGHT = (
    Position.STANDING, Position.SEATED, Position.KNEELING, Position.HALF_KNEELING, Position.FLOOR_SEATED,
)  # fmt: skip


def faces_away(rung: Rung) -> bool:
    """Whether its position alone turns the face from a screen: lying, on hands, or with the head low."""
    return rung.form.position not in _UPRIGHT or Caution.HEAD_LOW in rung.cautions


def head_up(rung: Rung, pose: Layer | None) -> bool:
    """Whether one can look ahead all through a repetition: upright, and the trunk never leans as far as 45 degrees
    (chosen: from there the neck has to arch to bring a screen at chest height into view). Without a pose: no.
    """
    return pose is not None and not faces_away(rung) and trunk_lean(rung.form, pose) < LOADED_LEAN
