"""What is said before a set, in the order in which it can be followed.

What changes, kit, place, side and hand, position, one caution, the versions for home and for limits, the count.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple

from everyrung.cues.candidates import BREATH_MS, WORTH, CueCandidate, SetToCue, with_look
from everyrung.cues.cell_timing import change_words
from everyrung.cues.floor_words import floor_words, up_words
from everyrung.cues.kit_words import kit_change_words, kit_wordings
from everyrung.cues.phrases import (
    A_SIDE,
    HELD,
    NOW,
    PAUSE,
    REPS,
    ROUND_OVER,
    SECONDS,
    STAND_UP,
    THUMBS,
)
from everyrung.cues.speech import number_words
from everyrung.cues.stance_words import place_words, side_words, with_side
from everyrung.cues.version_words import version_wordings, versions
from everyrung.cues.wave_words import first_turn, later_turns
from everyrung.terms.enums import BlockKind, CueKind, Position, Sidedness
from everyrung.terms.session import Cell
from everyrung.terms.timeline import Track
from everyrung.timing.transitions import held_kit, must_rise

LESS = 10  # each further thing that is explained; chosen, because it outweighs being said ten seconds earlier
EARLY_MS = 8000  # a change is not announced earlier than this; chosen, because two changes back nobody remembers it
MOST_COUNTED = 5  # numbers of a count-in; chosen, because a longer one is not listened to
RESTING = "New today? This round, take the easier version or walk on the spot."
FURTHER = 150  # what a further new caution is worth; chosen, under the versions and over the position's words
QUESTION = 30  # what a question is worth; chosen, because without it one still knows the version's name
HARDER = 50  # what the harder version is worth; chosen, because whoever is strong can wait
WAY = 85  # what the way to the floor and back is worth; chosen, between the first and second of the position's words
PAUSE_STEP_S = 5  # a pause is announced in steps; chosen, because nobody needs it closer


def before_set(one: SetToCue) -> Iterator[CueCandidate]:
    """From the end of what came before until the first repetition."""
    visit = one.visit
    begin, count_in = visit.before_ms + BREATH_MS, visit.count_in_ms  # a breath after what ended with the work,
    face_up = one.shows_lips(one.cell)
    into = count_in if face_up else visit.into_ms
    until = min(count_in, visit.explained_by_ms, into) - BREATH_MS  # and one before the count
    name = with_side(one.cell.rung.name, one.cell.bouts[0].side)
    if visit.after is not None and _announced_early(one):  # the last count gives way to it: it ends with the work
        end = visit.after.end_ms
        yield one.candidate(CueKind.CHANGE, f"Next: {name}.", end - EARLY_MS, end, best=end, bout=visit.after)
    if count_in < visit.work[0].at_ms and face_up:
        yield _count_in(one, count_in, visit.work[0].at_ms)
    yield from later_turns(one)
    for place, words in enumerate(_sequence(one, name, until)):
        cue = one.candidate(words.kind, words.text, begin, until, best=begin, worth=words.worth, rungs=words.rungs)
        if one.round_end and words.kind is CueKind.THUMBS:
            cue = replace(with_look(cue), ref=one.round_end.ref)
        yield replace(cue, sequence=visit.before_ms, place=place, completes=words.completes)


def _announced_early(one: SetToCue) -> bool:
    """Whether its name is said while the set before is still done: lips have to be seen in that one."""
    after = one.visit.after
    return after is not None and (after.cell is None or one.shows_lips(after.cell))


class _Words(NamedTuple):
    """Words of the sequence; `worth` is None for the usual of its kind, the rest is as of `CueCandidate`."""

    kind: CueKind
    text: str
    rungs: tuple[int, ...] = ()
    worth: int | None = None
    completes: bool = False


def _sequence(one: SetToCue, name: str, until: int) -> Iterator[_Words]:
    yield from _pause(one, until)
    if one.asks_thumbs and not one.is_free:
        yield _Words(CueKind.THUMBS, one.phrases.pick(THUMBS))
    if one.rest:
        yield _Words(CueKind.BREAK, RESTING, worth=WORTH[CueKind.SAFETY])
    if waves := first_turn(one):
        yield _Words(CueKind.CHANGE, waves)
    if not _announced_early(one):
        yield _Words(CueKind.CHANGE, f"{name}.")
    yield from _changes(one)
    yield from _dose(one)
    positions = tuple(_position(one))
    yield from _where(one, [each.text for each in positions])
    yield from positions
    cautions = list(_cautions(one))
    yield from cautions[:1]
    yield from _versions(one)
    yield from cautions[1:]


def _pause(one: SetToCue, until: int) -> Iterator[_Words]:
    """After a round: that it is done, and how long the pause is. Not how many are left: some may be cut yet."""
    rest = one.visit.round_over
    if rest is None:
        return
    block = rest.block
    before = block.rounds[one.visit.round_place - 1].name
    name = before if before.lower().startswith("round") else f"round {before}"
    yield _Words(CueKind.BREAK, one.phrases.pick(ROUND_OVER, round=name))
    seconds = (until - rest.at_ms) // 1000 // PAUSE_STEP_S * PAUSE_STEP_S
    if seconds >= 2 * PAUSE_STEP_S:
        yield _Words(CueKind.BREAK, one.phrases.pick(PAUSE, n=seconds))


def _changes(one: SetToCue) -> Iterator[_Words]:
    """What is asked more of than in the round before."""
    for words in change_words(one.rotation.before, one.cell) if one.rotation.before else ():
        text = one.phrases.pick(NOW, what=words)
        yield _Words(CueKind.SET_UP, text, one.whom(lambda each: each is one.cell), WORTH[CueKind.SET_UP] + 1)


def _dose(one: SetToCue) -> Iterator[_Words]:
    """How much, where it is new to somebody."""
    before = one.rotation.before
    if before is None or before.bouts != one.cell.bouts or one.track is Track.FIRST:
        rungs = one.whom(lambda each: _amount(each) == _amount(one.cell))
        yield _Words(CueKind.SET_UP, _dose_text(one), rungs)


def _amount(cell: Cell) -> tuple[object, ...]:
    return (cell.dose, *((bout.side, bout.reps, bout.duration_ms) for bout in cell.bouts))


def _dose_text(one: SetToCue) -> str:
    """How much is done, in another wording each time: '8 reps.', '6 times a side.', 'Hold for 40 seconds.'"""
    cell = one.cell
    bout = cell.bouts[0]
    if is_counted(cell):
        in_turn = ", left first" if cell.rung.form.sides is Sidedness.ALTERNATING else ""
        wordings, number = [f"{each}{' in all' if in_turn else ''}{in_turn}" for each in REPS], bout.reps
    else:
        wordings, number = list(SECONDS if bout.reps else HELD), round(bout.duration_ms / 1000)
    ends = A_SIDE if len(cell.bouts) > 1 else ("",) * len(wordings)
    return one.phrases.pick([f"{each}{end}." for each, end in zip(wordings, ends, strict=True)], n=number)


def is_counted(cell: Cell) -> bool:
    """Whether repetitions are counted; else the clock ends the set."""
    bout = cell.bouts[0]
    return bool(bout.reps) and cell.dose.duration_ms is None and bout.duration_ms == bout.reps * bout.rep_ms


def _where(one: SetToCue, position_texts: Sequence[str]) -> Iterator[_Words]:
    """Kit before place, then side and hand; but whoever lies or sits gets up before fetching anything."""
    before, after = one.visit.position, one.cell.rung.form.position
    if _rises(one, one.cell):
        rungs = one.whom(lambda each: _rises(one, each))
        yield _Words(CueKind.PLACE, one.phrases.pick(STAND_UP), rungs)
        yield from _way(one, up_words(before), rungs)
        yield from _kit(one)
        yield _Words(CueKind.PLACE, place_words(Position.STANDING, one.cell, position_texts), rungs)
        yield from _way(one, floor_words(Position.STANDING, one.cell.rung.form), rungs)
    else:
        kit, place = list(_kit(one)), list(_place(one, position_texts))
        stands = before is Position.SEATED and after is not Position.SEATED
        up_first = not after.on_floor and (before.on_floor or stands)
        yield from (*place, *kit) if up_first else (*kit, *place)
    side = side_words(one.cell, one.pose(one.cell))
    if side:
        yield _Words(CueKind.SIDE, side, one.whom(lambda each: side_words(each, one.pose(each)) == side))


def _rises(one: SetToCue, cell: Cell) -> bool:
    """Whether whoever is on the floor gets up for kit, and then down again or onto a chair."""
    before, after = one.visit.position, cell.rung.form.position
    kit = held_kit(cell, cell.bouts[0])
    sits = before.on_floor and after is Position.SEATED and not set(kit) <= set(one.visit.kit_before)
    return sits or must_rise(before, after, one.visit.kit_before, kit)


def _kit(one: SetToCue) -> Iterator[_Words]:
    new = held_kit(one.cell, one.cell.bouts[0])
    rungs = one.whom(lambda each: held_kit(each, each.bouts[0]) == new)
    stays_down = one.visit.position.on_floor and one.cell.rung.form.position.on_floor and not _rises(one, one.cell)
    sentences = kit_change_words(one.visit.kit_before, new, lies=stays_down)
    return (_Words(CueKind.KIT, one.phrases.fresh_first(kit_wordings(each))[0], rungs) for each in sentences)


def _place(one: SetToCue, position_texts: Sequence[str]) -> Iterator[_Words]:
    before = one.visit.position
    place = place_words(before, one.cell, position_texts)
    if place:
        usual = place_words(before, one.cell)
        rungs = one.whom(lambda each: place_words(before, each) == usual)
        yield _Words(CueKind.PLACE, one.phrases.pick(STAND_UP) if place == STAND_UP[0] else place, rungs)
        yield from _way(one, floor_words(before, one.cell.rung.form), rungs)


def _way(one: SetToCue, way: str, rungs: tuple[int, ...]) -> Iterator[_Words]:
    """How to get down or up, once, for those who do it for the first time."""
    if way and one.track is Track.FIRST and not one.phrases.last_set(way):
        yield _Words(CueKind.SET_UP, way, rungs, WAY, completes=True)


def _position(one: SetToCue) -> Iterator[_Words]:
    """Two of the position's words the first time, one later; those who come again need one once."""
    again = one.track is Track.AGAIN
    if again and not one.is_first:
        return
    texts = _own(one, one.texts(CueKind.SET_UP))
    selection = texts[: 1 if again else 2] if one.is_first else one.phrases.fresh_first(texts)[:1]
    for at, text in enumerate(selection):
        worth = WORTH[CueKind.SET_UP] - LESS * (1 + at)
        yield _Words(CueKind.SET_UP, with_side(text, one.cell.bouts[0].side), one.whom_text(text), worth)


def _own(one: SetToCue, texts: tuple[str, ...]) -> tuple[str, ...]:
    """The version's own words where it has some: those of the whole move may be of another place."""
    move_texts = {cue.text for cue in one.cell.move.cues}
    return tuple(text for text in texts if text not in move_texts) or texts


def _cautions(one: SetToCue) -> Iterator[_Words]:
    """One that has not been said yet, and what else a harder rung brings with it; later one in turn, unless another
    move has just brought the same.
    """
    if one.visit.block_kind not in (BlockKind.MAIN, BlockKind.RESERVE):
        return
    texts = one.texts(CueKind.SAFETY)
    new = one.rotation.take_new(one.phrases.fresh_first(texts))
    for at, text in enumerate(new):
        yield _caution(one, text, WORTH[CueKind.SAFETY] if at == 0 else FURTHER)
    for text in () if new else one.rotation.next(texts)[:1]:
        if one.phrases.is_fresh(text) or one.phrases.last_set(text) == one.rotation.last_set:
            yield _caution(one, text, WORTH[CueKind.FORM])


def _caution(one: SetToCue, text: str, worth: int) -> _Words:
    words = with_side(one.phrases.note(text), one.cell.bouts[0].side)
    return _Words(CueKind.SAFETY, words, one.whom_text(text), worth)


def _versions(one: SetToCue) -> Iterator[_Words]:
    """Every other version in every round; with its question for who hears it the first time."""
    for each in versions(one.cell, one.session.who.limits, after_first_set=not one.is_first):
        worth = WORTH[CueKind.VERSION] if each.must else HARDER
        side = one.cell.bouts[0].side
        text = one.phrases.fresh_first(version_wordings(with_side(each.text, side)))[0]
        yield _Words(CueKind.VERSION, text, each.rungs, worth)
        if one.is_first and one.track is Track.FIRST and each.question:
            yield _Words(CueKind.VERSION, with_side(each.question, side), each.rungs, QUESTION, completes=True)


def _count_in(one: SetToCue, at_ms: int, end_ms: int) -> CueCandidate:
    """A number a second, whatever the words alone would take."""
    numbers = [number_words(number) for number in range(min(MOST_COUNTED, (end_ms - at_ms) // 1000), 0, -1)]
    text = f"{', '.join(numbers).capitalize() or 'And'}."
    cue = one.candidate(CueKind.COUNT, text, at_ms, end_ms, best=at_ms)
    return replace(cue, length_ms=end_ms - at_ms)
