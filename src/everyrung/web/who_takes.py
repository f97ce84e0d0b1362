"""Who takes which version of a session, by initials alone: for the leader's own screen and no other."""

from collections import Counter
from collections.abc import Sequence
from itertools import count

from everyrung.terms.forecast import PersonAdvice

LEAST = 2  # letters of a name of one word; chosen, because one letter is shared by many
HOLDS = "holds or rests"

WhoTakes = dict[str, list[tuple[str, list[str]]]]


def who_takes(advice: Sequence[PersonAdvice]) -> WhoTakes:
    """By set, as the plan has its place: each version that somebody takes with its load, and the initials of those."""
    short = dict(zip([one.name for one in advice], initials([one.name for one in advice]), strict=True))
    result: dict[str, dict[str, list[str]]] = {}
    for one in advice:
        for each in one.cells:
            take = each.take
            words = ", ".join(filter(None, (take.rung, take.load))) if take else HOLDS
            result.setdefault(str(each.ref), {}).setdefault(words, []).append(short[one.name])
    return {ref: list(by_version.items()) for ref, by_version in result.items()}


def initials(names: Sequence[str]) -> list[str]:
    """The first letters of each name's words, two of a single word; more of them where two people had the same.

    >>> initials(["Maren", "Mara Holm", "Marek"])
    ['Maren', 'MH', 'Marek']
    """
    short = [_initials(name, LEAST) for name in names]
    for letters in count(LEAST + 1):
        twice = {each for each, many in Counter(short).items() if many > 1}
        if not twice or letters > max(map(len, names)):
            return short
        short = [_initials(name, letters) if old in twice else old for name, old in zip(names, short, strict=True)]
    raise AssertionError("counting never ends")


def _initials(name: str, letters: int) -> str:
    words = name.split()
    if len(words) > 1 and letters == LEAST:
        return "".join(word[0] for word in words).upper()
    return name[:letters]
