"""Transcripts of sessions that nobody led: made from a plan's script as different leaders would speak it, then spoilt.

What a made transcript tells is how well the reader finds what was put in, not how real recordings read: the leaders'
ways of speaking are ours (from memory of how such sessions are led, no source). Names come from the plan, in the
leader's own words; what is said between is the script, with some words exchanged, chatter, counts and other moves named
in passing.
"""

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from everyrung.lookback.plan_sets import PlanSet
from everyrung.moves.library import Library
from everyrung.terms.enums import BlockKind, CueKind
from everyrung.terms.timeline import SaidCue

WORD_S = 0.4
OPENERS = (
    "next {}", "okay next up {}", "now {}", "moving on to {}", "{}", "here comes the {}", "let's go into {}",
    "then we have {}", "straight into {}", "ready for {}", "time for {}", "and {}",
)  # fmt: skip
SWITCHES = (
    "other side", "and switch", "swap legs", "then {0}", "now the {0}", "change over", "same on the {0}",
    "{0} side", "other side please", "okay {0} now",
)  # fmt: skip
AGAIN = ("once more {0}", "same side again", "and {0} again", "one more time on the {0}")
CHATTER = (
    "I had a lovely walk by the water this morning", "who has had breakfast", "the lights are a bit low today",
    "the {} comes later", "we did {} last week remember", "somebody asked me about {} before we started",
    "good to see so many of you", "don't look at me look at the far wall", "I can hear you at the back",
    "that is lovely", "nearly half way through the evening", "breathe it is only exercise",
)  # fmt: skip
ROUNDS = ("round {number}", "this is round {number}", "{ordinal} round here we go", "okay {ordinal} round")
LAST = ("last three", "three more", "three to go", "and three two one")
PRAISE = ("good", "lovely", "well done", "keep going", "nice work", "that's it")
NUMBERS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
ORDINALS = ("first", "second", "third", "fourth", "fifth")
SAME = {
    "hips": "pelvis", "feet": "both feet", "repetitions": "reps", "lift": "raise", "lower": "bring down",
    "keep": "hold", "slowly": "nice and slow", "straight": "long", "knee": "your knee", "knees": "your knees",
    "floor": "ground",
    "shoulders": "shoulder blades", "push": "press", "reach": "stretch", "stand": "come up", "back": "spine",
    "wide": "apart", "turn": "rotate", "seconds": "secs", "dumbbells": "weights", "dumbbell": "weight",
}  # fmt: skip
# Names that the library does not know, for moves of the examples.
OWN_NAMES = {
    "ball-leg-curl": "hamstring curls on the ball", "split-squat": "lunges with planted feet",
    "hip-hinge": "bow from the hips", "march": "walking on the spot", "arm-circles": "big circles with the arms",
    "hip-circles": "opening the hips", "squat-and-reach": "sit and reach up", "ball-overhead-lift": "ball up high",
    "push-up": "the press ups", "bridge": "bottom lifts", "chest-opener": "opening up the chest",
    "front-thigh-stretch": "front of the thigh", "back-thigh-stretch": "back of the thigh", "squat": "sit downs",
    "calf-raise": "up on the toes", "overhead-press": "press to the ceiling", "front-plank": "the long plank",
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueSet:
    """What a leader did: a set of the plan (`place`), or a stray (None), and when it began."""

    place: int | None
    at_s: float
    is_again: bool = False


@dataclass(slots=True, kw_only=True)
class Truth:
    """What was put in."""

    sets: list[TrueSet] = field(default_factory=list)
    skips: set[int] = field(default_factory=set)
    swaps: set[int] = field(default_factory=set)  # places of the cell that came late
    doubles: set[int] = field(default_factory=set)
    strays: int = 0


@dataclass(slots=True, kw_only=True)
class Utterance:
    """Words from a moment on; what must be said is never dropped for want of time."""

    at_s: float
    text: str
    must: bool = False


Word = tuple[str, float, float]


class Leader:
    """One way of speaking, drawn by a seed."""

    def __init__(self, rng: random.Random, moves: Library) -> None:
        self.rng, self.moves = rng, moves
        self.openers, self.switches = rng.sample(OPENERS, 3), rng.sample(SWITCHES, 3)
        self.stretch, self.word_s = rng.gauss(1.03, 0.05), WORD_S * rng.uniform(0.85, 1.15)
        self.counts, self.names_rounds = rng.random() < 0.5, rng.random() < 0.7
        self.own: dict[str, str] = {}

    def name(self, each: PlanSet) -> str:
        """What a set's move is called: mostly the same each time, for most leaders not as the plan has it."""
        move = each.cell.move
        short = each.cell.rung.name.partition(",")[0]
        if move.key not in self.own:
            names = [short, short, move.name, *move.also, each.cell.ref.cell.replace("-", " ")]
            own = OWN_NAMES.get(move.key)
            self.own[move.key] = own if own and self.rng.random() < 0.12 else self.rng.choice(names)
        name = short if self.rng.random() < 0.3 else self.own[move.key]
        return (f"{name}s" if self.rng.random() < 0.2 and not name.endswith("s") else name).lower()

    def opening(self, each: PlanSet) -> str:
        words = self.rng.choice(self.openers).format(self.name(each))
        first = not each.is_last_part and self.rng.random() < 0.4
        return f"{words} {each.bout.side} first" if first else words

    def saying(self, text: str) -> str:
        """A line of the script in this leader's words."""
        words = text.lower().replace(".", " ").replace(",", " ").replace("?", " ").replace(":", " ").split()
        return " ".join(SAME.get(word, word) if self.rng.random() < 0.5 else word for word in words)


def make(
    sets: Sequence[PlanSet], script: Sequence[SaidCue], moves: Library, seed: int, *, faults: bool = True
) -> tuple[list[Word], Truth]:
    """The words of one session with their times in s, and what was done. The same seed makes the same session."""
    rng = random.Random(seed)
    leader, truth = Leader(rng, moves), Truth()
    order = _order(sets, rng, truth) if faults else [(place, False) for place in range(len(sets))]
    lines: list[Utterance] = []
    at_s = rng.uniform(0, 20) + sets[0].at_ms / 1000 * leader.stretch
    lines += _spread(rng, [cue.text for cue in script if cue.ref is None and cue.at_ms < sets[0].at_ms], 0.0, at_s)
    names = [leader.name(each) for each in sets]
    for place, is_again in order:
        if place is None:
            at_s = _stray(rng, leader, sets, at_s, truth, lines)
            continue
        each = sets[place]
        length = each.length_ms / 1000 * leader.stretch * rng.lognormvariate(0, 0.08)
        truth.sets.append(TrueSet(place=place, at_s=at_s, is_again=is_again))
        lines += _announce(rng, leader, sets, place, at_s, is_again=is_again)
        lines += _during(rng, leader, each, script, at_s, length)
        if rng.random() < 0.12:
            lines.append(Utterance(at_s=at_s + length * 0.6, text=rng.choice(CHATTER).format(rng.choice(names))))
        at_s += length
    lines.append(Utterance(at_s=at_s, text="thank you everybody see you next week", must=True))
    return list(_speak(leader, lines)), truth


def _order(sets: Sequence[PlanSet], rng: random.Random, truth: Truth) -> list[tuple[int | None, bool]]:
    """Up to two cells skipped, at times two swapped, a side done twice in place of the other, a stray move."""
    cells: dict[int, list[int]] = {}
    for place, each in enumerate(sets):
        cells.setdefault(each.cell_place, []).append(place)
    main = [cell for cell, places in cells.items() if sets[places[0]].block_kind is BlockKind.MAIN]
    order = list(cells)
    for cell in rng.sample(main, k=min(len(main), rng.choice((0, 1, 2)))):
        order.remove(cell)
        truth.skips |= set(cells[cell])
    pairs = [
        at
        for at in range(len(order) - 1)
        if {order[at], order[at + 1]} <= set(main)
        and order[at + 1] == order[at] + 1
        and sets[cells[order[at]][0]].cell.ref.block == sets[cells[order[at + 1]][0]].cell.ref.block
    ]
    if pairs and rng.random() < 0.5:
        at = rng.choice(pairs)
        order[at], order[at + 1] = order[at + 1], order[at]
        truth.swaps |= set(cells[order[at + 1]])
    two_sided = [
        cell for cell in order if len(cells[cell]) == 2 and cell in main and not set(cells[cell]) & truth.swaps
    ]
    double = rng.choice(two_sided) if two_sided and rng.random() < 0.5 else None
    stray_after = rng.choice([cell for cell in order if cell in main]) if rng.random() < 0.4 else None
    result: list[tuple[int | None, bool]] = []
    for cell in order:
        result += [(place, False) for place in cells[cell]]
        if cell == double:
            result.append((cells[cell][-1], True))
            truth.doubles.add(cells[cell][-1])
        if cell == stray_after:
            result.append((None, False))
            truth.strays += 1
    return result


def _announce(
    rng: random.Random, leader: Leader, sets: Sequence[PlanSet], place: int, at_s: float, *, is_again: bool
) -> Iterator[Utterance]:
    """The name, the other side, or neither: a few changes are never said."""
    each, early = sets[place], rng.uniform(-1.0, 2.0)
    if is_again:
        yield Utterance(at_s=at_s - early, text=rng.choice(AGAIN).format(each.bout.side), must=True)
    elif each.part:
        if rng.random() > 0.05:
            yield Utterance(at_s=at_s - early, text=rng.choice(leader.switches).format(each.bout.side), must=True)
    else:
        starts_round = place and sets[place - 1].cell.ref.round != each.cell.ref.round
        if starts_round and each.block_kind is BlockKind.MAIN and leader.names_rounds and each.round_place < 5:
            number, ordinal = NUMBERS[each.round_place], ORDINALS[each.round_place]
            text = rng.choice(ROUNDS).format(number=number, ordinal=ordinal)
            yield Utterance(at_s=at_s - early - 0.5, text=text, must=True)
        if rng.random() > 0.03:
            yield Utterance(at_s=at_s - early, text=leader.opening(each), must=True)


def _during(
    rng: random.Random, leader: Leader, each: PlanSet, script: Sequence[SaidCue], at_s: float, length: float
) -> Iterator[Utterance]:
    """The script of this set in the leader's words, a count, praise."""
    scale = length / (each.length_ms / 1000)
    for cue in script:
        inside = cue.ref == each.cell.ref and each.at_ms <= cue.at_ms < each.at_ms + each.length_ms
        if inside and cue.kind not in (CueKind.CHANGE, CueKind.COUNT) and rng.random() < 0.8:
            yield Utterance(at_s=at_s + 2 + (cue.at_ms - each.at_ms) / 1000 * scale, text=leader.saying(cue.text))
    work_s = (each.work_at_ms - each.at_ms) / 1000 * scale
    yield Utterance(at_s=at_s + max(2.0, work_s - 3), text="three two one go")
    if leader.counts and each.bout.reps:
        for number in range(min(each.bout.reps, 10)):
            rep_s = each.bout.rep_ms / 1000 * scale
            yield Utterance(at_s=at_s + max(3.0, work_s) + rep_s * (number + 0.5), text=NUMBERS[number])
    else:
        yield Utterance(at_s=at_s + length * 0.8, text=rng.choice(LAST))
    yield Utterance(at_s=at_s + length * rng.uniform(0.5, 0.9), text=rng.choice(PRAISE))


def _stray(
    rng: random.Random, leader: Leader, sets: Sequence[PlanSet], at_s: float, truth: Truth, lines: list[Utterance]
) -> float:
    """A move of the library that the plan has nowhere."""
    here = {each.cell.move.key for each in sets}
    here |= {option.rung.form.move for each in sets for option in each.cell.options}
    move = leader.moves.move(rng.choice([key for key in leader.moves.keys if key not in here]))
    opener = rng.choice([words for words in leader.openers if words != "{}"] or ["next {}"])
    length = rng.uniform(40, 65)
    truth.sets.append(TrueSet(place=None, at_s=at_s))
    lines.append(Utterance(at_s=at_s, text=opener.format(move.name.lower()), must=True))
    lines += [Utterance(at_s=at_s + length * part, text=rng.choice(PRAISE)) for part in (0.4, 0.7)]
    lines.append(Utterance(at_s=at_s + length * 0.2, text=leader.saying(move.cues[0].text if move.cues else "slowly")))
    return at_s + length


def _spread(rng: random.Random, texts: Sequence[str], from_s: float, to_s: float) -> list[Utterance]:
    step = (to_s - from_s) / (len(texts) + 1)
    return [
        Utterance(at_s=from_s + step * at, text=text.lower()) for at, text in enumerate(texts) if rng.random() < 0.9
    ]


def _speak(leader: Leader, lines: Sequence[Utterance]) -> Iterator[Word]:
    """One mouth: what does not fit before something that must be said is not said."""
    ordered = sorted(lines, key=lambda line: line.at_s)
    free_s = 0.0
    for at, line in enumerate(ordered):
        words = line.text.replace("-", " ").replace(",", " ").split()
        begin = max(line.at_s, free_s, 0.0)
        until = next((later.at_s for later in ordered[at + 1 :] if later.must), float("inf"))
        if not line.must and (begin - line.at_s > 3 or begin + len(words) * leader.word_s > until):
            continue
        for word in words:
            yield word.strip(".,:;!?"), begin, begin + leader.word_s
            begin += leader.word_s
        free_s = begin + 0.3
