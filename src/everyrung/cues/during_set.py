"""What is said in the work: form while there is time to act, breath early, encouragement where it gets hard, the last
repetitions, and the change of sides.
"""

from collections.abc import Iterator
from dataclasses import replace

from everyrung.cues.before_set import EARLY_MS, is_counted
from everyrung.cues.candidates import BREATH_MS, MUST, WORTH, CueCandidate, SetToCue, with_look
from everyrung.cues.kit_words import kit_change_words
from everyrung.cues.phrases import BREATHE, HOLD_ENCOURAGED, LAST, LAST_SECONDS, LOOKS, REPS_ENCOURAGED, THUMBS
from everyrung.cues.speech import number_words
from everyrung.cues.speech import words as count_words
from everyrung.cues.stance_words import swap_words, with_side
from everyrung.moves.gaze import head_up
from everyrung.terms.enums import BlockKind, Caution, CueKind
from everyrung.terms.session import Cell
from everyrung.terms.timeline import Span, Track
from everyrung.timing.transitions import held_kit

# On form in one set: "one or two points at a time" (common practice, no source).
POINTS = {Track.FIRST: 2, Track.AGAIN: 1}
LAST_REPS = 3  # that are counted down; chosen, because it is the trade's "last three" (common practice, no source)
COUNTED_FROM = 6  # repetitions a set needs before its last are counted; chosen, because of fewer everyone knows
COUNTED_FROM_MS = 9_000  # and so long it has to be; chosen, because with the change half of it would be talk
HELD_LAST_MS = 10_000  # of a hold that are counted; chosen, because ten seconds can be held when one knows it is ten
COUNT_OFF_MS = 300  # chosen, because a count that is a third of a second early or late is still that count
TO_ACT = 0.25  # of a set has to be left after a point on form; chosen, so that a repetition or two can still follow it
BREATH_WHOLE_MS = 30_000  # of a set in which both ways of the breath are said; chosen, as a shorter one has no room
BREATH_HELD = 150  # what it is worth where people hold their breath; chosen, under the last count, over all else
BREATH_BY = 0.6  # of a set; breath is spoken of before: chosen, because it helps while the set is still easy
HARD = (
    0.5  # the effort from which a set is hard: half of all one could do, or "hard", 5 of 10 (Borg's CR10, from memory)
)
HARDEST_LEFT = 4  # repetitions in reserve from which each one is hard; chosen, as effort/forecast shows no more of them
AGAIN_WORTH = 27  # of a hard set's second encouragement; chosen, less than a point on form, more than an easy set's
FEW_WORDS = 3  # of encouragement where the set is hard for the leader too; chosen, as a breath carries so many
FIRST_POINT = 60  # of a hard set's first point where the move is new; chosen, as how comes before breath and the rest
AGAIN_FROM_MS = 40_000  # a hard set so long is encouraged twice; chosen, because one word does not carry it


def during_set(one: SetToCue) -> Iterator[CueCandidate]:
    """Each bout's words, and the change to the next: between the two where lips are not seen in the work."""
    for number, span in enumerate(one.visit.work):
        if one.shows_lips(one.cell):
            yield from _points(one, span, number)
            yield from _breath(one, span, number)
            yield from _encouragements(one, span, number)
            yield from _look(one, span, number)
            yield from _last(one, span, number)
        if number + 1 < len(one.visit.work):
            yield from _swap(one, span, one.visit.work[number + 1])


def _window(span: Span) -> tuple[int, int]:
    """From after the first repetition to where there is still time to act."""
    rep_ms = span.bout.rep_ms if span.bout and span.bout.reps else 2000
    return span.at_ms + rep_ms, span.end_ms - max(rep_ms, round(TO_ACT * span.duration_ms))


def _points(one: SetToCue, span: Span, number: int) -> Iterator[CueCandidate]:
    """Other points in every round and on the second side, in turn; one where the leader is short of breath, for a
    second that is said instead of it would be the one of the round before.
    """
    if _breath_alone(one, number):
        return
    begin, until = _window(span)
    forms = one.rotation.next(one.texts(CueKind.FORM), number)[: 1 if one.leader_effort >= HARD else POINTS[one.track]]
    for place, text in enumerate(forms):
        best = begin + (until - begin) * place // max(1, len(forms))
        first = one.is_first and not number and not place and one.effort >= HARD
        worth = FIRST_POINT if first else WORTH[CueKind.FORM] // (place + 1)
        yield one.candidate(
            CueKind.FORM, with_side(text, span.side), begin, until, best=best, bout=span, worth=worth,
            rungs=one.whom_text(text),
        )  # fmt: skip


def _breath_alone(one: SetToCue, number: int) -> bool:
    """Where one point is enough, form and breath take turns."""
    return one.track is Track.AGAIN and (one.rotation.rounds + number) % 2 == 1


def _breath(one: SetToCue, span: Span, number: int) -> Iterator[CueCandidate]:
    """In the first repetitions: in full at first, then the way out alone, or a reminder where that was just said."""
    begin, until = _window(span)
    until = min(until, span.at_ms + round(BREATH_BY * span.duration_ms))
    texts = one.texts(CueKind.BREATHING)
    holds_breath = Caution.HELD_BREATH in one.cell.rung.cautions
    if not texts or (one.track is Track.AGAIN and not holds_breath and not _breath_alone(one, number)):
        return
    whole = texts[0]
    short = breath_out(whole)
    in_full = one.is_first and not number and span.duration_ms >= BREATH_WHOLE_MS
    few = one.effort >= HARD  # so that there is breath left for a good word
    wordings = (whole, short) if in_full else (short,) if few else (short, whole)
    text = next(filter(one.phrases.is_fresh, wordings), "") or one.phrases.pick(BREATHE)
    worth = BREATH_HELD if holds_breath else WORTH[CueKind.BREATHING] - (0 if one.is_first else 10)
    rungs = one.whom_text(whole) if text in (whole, short) else ()
    yield one.candidate(CueKind.BREATHING, text, begin, until, best=begin, bout=span, worth=worth, rungs=rungs)


def breath_out(text: str) -> str:
    """The way out of a breath alone: 'Out as you stand.' of 'In as you fold, out as you stand.'; else the text.

    >>> breath_out("In as you fold, out as you stand."), breath_out("Small breaths; never hold your breath.")
    ('Out as you stand.', 'Small breaths; never hold your breath.')
    """
    parts = [part.strip() for part in text.removesuffix(".").split(",")]
    out = [part for part in parts if part.casefold().startswith("out ")]
    return f"{out[0].capitalize()}." if len(parts) == 2 and len(out) == 1 else text


def _encouragements(one: SetToCue, span: Span, number: int) -> Iterator[CueCandidate]:
    """Where the hardest repetitions begin; of an easy set only every other time. In the warm-up and the cool-down only
    what the coach or the move has of its own, and nothing where the session ends: there the thanks are the good word.
    """
    main = one.visit.block_kind is BlockKind.MAIN
    hard = main and one.effort >= HARD
    texts = _encouraging(one, span)
    if not texts or (not hard and (one.rotation.rounds + number) % 2) or (one.is_last and not main):
        return
    twice = hard and len(one.visit.work) == 1 and span.duration_ms >= AGAIN_FROM_MS
    at_ms, begin = _hardest_ms(one, span), span.at_ms + span.duration_ms // 2
    for place, best in enumerate((begin, at_ms) if twice else (at_ms,)):
        worth = (AGAIN_WORTH if place else MUST) if hard else WORTH[CueKind.ENCOURAGEMENT]
        text = one.phrases.note(one.phrases.fresh_first(texts)[0])
        yield one.candidate(CueKind.ENCOURAGEMENT, text, begin, span.end_ms, best=best, bout=span, worth=worth)


def _encouraging(one: SetToCue, span: Span) -> tuple[str, ...]:
    """The move's own words, and in the main part everyone's; the short ones where the leader is short of breath."""
    everyones = REPS_ENCOURAGED if span.bout and span.bout.reps else HOLD_ENCOURAGED
    main = one.visit.block_kind is BlockKind.MAIN
    texts = (*one.texts(CueKind.ENCOURAGEMENT), *(everyones if main else ()))
    short = one.leader_effort >= HARD
    return tuple(text for text in texts if count_words(text) <= FEW_WORDS) if short else texts


def _look(one: SetToCue, span: Span, number: int) -> Iterator[CueCandidate]:
    """Where people are seen over a link: how the round before was, while they have a hand free for it; else a look at
    them in every other set, and only while the leader's head is up. Both early enough to act on.
    """
    if number or not one.session.who.live:
        return
    begin, until = _window(span)
    if one.round_end and one.is_free:
        cue = one.candidate(CueKind.THUMBS, one.phrases.pick(THUMBS), begin, until, best=begin, bout=span)
        yield replace(with_look(cue), ref=one.round_end.ref)
    elif one.phrases.sets % 2 and head_up(one.cell.rung, one.pose(one.cell)):
        yield with_look(one.candidate(CueKind.LOOK, one.phrases.pick(LOOKS), begin, until, best=begin, bout=span))


def _hardest_ms(one: SetToCue, span: Span) -> int:
    """Where few repetitions are left in reserve: of n at effort e, n / e could be done, so it is there after
    n / e - HARDEST_LEFT; in the second half in any case, and a quarter from the end at the latest.
    """
    reps = span.bout.reps if span.bout else 0
    share = (reps / max(one.effort, 0.1) - HARDEST_LEFT) / reps if reps else one.effort
    return span.at_ms + round(min(max(share, 0.5), 1 - TO_ACT) * span.duration_ms)


def _last(one: SetToCue, span: Span, number: int) -> Iterator[CueCandidate]:
    """A countdown is the plan's own: it begins where that many are left."""
    bout = span.bout
    if bout is None:
        return
    rungs = one.whom(lambda each: _ends_alike(each, one.cell, number))
    if is_counted(one.cell):
        if bout.reps >= COUNTED_FROM and span.duration_ms >= COUNTED_FROM_MS:
            text = one.phrases.pick(LAST, n=number_words(LAST_REPS))
            yield _true_at(one, span, span.at_ms + (bout.reps - LAST_REPS) * bout.rep_ms, text, rungs)
    elif bout.duration_ms >= 2 * HELD_LAST_MS:
        yield _true_at(one, span, span.end_ms - HELD_LAST_MS, one.phrases.pick(LAST_SECONDS), rungs)


def _ends_alike(each: Cell, cell: Cell, number: int) -> bool:
    if len(each.bouts) != len(cell.bouts):
        return False
    own, lead = each.bouts[number], cell.bouts[number]
    return (own.reps, own.rep_ms, own.duration_ms) == (lead.reps, lead.rep_ms, lead.duration_ms)


def _true_at(one: SetToCue, span: Span, at_ms: int, text: str, rungs: tuple[int, ...]) -> CueCandidate:
    """A count that is true at one moment only."""
    cue = one.candidate(CueKind.COUNT, text, at_ms - COUNT_OFF_MS, span.end_ms, best=at_ms, bout=span, rungs=rungs)
    return replace(cue, until_ms=at_ms + COUNT_OFF_MS + cue.length_ms)


def _swap(one: SetToCue, span: Span, then: Span) -> Iterator[CueCandidate]:
    """The change of sides as an instruction; kit that the other side needs while nobody works."""
    wordings = swap_words(one.cell, one.pose(one.cell))
    text = one.phrases.pick(wordings)
    rungs = one.whom(lambda each: len(each.bouts) > 1 and swap_words(each, one.pose(each)) == wordings)
    end = span.end_ms
    if one.shows_lips(one.cell):
        yield one.candidate(CueKind.CHANGE, text, end - EARLY_MS, end, best=end, bout=span, rungs=rungs)
    else:
        yield one.candidate(CueKind.CHANGE, text, end + BREATH_MS, then.at_ms - BREATH_MS, best=end, rungs=rungs)
    first, second = one.cell.bouts
    for words in kit_change_words(held_kit(one.cell, first), held_kit(one.cell, second)):
        until = then.at_ms - BREATH_MS
        yield one.candidate(CueKind.KIT, words, end + BREATH_MS, until, best=end)
