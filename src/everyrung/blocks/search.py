"""A block of weeks from a brief: evenings, skeleton, steps, and a whole session for every evening, each one tried."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from everyrung.blocks.clashes import check_clock, wish_that_helps
from everyrung.blocks.evenings import evenings_of, parts_of
from everyrung.blocks.ladder import Ladder, ladder_of
from everyrung.blocks.middle import DEMAND_REPS, demands
from everyrung.blocks.skeleton import Choices, Skeleton, Stays, skeleton
from everyrung.blocks.steps import Steps, column_at, steps
from everyrung.blocks.whole_evening import EveningPlan, Miss, evening_plan
from everyrung.moves.library import Library, standard_library
from everyrung.pipeline import Options
from everyrung.plan.read import plan_from_text
from everyrung.plan.resolve import resolve
from everyrung.proposals.choose import EXPLAIN_MS, quickest_ms
from everyrung.proposals.columns import Column, RungsWithLevers, columns
from everyrung.proposals.draft import FULL, RESTS_S
from everyrung.proposals.search import column_faults, main_ms
from everyrung.proposals.versions_beside import VersionsBeside
from everyrung.store.cache import Cache
from everyrung.terms.block_brief import BlockBrief, Evening, EveningKind
from everyrung.terms.enums import BlockKind, Pattern
from everyrung.terms.errors import Invalid
from everyrung.terms.session_brief import SessionBrief

KINDS = ("rung", "load", "reps")  # steps from round to round; pauses and slowness are kept for a coach's own hand
ROUNDS = 3  # where the brief leaves it open; chosen: common practice
COLUMNS_ALIKE, LENGTH_MS = 2, 60_000  # in the programme at once; chosen, as search.py's
MOST_SKELETONS, MOST_TRIES = 40, 12  # that are looked at, and steps for one; chosen, three times what a block takes

OnStep = Callable[[str], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stay:
    """An evening that stays as it is: its text, what it is for, and where its moves stand on their ladders; no places
    where a coach changed it by hand.
    """

    kind: EveningKind
    text: str
    places: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Earlier:
    """A block that was planned before: the columns of its skeleton in short (column_words) by (evening of the week,
    part), and by day the evenings that stay.
    """

    columns: Mapping[tuple[int, int], tuple[str, ...]] = field(default_factory=dict)
    evenings: Mapping[date, Stay] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A block of weeks that was tried: its evenings with their sessions, the skeleton, the steps, and what it gives up.

    `places` are, by day, where each move stands on its ladder.
    """

    brief: BlockBrief
    evenings: tuple[EveningPlan, ...]
    parts: Mapping[int, int]
    skeleton: Skeleton
    steps: Steps
    gives_up: tuple[str, ...]
    places: Mapping[date, Mapping[str, int]]


@dataclass(slots=True, kw_only=True)
class _Search:
    """One block while it is planned."""

    brief: BlockBrief
    library: Library
    rungs: RungsWithLevers
    cache: Cache | None
    on_step: OnStep
    earlier: Earlier
    evenings: tuple[Evening, ...]
    parts: Mapping[int, int]
    beside: list[VersionsBeside]
    choices: list[Choices]
    good: list[set[tuple[object, ...]]]
    bad: set[tuple[object, ...]] = field(default_factory=set)
    room_s: dict[tuple[int, int], float] = field(default_factory=dict)
    first_s: dict[tuple[int, int], float] = field(default_factory=dict)
    sessions: dict[tuple[object, ...], EveningPlan | Miss] = field(default_factory=dict)

    def options(self) -> Options:
        return Options(bodies=True, cache=self.cache)

    def places_that_stay(self) -> dict[tuple[int, int], Mapping[str, int]]:
        """The places of the evenings that stay and build up, by (week, evening of the week)."""
        return {
            (each.week, each.weekly): self.earlier.evenings[each.on].places
            for each in self.evenings
            if each.on in self.earlier.evenings and each.kind is EveningKind.BUILD
        }

    def stays(self) -> Stays:
        """What stays, as the skeleton needs it."""
        by_words = [{column_words(column): column for column in some.columns} for some in self.choices]
        columns = {
            (weekly, part): tuple(by_words[weekly][each] for each in words if each in by_words[weekly])
            for (weekly, part), words in self.earlier.columns.items()
            if weekly < len(by_words)
        }
        ongoing = {(weekly, self.parts[week]) for week, weekly in self.places_that_stay()}
        patterns = {
            each.on: session_patterns(self.earlier.evenings[each.on].text, self.library)
            for each in self.evenings
            if each.kind is EveningKind.BY_HAND
        }
        return Stays(
            columns={key: group for key, group in columns.items() if key in ongoing},
            moves={key: frozenset(column.move.key for column in group) for key, group in columns.items()},
            patterns=patterns,
        )


def propose_block(
    brief: BlockBrief,
    library: Library | None = None,
    *,
    cache: Cache | None = None,
    earlier: Earlier | None = None,
    on_step: OnStep | None = None,
) -> Block:
    """The block that keeps the brief best. `earlier` is what was planned before and is to stay. `on_step` is called
    with how far it is, in words. Raises Invalid, in words, where there is none.
    """
    moves = library or standard_library()
    search = _begin(brief, moves, cache, earlier or Earlier(), on_step or (lambda _: None))
    search.on_step("which moves on which evening")
    bones = _skeleton(search)
    search.on_step("what each step asks of the person in the middle")
    ladders = {
        (weekly, part, column.move.key): ladder_of(search.beside[weekly].brief, search.rungs, column)
        for (weekly, part), group in bones.columns.items()
        for column in group
    }
    demand = _demands(search, ladders)
    seconds = {
        column.key: column.work_ms(DEMAND_REPS) / 1000 for ladder in ladders.values() for column in ladder.columns
    }
    for (weekly, part), group in bones.columns.items():
        least_s = EXPLAIN_MS / 1000 + RESTS_S[search.beside[weekly].brief.style].least
        sets = sum(len(column.versions) for column in group)
        search.first_s[weekly, part] = sum(seconds[column.key] for column in group)
        room_s = search.choices[weekly].most_ms / 1000 - least_s * sets
        search.room_s[weekly, part] = max(room_s, search.first_s[weekly, part])
    for number in range(MOST_TRIES):
        search.on_step(f"the steps of each week, and every evening tried ({number + 1})")
        result = steps(
            search.evenings, search.parts, ladders, demand, seconds, search.room_s, frozenset(search.bad),
            search.places_that_stay(),
        )  # fmt: skip
        plans = _try(search, ladders, result)
        if plans is not None:
            gives_up = (*_with_nearest(search, bones.gives_up), *result.gives_up)
            return Block(
                brief=brief,
                evenings=plans,
                parts=search.parts,
                skeleton=bones,
                steps=result,
                gives_up=gives_up,
                places={each.on: _places(each, result) for each in search.evenings},
            )
    raise Invalid("brief", "a block whose every evening passes all checks", "none", remedy="Ask for more minutes.")


def _begin(brief: BlockBrief, library: Library, cache: Cache | None, earlier: Earlier, on_step: OnStep) -> _Search:
    check_clock(brief)
    evenings = evenings_of(brief, {day: each.kind for day, each in earlier.evenings.items()})
    rungs = RungsWithLevers(library=library)
    beside = [VersionsBeside(brief=each, rungs=rungs) for each in _session_briefs(brief)]
    on_step("the versions that kit and level leave room for")
    return _Search(
        brief=brief,
        library=library,
        rungs=rungs,
        cache=cache,
        on_step=on_step,
        earlier=earlier,
        evenings=evenings,
        parts=parts_of(evenings),
        beside=beside,
        choices=[_choices(each) for each in beside],
        good=[set() for _ in beside],
    )


def _session_briefs(brief: BlockBrief) -> Iterator[SessionBrief]:
    """What is wanted of each evening of the week, with a name and the rounds that a block needs."""
    for each in brief.weekly:
        yield replace(each.session, rounds=each.session.rounds or ROUNDS, title=f"{brief.title}, {each.day}")


def _choices(beside: VersionsBeside) -> Choices:
    """The columns of one evening of the week: of each move the best few of about one length that have all options."""
    brief = beside.brief
    alike: dict[tuple[str, int], int] = {}
    some = []
    for column in columns(brief, beside.rungs, brief.rounds, KINDS):
        kind = (column.move.key, quickest_ms(column, brief.style) // LENGTH_MS)
        if alike.get(kind, 0) < COLUMNS_ALIKE and all(beside.of(column.move, each) for each in column.versions):
            alike[kind] = alike.get(kind, 0) + 1
            some.append(column)
    free_ms = main_ms(beside)
    return Choices(columns=tuple(some), most_ms=free_ms, least_ms=int(FULL * free_ms))


def _skeleton(search: _Search) -> Skeleton:
    """The best skeleton whose every column passes all checks by itself, and whose every evening makes a session. Raises
    Invalid where none was found.
    """
    for _ in range(MOST_SKELETONS):
        bones = skeleton(search.brief, search.evenings, search.parts, search.choices, search.stays())
        if not _try_columns(search, bones) and not _try_first(search, bones):
            return bones
    raise Invalid("brief", "a block whose every move passes all checks", "none", remedy="Ask for more kit or minutes.")


def _try_columns(search: _Search, bones: Skeleton) -> bool:
    """Tries what is new in a skeleton, and the other columns of the same moves; what does not pass is taken out of the
    choices. Whether anything of the skeleton was.
    """
    out = False
    for weekly, choices in enumerate(search.choices):
        here = {column.key: column for (of, _), group in bones.columns.items() for column in group if of == weekly}
        new = {key: column for key, column in here.items() if key not in search.good[weekly]}
        moves = {column.move.key for column in new.values()}
        beside = [column for column in choices.columns if column.move.key in moves and column.key not in here]
        unknown = [column for column in beside if column.key not in search.good[weekly]]
        candidates = dict(enumerate([*new.values(), *unknown]))
        faults = column_faults(search.beside[weekly], candidates, search.options()) if candidates else {}
        search.good[weekly] |= {column.key for at, column in candidates.items() if at not in faults}
        keys = {candidates[at].key for at in faults}
        out |= bool(keys & new.keys())
        left = tuple(column for column in choices.columns if column.key not in keys)
        search.choices[weekly] = replace(choices, columns=left)
    return out


def _try_first(search: _Search, bones: Skeleton) -> bool:
    """Tries each evening of the week as it begins; whether one is not to be led so, which is learned from."""
    out = False
    for (weekly, part), group in bones.columns.items():
        building = [each for each in search.evenings if each.kind is EveningKind.BUILD and each.weekly == weekly]
        evening = next((each for each in building if search.parts[each.week] == part), None)
        if evening is None or evening.on in search.earlier.evenings:
            continue
        plan = _session(search, evening, group)
        if isinstance(plan, EveningPlan):
            continue
        out, choices = True, search.choices[weekly]
        if plan.over_ms > 0:
            quickest = sum(quickest_ms(column, search.beside[weekly].brief.style) for column in group)
            choices = replace(choices, most_ms=min(choices.most_ms, quickest) - plan.over_ms)
        elif plan.over_ms < 0:
            choices = replace(choices, least_ms=choices.least_ms - plan.over_ms)
        if plan.to_blame:
            left = tuple(column for column in choices.columns if column.key not in plan.to_blame)
            choices = replace(choices, columns=left)
        elif not plan.over_ms:
            together = frozenset(column.move.key for column in group)
            choices = replace(choices, not_together=(*choices.not_together, together))
        search.choices[weekly] = choices
    return out


def _session(search: _Search, evening: Evening, group: Sequence[Column]) -> EveningPlan | Miss:
    """The session of an evening, or why there is none; what was tried once is known."""
    stay = search.earlier.evenings.get(evening.on)
    text = stay.text if stay else ""
    key = (evening.weekly, evening.kind, text, *(column.key for column in group))
    if key not in search.sessions:
        search.sessions[key] = evening_plan(search.beside[evening.weekly], evening, group, text, search.options())
    return search.sessions[key]


def _demands(search: _Search, ladders: Mapping[tuple[int, int, str], Ladder]) -> dict[tuple[object, ...], float]:
    """The demand of every column on the ladders, by its key."""
    result: dict[tuple[object, ...], float] = {}
    for weekly, beside in enumerate(search.beside):
        every = {
            column.key: column
            for (of_evening, _, _), ladder in ladders.items()
            for column in ladder.columns
            if of_evening == weekly and column.key not in result
        }
        values = demands(beside, list(every.values()), search.cache)
        result |= dict(zip(every, values, strict=True))
    return result


def _try(
    search: _Search, ladders: Mapping[tuple[int, int, str], Ladder], result: Steps
) -> tuple[EveningPlan, ...] | None:
    """The session of every evening; None where one of them is not to be led so, which is learned from."""
    plans: list[EveningPlan] = []
    clean = True
    for evening in search.evenings:
        by_hand = evening.kind is EveningKind.BY_HAND
        group, source = ((), evening) if by_hand else column_at(evening, search.evenings, search.parts, ladders, result)
        plan = _session(search, evening, group)
        if isinstance(plan, EveningPlan):
            plans.append(replace(plan, evening=evening, source=source.on))
            continue
        clean = False
        search.bad |= set(plan.to_blame)
        place = (evening.weekly, search.parts[source.week])
        if plan.over_ms > 0:
            work_s = sum(column.work_ms(DEMAND_REPS) for column in group) / 1000
            room_s = min(search.room_s[place], work_s - plan.over_ms / 1000)
            search.room_s[place] = max(room_s, search.first_s[place])
    return tuple(plans) if clean else None


def _with_nearest(search: _Search, gives_up: Sequence[str]) -> Iterator[str]:
    """What is given up, with the wish less that would help where a pattern has no version."""
    for words in gives_up:
        pattern = words.removeprefix("nothing for ").split(":")[0]
        helps = ""
        if pattern in tuple(Pattern):
            helps = wish_that_helps(search.beside[0].brief, search.rungs, Pattern(pattern))
        yield f"{words}; with {helps} there would be one" if helps else words


def _places(evening: Evening, result: Steps) -> dict[str, int]:
    """Where each move of an evening stands on its ladder; nothing of one that does not build up."""
    here = (evening.weekly, evening.week)
    builds = evening.kind is EveningKind.BUILD
    return {move: place for (*key, move), place in result.places.items() if builds and tuple(key) == here}


def column_words(column: Column) -> str:
    """A column in short, by which it is known again: 'squat/base, 6 kg, load, load'."""
    first = column.versions[0]
    return ", ".join(filter(None, (first.rung.address, str(first.load or ""), *column.steps)))


def session_patterns(text: str, library: Library) -> frozenset[Pattern]:
    """The patterns of a plan's main part."""
    session = resolve(plan_from_text(text, "plan.toml"), library)
    return frozenset(cell.move.pattern for cell in session.cells_of(BlockKind.MAIN))
