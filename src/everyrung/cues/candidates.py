"""What might be said, and between which moments it is of use: not yet placed; and the set that it is for."""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import cached_property

from everyrung.cues.cell_timing import CellTiming
from everyrung.cues.phrases import Phrases
from everyrung.cues.speech import words
from everyrung.moves.gaze import head_up
from everyrung.moves.library import Library
from everyrung.terms.enums import CueKind, View
from everyrung.terms.errors import Invalid
from everyrung.terms.frozen import dataclass
from everyrung.terms.plan import Ref
from everyrung.terms.pose import Layer
from everyrung.terms.session import Cell, Session
from everyrung.terms.timeline import Span, Track

# How much a cue is worth; chosen: what keeps people unhurt and together goes before what makes them better.
WORTH = {
    CueKind.CHANGE: 1000, CueKind.KIT: 900, CueKind.PLACE: 900, CueKind.SIDE: 900, CueKind.SAFETY: 500,
    CueKind.VERSION: 400, CueKind.COUNT: 200, CueKind.SET_UP: 100, CueKind.BREAK: 60, CueKind.FORM: 40,
    CueKind.BREATHING: 45, CueKind.ENCOURAGEMENT: 10, CueKind.THUMBS: 150, CueKind.LOOK: 38,
}  # fmt: skip
MUST = 200  # worth from which it is said however little breath is left: a change, the last count, a good word; chosen
BREATH_MS = 300  # after every cue; chosen, because a breath is taken in about a third of a second


@dataclass(frozen=True, slots=True, kw_only=True)
class CueCandidate:
    """Words that may be said, with the moments between which they are of use and the one they are best near, ms.

    `bout` is the work they are said in, None between sets; it shares its words with others of that bout. Cues of one
    `sequence` are said in the order of their `place` in it: kit before the place, that before the position. One that
    `completes` is said only where the one before it in its sequence is.
    `rungs`: for whom, as of `SaidCue`.
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
    completes: bool = False
    rungs: tuple[int, ...] = ()

    @property
    def words(self) -> int:
        """How many words the leader's breath has to last for: none for the good word of a hard set, which a breath
        always carries.
        """
        return 0 if self.kind is CueKind.ENCOURAGEMENT and self.worth >= MUST else words(self.text)


class CueRotation:
    """What was said at one move's sets in the rounds so far, so that something else is said at the next.

    >>> rotation, points = CueRotation(Phrases()), ["Chest up.", "Knees out."]
    >>> rotation.next(points)[0], rotation.next(points)[0]
    ('Chest up.', 'Knees out.')
    """

    def __init__(self, phrases: Phrases) -> None:
        self.phrases = phrases
        self.before: Cell | None = None  # the set of the round before
        self._counts: Counter[str] = Counter()  # how often
        self._when: dict[str, int] = {}
        self._last: dict[int, set[str]] = {}
        self.rounds = 0
        self.last_set = 0  # the number of the move's last set among all

    def next(self, texts: Sequence[str], place: int = 0) -> tuple[str, ...]:
        """Texts of one kind, those of the greatest need first; the turn of the first of them is noted. `place` is the
        side.

        That is none that was said last for this side; of those what was not heard of late; of those the least said; of
        those the one said longest ago.
        """
        last, fresh = self._last.get(place, set()), self.phrases.is_fresh
        order = sorted(
            texts, key=lambda text: (text in last, not fresh(text), self._counts[text], self._when.get(text, 0))
        )
        for text in order[:1]:
            self._counts[text] += 1
            self._when[text] = self._counts.total()
            self._last[place] = (last - set(texts)) | {text}
        return tuple(order)

    def take_new(self, texts: Sequence[str]) -> tuple[str, ...]:
        """Those that were never said; they count as said from now on."""
        result = tuple(text for text in texts if not self._counts[text])
        self._counts.update(result)
        return result


LOOK_MS = 3000  # of silence for the leader's own look at the screen; chosen, because a page of faces takes so long


def with_look(cue: CueCandidate) -> CueCandidate:
    """The same cue with time to look at the screen after its words."""
    return replace(cue, length_ms=cue.length_ms + LOOK_MS)


@dataclass(frozen=True, kw_only=True)
class SetToCue:
    """One set, with all that its words depend on. `effort`: how hard it is, 0 to 1, for whoever finds it harder, those
    who follow or the leader, and `leader_effort` for her alone; `rest`: those who are new rest; `round_end`: the last
    set of a main round that was just done, None where no such round ended right before.
    """

    session: Session
    visit: CellTiming
    track: Track
    length_ms: Callable[[str], int]
    rotation: CueRotation
    library: Library
    effort: float
    leader_effort: float
    rest: bool
    round_end: Cell | None = None
    is_last: bool = False

    @property
    def cell(self) -> Cell:
        """The cell that is led."""
        return self.visit.cell

    @property
    def is_first(self) -> bool:
        """Whether the move comes for the first time."""
        return self.rotation.rounds == 0

    @property
    def phrases(self) -> Phrases:
        """What was planned in the sets so far."""
        return self.rotation.phrases

    @cached_property
    def offers(self) -> tuple[Cell, ...]:
        """The cell as it is led, then as each of its options has it."""
        cell = self.cell
        options = (replace(cell, rung=each.rung, dose=each.dose, bouts=each.bouts) for each in cell.options)
        return (cell, *options)

    @property
    def asks_thumbs(self) -> bool:
        """Whether those who are seen over a link are asked how the round was that ended before this set."""
        return self.round_end is not None and self.session.who.live

    @cached_property
    def is_free(self) -> bool:
        """Whether whoever does the set as it is led has a hand free, and the head up."""
        form, load = self.cell.rung.form, self.cell.bouts[0].load
        hands = form.position.hands_needed + form.surface.hands_needed
        return not hands and load is None and head_up(self.cell.rung, self.pose(self.cell))

    def shows_lips(self, cell: Cell) -> bool:
        """The same of a cell as `lips_seen`."""
        return lips_seen(self.session, cell, self.library)

    def whom(self, holds: Callable[[Cell], bool]) -> tuple[int, ...]:
        """The places of the rungs of which something holds; empty where it does of all."""
        places = tuple(place for place, each in enumerate(self.offers) if holds(each))
        return () if len(places) == len(self.offers) else places

    def pose(self, cell: Cell) -> Layer | None:
        """What the pose of a cell's rung asks for; None where its move has none."""
        return _pose(cell, self.library)

    def texts(self, kind: CueKind) -> tuple[str, ...]:
        """The words of one kind that the rung's file has, the coach's own first."""
        return tuple(dict.fromkeys(cue.text for cue in self.cell.rung.cues if cue.kind is kind))

    def whom_text(self, text: str) -> tuple[int, ...]:
        """The rungs whose own words these are."""
        return self.whom(lambda each: any(cue.text == text for cue in each.rung.cues))

    def candidate(
        self,
        kind: CueKind,
        text: str,
        from_ms: int,
        until_ms: int,
        *,
        best: int,
        bout: Span | None = None,
        worth: int | None = None,
        rungs: tuple[int, ...] = (),
    ) -> CueCandidate:
        """Words for this set; they count as planned."""
        return CueCandidate(
            kind=kind,
            text=self.phrases.note(text),
            ref=self.cell.ref,
            length_ms=self.length_ms(text),
            from_ms=max(0, from_ms),
            until_ms=until_ms,
            best_ms=best,
            worth=WORTH[kind] if worth is None else worth,
            bout=bout,
            rungs=rungs,
        )


def lips_seen(session: Session, cell: Cell, library: Library) -> bool:
    """Whether whoever reads lips can, while a cell is done as it is led: the leader's face is up, and turned to
    people. True where nobody does.
    """
    to_people = session.view is not View.BACK_TURNED
    return not session.who.lip_readers or (to_people and head_up(cell.rung, _pose(cell, library)))


def _pose(cell: Cell, library: Library) -> Layer | None:
    try:
        return library.pose(cell.rung.form)
    except Invalid:
        return None
