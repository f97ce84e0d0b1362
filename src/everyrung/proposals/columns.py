"""Columns: one move of the library with the version that is led in each round, a lever harder from round to round."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import islice, product

from everyrung.checks.rules.bodies import MOST_RISE
from everyrung.checks.rules.whole_session import HIGHEST_GRADE
from everyrung.moves.kit import kit_for
from everyrung.moves.levers import TRACES
from everyrung.moves.library import Library
from everyrung.plan.bouts import items_of, lacking
from everyrung.plan.doses import HOLD_STEP_MS, LEAST_HOLD_MS, LEAST_REPS, REP_MS
from everyrung.terms.enums import BandGrade, KitItem, Level, LoadNeed, Mode, MoveKind, Pattern, Position, Sidedness
from everyrung.terms.errors import Invalid
from everyrung.terms.lever import Lever, Pause, TempoChange
from everyrung.terms.move import Form, Move, Rung
from everyrung.terms.session_brief import SessionBrief, Style
from everyrung.terms.units import Dose, Load, Per

DOSES = (10, 9, 11)  # repetitions of a first plain set; 8 to 12: ACSM 2009; the middle one first
MORE_REPS = 2  # a step of repetitions; chosen, because one more is within what anybody miscounts
CLOCK_REP_MS = 4_000  # of a set by the clock; chosen: ten repetitions are the 40 s that stations commonly last
ONE_SIDED_FEWER = 2  # repetitions a side; chosen, because both sides together are twice a set
COLUMNS_A_START = 4  # ways up from one rung; chosen, because more differ by their last step alone
QUICK_MS = (
    2_000  # a repetition that is led on a swing; chosen: hops, throws, steps in time last no longer in the library
)
PAUSE, SLOW = Pause(pause_ms=2_000), TempoChange(lower_ms=4_000, rise_ms=2_000)
# What a step is worth: a new rung or a load shows that one has come further, slowness and pauses cost time. Chosen.
_WORTH = {"rung": 0.3, "load": 0.3, "reps": 0.15, "pause": 0.1, "tempo": 0.05}
KINDS = tuple(_WORTH)
ANOTHER_KIND = 0.1  # each further kind of step: a way that changes is more to look forward to
# What a move is worth, beside 0 to 1 for its grades within the level: of a pattern in focus, of any where there is no
# focus, of one outside it. All chosen, so that focus goes before grades, and grades before kinds of steps.
IN_FOCUS, NO_FOCUS, BESIDE_FOCUS = 4.0, 2.0, 1.0
WITH_LOAD = 1.0  # kit that she brought is to be used
WISHED_FOR = 20.0  # more than all else together
DONE_LATELY = -1.5  # about what tells a move of another pattern from the next best
TO_AVOID = -0.5  # each limit of somebody who comes
# A version for who has no load where others have one, or for who can't stand: others train little with it. Chosen.
STANDS_IN = -1.5
MANY_REPS = -0.3  # each step of repetitions after the first: beyond the doses that train
# Common practice, no source: a whole session is made of squat, hinge, push, pull, press and trunk.
_SMALL = frozenset((Pattern.ABDUCTION, Pattern.CALF, Pattern.CARRY, Pattern.BALANCE, Pattern.CONDITIONING))


@dataclass(frozen=True, slots=True, kw_only=True)
class Version:
    """What is led in one round: a rung of the ladder, levers on top, the load, and repetitions over the dose.

    `by_clock`: every set lasts as long as every other, whatever is repeated in it.
    """

    rung: Rung
    add: tuple[Lever, ...] = ()
    variant: Rung
    load: Load | None = None
    more: int = 0
    by_clock: bool = False

    def dose(self, reps: int) -> Dose:
        """The dose where a plain set has `reps` repetitions."""
        form = self.variant.form
        if self.by_clock:
            lasting_ms = reps * CLOCK_REP_MS // HOLD_STEP_MS * HOLD_STEP_MS
            if form.sides is Sidedness.BOTH:
                return Dose(duration_ms=lasting_ms)
            return Dose(duration_ms=lasting_ms // 2000 * 1000, per=Per.SIDE)
        if form.mode is Mode.HOLD:
            steps = reps * REP_MS // HOLD_STEP_MS + self.more // MORE_REPS
            return Dose(
                duration_ms=max(LEAST_HOLD_MS, steps * HOLD_STEP_MS),
                per=Per.PLAIN if form.sides is Sidedness.BOTH else Per.SIDE,
            )
        count = reps + self.more
        if form.sides is Sidedness.BOTH:
            return Dose(reps=count)
        return Dose(reps=max(LEAST_REPS, count - ONE_SIDED_FEWER), per=Per.SIDE)

    def work_ms(self, reps: int) -> int:
        """How long one set lasts, both sides together."""
        form, dose = self.variant.form, self.dose(reps)
        once_ms = dose.duration_ms or (dose.reps or 0) * form.rep_ms
        return once_ms * (1 if form.sides is Sidedness.BOTH else 2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One move over all rounds. `worth` is what it adds to a session, before anything else in it is known, `gives_out`
    the muscle group that stops most people in the last round, where that is known, `kit` all that is fetched for it;
    the work of all rounds takes from `least_work_ms` to `most_work_ms`, as the dose is small or large.
    """

    move: Move
    versions: tuple[Version, ...]
    steps: tuple[str, ...]
    kit: frozenset[KitItem] = field(default=frozenset(), compare=False)
    worth: float = field(compare=False)
    gives_out: str = field(default="", compare=False)
    least_work_ms: int = field(init=False, compare=False)
    most_work_ms: int = field(init=False, compare=False)

    def __post_init__(self) -> None:
        for name, reps in (("least_work_ms", min(DOSES)), ("most_work_ms", max(DOSES))):
            object.__setattr__(self, name, self.work_ms(reps))

    @property
    def key(self) -> tuple[object, ...]:
        """What makes two columns the same."""
        return (self.move.key, *((each.rung.key, each.add, str(each.load), each.more) for each in self.versions))

    @property
    def signature(self) -> tuple[Pattern, bool, bool]:
        """What two proposals are not to have alike too often: pattern, on the floor or not, loaded or not."""
        return self.move.pattern, self.position.on_floor, any(each.load for each in self.versions)

    @property
    def position(self) -> Position:
        return self.versions[0].variant.form.position

    def work_ms(self, reps: int) -> int:
        """How long the work of all rounds takes where a plain set has `reps` repetitions."""
        return sum(each.work_ms(reps) for each in self.versions)


@dataclass(frozen=True, slots=True, kw_only=True)
class RungsWithLevers:
    """Rungs of a library with levers on top; one that was built is known, for many ways up ask for it."""

    library: Library
    cache: dict[tuple[str, str, tuple[Lever, ...]], Rung | None] = field(default_factory=dict)

    def of(self, move: str, rung: str, levers: tuple[Lever, ...]) -> Rung | None:
        """The rung with these levers; None where they contradict."""
        key = move, rung, levers
        if key not in self.cache:
            try:
                self.cache[key] = self.library.custom_rung(*key)
            except Invalid:
                self.cache[key] = None
        return self.cache[key]


def columns(
    brief: SessionBrief, rungs: RungsWithLevers, rounds: int, kinds: Sequence[str] = KINDS
) -> tuple[Column, ...]:
    """Every column that the brief leaves room for, its steps of some `kinds`; those worth most first."""
    by_key: dict[tuple[object, ...], Column] = {}
    orders = sorted(product(kinds, repeat=rounds - 1), key=_sum, reverse=True)
    for key in rungs.library.keys:
        move = rungs.library.move(key)
        if move.kind is not MoveKind.STRENGTH or key in brief.exclude:
            continue
        for rung in move.ladder:
            if not _fits(brief, move, rung):
                continue
            for start in _with_loads(brief, rung):
                for way in islice(_ways(brief, rungs, move, start, orders), COLUMNS_A_START):
                    column = _column(brief, move, start, way)
                    by_key.setdefault(column.key, column)
    return tuple(sorted(by_key.values(), key=lambda column: (-column.worth, str(column.key))))


_Way = tuple[tuple[str, Version], ...]


def _sum(kinds: Sequence[str]) -> float:
    return sum(_WORTH[kind] for kind in kinds) + ANOTHER_KIND * len(set(kinds))


def _fits(brief: SessionBrief, move: Move, rung: Rung) -> bool:
    """Whether a rung may be led: of this move itself, with kit that is there, within the level and the floor."""
    return (
        rung.form.move == move.key
        and rung.grade <= HIGHEST_GRADE[brief.level]
        and not lacking(rung, brief.kit)
        and (brief.floor or not rung.form.position.on_floor)
    )


def _with_loads(brief: SessionBrief, rung: Rung) -> Iterator[Version]:
    """A rung with each load of the kit that it can be done with."""
    for load in _loads(brief, rung.form):
        yield Version(rung=rung, variant=rung, load=load, by_clock=brief.style is Style.STATIONS)


def _loads(brief: SessionBrief, form: Form) -> tuple[Load | None, ...]:
    """From the lightest; None alone for what is done without, and for a band that the form itself names."""
    pieces = form.load.pieces
    if form.load.is_band and not form.band:
        grades = {stock.grade for stock in brief.kit if stock.grade and stock.grade.need is form.load}
        return tuple(Load(band=grade) for grade in BandGrade if grade in grades)
    if not pieces:
        return (None,)
    need = kit_for(form.load)
    masses = {stock.mass for stock in brief.kit if stock.mass and need.is_met_by(stock.item) and stock.pieces >= pieces}
    return tuple(Load(pieces=(mass,) * pieces) for mass in sorted(masses, key=lambda mass: mass.mass_kg))


def _ways(
    brief: SessionBrief, rungs: RungsWithLevers, move: Move, start: Version, orders: Iterable[tuple[str, ...]]
) -> Iterator[_Way]:
    """The ways from a first version through the other rounds, by the kinds of their steps as these are in `orders`;
    those that can't be had are left out.
    """
    steps: dict[tuple[str, ...], Version | None] = {(): start}
    for order in orders:
        for count, kind in enumerate(order):
            before = steps[order[:count]]
            if order[: count + 1] not in steps:
                steps[order[: count + 1]] = before and step(brief, rungs, move, before, kind)
        if steps[order]:
            yield tuple((kind, after) for at, kind in enumerate(order, 1) if (after := steps[order[:at]]))


def step(brief: SessionBrief, rungs: RungsWithLevers, move: Move, now: Version, kind: str) -> Version | None:
    """The version one step harder by a kind of step; None where there is none."""
    if kind == "reps":
        return None if now.by_clock else replace(now, more=now.more + MORE_REPS)
    if kind == "rung":
        return _rung_up(brief, move, now)
    if kind == "load":
        heavier = [load for load in _loads(brief, now.variant.form) if load and now.load and _next_up(now.load, load)]
        return replace(now, load=heavier[0]) if heavier else None
    return _with_lever(brief, rungs, move, now, PAUSE if kind == "pause" else SLOW)


def _next_up(before: Load, after: Load) -> bool:
    return before.total_kg < after.total_kg <= MOST_RISE * before.total_kg


def _rung_up(brief: SessionBrief, move: Move, now: Version) -> Version | None:
    """The next rung of the ladder that differs by one lever and needs no other kit in place of what is in use."""
    if now.add:
        return None
    place = [rung.key for rung in move.ladder].index(now.rung.key)
    for rung in move.ladder[place + 1 :]:
        if not _fits(brief, move, rung) or rung.grade < now.rung.grade:
            continue
        before, after = now.variant.form, rung.form
        levers = [word for word, trace in TRACES.items() if word != "load" and trace.differs(before, after)]
        load_comes = before.load is LoadNeed.NONE and after.load is not LoadNeed.NONE
        if before.load is not after.load and not load_comes:
            continue
        if len(set(levers) - {"carry"} if load_comes else levers) + load_comes != 1:
            continue
        loads = _loads(brief, after)
        load = now.load if now.load in loads else next(iter(loads), None)
        return replace(now, rung=rung, variant=rung, load=load) if loads else None
    return None


def _with_lever(brief: SessionBrief, rungs: RungsWithLevers, move: Move, now: Version, lever: Lever) -> Version | None:
    form = now.variant.form
    if form.mode is Mode.HOLD or _is_quick(move.base) or any(each.word == lever.word for each in now.add):
        return None
    if isinstance(lever, Pause) and form.tempo.bottom_ms + form.tempo.top_ms:
        return None
    if isinstance(lever, TempoChange) and form.tempo.lower_ms >= lever.lower_ms:
        return None
    add = (*now.add, lever)
    variant = rungs.of(move.key, now.rung.key, add)
    if variant is None or variant.grade > HIGHEST_GRADE[brief.level] or variant.form.move != move.key:
        return None
    return replace(now, add=add, variant=variant)


def _is_quick(form: Form) -> bool:
    """Whether a move goes by its swing, so that a pause or slowness on top would make it another move."""
    return form.rep_ms <= QUICK_MS and not form.tempo.bottom_ms + form.tempo.top_ms


def _column(brief: SessionBrief, move: Move, start: Version, way: _Way) -> Column:
    versions = (start, *(version for _, version in way))
    limits = {caution for each in versions for caution in each.variant.cautions} & set(brief.limits)
    worth = BESIDE_FOCUS
    if move.pattern in brief.focus:
        worth = IN_FOCUS
    elif not brief.focus and not is_beside(brief, move.pattern):
        worth = NO_FOCUS
    worth += sum(each.variant.grade for each in versions) / len(versions) / HIGHEST_GRADE[brief.level]
    worth += WITH_LOAD * any(each.load for each in versions)
    worth += _sum([kind for kind, _ in way]) / max(1, len(way))
    worth += TO_AVOID * len(limits)
    worth += STANDS_IN * any(_stands_in(brief, move, each.variant.form) for each in versions)
    worth += MANY_REPS * max(0, versions[-1].more // MORE_REPS - 1)
    worth += DONE_LATELY * (move.key in brief.lately)
    worth += WISHED_FOR * (move.key in brief.include)
    kit = frozenset(item for each in versions for item in items_of(each.variant, brief.kit))
    return Column(move=move, versions=versions, steps=tuple(kind for kind, _ in way), kit=kit, worth=worth)


def is_beside(brief: SessionBrief, pattern: Pattern) -> bool:
    """Whether a pattern is beside the point of a strength session that nobody asked it of; in a gentle one balance is
    not (WHO 2020 asks for it from 65).
    """
    return pattern in _SMALL and not (pattern is Pattern.BALANCE and brief.level is Level.GENTLE)


def _stands_in(brief: SessionBrief, move: Move, form: Form) -> bool:
    """Whether it is the move without the load that it is made for, or sitting where people are to work standing."""
    is_empty = form.load is LoadNeed.NONE and move.base.load is not LoadNeed.NONE
    sits = form.position is Position.SEATED and form.load is LoadNeed.NONE and brief.level is not Level.GENTLE
    return is_empty or sits
