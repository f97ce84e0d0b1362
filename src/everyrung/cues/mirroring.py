"""Left and right: the plan has the participant's; this says which limb the leader moves, and what she says, by view."""

from everyrung.terms.enums import Side, View
from everyrung.terms.frozen import dataclass

OTHER = {Side.LEFT: Side.RIGHT, Side.RIGHT: Side.LEFT, Side.BOTH: Side.BOTH}
# Who sees her as a mirror image follows the limb on their own side of the picture. Face to face, and on film that is
# not flipped, that is her other limb; from behind, and on film flipped left for right, it is the limb of the same name.
MIRRORED = {View.FACING: True, View.BACK_TURNED: False, View.FILMED: True, View.FILMED_FLIPPED: False}


@dataclass(frozen=True, slots=True, kw_only=True)
class MirroredSide:
    """What the leader moves and says, and on which half of the picture it is seen; `print_reads`: whether writing on
    her shirt reads as it should.
    """

    moves: Side
    says: Side
    seen_on: Side
    print_reads: bool


def leader_side(side: Side, view: View) -> MirroredSide:
    """What the leader does for the participant's side in a view. She always says the participant's side.

    >>> str(leader_side(Side.LEFT, View.FACING).moves), str(leader_side(Side.LEFT, View.BACK_TURNED).moves)
    ('right', 'left')
    """
    moves = OTHER[side] if MIRRORED[view] else side
    return MirroredSide(moves=moves, says=side, seen_on=side, print_reads=view is not View.FILMED_FLIPPED)
