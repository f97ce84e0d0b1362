"""Changes by one press: each is tried, with what mends the findings that it brings, and offered only if it holds."""

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import chain, islice

from everyrung.checks.cells import every_cell
from everyrung.compose.case import PlanRun, Remedy
from everyrung.compose.lengths import USUAL, is_part, part_words, parts, why_none
from everyrung.compose.mend_all import Mending, mend_all
from everyrung.compose.round_step import is_step, round_steps
from everyrung.compose.slot import longer_rests
from everyrung.compose.swap import swaps
from everyrung.compose.trial import Again, Outcome, Refusal, try_edit, why_unfit
from everyrung.compose.whole_changes import fewer_kit_changes, fits, kit_changes, off_the_floor, one_more
from everyrung.results.analysis import Analysis
from everyrung.terms.brief import Brief
from everyrung.terms.edit import OneEdit, Several
from everyrung.terms.enums import Caution, KitItem, Severity
from everyrung.terms.errors import Invalid
from everyrung.terms.plan import Ref
from everyrung.terms.seconds import whole_ms
from everyrung.terms.session import Session
from everyrung.terms.units import clock_text
from everyrung.timing.timeline import build_timeline

LEAST_MINUTES, MOST_MINUTES = 5, 240  # as in a plan file
MOST_AFTER = 3  # changes that mend what a change brings; chosen, because more is another session
RUNS_AFTER = 8  # to mend what a change brings; chosen, because a dozen changes are tried
MOST_TRIALS = 14  # chosen, because each takes some 60 ms, and more with what mends it


class ChangeKind(StrEnum):
    """What is wanted of a session."""

    SWAP = "another move"
    HARDER = "a step harder"
    EASIER = "a step easier"
    FIT = "fit to minutes"
    LENGTHS = "shorter lengths"
    FEWER_KIT_CHANGES = "fewer kit changes"
    OFF_THE_FLOOR = "nobody on the floor"
    ONE_MORE = "one person more"
    MEND = "mend all"

    @property
    def most(self) -> int:
        """How many ways are offered: of moves the nearest five, of others three, for more are no longer read."""
        return 5 if self is ChangeKind.SWAP else 3


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeRequest:
    """`ref`: a set, for another move; a round, for a step. `minutes`: the slot to fit; of shorter lengths the only one
    that is wanted, 0 for the usual ones. `move`: the only other move that is wanted, '' for the nearest.
    """

    kind: ChangeKind
    ref: Ref | None = None
    minutes: int = 0
    move: str = ""

    def __post_init__(self) -> None:
        if self.kind is ChangeKind.FIT and not LEAST_MINUTES <= self.minutes <= MOST_MINUTES:
            near = str(min(MOST_MINUTES, max(LEAST_MINUTES, self.minutes)))
            raise Invalid("minutes", f"{LEAST_MINUTES} to {MOST_MINUTES} minutes", self.minutes, nearest=near)
        if self.kind is ChangeKind.SWAP and not (self.ref and self.ref.cell):
            raise Invalid("cell", "a set of this session", str(self.ref or "none"))
        if self.kind in (ChangeKind.HARDER, ChangeKind.EASIER) and not (self.ref and self.ref.round):
            raise Invalid("round", "a round of this session", str(self.ref or "none"))


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Offer(Brief):
    """A change that holds: its words, those of what mends what it brings, its edits, the text and the run that it
    makes, and what differs.
    """

    words: str
    also: tuple[str, ...]
    edit: Several
    text: str
    run: Analysis
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Offers(Brief):
    """What can be had of what was asked for; `stays` says what stands in the way of the rest."""

    offers: tuple[Offer, ...]
    stays: tuple[str, ...]


def change_offers(text: str, start: PlanRun, request: ChangeRequest, again: Again) -> Offers:
    """The ways to do what is asked for to the plan `text`, whose run is `start`. `again` runs a changed plan. Raises
    Invalid for a place that is not there.
    """
    if request.kind is ChangeKind.MEND:
        return _mend(text, start, again)
    if request.kind is ChangeKind.LENGTHS:
        return shorter_lengths(text, start, again, (request.minutes,) if request.minutes else USUAL)
    offers: list[Offer] = []
    refusals: Counter[str] = Counter()
    families: set[str] = set()
    for way in islice(_ways(text, start, request, again), MOST_TRIALS):
        if way.family in families:
            continue
        verdict = _offer(text, start, way, again, _goal(start.session, request))
        if isinstance(verdict, Offer):
            families |= {way.family} - {""}
            if verdict.text not in (text, *(each.text for each in offers)):
                offers.append(verdict)
        else:
            refusals[verdict] += 1
        if len(offers) >= request.kind.most:
            break
    if not offers and not refusals:
        refusals["nothing of the kind is left to do"] += 1
    return Offers(offers=tuple(offers), stays=() if offers else tuple(why for why, _ in refusals.most_common()))


def _ways(text: str, start: PlanRun, request: ChangeRequest, again: Again) -> Iterator[Remedy]:
    ref = request.ref or Ref(block="none")
    match request.kind:
        case ChangeKind.SWAP:
            return swaps(start, ref, request.move)
        case ChangeKind.HARDER | ChangeKind.EASIER:
            return round_steps(text, start, ref, again, harder=request.kind is ChangeKind.HARDER)
        case ChangeKind.FIT:
            return chain(fits(text, start, request.minutes, again), parts(start, request.minutes))
        case ChangeKind.FEWER_KIT_CHANGES:
            return fewer_kit_changes(start)
        case ChangeKind.OFF_THE_FLOOR:
            return off_the_floor(start)
        case _:
            return one_more(start)


def _goal(before: Session, request: ChangeRequest) -> Callable[[Session], bool]:
    """Whether a session is still what was asked for when all that the change brought is mended."""
    ref = request.ref or Ref(block="none")
    match request.kind:
        case ChangeKind.HARDER | ChangeKind.EASIER:
            return lambda after: is_step(before, after, ref, harder=request.kind is ChangeKind.HARDER)
        case ChangeKind.SWAP:
            return lambda after: _new_sets(before, after, ref.block) == _sets_of(before, ref)
        case ChangeKind.FIT:
            return lambda after: build_timeline(after).total_ms <= after.slot_ms
        case ChangeKind.FEWER_KIT_CHANGES:
            return lambda after: kit_changes(after) < kit_changes(before)
        case ChangeKind.OFF_THE_FLOOR:
            return lambda after: not any(cell.rung.form.position.on_floor for cell in after.cells)
        case _:
            return lambda _: True


def shorter_lengths(text: str, start: PlanRun, again: Again, minutes: Sequence[int]) -> Offers:
    """The session in shorter lengths, each a part of the one before; each as it is made from the session itself."""
    offers: list[Offer] = []
    stays: list[str] = []
    edits: tuple[OneEdit, ...] = ()
    longer, longer_text = start, text
    for each in sorted((one for one in minutes if one * 60_000 < start.session.slot_ms), reverse=True):
        verdict = _first_part(longer_text, longer, each, again)
        if isinstance(verdict, str):
            stays.append(f"{each} minutes: {verdict}")
            continue
        edits = (*edits, *verdict.edit.edits)
        whole = try_edit(text, start, Several(edits=edits, words=""), again)
        assert isinstance(whole, Outcome)  # the same edits, one after the other, held just now
        words = part_words(start.session, whole.run.session)
        offers.append(_as_offer(start.run, (words, *verdict.also), edits, whole))
        longer, longer_text = replace(start, run=whole.run), whole.text
    if not offers and not stays:
        stays.append(f"it is {start.session.slot_ms // 60_000} minutes long, and no shorter length is asked for")
    return Offers(offers=tuple(offers), stays=tuple(stays))


def _first_part(text: str, longer: PlanRun, minutes: int, again: Again) -> Offer | str:
    """The best part of a session that holds in a shorter slot; or why none does."""
    refusals: Counter[str] = Counter()
    for way in parts(longer, minutes):
        verdict = _offer(text, longer, way, again, lambda after: is_part(longer.session, after))
        if isinstance(verdict, Offer):
            return verdict
        refusals[verdict] += 1
    return next((why for why, _ in refusals.most_common()), why_none(longer))


def _new_sets(before: Session, after: Session, block: str) -> int:
    """How many sets of a block are of columns that it did not have."""
    old = {cell.ref.cell for cell in every_cell(before) if cell.ref.block == block}
    return sum(cell.ref.block == block and cell.ref.cell not in old for cell in every_cell(after))


def _sets_of(session: Session, ref: Ref) -> int:
    """How many sets the column of a set has."""
    return sum((cell.ref.block, cell.ref.cell) == (ref.block, ref.cell) for cell in every_cell(session))


def _offer(text: str, start: PlanRun, way: Remedy, again: Again, reaches: Callable[[Session], bool]) -> Offer | str:
    """A change with what mends that which it brings; or why it does not hold."""
    outcome = try_edit(text, start, way.edit, again)
    if isinstance(outcome, Refusal):
        return str(outcome)
    if unfit := why_unfit(start, outcome.run.session):
        return str(unfit)
    after = replace(start, run=outcome.run)
    mending = mend_all(outcome.text, after, again, base=start.run, most_runs=RUNS_AFTER)
    if reaches(outcome.run.session) and not reaches(mending.after.session):
        mending = _with_rest(outcome.text, start, after, again)  # what was mended first would undo what was asked for
    if len(mending.steps) > MOST_AFTER:
        return "too much else would have to be changed with it"
    if not mending.left and not reaches(mending.after.session):
        return "it is not what was asked for by then"
    if mending.left:
        rules = ", ".join(dict.fromkeys(each.finding.rule.replace("-", " ") for each in mending.left))
        return f"it brings what nothing here mends: {rules}"
    edits = (*way.edits, *(edit for each in mending.steps for edit in each.edits))
    words = [way.words, *(each.words for each in mending.steps)]
    whole = try_edit(text, start, Several(edits=edits, words=""), again)
    return _as_offer(start.run, words, edits, whole) if isinstance(whole, Outcome) else str(whole)


def _with_rest(text: str, start: PlanRun, after: PlanRun, again: Again) -> Mending:
    """All mended, the time that a change leaves over by longer rests: more repetitions would make it hard again."""
    for step in longer_rests(after.session, after.run.timeline.total_ms):
        rest = try_edit(text, after, step.edit, again)
        if isinstance(rest, Outcome) and why_unfit(start, rest.run.session) is None:
            longer = replace(start, run=rest.run)
            mending = mend_all(rest.text, longer, again, base=start.run, most_runs=RUNS_AFTER)
            if not mending.steps and not mending.left:
                return replace(mending, before=after.run, steps=(step,))
    return mend_all(text, after, again, base=start.run, most_runs=RUNS_AFTER)


def _as_offer(before: Analysis, words: Sequence[str], edits: Sequence[OneEdit], outcome: Outcome) -> Offer:
    return Offer(
        words=words[0],
        also=tuple(words[1:]),
        edit=Several(edits=tuple(edits), words="; ".join(words)),
        text=outcome.text,
        run=outcome.run,
        notes=tuple(what_differs(before, outcome.run)),
    )


def _mend(text: str, start: PlanRun, again: Again) -> Offers:
    """All that can be mended, as one press."""
    mending = mend_all(text, start, again)
    stays = tuple(f"{each.finding.place}: {each.finding.measured}; {each.why}" for each in mending.left)
    if not mending.steps:
        return Offers(offers=(), stays=stays or ("there is nothing to mend",))
    outcome = Outcome(text=mending.text, run=mending.after)
    words = [each.words for each in mending.steps]
    return Offers(offers=(_as_offer(start.run, words, mending.edit.edits, outcome),), stays=stays)


def what_differs(before: Analysis, after: Analysis) -> Iterator[str]:
    """Time, findings, kit, cautions and grades before and after, where they differ."""
    one, two = (whole_ms(each.timeline.total_ms) for each in (before, after))
    yield f"{clock_text(two)} in place of {clock_text(one)}" if one != two else f"{clock_text(two)} as before"
    for severity in (Severity.ERROR, Severity.WARNING):
        was, now = (sum(each.severity is severity for each in run.findings) for run in (before, after))
        if was != now:
            yield f"{severity}s: {now} in place of {was}"
    yield from _difference("kit", _kit(before.session), _kit(after.session))
    yield from _difference("cautions", _cautions(before.session), _cautions(after.session))
    was_grade, now_grade = _grades(before.session), _grades(after.session)
    if was_grade != now_grade:
        yield f"grade {now_grade:.1f} on average in place of {was_grade:.1f}"


def _difference(what: str, before: set[str], after: set[str]) -> Iterator[str]:
    if more := sorted(after - before):
        yield f"{what} more: {', '.join(more)}"
    if less := sorted(before - after):
        yield f"{what} less: {', '.join(less)}"


def _kit(session: Session) -> set[str]:
    needs: set[KitItem] = {need.item for cell in every_cell(session) for need in cell.rung.kit}
    return {str(item) for item in needs if item.counts_as_kit}


def _cautions(session: Session) -> set[str]:
    cautions: set[Caution] = {caution for cell in session.cells for caution in cell.rung.cautions}
    return set(map(str, cautions))


def _grades(session: Session) -> float:
    grades = [cell.rung.grade for cell in session.cells]
    return sum(grades) / max(1, len(grades))
