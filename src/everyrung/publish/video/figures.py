"""The figure of a rung at any time, as a sprite."""

from dataclasses import dataclass, replace

import numpy as np

from everyrung.body.mechanics import DRAWN, Job
from everyrung.body.rung_motion import rung_motion
from everyrung.body.static_optimization import Unsolved
from everyrung.moves.library import Library
from everyrung.publish.figure.frames import between
from everyrung.publish.figure.rung import VIEWS
from everyrung.publish.video.drawn import hides, lopsided, middle_m, other_side, pictures
from everyrung.publish.video.layout import FIGURE
from everyrung.publish.video.raster import DARKEST, PICTURES, Sprite, cover_of, ink_planes, rasters
from everyrung.publish.video.scenes import Shown, Spent
from everyrung.store.cache import Cache
from everyrung.terms.demand import RungMotion
from everyrung.terms.enums import Side, Sidedness
from everyrung.terms.errors import Invalid
from everyrung.terms.move import Form
from everyrung.terms.units import Load, Tempo

STEPS = 4  # pictures from a solved pose to the next; chosen, because a way of 2 s then has one for every frame
KEPT = 3  # films in memory; chosen, because a session never shows more than two in turn and each takes some 15 MB


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Film:
    """A rung's pictures from rest to full depth, drawn with one side working; with `both`, those of the other follow.

    `at_ms` and `picture` are the instants of a repetition. `named`: seen from the side.
    """

    sprites: tuple[Sprite, ...]
    drawn: Side
    both: bool
    turns: bool
    named: bool
    at_ms: tuple[int, ...]
    picture: tuple[int, ...]

    def place(self, shown: Shown, at_ms: int) -> tuple[int, bool]:
        """Which sprite, and whether it is turned left for right.

        Face to face people follow as in a mirror, so there the figure's right limb is for their left side; beside it,
        whoever turns the same way has limbs of the same name, and the working one is drawn in front.
        """
        place = round(float(np.interp(shown.in_rep_ms(at_ms), self.at_ms, self.picture)))
        side = shown.side_at(at_ms)
        works = side if self.named else side.other
        if works in (Side.BOTH, self.drawn):
            return place, False
        return (place + len(self.sprites) // 2, False) if self.both else (place, self.turns)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Key:
    form: Form
    load: Load | None
    tempo: Tempo


class Figures:
    """Films by rung, load and tempo; a rung without a pose has none."""

    def __init__(self, library: Library, cache: Cache | None, spent: Spent) -> None:
        self._library, self._cache, self._spent = library, cache, spent
        self._films: dict[_Key, Film | None] = {}

    def film(self, shown: Shown) -> Film | None:
        key = _Key(form=shown.rung.form, load=shown.load, tempo=shown.tempo)
        if key not in self._films:
            while len(self._films) >= KEPT:
                del self._films[next(iter(self._films))]  # the one not shown for the longest time
        self._films[key] = found = self._films.pop(key) if key in self._films else self._made(key)
        return found

    def _made(self, key: _Key) -> Film | None:
        form = key.form if key.form.tempo == key.tempo else replace(key.form, tempo=key.tempo)
        try:
            with self._spent.on("motion"):
                job = Job(form=form, layer=self._library.pose(form), size=DRAWN, load=key.load)
                motion = rung_motion(job, self._cache)
        except (Invalid, Unsolved):
            return None
        with self._spent.on("figures"):
            return film(motion, alternating=form.sides is Sidedness.ALTERNATING)


def film(motion: RungMotion, *, alternating: bool) -> Film:
    """All pictures of a motion. It is solved with the right limb working.

    Where an alternating rung has a wall at its side, one side is shown for both: the room would jump each time.
    """
    view = VIEWS[motion.seen]
    poses = between(motion.poses, STEPS)
    drawn = Side.LEFT if hides(poses[-1], view) else Side.RIGHT
    others = [other_side(pose, middle_m(poses[0])) for pose in poses]
    if drawn is Side.LEFT:
        poses, others = others, poses
    both = alternating and not lopsided(poses[0])
    motions = [poses, others] if both else [poses]
    made = rasters(PICTURES, list(pictures(motions, view, FIGURE.wide, FIGURE.high)))
    return Film(
        sprites=tuple(ink_planes(cover_of(grey, DARKEST), "ink") for grey in made),
        drawn=drawn,
        both=both,
        turns=not alternating,
        named=motion.seen == "side",
        at_ms=tuple(instant.at_ms for instant in motion.instants),
        picture=tuple(instant.pose * STEPS for instant in motion.instants),
    )
