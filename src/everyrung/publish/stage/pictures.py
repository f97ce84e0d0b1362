"""The pictures of a stage: each still and each motion once, by number."""

import json
from dataclasses import dataclass

from everyrung.moves.library import Library
from everyrung.publish.figure.frames import rung_frames
from everyrung.publish.figure.rung import rung_svg
from everyrung.results.analysis import Analysis
from everyrung.store.cache import Cache
from everyrung.terms.amount import Load
from everyrung.terms.fault import Invalid
from everyrung.terms.move import Rung
from everyrung.terms.vocabulary import Side

HEIGHT_MM = 60.0  # chosen, because the ladder's figures are seen from afar


@dataclass(frozen=True, slots=True)
class Found:
    """A picture's number (-1 where there is none), and for which side of the people it is turned left for right."""

    number: int
    turned: Side


NONE = Found(-1, Side.BOTH)


class Pictures:
    """Numbers for rungs, and what is drawn under them."""

    def __init__(self, run: Analysis, library: Library, cache: Cache | None) -> None:
        self._run, self._library, self._cache = run, library, cache
        self.stills: list[str] = []
        self.motions: list[str] = []
        self._known: dict[tuple[str, Rung, str], Found] = {}

    def still(self, rung: Rung, load: Load | None) -> Found:
        """The picture of a rung as print has it."""
        drawn = self._run.drawings.get(rung.form)
        if drawn is None:
            return NONE
        key = ("still", rung, str(load))
        if key not in self._known:
            self._known[key] = Found(len(self.stills), _turned(drawn.seen))
            self.stills.append(rung_svg(rung, drawn, height_mm=HEIGHT_MM))
        return self._known[key]

    def motion(self, rung: Rung, load: Load | None) -> Found:
        """The rung in motion, as the studio's figures have it."""
        key = ("motion", rung, str(load))
        if key not in self._known:
            try:
                frames = rung_frames(rung, self._library, self._cache, load=load)
            except Invalid:
                return NONE
            self._known[key] = Found(len(self.motions), _turned(frames["view"]))
            self.motions.append(json.dumps(frames, separators=(",", ":"), ensure_ascii=False))
        return self._known[key]


def _turned(seen: str) -> Side:
    """All are solved with the right limb working. Beside the figure people turn as it does, face to face they follow as
    in a mirror: as on film.
    """
    return Side.LEFT if seen == "side" else Side.RIGHT
