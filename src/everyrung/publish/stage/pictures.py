"""The pictures of a stage: each still and each motion once, by number."""

import json

from everyrung.moves.library import Library
from everyrung.pipeline import Run
from everyrung.publish.figure.frames import rung_frames
from everyrung.publish.figure.rung import rung_svg
from everyrung.store.cache import Cache
from everyrung.terms.amount import Load
from everyrung.terms.fault import Invalid
from everyrung.terms.move import Rung

HEIGHT_MM = 60.0  # chosen, because the ladder's figures are seen from afar


class Pictures:
    """Numbers for rungs (-1 where there is none), and what is drawn under them."""

    def __init__(self, run: Run, library: Library, cache: Cache | None) -> None:
        self._run, self._library, self._cache = run, library, cache
        self.stills: list[str] = []
        self.motions: list[str] = []
        self._known: dict[tuple[str, Rung, str], int] = {}

    def still(self, rung: Rung, load: Load | None) -> int:
        """The picture of a rung as print has it."""
        drawn = self._run.drawings.get(rung.form)
        if drawn is None:
            return -1
        key = ("still", rung, str(load))
        if key not in self._known:
            self._known[key] = len(self.stills)
            self.stills.append(rung_svg(rung, drawn, height_mm=HEIGHT_MM))
        return self._known[key]

    def motion(self, rung: Rung, load: Load | None) -> int:
        """The rung in motion, as the studio's figures have it."""
        key = ("motion", rung, str(load))
        if key not in self._known:
            try:
                found = rung_frames(rung, self._library, self._cache, load=load)
            except Invalid:
                return -1
            self._known[key] = len(self.motions)
            self.motions.append(json.dumps(found, separators=(",", ":"), ensure_ascii=False))
        return self._known[key]
