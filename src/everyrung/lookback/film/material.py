"""All that is known of a recording, for what is made from it: the takes of each set, and what is left out and why."""

from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from everyrung.lookback.film.picture import Picture, picture_of
from everyrung.lookback.outcome import Change, LedSet, Outcome
from everyrung.lookback.passages import LEAST_MS, Passage, Take, best_takes, left_out_ms, passages, takes
from everyrung.lookback.plan_sets import PlanSet
from everyrung.lookback.review import Review
from everyrung.results.analysis import Analysis
from everyrung.runsheet.beeps import beeps
from everyrung.runsheet.build import ways
from everyrung.terms.errors import Invalid
from everyrung.timing.branches import Variant

STRAY = "not in the plan"
UNKNOWN = "no set that is known"
PAUSE = "the session stood still"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """A stretch of the recording that the edit list leaves out, ms, and why."""

    at_ms: float
    end_ms: float
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """A recording and its session. `variants` by way; `strays` are those that the transcript is sure of."""

    path: Path
    picture: Picture
    analysis: Analysis
    sets: tuple[PlanSet, ...]
    variants: tuple[Variant, ...]
    passages: tuple[Passage, ...]
    takes: tuple[Take, ...]
    strays: tuple[LedSet, ...]
    outcome: Outcome | None

    @property
    def choice(self) -> tuple[Take, ...]:
        """The take of each set that goes into the film."""
        return best_takes(self.takes)

    def pieces_of(self, take: Take) -> tuple[tuple[float, float], ...]:
        """A take's pieces without what strayed, from and to, ms."""
        pieces = list(take.pieces)
        for stray in self.strays:
            assert stray.at_ms is not None
            assert stray.end_ms is not None
            pieces = [part for piece in pieces for part in _without(piece, (stray.at_ms, stray.end_ms))]
        return tuple(pieces)

    @property
    def cuts(self) -> tuple[Cut, ...]:
        """What the film of the chosen takes leaves out of the recording, in order of time."""
        pieces = [piece for take in self.choice for piece in self.pieces_of(take)]
        return tuple(
            Cut(at_ms=low, end_ms=high, why=self._why(low, high))
            for low, high in left_out_ms(pieces, self.picture.length_ms)
        )

    def _why(self, low: float, high: float) -> str:
        for stray in self.strays:
            assert stray.at_ms is not None
            if low <= stray.at_ms + 1 < high:
                return f"{STRAY}: {stray.name}"
        for take in self.takes:
            if take not in self.choice and take.pieces[0][0] < high and low < take.pieces[-1][1]:
                return f"another take of {self.sets[take.place].name}"
        for before, after in pairwise(self.passages):
            if abs(before.end_ms - low) < LEAST_MS and abs(after.at_ms - high) < LEAST_MS:
                return PAUSE
        return UNKNOWN


def material(path: Path, review: Review) -> Material:
    """Lays the plan on the recording by its beeps; without them, by the words alone."""
    analysis, outcome, on = review.analysis, review.outcome, review.recording
    if on is None:
        raise Invalid("film", "a recording that was laid on the plan", path.name)
    picture = picture_of(path)
    variants = ways(analysis).variants
    beeps_ms = [each.at_ms for each in beeps(analysis.timeline, count_in_ms=analysis.session.clock.count_in_ms)]
    pieces = passages(on.clock, review.show, beeps_ms, (analysis.timeline.total_ms, picture.length_ms))
    every = takes(pieces, analysis.session, [each.timeline for each in variants], review.sets)
    sure = [each for each in outcome.steps if each.is_sure and each.at_ms is not None] if outcome else []
    return Material(
        path=path, picture=picture, analysis=analysis, sets=review.sets, variants=variants, passages=pieces,
        takes=every or tuple(_by_words(sure)), outcome=outcome,
        strays=tuple(each for each in sure if each.change is Change.STRAY),
    )  # fmt: skip


def _by_words(sure: list[LedSet]) -> list[Take]:
    """Takes to a few seconds: from where a set is named to where the next one is."""
    result = []
    for each in sure:
        if each.change is not Change.STRAY and each.at_ms is not None and each.end_ms is not None:
            if each.end_ms <= each.at_ms:
                continue
            result.append(
                Take(
                    place=each.place, pieces=((each.at_ms, each.end_ms),), work_ms=each.at_ms, work_end_ms=each.end_ms,
                    is_whole=True, is_pick_up=each.change is Change.AGAIN,
                )
            )  # fmt: skip
    return result


def _without(piece: tuple[float, float], hole: tuple[float, float]) -> list[tuple[float, float]]:
    low, high = piece
    parts = [(low, min(high, hole[0])), (max(low, hole[1]), high)]
    return [part for part in parts if part[1] > part[0]]
