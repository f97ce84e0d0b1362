"""What a coach should know of a session that was led, the gravest first: each with its time and how sure it is.

Grave is what leaves somebody lopsided or unprepared, then what people were promised and did not get, then what was
another way than planned, then how it was said.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from everyrung.lookback.counts import announced_reps, count_after_one, reps_counted
from everyrung.lookback.hits import OFFERS
from everyrung.lookback.loops import loops, without_loops
from everyrung.lookback.manner import late_names, phrases_again, points, times_by_kind, wrong_sides
from everyrung.lookback.outcome import SURE, Change, LedSet, Outcome
from everyrung.lookback.talk import talk_by_round, words_between
from everyrung.lookback.transcript import TimedWord
from everyrung.lookback.vocabulary import Role
from everyrung.terms.enums import BlockKind, Side
from everyrung.terms.units import clock_text

MOST_NOTES = 10  # chosen in the design: nobody takes more home
SILENCE_MS = 45_000  # chosen, because a set of usual length without a word leaves people alone
FASTEST_WPM = 180  # adults follow 150 to 160 (DCMP Captioning Key); above 180 in movement few do (common practice)
LONGER, SHORTER = 1.5, 0.6  # times the plan's length; chosen
CLEAR = 0.97  # mean likeness of names; chosen: one word in ten is wrong at about that
MOST_TALK = 0.8  # of a round's time; chosen: who speaks so much leaves no breath for work
FEW = 3  # of a kind that are reported one by one; chosen
OFF_MS, OFF_PART = 60_000, 0.25  # of a kind of block against the plan; chosen
MOST_PHRASES = 2  # that come again and again; chosen, as more says the same
QUOTE_MS, QUOTE_WORDS = 6_000, 8
UNEVEN, ORDER, PROMISE, OTHERWISE, MANNER = range(5)


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """One thing, in a sentence; `gravity` 0 is the gravest. `at_ms` is None for the whole session; `words` are those
    that are said there.
    """

    gravity: int
    at_ms: int | None
    text: str
    is_sure: bool
    words: str = ""


def notes(outcome: Outcome, *, with_log: bool = False) -> tuple[Note, ...]:
    """All of them, the gravest first, those that are sure before the others. `with_log`: the stage's log says better
    which sets of the plan were done and how long they took.
    """
    result = [*_changes(outcome, strays_only=with_log), *_sides(outcome), *_promises(outcome)]
    if not with_log:
        result += [*_unheard_sides(outcome), *_blocks(outcome), *_lengths(outcome), *_times(outcome)]
    speech = without_loops(outcome)
    result += [*_offers(outcome), *_talk(speech), *_late(outcome), *_wrong_sides(outcome)]
    result += [*_wordless(speech), *_again(speech), *_loops(outcome)]
    result.sort(key=lambda note: (note.gravity, not note.is_sure, note.at_ms or 0))
    return tuple(replace(note, words=_quote(outcome, note.at_ms)) for note in result)


def _quote(outcome: Outcome, at_ms: int | None) -> str:
    """What is said at a moment, a few words of it; nothing where nobody speaks."""
    if at_ms is None:
        return ""
    here = words_between(outcome.transcript.words, at_ms, at_ms + QUOTE_MS)
    return " ".join(word.text for word in here[:QUOTE_WORDS])


def _changes(outcome: Outcome, *, strays_only: bool) -> Iterator[Note]:
    places = {each.place for each in outcome.steps if each.at_ms is not None and each.change is not Change.STRAY}
    for each in outcome.changes:
        if strays_only and each.change is not Change.STRAY:
            continue
        plan = outcome.sets[each.place]
        one_sided = plan.bout.side is not Side.BOTH
        others = {place for place, other in enumerate(outcome.sets) if other.cell is plan.cell} - {each.place}
        uneven = one_sided and (
            each.change is Change.AGAIN or (each.change is Change.SKIPPED and bool(others & places))
        )
        yield Note(
            gravity=UNEVEN if uneven else OTHERWISE,
            at_ms=each.at_ms,
            text=f"{each.name}: {each.change}{'; the sides are not equal' if uneven else ''}.",
            is_sure=each.is_sure,
        )


def _sides(outcome: Outcome) -> Iterator[Note]:
    """Repetitions counted aloud on one side and on the other."""
    steps = [each for each in outcome.steps if each.at_ms is not None and not each.change]
    for first, second in pairwise(steps):
        plan = outcome.sets[first.place].cell
        if outcome.sets[second.place].cell is not plan or first.place == second.place:
            continue
        sides = [reps_counted(_words(outcome, each)) for each in (first, second)]
        if sides[0] and sides[1] and sides[0].numbers[-1] != sides[1].numbers[-1]:
            numbers = [each.numbers[-1] for each in sides if each]
            names = [str(outcome.sets[each.place].bout.side) for each in (first, second)]
            text = f"{plan.rung.name}: counted to {numbers[0]} {names[0]} and to {numbers[1]} {names[1]}."
            yield Note(
                gravity=UNEVEN,
                at_ms=first.at_ms,
                text=text,
                is_sure=is_clear(outcome) and min(first.chance, second.chance) >= SURE,
            )


def _unheard_sides(outcome: Outcome) -> Iterator[Note]:
    """A second side that may not have been done: it is laid where it must have been, and nothing says so."""
    for each in outcome.steps:
        if each.at_ms is not None and not each.change and outcome.sets[each.place].part and each.chance < SURE:
            text = f"{each.name}: nobody is heard starting it; check whether it was done."
            yield Note(gravity=UNEVEN, at_ms=each.at_ms, text=text, is_sure=False)


def _promises(outcome: Outcome) -> Iterator[Note]:
    """Repetitions announced that are not the plan's or not those counted; a count that begins again after one."""
    names_are_clear = is_clear(outcome)
    for each in outcome.steps:
        if each.at_ms is None or each.change is Change.STRAY:
            continue
        words, plan = _words(outcome, each), outcome.sets[each.place]
        sure = names_are_clear and each.chance >= SURE
        promise, count, again = announced_reps(words), reps_counted(words), count_after_one(words)
        if promise and plan.bout.reps and promise[0] != plan.bout.reps:
            text = f"{each.name}: {promise[0]} repetitions were announced; the plan has {plan.bout.reps}."
            yield Note(gravity=PROMISE, at_ms=promise[1], text=text, is_sure=sure)
        if promise and count and count.numbers[-1] > promise[0]:
            text = f"{each.name}: {promise[0]} repetitions were announced, and counted to {count.numbers[-1]}."
            yield Note(gravity=PROMISE, at_ms=count.end_ms, text=text, is_sure=sure)
        if again:
            text = f"{each.name}: after the count came to one, it began again at {again.numbers[0]}."
            yield Note(gravity=PROMISE, at_ms=again.at_ms, text=text, is_sure=sure)


def _blocks(outcome: Outcome) -> Iterator[Note]:
    """A warm-up or cool-down that the plan has and nobody hears."""
    for kind in (BlockKind.WARM_UP, BlockKind.COOL_DOWN):
        rows = [each for each in outcome.steps if outcome.sets[each.place].block_kind is kind]
        missing = [each for each in rows if each.change is Change.SKIPPED]
        if rows and len(missing) == len(rows):
            sure = all(each.is_sure for each in missing)
            yield Note(gravity=ORDER, at_ms=None, text=f"No {kind} is heard on this recording.", is_sure=sure)


def _lengths(outcome: Outcome) -> Iterator[Note]:
    for each in outcome.steps[:-1]:
        if each.at_ms is None or each.end_ms is None or each.change is Change.STRAY:
            continue
        real, plan = each.end_ms - each.at_ms, outcome.sets[each.place].length_ms
        if not SHORTER <= real / plan <= LONGER:
            text = f"{each.name}: {_seconds(real)} with its talk; the plan has {_seconds(plan)}."
            yield Note(gravity=OTHERWISE, at_ms=each.at_ms, text=text, is_sure=each.chance >= SURE)


def _offers(outcome: Outcome) -> Iterator[Note]:
    """Moves whose other versions are never spoken of, in any round."""
    by_move: dict[str, list[bool]] = {}
    for each in outcome.steps:
        plan = outcome.sets[each.place]
        is_led = each.at_ms is not None and each.change is not Change.STRAY
        if is_led and plan.block_kind is BlockKind.MAIN and plan.cell.options:
            is_offered = any(word.text in OFFERS for word in _words(outcome, each))
            by_move.setdefault(plan.cell.move.name, []).append(is_offered)
    silent = [name for name, offers in by_move.items() if not any(offers)]
    if silent:
        text = f"No easier, harder or no-kit version was offered for: {', '.join(silent)}."
        yield Note(gravity=PROMISE, at_ms=None, text=text, is_sure=len(silent) == len(by_move) or len(silent) > 1)


def _talk(outcome: Outcome) -> Iterator[Note]:
    for each in talk_by_round(outcome):
        if each.silence_ms >= SILENCE_MS:
            text = f"{each.name}: {each.silence_ms // 1000} s without a word."
            yield Note(gravity=MANNER, at_ms=each.silence_at_ms, text=text, is_sure=True)
        if each.words_a_minute > FASTEST_WPM:
            text = f"{each.name}: {each.words_a_minute:.0f} words a minute; above {FASTEST_WPM} few can follow."
            yield Note(gravity=MANNER, at_ms=each.at_ms, text=text, is_sure=True)

        if each.share >= MOST_TALK:
            text = f"{each.name}: words for {each.share:.0%} of the time; little time is left to work in quiet."
            yield Note(gravity=MANNER, at_ms=each.at_ms, text=text, is_sure=True)


def _late(outcome: Outcome) -> Iterator[Note]:
    """Names after the count-in; in one sentence where it is a habit."""
    remarks = list(late_names(outcome))
    first = f", the first of them {remarks[0].step.name}" if remarks else ""
    yield from _each_or_habit(
        outcome,
        PROMISE,
        f"{len(remarks)} sets were named after their count-in{first}.",
        [
            (each.at_ms, f"{each.step.name}: named {each.late_ms // 1000} s after a count-in, if it was this set's.")
            for each in remarks
        ],
    )


def _wrong_sides(outcome: Outcome) -> Iterator[Note]:
    """The other side named than the plan's, which is the participants'."""
    remarks = list(wrong_sides(outcome))
    yield from _each_or_habit(
        outcome,
        UNEVEN,
        f"In {len(remarks)} sets the side was not the plan's: perhaps yours, not the participants'.",
        [
            (
                each.at_ms,
                f"{each.step.name}: {each.other!r} was said; left and right are the participants' in the plan.",
            )
            for each in remarks
        ],
    )


def _each_or_habit(outcome: Outcome, gravity: int, habit: str, places: Sequence[tuple[int, str]]) -> Iterator[Note]:
    """A note at each of the places, unsure; where there are many, one in the words of the habit."""
    if len(places) > FEW:
        yield Note(gravity=gravity, at_ms=places[0][0], text=habit, is_sure=is_clear(outcome))
        return
    for at_ms, text in places:
        yield Note(gravity=gravity, at_ms=at_ms, text=text, is_sure=False)


def _times(outcome: Outcome) -> Iterator[Note]:
    """Warm-up, main part and cool-down against the plan."""
    for each in times_by_kind(outcome):
        off_ms = abs(each.led_ms - each.plan_ms)
        if each.led_ms and off_ms >= OFF_MS and off_ms >= OFF_PART * each.plan_ms:
            text = f"The {each.kind} took {_seconds(each.led_ms)}; the plan has {_seconds(each.plan_ms)}."
            yield Note(gravity=OTHERWISE, at_ms=None, text=text, is_sure=True)


def _wordless(outcome: Outcome) -> Iterator[Note]:
    moments = list(points(outcome))
    if moments:
        times = "" if len(moments) == 1 else f", {len(moments)} times in all"
        text = f"{moments[0][1]!r} with no word of what to do{times}; anyone who can't see has nothing to go on."
        yield Note(gravity=MANNER, at_ms=moments[0][0], text=text, is_sure=is_clear(outcome))


def _again(outcome: Outcome) -> Iterator[Note]:
    for phrase, times, at_ms in phrases_again(outcome)[:MOST_PHRASES]:
        yield Note(gravity=MANNER, at_ms=at_ms, text=f"{phrase!r} was said {times} times.", is_sure=True)


def _loops(outcome: Outcome) -> Iterator[Note]:
    words = outcome.transcript.words
    for each in loops(words, outcome.hits):
        text = f"{' '.join(each.phrase)!r} {each.times} times in a row, perhaps made up by the captions: not counted."
        yield Note(gravity=MANNER, at_ms=words[each.first].at_ms, text=text, is_sure=False)


def _seconds(length_ms: int) -> str:
    return clock_text(round(length_ms, -3))


def is_clear(outcome: Outcome) -> bool:
    """Whether names are mostly heard letter by letter: else a number may be misheard just as well."""
    names = [hit.likeness for hit in outcome.hits if hit.phrase.role is Role.NAME and hit.is_next]
    return bool(names) and sum(names) / len(names) >= CLEAR


def _words(outcome: Outcome, each: LedSet) -> Sequence[TimedWord]:
    return words_between(outcome.transcript.words, each.at_ms or 0, each.end_ms or 0)
