"""Not the same words in every round: whose turn it is."""

from collections import Counter
from collections.abc import Sequence

from everyrung.terms.session import Cell


class Turns:
    """What one move's sets have been told in the rounds so far, so that the next is told something else."""

    def __init__(self) -> None:
        self.known: Cell | None = None  # the set of the round before
        self._told: Counter[str] = Counter()  # how often
        self._when: dict[str, int] = {}
        self._last: dict[int, set[str]] = {}
        self.rounds = 0

    def next(self, texts: Sequence[str], place: int = 0) -> tuple[str, ...]:
        """Texts of one kind, those of the greatest need first; the turn of the first of them is noted.

        That is the least said; of those none that this side was told last; of those the one told longest ago.
        """
        last = self._last.get(place, set())
        found = tuple(sorted(texts, key=lambda text: (self._told[text], text in last, self._when.get(text, 0))))
        for text in found[:1]:
            self._told[text] += 1
            self._when[text] = self._told.total()
            self._last[place] = (last - set(texts)) | {text}
        return found

    def untold(self, texts: Sequence[str]) -> tuple[str, ...]:
        """Those that were never told; they are from now on."""
        found = tuple(text for text in texts if not self._told[text])
        self._told.update(found)
        return found
