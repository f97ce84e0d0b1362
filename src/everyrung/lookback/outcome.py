"""Plan against recording, set by set: what was led when, what was not, in another order, twice, or not in the plan."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from everyrung.lookback.align import Way, likeliest_way
from everyrung.lookback.hits import Hit, hits
from everyrung.lookback.onsets import onsets
from everyrung.lookback.plan_sets import PlanSet
from everyrung.lookback.states import LATE, STRAY
from everyrung.lookback.transcript import Transcript
from everyrung.lookback.vocabulary import Role, vocabulary
from everyrung.moves.library import Library

MUDDLED = 0.44  # part of phrases heard to the letter below which order and sides are not sure; at a word error of 0.35
# twelve made sessions had .26 to .43, at 0.1 .45 to .57 (docs/accuracy/looking_back.py, seeds 1 to 12)
SURE = 0.8  # a chance from which a step is shown as sure; chosen, docs/looking-back.md says how often such are right

_SAID_BY_ALL = (Role.NAME, Role.ROUND, Role.COUNT)


class Change(StrEnum):
    """How what was led differs from the plan."""

    NONE = ""
    SKIPPED = "not led"
    SWAPPED = "in another order"
    AGAIN = "led again"
    STRAY = "not in the plan"
    CUT = "cut"
    PART = "led in part"


@dataclass(frozen=True, slots=True, kw_only=True)
class LedSet:
    """One set as it was led, or left out (`at_ms` is None then). `place` counts the plan's sets; of a stray it is the
    set before it. `chance` that it began there, `change_chance` that it differs so; both of the model. `is_muddled`:
    so many words are misspelt that another order or a side led again may be a mistake of the captions.
    """

    place: int
    name: str
    at_ms: int | None
    end_ms: int | None
    chance: float
    change: Change
    change_chance: float
    is_muddled: bool = False

    @property
    def is_sure(self) -> bool:
        """Whether it is shown as sure, with what is said of its change."""
        return min(self.chance, self.change_chance) >= SURE and not self.is_muddled


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """All sets in order of time, those left out at their place in the plan; times to within `resolution_ms`."""

    sets: tuple[PlanSet, ...]
    steps: tuple[LedSet, ...]
    transcript: Transcript
    hits: tuple[Hit, ...]

    @property
    def changes(self) -> tuple[LedSet, ...]:
        """What was not as planned."""
        return tuple(each for each in self.steps if each.change)


def lay_on_plan(transcript: Transcript, sets: Sequence[PlanSet], moves: Library) -> Outcome:
    """The plan's sets where the transcript has them."""
    phrase_hits = hits(transcript, vocabulary(sets, moves))
    fit = onsets(phrase_hits, sets, transcript.total_ms // 1000 + 1)
    way = likeliest_way(sets, fit, transcript.resolution_ms // 1000)
    steps = [*_steps(way, sets, phrase_hits, transcript.total_ms), *_left_out(way, sets)]
    if heard_to_the_letter(phrase_hits) < MUDDLED:
        steps = [replace(each, is_muddled=each.change in (Change.SWAPPED, Change.AGAIN)) for each in steps]
    order = {each.place: (each.at_ms or 0) for each in reversed(steps) if each.at_ms is not None}
    return Outcome(
        sets=tuple(sets),
        steps=tuple(sorted(steps, key=lambda each: _time(each, order))),
        transcript=transcript,
        hits=phrase_hits,
    )


def heard_to_the_letter(phrase_hits: Sequence[Hit]) -> float:
    """The part of phrases of several words that have no letter wrong, 0 to 1; 1 for none."""
    likeness = [hit.likeness for hit in phrase_hits if len(hit.phrase.words) > 1 and hit.phrase.role in _SAID_BY_ALL]
    return sum(each == 1.0 for each in likeness) / len(likeness) if likeness else 1.0


def _time(each: LedSet, starts: dict[int, int]) -> tuple[int, int]:
    """What was left out stands after the set before it in the plan."""
    if each.at_ms is not None:
        return each.at_ms, 0
    before = [at_ms for place, at_ms in starts.items() if place < each.place]
    return max(before, default=0), 1 + each.place


def _steps(way: Way, sets: Sequence[PlanSet], phrase_hits: Sequence[Hit], total_ms: int) -> list[LedSet]:
    result: list[LedSet] = []
    ends = [*(step.at_s * 1000 for step in way.steps[1:]), total_ms]
    led_before: set[int] = set()
    for step, end_ms in zip(way.steps, ends, strict=True):
        change, chance = Change.NONE, 1.0
        if step.kind == STRAY:
            change, chance = Change.STRAY, step.chance
        elif step.place in led_before:
            change, chance = Change.AGAIN, way.twice_chances[step.place]
        elif step.kind == LATE:
            change, chance = Change.SWAPPED, way.swap_chances[step.place]
        if step.kind != STRAY:
            led_before.add(step.place)
        result.append(
            LedSet(
                place=step.place,
                name=_stray_name(phrase_hits, step.at_s) if step.kind == STRAY else sets[step.place].name,
                at_ms=step.at_s * 1000,
                end_ms=end_ms,
                chance=step.chance,
                change=change,
                change_chance=chance,
            )
        )
    return result


def _stray_name(phrase_hits: Sequence[Hit], at_s: int) -> str:
    """The move outside the plan that is named nearest to a second."""
    strays = [hit for hit in phrase_hits if hit.phrase.role is Role.STRAY]
    return min(strays, key=lambda hit: abs(hit.at_ms - at_s * 1000)).phrase.move if strays else "another move"


def _left_out(way: Way, sets: Sequence[PlanSet]) -> list[LedSet]:
    places = {step.place for step in way.steps if step.kind != STRAY}
    return [
        LedSet(
            place=place,
            name=sets[place].name,
            at_ms=None,
            end_ms=None,
            chance=1.0,
            change=Change.SKIPPED,
            change_chance=1 - way.led_chances[place],
        )
        for place in range(len(sets))
        if place not in places
    ]
