"""How to get down to the floor and up from it: which knee, hand or side comes first, by rule from the two positions."""

from everyrung.terms.enums import Position, Support, Surface
from everyrung.terms.move import Form

# The trade's way down and up by half kneeling and all fours (common practice, no source).
_DOWN = {
    Position.BACK: "One knee first, then sit, then lie back.",
    Position.FRONT: "One knee first, then hands, then lie down.",
    Position.HANDS_AND_KNEES: "One knee first, then the other, then hands.",
    Position.FRONT_SUPPORT: "One knee first, then hands, then the feet walk back.",
    Position.SIDE_SUPPORT: "One knee first, then sit, then lean on your forearm.",
    Position.KNEELING: "One knee at a time, a hand on your thigh.",
    Position.HALF_KNEELING: "One knee down, a hand on the other thigh.",
    Position.FLOOR_SEATED: "One knee first, then the other, then sit.",
    Position.SIDE: "One knee first, then sit, then lie on your side.",
}
_THEN_UP = "one foot forward, up."
_UP = {
    Position.BACK: f"Over your side to hands and knees, {_THEN_UP}",
    Position.FRONT: f"Push back to hands and knees, {_THEN_UP}",
    Position.HANDS_AND_KNEES: "One foot forward, hands on that thigh, up.",
    Position.FRONT_SUPPORT: f"Knees down, {_THEN_UP}",
    Position.SIDE_SUPPORT: f"Hips down, hands and knees, {_THEN_UP}",
    Position.KNEELING: "One foot forward, hands on that thigh, up.",
    Position.HALF_KNEELING: "Hands on the front thigh, then up.",
    Position.FLOOR_SEATED: f"Hands and knees, {_THEN_UP}",
    Position.SIDE: f"Push up to hands and knees, {_THEN_UP}",
}


def floor_words(before: Position, form: Form) -> str:
    """The way from `before` to a set's position, where one of them is on the floor and the other is not; else ''.

    >>> from everyrung.moves.library import standard_library
    >>> floor_words(Position.STANDING, standard_library().rung("bridge", "base").form)
    'One knee first, then sit, then lie back.'
    """
    after = form.position
    if before.on_floor == after.on_floor:
        return ""
    if before.on_floor:
        return up_words(before)
    if form.surface is Surface.BALL_BELLY:
        return "Kneel behind the ball, then lean over it."
    on_knees = form.support in (Support.HANDS_AND_KNEES, Support.FOREARMS_AND_KNEES)
    return _DOWN[Position.HANDS_AND_KNEES if on_knees else after]


def up_words(before: Position) -> str:
    """The way up from a position on the floor."""
    return _UP[before]
