"""Entry tests made from levers: one question a lever, about what was just done or can be tried in two seconds.

A question about a set is asked once there was one; before the first, something is tried in its place.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from everyrung.terms.enums import Extra, Hold, LoadNeed, Press, Reach, Rotation, Support, Surface
from everyrung.terms.lever import Base, Lever, Pause, Range, TempoChange
from everyrung.terms.move import Form, Rung

# By what can go wrong first: of several levers the first of these is asked about. Chosen, because a fall comes before
# a strained joint, and a strained joint before a set that is too long.
FIRST = (
    "base", "surface", "extra", "rotation", "press", "reach", "unilateral", "load", "range", "pause", "pulse", "tempo",
    "reps", "carry", "swap",
)  # fmt: skip
_SUPPORTS = {
    Support.ONE_FOOT: "Wall beside you: one foot, five seconds, steady?",
    Support.SPLIT: "Wall beside you: steady in a long stride?",
    Support.STAGGERED: "Steady with one foot half a step back?",
    Support.REAR_RAISED: "Wall beside you: back foot up, still steady?",
    Support.NARROW: "Feet together, eyes ahead: steady for two seconds?",
    Support.WIDE: "Feet wide, small bend: knees over your toes?",
    Support.TOES: "Wall beside you: up on your toes, steady?",
    Support.HEELS: "Toes up, heels down: no cramp behind?",
    Support.FEET_RAISED: "Feet up, arms straight: shoulders and wrists happy?",
}
_SURFACES = {
    Surface.BALL_WALL: "Lean on the ball: does it stay put?",
    Surface.BALL_HEELS: "Heels on the ball, hips up: steady?",
    Surface.BALL_FOOT: "Wall beside you: roll the ball back, steady?",
    Surface.BALL_HANDS: "Hands on the ball, lean in: steady?",
    Surface.BALL_BELLY: "Belly on the ball, toes down: back happy?",
    Surface.BALL_SEAT: "Sit tall on the ball: steady, feet flat?",
    Surface.BALL_BETWEEN: "Squeeze the ball: knees and hips happy?",
    Surface.BALL_FRONT: "Ball at your chest: shoulders low, breathing freely?",
    Surface.BALL_OVERHEAD: "Ball over your head: no pinch, ribs down?",
    Surface.SLIDERS: "Wall beside you: slide out and back, steady?",
    Surface.STEP: "One foot on the step: is it firm?",
    Surface.CHAIR: "Lean on the chair: does it stay put?",
    Surface.TABLE: "Lean on the table: does it stay put?",
    Surface.WALL: "Lean on the wall: do your feet hold?",
    Surface.BAND: "Stretch the band once: shoulders and hands happy?",
}
_HOLDS = {
    Hold.WALL: "Wall within reach of a bent arm?",
    Hold.CHAIR: "Lean on the chair: does it stay put?",
    Hold.NONE: "Let go for two seconds: still steady?",
}
_TURNS = {
    Rotation.TOWARD: "Turn once, standing tall: back and knees happy?",
    Rotation.AWAY: "Turn away once: back and knees happy?",
    Rotation.BOTH_WAYS: "Turn once each way: back happy, feet still?",
}
_PRESSES = {
    Press.OVERHEAD: "Empty arms up: no pinch, no arching back?",
    Press.FORWARD: "Arms out once: shoulders low, back still?",
}
_REACHES = {
    Reach.FORWARD: "Arms out ahead: shoulders low, back still?",
    Reach.OVERHEAD: "Empty arms up: no pinch, no arching back?",
    Reach.FLOOR: "Reach down once: back long, no pull?",
    Reach.SIDE: "Arms wide once: shoulders low, no pinch?",
}
_EXTRAS = {
    Extra.LEG_LIFT: "Heels on the ball: lighten one, hips still level?",
    Extra.FLOOR_TAP: "Hips down, feet apart and back: no cramp?",
}
_BY_WORD: dict[str, Mapping[Any, str]] = {
    "surface": _SURFACES, "extra": _EXTRAS, "rotation": _TURNS, "press": _PRESSES, "reach": _REACHES,
}  # fmt: skip
_PLAIN = {
    "unilateral": "Was one side as easy as both?",
    "load": "Was that set easy, three more in you?",
    "pulse": "Can you do small bounces without losing the line?",
    "reps": "Was that set easy, two more in you?",
    "carry": "Hold it there: wrists and shoulders happy?",
}
ROUND_BEFORE = "Was the round before easy, four left?"  # chosen, because everyone can answer it
EASED = "Does this one feel steady and pain-free?"
TRIED = "One slow try: steady and pain-free?"
LIFTED = "Lift it once, slowly: back and shoulders happy?"
# Counts that are of a set; two or three of something are tried in two seconds.
_COUNTS = {
    "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10, "eleven": 11, "twelve": 12,
    "fourteen": 14, "fifteen": 15, "sixteen": 16, "eighteen": 18, "twenty": 20, "thirty": 30, "forty": 40,
    "forty-five": 45, "sixty": 60,
}  # fmt: skip
_FIRST_WORD = re.compile(r"[\w-]+")
_LOOKING_BACK = ("was", "were", "did", "felt")


def own_entry_test(changes: Iterable[Lever], form: Form) -> str:
    """The entry test of a rung that the coach made: of the lever whose fault is the gravest; empty without any."""
    by_word = {change.word: change for change in changes}
    for word in FIRST:
        if word in by_word and (question := _question(by_word[word], form)):
            return question
    return EASED if by_word else ""


def before_any_set(rung: Rung) -> Rung:
    """The rung as it is offered in a first round: what asks about a set is made something to try.

    >>> from everyrung.moves.library import standard_library
    >>> before_any_set(standard_library().rung("squat", "goblet")).entry_test
    'Lift it once, slowly: back and shoulders happy?'
    """
    return replace(rung, entry_test=first_question(rung.entry_test, rung.form))


def first_question(test: str, form: Form) -> str:
    """The question before a first set of a form: an entry test, or something to try where that asks about a set.

    >>> from everyrung.moves.library import standard_library
    >>> first_question("Was that easy?", standard_library().rung("split-squat", "base").form)
    'Wall beside you: steady in a long stride?'
    """
    return _trial(form) if asks_of_a_set(test) else test


def asks_of_a_set(test: str) -> bool:
    """Whether a question is about a set that was done, not about something to try: 'Was that easy?', 'Eight plain ones
    with a flat back?'
    """
    return _first_word(test) in _LOOKING_BACK or count_asked(test) > 0


def count_asked(test: str) -> int:
    """The repetitions or seconds that a question begins with; 0 for one that begins with none.

    >>> count_asked("Eight plain ones with a flat back?"), count_asked("Three steps, hand hovering: steady?")
    (8, 0)
    """
    word = _first_word(test)
    return int(word) if word.isdecimal() and int(word) >= _COUNTS["four"] else _COUNTS.get(word, 0)


def _first_word(test: str) -> str:
    word = _FIRST_WORD.match(test)
    return word[0].lower() if word else ""


def _trial(form: Form) -> str:
    """What of a form can be tried in two seconds, the gravest first."""
    stance = _SUPPORTS.get(form.support, "") if form.hold is Hold.NONE else ""
    lift = LIFTED if form.load in (LoadNeed.ONE, LoadNeed.PAIR) else ""
    tries = (stance, *(table.get(getattr(form, word), "") for word, table in _BY_WORD.items()), lift, TRIED)
    return next(filter(None, tries))


def _question(change: Lever, form: Form) -> str:
    """What to ask about one lever, as it stands in the finished form; empty when there is nothing to ask."""
    match change:
        case Base():
            return _SUPPORTS.get(form.support, "") or _HOLDS.get(form.hold, "")
        case Pause(at_top=True):
            return "Can you hold still at the top?"
        case Pause():
            return "Can you stop still at the bottom?"
        case TempoChange():
            return "Can you lower slowly all the way?"
        case Range() if change.share > 1:
            return "Does the new depth feel smooth and pain-free?"
    if change.word in _BY_WORD:
        return _BY_WORD[change.word].get(getattr(form, change.word), "")
    return _PLAIN.get(change.word, "")
