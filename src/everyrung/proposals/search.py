"""Proposals: columns chosen, trial by themselves, drafted, trial as a whole; what is not clean is cut off, again."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from everyrung.moves.library import Library, standard_library
from everyrung.pipeline import Options, run_plan
from everyrung.plan.resolve import resolve
from everyrung.plan.write import write_plan
from everyrung.proposals.audience_trial import (
    MANY_PEOPLE,
    MOST_STEP,
    AudienceTrial,
    fewer_rounds,
    mend,
    try_on_people,
    with_doses,
)
from everyrung.proposals.brief_text import read_brief
from everyrung.proposals.choose import Choice, Cuts, best_few, choose, frontier, quickest_ms, worth_of
from everyrung.proposals.columns import DOSES, Column, RungsWithLevers, columns
from everyrung.proposals.draft import RESTS_S, Draft, draft, main_block
from everyrung.proposals.fit_doses import able, aim_left, fit
from everyrung.proposals.frame import HERE, announcement, cool_down, warm_up
from everyrung.proposals.reasons import gives_up, missing, reasons
from everyrung.proposals.tabled_versions import TabledVersions
from everyrung.proposals.versions_beside import VersionsBeside
from everyrung.results.analysis import Analysis
from everyrung.store.cache import Cache
from everyrung.terms.enums import Severity
from everyrung.terms.errors import Faults, Invalid
from everyrung.terms.finding import Finding
from everyrung.terms.plan import BlockText, Plan, Ref
from everyrung.terms.session_brief import SessionBrief
from everyrung.timing.timeline import build_timeline

MOST_TRIES = 60  # masters solved for one proposal; chosen, ten times what a brief takes
ROUNDS = (3, 2, 4)  # in the order they are trial where the brief leaves it open; chosen: three are common practice
# A part of what can be had; chosen, because worth is itself chosen, and solving new versions takes up to ten seconds.
NEARLY = 0.85
ROUGHLY = 0.05  # of worth; chosen, because a pattern of the focus is worth more
TRIES_ON_PEOPLE = 3  # sessions of which the one is taken with which an audience finds least; chosen, as it takes time
REFITS, MENDS = 3, 4  # drafts trial on people; chosen, because doses hardly change after so many
GALLERY = 12  # columns trial at once; chosen, because a run of twelve takes half a second
# What is said of a column by itself that only a whole session can be asked.
OF_SESSIONS = {
    "kit-short",
    "rest-short",
    "floor-changes",
    "level-label",
    "newcomer-knee-bends",
    "cut-floor",
    "kit-change-in-cell",
}
_GRAVE = (Severity.ERROR, Severity.WARNING)


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """A whole session that was trial: its text, its run, its worth, and the most that any other choice is worth."""

    text: str
    run: Analysis
    columns: tuple[Column, ...]
    worth: float
    bound: float
    reasons: tuple[str, ...]
    gives_up: tuple[str, ...]
    trial: AudienceTrial

    @property
    def gap(self) -> float:
        """By which part of the bound the proposal may fall short of the best."""
        return max(0.0, 1 - self.worth / self.bound) if self.bound else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SearchStep:
    """How far the search for the next proposal is: sets of moves looked at, and the most that any that is left can be
    worth; 0 while that is not known.
    """

    count: int = 0
    bound: float = 0.0


OnStep = Callable[[SearchStep], None]


@dataclass(kw_only=True)
class _Search:
    """One search over columns of one number of rounds; `good` and `bad` are those that were trial by themselves,
    `in_table` says of those that were looked for whether all their demands are in the table that is shipped;
    `looked_up` are those of which the table was asked whether a body cannot hold them.
    """

    beside: VersionsBeside
    table: TabledVersions
    cache: Cache | None
    seed: int
    main_ms: int
    columns: tuple[Column, ...]
    on_step: OnStep
    step: SearchStep = SearchStep()
    good: set[int] = field(default_factory=set)
    bad: dict[int, str] = field(default_factory=dict)
    in_table: dict[int, bool] = field(default_factory=dict)
    looked_up: set[int] = field(default_factory=set)

    @property
    def brief(self) -> SessionBrief:
        return self.beside.brief

    @property
    def library(self) -> Library:
        return self.beside.library

    def may_be(self, at: int) -> bool:
        """Whether the column was not found wanting; looked up first, where the table says that a body can't hold it."""
        if at not in self.looked_up:
            self.looked_up.add(at)
            if any(map(self.table.is_beyond, self.columns[at].versions)):
                self.bad[at] = "rung-not-held"
        return at not in self.bad

    def is_shipped(self, at: int) -> bool:
        """Whether the column's demands on every body are in the table that is shipped."""
        if at not in self.in_table:
            self.in_table[at] = all(self.table.has(each) for each in self.columns[at].versions)
        return self.in_table[at]

    def left(self, *, in_table: bool = False) -> list[int]:
        """The places of the columns that may still be good: of each move the best few of about one length."""
        return best_few(
            self.columns, self.brief.style, lambda at: self.may_be(at) and (not in_table or self.is_shipped(at))
        )

    def options(self) -> Options:
        return Options(bodies=True, cache=self.cache, on_bodies=lambda *_: self.on_step(self.step))

    def go_on(self, step: SearchStep) -> None:
        """Notes how far it is, and tells."""
        self.step = step
        self.on_step(step)


def propose(
    brief: SessionBrief | str,
    library: Library | None = None,
    *,
    count: int = 3,
    seed: int = 1,
    cache: Cache | None = None,
    on_step: OnStep | None = None,
) -> Iterator[Proposal]:
    """Up to `count` sessions that keep the brief, each unlike those before; none where none is clean. Of one number of
    rounds the best comes first.

    `brief`: a SessionBrief, or the coach's own words. `on_step` is called with how far it is, at least as often as a
    version is put on bodies; what it raises ends the search. The same brief, library and `seed` give the same
    proposals. Raises Invalid for moves that there are not, and for numbers out of bounds.
    """
    moves = library or standard_library()
    if isinstance(brief, str):
        brief = read_brief(brief, moves).brief
    for key in (*brief.include, *brief.exclude, *brief.lately):
        moves.move(key)
    earlier: list[tuple[Column, ...]] = []
    rungs = RungsWithLevers(library=moves)
    beside = VersionsBeside(brief=brief, rungs=rungs)
    free_ms, table = main_ms(beside), TabledVersions(library=moves)
    searches = (
        _Search(
            beside=beside,
            table=table,
            cache=cache,
            seed=seed,
            main_ms=free_ms,
            columns=fit(columns(brief, rungs, rounds), brief),
            on_step=on_step or (lambda _: None),
        )
        for rounds in ((brief.rounds,) if brief.rounds else ROUNDS)
    )
    for search in _fewest_gaps_first(searches):
        while len(earlier) < count:
            proposal = _one(search, earlier)
            if proposal is None:
                break
            earlier.append(proposal.columns)
            yield proposal
        if len(earlier) == count:
            return


def _fewest_gaps_first(searches: Iterable[_Search]) -> Iterator[_Search]:
    """In the order of how many patterns each lacks; one that lacks none before the next is begun."""
    others: list[tuple[int, _Search]] = []
    for search in searches:
        count = _gaps(search)
        if count:
            others.append((count, search))
        else:
            yield search
    yield from (search for _, search in sorted(others, key=lambda each: each[0]))


def _gaps(search: _Search) -> int:
    """How many patterns of the focus there is no time for in this many rounds, before anything is trial."""
    if not search.brief.focus:
        return 0
    left = [search.columns[at] for at in search.left()]
    choice = choose(search.brief, left, Cuts(main_ms=search.main_ms), search.seed, gap=ROUGHLY)
    return len(missing(search.brief, [left[at] for at in choice.places] if choice else ()))


def _one(search: _Search, earlier: Sequence[tuple[Column, ...]]) -> Proposal | None:
    """The best clean session unlike those that are done. It is one of columns whose demands are shipped, where one of
    these is worth nearly as much, so that nobody waits for others to be solved.
    """
    cuts = Cuts(main_ms=search.main_ms, earlier=list(earlier))
    quick = _clean(search, cuts, in_table=True)
    if quick and quick.worth >= NEARLY * quick.bound:
        return quick
    return max(filter(None, (_clean(search, cuts), quick)), key=lambda each: each.worth, default=None)


def _clean(search: _Search, cuts: Cuts, *, in_table: bool = False) -> Proposal | None:
    """The best session that passes all checks; of the first few such the one with which people are served best."""
    _try_the_likely(search, cuts, in_table=in_table)
    sessions: list[Proposal] = []
    for count in range(MOST_TRIES):
        left = search.left(in_table=in_table)
        choice = choose(search.brief, [search.columns[at] for at in left], _by_place(cuts, left), search.seed)
        if choice is None and cuts.overs_ms:
            cuts.overs_ms.remove(max(cuts.overs_ms))  # shorter sets may exceed their estimate less than those did
            continue
        if choice is None:
            break
        places = [left[at] for at in choice.places]
        search.go_on(SearchStep(count=count + 1, bound=choice.worth))
        if not set(places) <= search.good:
            _try_columns(search, places, left)
            if not set(places) <= search.good:
                continue
        session = _trial(search, [search.columns[at] for at in places], cuts, choice)
        if not isinstance(session, Proposal):
            _learn(search, cuts, places, session)
            continue
        sessions.append(session)
        if session.trial.serves or len(sessions) == TRIES_ON_PEOPLE:
            break
        _learn_of_people(search, cuts, places, session)
    best = min(sessions, key=lambda each: (len(missing(search.brief, each.columns)), each.trial.faults), default=None)
    return best and _with_many(search, replace(best, bound=max(best.bound, _most_worth(search, cuts))))


def _with_many(search: _Search, proposal: Proposal) -> Proposal:
    """The proposal with what more people still find of it."""
    trial = try_on_people(proposal.run.plan, search.library, MANY_PEOPLE)
    return replace(proposal, trial=trial, gives_up=(*proposal.gives_up, *(each.measured for each in trial.grave)))


def _try_the_likely(search: _Search, cuts: Cuts, *, in_table: bool) -> None:
    """Tries by themselves, as long as there are such, the columns that the best set is likely to be made of."""
    for _ in range(MOST_TRIES):
        left = search.left(in_table=in_table)
        columns = [search.columns[at] for at in left]
        choice = choose(search.brief, columns, _by_place(cuts, left), search.seed, in_parts=True)
        places = [left[at] for at in choice.places] if choice else []
        if set(places) <= search.good:
            return
        _try_columns(search, places, left)


def main_ms(beside: VersionsBeside) -> int:
    """How long the main part may be: the slot, less what stands around any main part, by the clock."""
    brief = beside.brief
    around = (announcement(brief, (), 3), warm_up(brief, beside.library, ()), cool_down(brief, beside.library, ()))
    plan = replace(gallery(brief, ()), blocks=around)
    return brief.minutes * 60_000 - build_timeline(resolve(plan, beside.library)).total_ms


def _by_place(cuts: Cuts, left: Sequence[int]) -> Cuts:
    """The cuts over the columns that are left; one with a group of which none is left holds by itself."""
    at = {place: number for number, place in enumerate(left)}
    sets = [tuple(frozenset(at[place] for place in group if place in at) for group in each) for each in cuts.sets]
    return replace(cuts, sets=[each for each in sets if all(each)])


def _try_columns(search: _Search, places: Sequence[int], left: Sequence[int]) -> None:
    """Tries columns by themselves: those chosen, and the next best of the same moves among those that are left."""
    moves = {search.columns[at].move.key for at in places}
    unknown = [at for at in left if at not in search.good]
    near = [at for at in unknown if search.columns[at].move.key in moves and at not in places]
    candidates = [*(at for at in places if at in unknown), *near][: max(GALLERY, len(places))]
    faults = _faults(search, candidates)
    for at in candidates:
        if at in faults:
            search.bad[at] = faults[at]
        else:
            search.good.add(at)


def _faults(search: _Search, candidates: Sequence[int]) -> dict[int, str]:
    """What is wrong with each column by itself, by rule."""
    options = replace(search.options(), notes=False)
    return column_faults(search.beside, {at: search.columns[at] for at in candidates}, options)


def column_faults(beside: VersionsBeside, candidates: Mapping[int, Column], options: Options) -> dict[int, str]:
    """What is wrong with columns by themselves, by their numbers and by rule: all are led one after another."""
    rest_s = RESTS_S[beside.brief.style].usual
    blocks = {
        at: main_block(beside, f"Column {at}", [column], DOSES[0], rest_s) for at, column in candidates.items()
    }  # fmt: skip
    faults = {at: "option-missing" for at, block in blocks.items() if not _has_options(block)}
    whole = {at: block for at, block in blocks.items() if at not in faults}
    try:
        run = run_plan(gallery(beside.brief, whole.values()), library=beside.library, options=options)
    except (Invalid, Faults) as problem:
        if len(whole) == 1:
            return {**faults, next(iter(whole)): str(problem)}
        return faults | {
            at: why for at in whole for why in column_faults(beside, {at: candidates[at]}, options).values()
        }
    for finding in grave_findings(run):
        if finding.rule not in OF_SESSIONS:
            names = {place.block for place in finding.places if isinstance(place, Ref)}
            faults.update({int(name.split()[1]): finding.rule for name in names if name.startswith("Column ")})
    return faults


def _has_options(block: BlockText) -> bool:
    return all(cell.options for each in block.rounds for cell in each.cells.values())


def gallery(brief: SessionBrief, blocks: Iterable[BlockText]) -> Plan:
    """A plan of columns by themselves, and of an announcement so that there is one where no column is left."""
    return Plan(
        file=HERE.file,
        title="Columns by themselves",
        slot_ms=240 * 60_000,
        who=brief.who,
        level=brief.level,
        kit=brief.kit,
        blocks=(announcement(brief, (), 1), *blocks),
    )


def grave_findings(run: Analysis) -> list[Finding]:
    return [finding for finding in run.findings if finding.severity in _GRAVE]


def _trial(search: _Search, selection: Sequence[Column], cuts: Cuts, choice: Choice) -> Proposal | int | list[Finding]:
    """The session that a choice makes; or by how much it misses the slot; or what is wrong with it."""
    moves = {column.move.key for column in selection}
    spare = [search.columns[at] for at in sorted(search.good) if search.columns[at].move.key not in moves]
    session = draft(search.beside, selection, spare)
    if isinstance(session, int):
        return session
    session, trial = _on_people(search, session, spare)
    run = run_plan(session.plan, library=search.library, options=search.options())
    if grave := grave_findings(run):
        return grave
    return Proposal(
        text=write_plan(session.plan),
        run=run,
        columns=session.columns,
        worth=worth_of(search.brief, selection, cuts.earlier),
        bound=choice.worth,
        reasons=tuple(reasons(search.brief, session)),
        gives_up=tuple(gives_up(search.brief, session)),
        trial=trial,
    )


def _on_people(search: _Search, session: Draft, spare: Sequence[Column]) -> tuple[Draft, AudienceTrial]:
    """The draft with doses that leave the middle person a few and let nearly everyone finish, as far as it still fills
    the slot; and what is found of an audience then.
    """
    trial = try_on_people(session.plan, search.library)
    by = MOST_STEP
    for _ in range(REFITS):
        columns = with_doses(session.columns, trial, aim_left(search.brief), by)
        if columns == session.columns:
            break
        again = draft(search.beside, columns, spare)
        if isinstance(again, int):
            by //= 2
            continue
        session, trial = again, try_on_people(again.plan, search.library)
    rounds: int | None = None
    for _ in range(MENDS):
        columns, rounds = mend(session.columns, trial), fewer_rounds(trial, rounds)
        again = draft(search.beside, columns, spare, newcomer_rounds=rounds)
        if isinstance(again, int) or again.plan == session.plan:
            break
        after = try_on_people(again.plan, search.library)
        if len(after.grave) > len(trial.grave):
            break
        session, trial = again, after
    return session, trial


def _most_worth(search: _Search, cuts: Cuts) -> float:
    """The most that any set of columns is worth that was not found wanting, those left out of the programme too."""
    cuts, every = cuts.at_least(), [at for at in range(len(search.columns)) if search.may_be(at)]
    columns, here = [search.columns[at] for at in every], _by_place(cuts, every)
    every = [every[at] for at in frontier(columns, search.brief.style, here)]
    best = choose(search.brief, [search.columns[at] for at in every], _by_place(cuts, every), search.seed)
    return best.worth if best else 0.0


def _learn(search: _Search, cuts: Cuts, places: Sequence[int], verdict: int | list[Finding]) -> None:
    """Cuts off what was trial: of what missed the slot, all of the same moves that is as long, or as short; of what was
    not clean, the column to blame, or these moves together.
    """
    if isinstance(verdict, int):
        if verdict > 0:
            estimated_ms = sum(quickest_ms(search.columns[at], search.brief.style) for at in places)
            cuts.overs_ms.append(cuts.main_ms + verdict - estimated_ms)
        cuts.sets.append(tuple(_as_far(search, at, longer=verdict > 0) for at in places))
        return
    by_move = {search.columns[at].move.key: at for at in places}
    to_blame = [
        (by_move[place.cell], finding.rule)
        for finding in verdict
        if finding.rule not in OF_SESSIONS and len({each for each in finding.places if isinstance(each, Ref)}) == 1
        for place in finding.places
        if isinstance(place, Ref) and place.cell in by_move
    ]
    search.bad.update(to_blame)
    if not to_blame:
        cuts.sets.append(tuple(_of_move(search, at) for at in places))


def _learn_of_people(search: _Search, cuts: Cuts, places: Sequence[int], session: Proposal) -> None:
    """Cuts off what people have shown: a move that is too light or too hard whatever its dose, with all its versions
    that are more so; else these moves together.
    """
    too_light, too_hard = session.trial.lightest, session.trial.too_hard
    out: set[int] = set()
    for at in places:
        key = search.columns[at].move.key
        alike = _as_light(search, at, lighter=key in too_light) if key in too_light | too_hard else frozenset()
        pattern = search.columns[at].move.pattern
        others = (other for other in search.left() if search.columns[other].move.pattern is pattern)
        if pattern not in search.brief.focus or any(other not in alike for other in others):
            out |= alike
    search.bad.update(dict.fromkeys(out, "not-for-the-middle"))
    if not out:
        cuts.sets.append(tuple(_of_move(search, at) for at in places))


def _as_light(search: _Search, at: int, *, lighter: bool) -> frozenset[int]:
    """The columns of the same move whose last version is as light, or as hard, as far as is known."""
    here = able(search.columns[at].versions[-1])
    every = {other: able(search.columns[other].versions[-1]) for other in _of_move(search, at)}
    return frozenset({at}) | {
        other
        for other, can in every.items()
        if here is not None and can is not None and (can >= here if lighter else can <= here)
    }


def _as_far(search: _Search, at: int, *, longer: bool) -> frozenset[int]:
    """The columns of the same move that take as much time, or as little."""
    style = search.brief.style
    took_ms = quickest_ms(search.columns[at], style)
    times = {other: quickest_ms(search.columns[other], style) for other in _of_move(search, at)}
    return frozenset(
        other for other, each_ms in times.items() if (each_ms >= took_ms if longer else each_ms <= took_ms)
    )


def _of_move(search: _Search, at: int) -> frozenset[int]:
    key = search.columns[at].move.key
    return frozenset(other for other, column in enumerate(search.columns) if column.move.key == key)
