"""What was done in each set, from its words: the version, the dose, the sides, the versions offered beside it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from statistics import median

from rapidfuzz.distance import Levenshtein

from everyrung.lookback.counts import announced_reps, reps_counted
from everyrung.lookback.free_way import HeardSet
from everyrung.lookback.hits import OFFERS, Hit
from everyrung.lookback.library_words import LibraryWords, version_names, words_of
from everyrung.lookback.spoken_times import announced_time_ms
from everyrung.lookback.talk import words_between
from everyrung.lookback.transcript import TimedWord, Transcript
from everyrung.lookback.vocabulary import Role, run_together
from everyrung.terms.enums import Mode, OptionKind, Side, Sidedness
from everyrung.terms.move import Move, Rung
from everyrung.terms.units import Dose, Per

LIKE = 0.8  # of a version's name to what is said; chosen, because versions of a move share half their words
REACH = 3  # words around the announcement in which the version's name begins
AROUND_S = 28.0  # of a set without its work: naming, settling, counting in, rest; where no dose tells it
OPENING_MS = 20_000  # in which a dose is announced
FEWEST, MOST = 4, 20  # repetitions that are guessed from a set's length
HOLD_STEP_S = 5
SAID, COUNTED, ALIKE, GUESSED = "said", "counted", "as said of others", "guessed from its length"
_KINDS = {"harder": OptionKind.HARDER, "easier": OptionKind.EASIER, "kit": OptionKind.NO_KIT}


@dataclass(frozen=True, slots=True, kw_only=True)
class HeardCell:
    """A set with its sides. `chance` that the move is right, `rung_likeness` of the version's name to what was said,
    `dose_from`: how the dose is known.
    """

    move: Move
    rung: Rung
    at_ms: int
    end_ms: int
    chance: float
    rung_likeness: float
    dose: Dose
    dose_from: str
    sides_heard: int
    first_side: Side | None
    options: tuple[tuple[OptionKind, Rung], ...]


def heard_cells(
    sets: Sequence[HeardSet], words: LibraryWords, transcript: Transcript, hits: Sequence[Hit]
) -> tuple[HeardCell, ...]:
    """One for each set with both its sides, in order of time."""
    parts: list[list[HeardSet]] = []
    for each in sets:
        if each.part and parts:
            parts[-1].append(each)
        else:
            parts.append([each])
    cells = [_cell(each, words, transcript, hits) for each in parts]
    around_s = _around_s(cells)
    return tuple(each if each.dose_from != GUESSED else replace(each, dose=_guess(each, around_s)) for each in cells)


def _cell(parts: list[HeardSet], words: LibraryWords, transcript: Transcript, hits: Sequence[Hit]) -> HeardCell:
    first, end_ms = parts[0], parts[-1].end_ms
    move = words.moves[first.move]
    here = words_between(transcript.words, first.at_ms, first.end_ms)
    opening = words_between(transcript.words, first.at_ms, min(first.end_ms, first.at_ms + OPENING_MS))
    rung, likeness = _version(move, transcript.words, first.hit)
    dose, dose_from = _dose(rung, opening, here)
    return HeardCell(
        move=move,
        rung=rung,
        at_ms=first.at_ms,
        end_ms=end_ms,
        chance=first.chance,
        rung_likeness=likeness,
        dose=dose,
        dose_from=dose_from,
        sides_heard=min(2, len(parts)),
        first_side=_first_side(parts, here, words),
        options=tuple(dict(_options(words, first.at_ms, first.end_ms, hits, transcript.words)).items()),
    )


def _version(move: Move, words: Sequence[TimedWord], hit: Hit) -> tuple[Rung, float]:
    """The version whose name stands nearest to the announcement, by letters that are right; the base for want of one,
    or the easiest where the base is no rung.
    """
    texts = [word.text for word in words[max(0, hit.first - REACH) : hit.end + 2 * REACH]]
    fits = [
        (letters, likeness, rung)
        for rung in move.ladder
        for name in version_names(rung)
        for letters, likeness in [_likeness(words_of(name), texts)]
        if likeness >= LIKE
    ]
    if fits:
        _, likeness, rung = max(fits, key=lambda each: (each[0], each[2].key == "base"))
        return rung, likeness
    return next((rung for rung in move.ladder if rung.key == "base"), move.ladder[0]), 0.0


def _likeness(name: tuple[str, ...], texts: Sequence[str]) -> tuple[float, float]:
    """The most letters of a name that are there, less those that are not; and its likeness."""
    letters, best = run_together(name), 0.0
    for wide in (len(name) - 1, len(name), len(name) + 1):
        for at in range(len(texts) - wide + 1 if wide else 0):
            best = max(best, Levenshtein.normalized_similarity(letters, run_together(texts[at : at + wide])))
    return len(letters) * (2 * best - 1), best


def _dose(rung: Rung, opening: Sequence[TimedWord], words: Sequence[TimedWord]) -> tuple[Dose, str]:
    """Repetitions or a time as announced at the start, else as counted; else the usual, for a guess from the length."""
    reps, time_ms, count = announced_reps(opening), announced_time_ms(opening), reps_counted(words)
    holds = rung.form.mode is Mode.HOLD
    if time_ms and (holds or not reps):
        return Dose(duration_ms=time_ms, per=_per(rung, is_time=True)), SAID
    if holds:
        return Dose(duration_ms=30_000, per=_per(rung, is_time=True)), GUESSED
    if reps:
        return Dose(reps=reps[0], per=_per(rung, is_time=False)), SAID
    if count:
        return Dose(reps=count.numbers[-1], per=_per(rung, is_time=False)), COUNTED
    return Dose(reps=10, per=_per(rung, is_time=False)), GUESSED


def _per(rung: Rung, *, is_time: bool) -> Per:
    if rung.form.sides is Sidedness.ONE_SIDE:
        return Per.SIDE
    return Per.ALL if rung.form.sides is Sidedness.ALTERNATING and not is_time else Per.PLAIN


def _around_s(cells: Sequence[HeardCell]) -> float:
    """What a set takes beside its work, from those whose dose is said."""
    rests = [_length_s(each) - _work_s(each) for each in cells if each.dose_from == SAID]
    return median(rests) if len(rests) > 2 else AROUND_S


def _length_s(each: HeardCell) -> float:
    """Of one side, where there are two."""
    sides = 2 if each.rung.form.sides is Sidedness.ONE_SIDE else 1
    return (each.end_ms - each.at_ms) / 1000 / sides


def _work_s(each: HeardCell) -> float:
    if each.dose.reps is None:
        return (each.dose.duration_ms or 0) / 1000
    return each.dose.reps * each.rung.form.rep_ms / 1000


def _guess(each: HeardCell, around_s: float) -> Dose:
    work_s = max(1.0, _length_s(each) - around_s)
    if each.rung.form.mode is Mode.HOLD:
        steps = min(12, max(2, round(work_s / HOLD_STEP_S)))
        return replace(each.dose, duration_ms=steps * HOLD_STEP_S * 1000)
    reps = round(work_s * 1000 / each.rung.form.rep_ms)
    return replace(each.dose, reps=min(MOST, max(FEWEST, reps)))


def _first_side(parts: Sequence[HeardSet], here: Sequence[TimedWord], words: LibraryWords) -> Side | None:
    """As it is said at the start, "left first"; or the other one of what the second side is called."""
    texts = [word.text for word in here[:20]]
    for at, text in enumerate(texts[:-1]):
        if text in ("left", "right") and texts[at + 1] == "first":
            return Side(text)
    second = words.switches.get(parts[1].hit.phrase.words, Side.BOTH) if len(parts) > 1 else Side.BOTH
    return None if second is Side.BOTH else Side.RIGHT if second is Side.LEFT else Side.LEFT


def _options(
    words: LibraryWords, at_ms: int, end_ms: int, hits: Sequence[Hit], every_word: Sequence[TimedWord]
) -> Iterator[tuple[OptionKind, Rung]]:
    """Versions named after "easier", "harder" or "no kit" while the set is led; the first of a kind is kept last."""
    inside = [hit for hit in hits if at_ms < hit.at_ms < end_ms and hit.phrase.role is Role.NAME and hit.is_offer]
    for hit in reversed(inside):
        before = [word.text for word in every_word[max(0, hit.first - REACH) : hit.first] if word.text in OFFERS]
        kinds = [_KINDS[text] for text in before if text in _KINDS]
        rungs = [
            rung
            for place, _ in hit.phrase.sets
            for rung in words.moves[place].ladder
            if hit.phrase.words in map(words_of, version_names(rung))
        ]
        if rungs:
            yield from ((kind, rungs[0]) for kind in kinds)
