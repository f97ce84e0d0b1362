"""Words that every session needs, each in several wordings, and a memory that takes another one each time.

A wording is true wherever its list is used: nobody is praised for what the leader cannot see, no count is made up.
"""

from collections.abc import Iterable, Sequence

from everyrung.terms.sentences import upper_first

WINDOW = 3  # sets in a row in which the same words are not said again; the judge's own figure
LAST = (
    "Last {n}.",
    "{n} to go.",
    "{n} more.",
    "Just {n} left.",
    "Final {n}.",
    "Only {n} now.",
    "Now {n} more.",
)
LAST_SECONDS = ("Ten seconds.", "Ten seconds more.", "Last ten seconds.", "Ten seconds to go.", "Ten seconds left.")
REPS = ("{n} reps", "{n} of these", "{n} times", "make it {n}")
SECONDS = ("{n} seconds", "for {n} seconds", "{n} seconds now", "{n} seconds of this")
HELD = ("hold for {n} seconds", "stay there for {n} seconds", "{n} seconds of this", "hold it for {n} seconds")
A_SIDE = (" a side", " on each side", " each side", " a side")
NOW = ("{what} this time.", "{what} now.", "{what} in this round.")
STAND_UP = ("Stand up.", "Up to standing.", "Come up to standing.")
BREATHE = (
    "Keep breathing.", "Breathe easy.", "Let the breath flow.", "Slow, steady breaths.",
    "Soft jaw, easy breath.", "Listen to your breath.",
)  # fmt: skip
REPS_ENCOURAGED = (
    "Stay with it.", "This is the part that counts.", "You've got this.", "Your pace, your strength.",
    "Keep the shape, keep going.", "Slow is strong.", "Finish as you began.", "Strong to the end.",
    "Every one of these counts.", "Steady, you can do this.", "Good work, keep at it.", "This is building you up.",
    "Calm face, strong work.", "Make these your best.", "Tidy and strong.", "This is where you get stronger.",
    "Keep going.", "Stay strong.", "Steady and strong.", "Good work.",
)  # fmt: skip
HOLD_ENCOURAGED = (
    "Stay there, you can do it.", "Breathe and stay.", "This is where it counts.", "Hold your shape, good work.",
    "Quiet and strong.", "Stay with the breath.", "You've got this, hold on.", "Longer than you thought: well done.",
    "Stay right there.", "Still and strong.", "Hold on.", "Strong and calm.",
)  # fmt: skip
ROUND_OVER = ("Well done: that's {round}.", "{round} done, good work.", "That's all of {round}: well done.")
PAUSE = (
    "A sip of water: we're off again in {n} seconds.", "{n} seconds: drink, shake it out.",
    "You've got {n} seconds: water, a slow breath.",
)  # fmt: skip
THUMBS = (
    "At home, thumbs to the camera: up for fine, level for hard, down for stop.",
    "Thumbs, please, at home: up, level or down?",
    "Thumb check at home: up, level or down?",
    "How is it going at home? Thumbs up, level or down.",
)
LOOKS = (
    "At home: I'm looking at you now.", "I'm looking at the screen now.", "A moment for you at home: let me see.",
    "My eyes are on you at home now.", "Let me see how you're doing at home.", "At home, I'm with you now.",
)  # fmt: skip


class Phrases:
    """Which words were planned at which set, so that the same are not heard again within WINDOW sets.

    >>> phrases = Phrases()
    >>> phrases.start_set(), phrases.pick(LAST, n="three"), phrases.pick(LAST, n="three")
    (None, 'Last three.', 'Three to go.')
    """

    def __init__(self) -> None:
        self._set = 0
        self._when: dict[str, int] = {}
        self._turn = 0
        self._order: dict[str, int] = {}

    def start_set(self) -> None:
        """The next set begins."""
        self._set += 1

    @property
    def sets(self) -> int:
        """How many sets have begun."""
        return self._set

    def is_fresh(self, text: str) -> bool:
        """Whether it was not planned in the last WINDOW sets, this one among them."""
        return self._set - self._when.get(text, -WINDOW) >= WINDOW

    def last_set(self, text: str) -> int:
        """The number of the last set that it was planned for; 0 for none."""
        return self._when.get(text, 0)

    def note(self, text: str) -> str:
        """The text, planned for this set."""
        self._turn += 1
        self._when[text], self._order[text] = self._set, self._turn
        return text

    def pick(self, wordings: Iterable[str], **values: str | int) -> str:
        """The wording that was planned longest ago, with its values put in and a capital; it counts as planned."""
        return self.note(self.fresh_first([_fill(each, values) for each in wordings])[0])

    def fresh_first(self, texts: Sequence[str]) -> list[str]:
        """The same texts, those first that are not heard of late, else the longest ago; equals keep their order."""
        return sorted(texts, key=lambda text: (not self.is_fresh(text), self._order.get(text, 0)))


def _fill(wording: str, values: dict[str, str | int]) -> str:
    text = wording.format(**values)
    return upper_first(text)
