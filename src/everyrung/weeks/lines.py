"""Lines: a move with all its versions, and with each load that is there, as people could take them week after week."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from everyrung.effort.choices import BodyDemands, Offer, demands_of, offer_of
from everyrung.effort.perform_set import PersonParameters, perform_set
from everyrung.effort.rates import Rates, rates
from everyrung.effort.set_load import SetLoad, session_motions, set_load
from everyrung.effort.three_compartment import PARTS, Array, Integers
from everyrung.moves.library import Library
from everyrung.store.cache import Cache
from everyrung.terms.enums import LoadNeed, Mode, Side, Sidedness
from everyrung.terms.move import Form, Rung
from everyrung.terms.session import Bout
from everyrung.terms.units import Load, Mass, MassUnit

REPS = 10  # of the bout from which others are made; any number would do
USUAL_RACK_KG = (2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0)  # common practice, no source: a club's rack
_HELD = (LoadNeed.NONE, LoadNeed.ONE, LoadNeed.PAIR)


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One move: its versions from the easiest up, and by entry which of them (`rung`) with which load in kg."""

    move: str
    offers: tuple[Offer, ...]
    rung: Integers
    load_kg: Array


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """One set by person: repetitions `possible`, with the part of one more that would still go; fatigue `after` it;
    and `peak`, the hardest joint's part of strength.
    """

    possible: Array
    after: Array
    peak: Array


@dataclass(slots=True, kw_only=True)
class Lines:
    """Some lines and the motions that they work; sets are made ready once and kept."""

    lines: tuple[Line, ...]
    motions: tuple[str, ...]
    rates: Rates
    bodies: Mapping[Form, BodyDemands]
    _sets: dict[tuple[int, int, int], SetLoad] = field(default_factory=dict)

    def fresh(self, people: int) -> Array:
        """No fatigue (person, motion, part)."""
        return np.zeros((people, len(self.motions), PARTS))

    def try_set(self, who: PersonParameters, fatigue: Array, line: int, entries: Integers, reps: Integers) -> Trial:
        """Everyone does a set of their own entry of a line and as many `reps` (person), as far as they can."""
        here = self.lines[line]
        rungs, load_kg = here.rung[entries], here.load_kg[entries]
        possible, after, peak = np.zeros(len(entries)), np.empty_like(fatigue), np.zeros(len(entries))
        for rung, count in sorted({*zip(rungs.tolist(), reps.tolist(), strict=True)}):
            rows = np.flatnonzero((rungs == rung) & (reps == count))
            task = self._set(line, rung, count)
            outcome = perform_set(who.only(rows), fatigue[rows], task, load_kg[rows], self.rates)
            possible[rows] = outcome.exactly / task.reps_a_cycle
            after[rows], peak[rows] = outcome.after, outcome.peak.max(axis=1)
        return Trial(possible=possible, after=after, peak=peak)

    def _set(self, line: int, rung: int, reps: int) -> SetLoad:
        key = line, rung, reps
        if key not in self._sets:
            offer = self.lines[line].offers[rung]
            bout = offer.bouts[0]
            own = replace(bout, reps=reps, duration_ms=reps * bout.rep_ms)
            self._sets[key] = set_load(offer, own, self.bodies[offer.form], self.motions, self.rates)
        return self._sets[key]


def library_lines(
    moves: Sequence[str], library: Library, cache: Cache | None = None, rack_kg: Sequence[float] = USUAL_RACK_KG
) -> Lines:
    """Lines of library moves: every version that is counted, works both sides together and needs no band, with every
    piece of a rack. Raises Invalid for a move that is not in the library, or a version that can't be posed.
    """
    ladders = [tuple(offer_of(None, rung, (_bout(rung),)) for rung in library.move(move).versions if _counts(rung))
               for move in moves]  # fmt: skip
    bodies = demands_of([offer for ladder in ladders for offer in ladder], library, cache)
    motions = session_motions(list(bodies.values()))
    lines = tuple(_line(move, ladder, rack_kg) for move, ladder in zip(moves, ladders, strict=True))
    return Lines(lines=lines, motions=motions, rates=rates(motions), bodies=bodies)


def _counts(rung: Rung) -> bool:
    form = rung.form
    return form.mode is not Mode.HOLD and form.sides is Sidedness.BOTH and form.load in _HELD


def _line(move: str, ladder: tuple[Offer, ...], rack_kg: Sequence[float]) -> Line:
    entries = [
        (at, kg * offer.pieces) for at, offer in enumerate(ladder) for kg in (rack_kg if offer.pieces else (0.0,))
    ]
    return Line(
        move=move,
        offers=ladder,
        rung=np.array([at for at, _ in entries]),
        load_kg=np.array([kg for _, kg in entries]),
    )


def _bout(rung: Rung) -> Bout:
    form, pieces = rung.form, rung.form.load.pieces
    usual = Mass(amount=4.0, unit=MassUnit.KG)
    load = Load(pieces=(usual,) * pieces, carry=form.carry) if pieces else None
    return Bout(
        side=Side.BOTH,
        reps=REPS,
        duration_ms=REPS * form.rep_ms,
        tempo=form.tempo,
        rep_ms=form.rep_ms,
        load=load,
        load_side=Side.BOTH if load else None,
    )
