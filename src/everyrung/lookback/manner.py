"""How a session was led: what came too late, was said without words, for the wrong side, or once too often."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from everyrung.lookback.hits import Hit
from everyrung.lookback.outcome import Change, LedSet, Outcome
from everyrung.lookback.talk import words_between
from everyrung.lookback.transcript import TimedWord
from everyrung.lookback.vocabulary import Role
from everyrung.terms.enums import BlockKind, Side

LATE_MS = 12_000  # a count-in so shortly before the name, and none after it, came first
OWN_COUNT_MS = 25_000  # in which a set's own count-in follows its name
AROUND_MS = (2_000, 7_000)  # before and after the beginning of a side, in which the side is said
POINTS = (("like", "this"), ("like", "so"), ("like", "that"), ("this", "way"), ("do", "this"), ("as", "i", "do"))
NEAR_MS = 4_000  # before and after "like this" in which words may say what is meant
BREATH_MS = 1_500  # between two words of a phrase at most
# Words that say a movement to who can't see it: parts of the body, ways and directions. Common practice, no source.
BODY = {
    "knee", "knees", "foot", "feet", "leg", "legs", "hip", "hips", "arm", "arms", "hand", "hands", "elbow",
    "elbows", "shoulder", "shoulders", "back", "chest", "head", "heel", "heels", "toe", "toes", "belly", "spine",
    "neck", "wrist", "wrists", "thumb", "thumbs", "palm", "palms", "ball", "wall", "floor", "chair", "up", "down",
    "forward", "wide", "low", "high", "straight", "bend", "bent", "lift", "lower", "reach", "turn",
    "push", "pull", "press", "squeeze", "slide", "roll", "step", "left", "right",
}  # fmt: skip
AGAIN_WORDS, AGAIN_TIMES = (4, 5, 6), 6  # of a phrase, and times in a session from which it is heard; chosen
ORDERS = {"then", "now", "the", "to", "on", "other", "okay"}  # before a side that is named
LIMBS = {"side", "leg", "foot", "first", "knee", "arm"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Remark:
    """One moment of a set: what it is about, when, and by how much, ms; `other` for a number or a side."""

    step: LedSet
    at_ms: int
    late_ms: int = 0
    other: str = ""


def late_names(outcome: Outcome) -> Iterator[Remark]:
    """Sets that are named after the count-in that begins them."""
    counts = [hit for hit in outcome.hits if hit.phrase.role is Role.COUNT]
    for step in _sets(outcome):
        name = _name_of(outcome, step)
        if name is None:
            continue
        own = any(0 <= hit.at_ms - name.at_ms <= OWN_COUNT_MS for hit in counts)
        before = [name.at_ms - hit.at_ms for hit in counts if 0 < name.at_ms - hit.at_ms <= LATE_MS]
        if before and not own:
            yield Remark(step=step, at_ms=name.at_ms, late_ms=min(before))


def _name_of(outcome: Outcome, step: LedSet) -> Hit | None:
    """What announces a set: its name nearest to where it begins."""
    near = [
        hit
        for hit in outcome.hits
        if hit.phrase.role is Role.NAME
        and not hit.is_offer
        and any(place == step.place for place, _ in hit.phrase.sets)
        and abs(hit.at_ms - (step.at_ms or 0)) <= LATE_MS
    ]
    return min(near, key=lambda hit: abs(hit.at_ms - (step.at_ms or 0)), default=None)


def wrong_sides(outcome: Outcome) -> Iterator[Remark]:
    """One-sided sets in whose beginning the other side than the plan's is named; left and right are the participants'
    in the plan, however the leader stands.
    """
    for step in _sets(outcome):
        side = outcome.sets[step.place].bout.side
        if side is Side.BOTH:
            continue
        begin = step.at_ms or 0
        words = words_between(outcome.transcript.words, begin - AROUND_MS[0], begin + AROUND_MS[1])
        names = list(_sides(words))
        if names and all(name is not side for _, name in names):
            yield Remark(step=step, at_ms=names[0][0], other=str(names[0][1]))


def _sides(words: Sequence[TimedWord]) -> Iterator[tuple[int, Side]]:
    """Each side that is named as the one to work on, with its time."""
    for place, word in enumerate(words):
        if word.text in ("left", "right"):
            before = words[place - 1].text if place else ""
            after = words[place + 1].text if place + 1 < len(words) else ""
            if after in LIMBS or (before in ORDERS and after not in ("hand", "arm")):
                yield word.at_ms, Side(word.text)


def points(outcome: Outcome) -> Iterator[tuple[int, str]]:
    """'Like this' with no word near it that says what: whoever can't see has nothing. Time and words."""
    words = outcome.transcript.words
    texts = [word.text for word in words]
    for place in range(len(texts)):
        phrase = next((each for each in POINTS if tuple(texts[place : place + len(each)]) == each), None)
        if phrase is None:
            continue
        near = words_between(words, words[place].at_ms - NEAR_MS, words[place].at_ms + NEAR_MS)
        if not BODY & {word.text for word in near}:
            yield words[place].at_ms, " ".join(phrase)


def phrases_again(outcome: Outcome) -> list[tuple[str, int, int]]:
    """Phrases said again and again that are none of the plan's, the commonest first: words, times, first time in ms.
    A phrase inside a longer one that is as common is left out.
    """
    words = outcome.transcript.words
    in_plan = {place for hit in outcome.hits if hit.likeness > 0.8 for place in range(hit.first, hit.end)}
    firsts: dict[tuple[str, ...], int] = {}
    times: Counter[tuple[str, ...]] = Counter()
    for size in AGAIN_WORDS:
        for place in range(len(words) - size + 1):
            here = words[place : place + size]
            phrase = tuple(word.text for word in here)
            on_end = all(after.at_ms - before.end_ms <= BREATH_MS for before, after in pairwise(here))
            if on_end and len(set(phrase)) > 1 and not in_plan & set(range(place, place + size)):
                times[phrase] += 1
                firsts.setdefault(phrase, words[place].at_ms)
    common = [(phrase, count) for phrase, count in times.items() if count >= AGAIN_TIMES]
    result: list[tuple[tuple[str, ...], int]] = []
    for phrase, count in sorted(common, key=lambda each: (-len(each[0]), -each[1])):
        if not any(_inside(phrase, longer) and count <= other + 1 for longer, other in result):
            result.append((phrase, count))
    return [(" ".join(phrase), count, firsts[phrase]) for phrase, count in sorted(result, key=lambda each: -each[1])]


def _inside(phrase: Sequence[str], longer: Sequence[str]) -> bool:
    size = len(phrase)
    return any(tuple(longer[at : at + size]) == tuple(phrase) for at in range(len(longer) - size + 1))


@dataclass(frozen=True, slots=True, kw_only=True)
class KindTime:
    """How long all sets of a kind of block took with their talk, and how long the plan has them, ms."""

    kind: BlockKind
    led_ms: int
    plan_ms: int


def times_by_kind(outcome: Outcome) -> tuple[KindTime, ...]:
    """Warm-up, main part and cool-down, those that the plan has; what is not led counts as no time."""
    kinds = dict.fromkeys(each.block_kind for each in outcome.sets)
    real, plan = Counter[BlockKind](), Counter[BlockKind]()
    for each in outcome.sets:
        plan[each.block_kind] += each.length_ms
    for step in outcome.steps:
        real[outcome.sets[step.place].block_kind] += (step.end_ms or 0) - (step.at_ms or 0)
    return tuple(KindTime(kind=kind, led_ms=real[kind], plan_ms=plan[kind]) for kind in kinds)


def _sets(outcome: Outcome) -> Iterator[LedSet]:
    yield from (step for step in outcome.steps if step.at_ms is not None and step.change is not Change.STRAY)
