"""Not the same words in every round: whose turn it is.

What might be said at each set, and between which moments it is of use: not yet placed.
"""

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from everyrung.cues.cell_timing import CellTiming, change_words, kit_change_words
from everyrung.cues.speech import number_words, words
from everyrung.terms.enums import BlockKind, CueKind, OptionKind, Side
from everyrung.terms.frozen import dataclass
from everyrung.terms.plan import Ref
from everyrung.terms.session import Cell
from everyrung.terms.timeline import Span, Track
from everyrung.timing.transitions import held_kit


class CueRotation:
    """What was said at one move's sets in the rounds so far, so that something else is said at the next.

    >>> rotation, points = CueRotation(), ["Chest up.", "Knees out."]
    >>> rotation.next(points)[0], rotation.next(points)[0]
    ('Chest up.', 'Knees out.')
    """

    def __init__(self) -> None:
        self.known: Cell | None = None  # the set of the round before
        self._told: Counter[str] = Counter()  # how often
        self._when: dict[str, int] = {}
        self._last: dict[int, set[str]] = {}
        self.rounds = 0

    def next(self, texts: Sequence[str], place: int = 0) -> tuple[str, ...]:
        """Texts of one kind, those of the greatest need first; the turn of the first of them is noted. `place` is the
        side.

        That is the least said; of those none that was said last for this side; of those the one said longest ago.
        """
        last = self._last.get(place, set())
        result = tuple(sorted(texts, key=lambda text: (self._told[text], text in last, self._when.get(text, 0))))
        for text in result[:1]:
            self._told[text] += 1
            self._when[text] = self._told.total()
            self._last[place] = (last - set(texts)) | {text}
        return result

    def take_new(self, texts: Sequence[str]) -> tuple[str, ...]:
        """Those that were never said; they count as said from now on."""
        result = tuple(text for text in texts if not self._told[text])
        self._told.update(result)
        return result


# How much a cue is worth; chosen: what keeps people unhurt and together goes before what makes them better.
WORTH = {
    CueKind.CHANGE: 1000, CueKind.SAFETY: 500, CueKind.COUNT: 200, CueKind.SET_UP: 100, CueKind.FORM: 40,
    CueKind.BREATHING: 30, CueKind.ENCOURAGEMENT: 10,
}  # fmt: skip
LESS = 10  # each further thing that is explained; chosen, because it outweighs being said ten seconds earlier
EARLY_MS = 8000  # a change is not announced earlier than this; chosen, because two changes back nobody remembers it
POINTS = {
    Track.FIRST: 2,
    Track.AGAIN: 1,
}  # on form in one set: "one or two points at a time" (common practice, no source)
LAST = (
    3  # repetitions that are counted down; chosen, because it is the trade's "last three" (common practice, no source)
)
MOST_COUNTED = 5  # numbers of a count-in; chosen, because a longer one is not listened to
COUNTED_FROM = 6  # repetitions a set needs before its last are counted; chosen, because of fewer everyone knows
HELD_LAST_MS = 10_000  # of a hold that are counted; chosen, because ten seconds can be held when one knows it is ten
COUNT_OFF_MS = 300  # chosen, because a count that is a third of a second early or late is still that count
BREATH_MS = 300  # after every cue; chosen, because a breath is taken in about a third of a second
OPTIONS = {OptionKind.EASIER: "easier", OptionKind.NO_KIT: "no kit", OptionKind.HARDER: "harder"}
RESTING = "New today? Rest or stretch in this round."
TO_ACT = 0.25  # of a set has to be left after a point on form; chosen, so that a repetition or two can still follow it


@dataclass(frozen=True, slots=True, kw_only=True)
class CueCandidate:
    """Words that may be said, with the moments between which they are of use and the one they are best near, ms.

    `bout` is the work they are said in, None between sets; it shares its words with others of that bout. Cues of one
    `sequence` are said in the order of their `place` in it: a name before the position, that before what is harder.
    """

    kind: CueKind
    text: str
    ref: Ref | None
    length_ms: int
    from_ms: int
    until_ms: int
    best_ms: int
    worth: int
    bout: Span | None = None
    sequence: int | None = None
    place: int = 0

    @property
    def words(self) -> int:
        """How many words are said."""
        return words(self.text)


def cue_candidates(
    visits: Sequence[CellTiming], track: Track, length_ms: Callable[[str], int], newcomer_rounds: int | None = None
) -> tuple[CueCandidate, ...]:
    """Everything that might be said on a track, in order of time; `length_ms`: how long some words take.

    `newcomer_rounds`: how many rounds of the main part those do who are new; None where nobody is asked to rest.
    """
    found: list[CueCandidate] = []
    turns: dict[tuple[str, str], CueRotation] = {}
    resting: set[tuple[str, int]] = set()
    for visit in visits:
        heard = turns.setdefault(visit.column, CueRotation())
        here = (visit.cell.ref.block, visit.round_place)
        late = newcomer_rounds is not None and visit.round_place >= newcomer_rounds and here not in resting
        rest = late and visit.block_kind is BlockKind.MAIN and track is Track.FIRST
        made = _Maker(visit=visit, track=track, length_ms=length_ms, turns=heard, rest=rest)
        found += [*made.before(), *made.during()]
        resting |= {here} if rest else set()
        heard.rounds, heard.known = heard.rounds + 1, visit.cell
    return tuple(sorted(found, key=lambda one: (one.from_ms, -one.worth)))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Maker:
    visit: CellTiming
    track: Track
    length_ms: Callable[[str], int]
    turns: CueRotation
    rest: bool

    @property
    def first(self) -> bool:
        """Whether the move comes for the first time."""
        return self.turns.rounds == 0

    @property
    def cell(self) -> Cell:
        return self.visit.cell

    def before(self) -> Iterator[CueCandidate]:
        """From the end of what came before until the first repetition."""
        visit = self.visit
        begin, count_in = visit.before_ms + BREATH_MS, visit.count_in_ms  # a breath after what ended with the work,
        until = count_in - BREATH_MS  # and one before the count
        name = self.cell.rung.name
        if visit.after is not None:  # the last count gives way to the name: it ends with the work before
            end = visit.after.end_ms
            yield self._candidate(CueKind.CHANGE, f"Next: {name}.", end - EARLY_MS, end, best=end, bout=visit.after)
        if count_in < visit.work[0].at_ms:
            yield self._count_in(count_in, visit.work[0].at_ms)
        yield from self._kit_cues(begin, until)
        alone = [] if visit.after else [(CueKind.CHANGE, f"{name}.", WORTH[CueKind.CHANGE])]
        for place, (kind, text, worth) in enumerate((*alone, *self._explanations())):
            made = self._candidate(kind, text, begin, until, best=begin, worth=worth)
            yield replace(made, sequence=visit.before_ms, place=place)

    def _kit_cues(self, begin: int, until: int) -> Iterator[CueCandidate]:
        """Kit while there is time for it: what is put down before what is taken up."""
        fetch, words_ = self.visit.fetch, kit_change_words(self.visit.held, held_kit(self.cell, self.cell.bouts[0]))
        if fetch and words_:
            yield self._candidate(CueKind.SET_UP, words_, begin, until, best=fetch.at_ms, worth=WORTH[CueKind.COUNT])

    def _explanations(self) -> Iterator[tuple[CueKind, str, int]]:
        """What is said while nobody moves, in order: what is new, how much, the position, cautions, what else."""
        if self.rest:
            yield CueKind.SAFETY, RESTING, WORTH[CueKind.SAFETY]
        for text in change_words(self.turns.known, self.cell) if self.turns.known else ():
            yield CueKind.SET_UP, text, WORTH[CueKind.SET_UP] + 1
        if self.first or self.track is Track.FIRST:
            taught = (dose_words(self.cell), *self._of(CueKind.SET_UP)[: 2 if self.first else 1])
            yield from ((CueKind.SET_UP, text, WORTH[CueKind.SET_UP] - LESS * at) for at, text in enumerate(taught))
        if self.visit.block_kind in (BlockKind.MAIN, BlockKind.RESERVE):
            texts = self._of(CueKind.SAFETY)
            new = self.turns.take_new(texts)  # all of them at first, and what a harder rung brings with it
            yield from ((CueKind.SAFETY, text, WORTH[CueKind.SAFETY]) for text in new)
            reminders = () if new else self.turns.next(texts)[:1]
            yield from ((CueKind.SAFETY, text, WORTH[CueKind.FORM]) for text in reminders)
        if self.first and self.track is Track.FIRST:
            worth = WORTH[CueKind.SET_UP] - 3 * LESS
            yield from ((CueKind.SET_UP, text, worth - LESS * at) for at, text in enumerate(self._others()))

    def _count_in(self, at_ms: int, end_ms: int) -> CueCandidate:
        """A number a second, whatever the words alone would take."""
        numbers = [number_words(number) for number in range(min(MOST_COUNTED, (end_ms - at_ms) // 1000), 0, -1)]
        text = f"{', '.join(numbers).capitalize() or 'And'}."
        made = self._candidate(CueKind.COUNT, text, at_ms, end_ms, best=at_ms)
        return replace(made, length_ms=end_ms - at_ms)

    def _others(self) -> Iterator[str]:
        """The other rungs, each once, with the question that decides."""
        found: dict[str, list[str]] = {}
        for kind, label in OPTIONS.items():
            option = self.cell.option(kind)
            if option and option.rung.name != self.cell.rung.name:
                found.setdefault(f"{option.rung.name}. {option.rung.entry_test}".strip(), []).append(label)
        yield from (f"{' or '.join(labels).capitalize()}: {said}" for said, labels in found.items())

    def during(self) -> Iterator[CueCandidate]:
        """Within the work: points while there is time to act, the last repetitions, the other side before a switch."""
        for place, span in enumerate(self.visit.work):
            yield from self._points(span, place)
            yield from self._encouragements(span, place)
            yield from self._last(span)
            later = self.visit.work[place + 1 :]
            if later:
                side = "Left" if later[0].side is Side.LEFT else "Right"
                yield self._candidate(
                    CueKind.CHANGE,
                    f"Then {side.lower()}.",
                    span.end_ms - EARLY_MS,
                    span.end_ms,
                    best=span.end_ms,
                    bout=span,
                )

    def _points(self, span: Span, place: int) -> Iterator[CueCandidate]:
        """Other points in every round and on the second side, in turn."""
        rep_ms = span.bout.rep_ms if span.bout and span.bout.reps else 2000
        begin, until = span.at_ms + rep_ms, span.end_ms - max(rep_ms, round(TO_ACT * span.duration_ms))
        # Where one point is enough, breathing has its turn, for it would never be worth the most.
        breathing = self.track is Track.AGAIN and (self.turns.rounds + place) % 2 == 1
        forms = () if breathing else self.turns.next(self._of(CueKind.FORM), place)[: POINTS[self.track]]
        for number, text in enumerate(forms):
            best = begin + (until - begin) * number // max(1, len(forms))
            worth = WORTH[CueKind.FORM] // (number + 1)
            yield self._candidate(CueKind.FORM, text, begin, until, best=best, bout=span, worth=worth)
        for text in self.turns.next(self._of(CueKind.BREATHING), place)[:1]:
            best = (begin + until) // 2
            yield self._candidate(CueKind.BREATHING, text, begin, until, best=best, bout=span)

    def _encouragements(self, span: Span, place: int) -> Iterator[CueCandidate]:
        """Towards the end, where it is needed: the coach's own, in turn."""
        begin, until = span.at_ms + span.duration_ms // 2, span.end_ms
        for text in self.turns.next(self._of(CueKind.ENCOURAGEMENT), place)[:1]:
            best = span.at_ms + round((1 - TO_ACT) * span.duration_ms)
            yield self._candidate(CueKind.ENCOURAGEMENT, text, begin, until, best=best, bout=span)

    def _last(self, span: Span) -> Iterator[CueCandidate]:
        """A countdown is the plan's own: it begins where that many are left."""
        bout = span.bout
        if bout and bout.reps >= COUNTED_FROM:
            yield self._told_at(span, span.at_ms + (bout.reps - LAST) * bout.rep_ms, f"Last {number_words(LAST)}.")
        if bout and not bout.reps and bout.duration_ms >= 2 * HELD_LAST_MS:
            yield self._told_at(span, span.end_ms - HELD_LAST_MS, "Ten seconds.")

    def _told_at(self, span: Span, at_ms: int, text: str) -> CueCandidate:
        """A count that is true at one moment only."""
        made = self._candidate(CueKind.COUNT, text, at_ms - COUNT_OFF_MS, span.end_ms, best=at_ms, bout=span)
        return replace(made, until_ms=at_ms + COUNT_OFF_MS + made.length_ms)

    def _of(self, kind: CueKind) -> tuple[str, ...]:
        return tuple(dict.fromkeys(cue.text for cue in self.cell.rung.cues if cue.kind is kind))

    def _candidate(
        self,
        kind: CueKind,
        text: str,
        from_ms: int,
        until_ms: int,
        *,
        best: int,
        bout: Span | None = None,
        worth: int | None = None,
    ) -> CueCandidate:
        return CueCandidate(
            kind=kind,
            text=text,
            ref=self.cell.ref,
            length_ms=self.length_ms(text),
            from_ms=max(0, from_ms),
            until_ms=until_ms,
            best_ms=best,
            worth=WORTH[kind] if worth is None else worth,
            bout=bout,
        )


def dose_words(cell: Cell) -> str:
    """How much is done, as the leader says it: '8 repetitions a side, left first.', '40 seconds.'"""
    bout = cell.bouts[0]
    amount = f"{bout.reps} repetitions" if bout.reps else f"{round(bout.duration_ms / 1000)} seconds"
    return f"{amount} a side, {bout.side} first." if len(cell.bouts) > 1 else f"{amount}."
