"""Every error and warning of a plan mended, one change after another, each tried; what stands in the way of the rest.

A change that brings another finding is taken only with what mends that one too. Nothing with a lock is touched, and
nothing is mended by accepting it.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import islice

from everyrung.checks.cells import and_list
from everyrung.compose.case import Case, PlanRun, Remedy
from everyrung.compose.mend import candidates, needs
from everyrung.compose.trial import Again, Outcome, Refusal, fresh, is_mended, try_edit, why_unfit
from everyrung.plan.edit import write_edit
from everyrung.plan.read import plan_from_text
from everyrung.results.analysis import Analysis
from everyrung.terms.brief import Brief
from everyrung.terms.edit import Several
from everyrung.terms.enums import Severity
from everyrung.terms.finding import Finding

GRAVE = (Severity.ERROR, Severity.WARNING)
MOST_RUNS = 36  # of the plan; chosen, because each takes some 60 ms, and nobody waits for more than 3 s
MOST_WAYS = 8  # tried for one finding; chosen, because the nearest come first
MOST_AFTER = 2  # findings that a change may bring, if they are mended with it; chosen, because more is another session
_WEIGHTS = {Severity.ERROR: 100, Severity.WARNING: 1}  # an error is worse than any number of warnings there are


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Obstacle(Brief):
    """A finding that stays, and why."""

    finding: Finding
    why: str


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Mending(Brief):
    """The plan's text after all the steps, with its run; `left` is what stays."""

    text: str
    before: Analysis
    after: Analysis
    steps: tuple[Remedy, ...]
    left: tuple[Obstacle, ...]

    @property
    def edit(self) -> Several:
        """All steps as one edit."""
        words = "; ".join(each.words for each in self.steps)
        return Several(edits=tuple(edit for each in self.steps for edit in each.edits), words=words)


@dataclass(slots=True, kw_only=True)
class _Mender:
    """A plan that is being mended; `base` is the run whose findings are none of its business."""

    start: PlanRun
    again: Again
    text: str
    run: Analysis
    base: Analysis | None
    runs_left: int
    steps: list[Remedy] = field(default_factory=list)
    failures: dict[tuple[object, ...], Counter[str]] = field(default_factory=dict)
    vain: set[tuple[object, ...]] = field(default_factory=set)
    is_new: bool = False  # whether anything changed since what was tried in vain was forgotten

    def grave(self) -> list[Finding]:
        """What is to be mended now, the gravest first."""
        return sorted(_grave(self.run, self.base), key=lambda each: GRAVE.index(each.severity))

    def case(self, finding: Finding) -> Case:
        return self.case_of(self.run, finding)

    def case_of(self, run: Analysis, finding: Finding) -> Case:
        """A finding of a run with what the plan was run with at first."""
        start = self.start
        return Case(run=run, finding=finding, library=start.library, wall_people=start.wall_people)

    def take(self, remedies: Sequence[Remedy], outcome: Outcome) -> None:
        """Goes on from what a change made."""
        self.steps += remedies
        self.text, self.run, self.is_new = outcome.text, outcome.run, True


def mend_all(
    text: str,
    start: PlanRun,
    again: Again,
    *,
    base: Analysis | None = None,
    most_runs: int = MOST_RUNS,
) -> Mending:
    """Mends the plan `text`, whose run is `start`; with `base`, only what that run does not find too. `again` runs a
    changed plan with the same parts asked; it is called at most `most_runs` times, and once at the end.
    """
    mender = _Mender(start=start, again=again, text=text, run=start.run, base=base, runs_left=most_runs)
    while mender.runs_left > 0 and (_one_pass(mender) or _once_more(mender)):
        pass
    _write_at_once(mender, text)
    left = tuple(Obstacle(finding=each, why=_why(mender, each)) for each in mender.grave())
    return Mending(text=mender.text, before=start.run, after=mender.run, steps=tuple(mender.steps), left=left)


def _write_at_once(mender: _Mender, text: str) -> None:
    """The text as one press makes it: step by step it may be indented otherwise."""
    edits = tuple(edit for each in mender.steps for edit in each.edits)
    whole = write_edit(text, Several(edits=edits, words=""), mender.run.plan.file) if edits else text
    if whole != mender.text:
        mender.text, mender.run = whole, mender.again(plan_from_text(whole, mender.run.plan.file))


def _grave(run: Analysis, base: Analysis | None) -> tuple[Finding, ...]:
    """Errors and warnings, but those of `base`."""
    findings = run.findings if base is None else fresh(base.findings, run.findings)
    return tuple(each for each in findings if each.severity in GRAVE)


def _one_pass(mender: _Mender) -> bool:
    """Mends what can be mended, rule by rule, each finding by itself or with what comes; whether anything could be."""
    steps = len(mender.steps)
    for rule in dict.fromkeys(each.rule for each in mender.grave()):
        alike = [each for each in mender.grave() if each.rule == rule]
        if len(alike) > 1 and _together(mender, alike):
            continue
        for finding in alike:
            if not is_mended(finding, mender.run.findings):
                _alone(mender, finding)
    return len(mender.steps) > steps or any(_with_what_comes(mender, finding) for finding in mender.grave())


def _once_more(mender: _Mender) -> bool:
    """Whether what was tried in vain may hold by now; it is then tried again."""
    again, mender.is_new = mender.is_new and bool(mender.grave()), False
    mender.vain.clear()
    return again


def _ways(mender: _Mender, finding: Finding) -> Iterator[Remedy]:
    """What may mend a finding and was not tried in vain on this very plan."""
    changes = (each for each in candidates(mender.case(finding)) if not each.silent)
    return (each for each in islice(changes, MOST_WAYS) if (finding.identity, each.words) not in mender.vain)


def _together(mender: _Mender, alike: Sequence[Finding]) -> bool:
    """The first way of each of some findings of one rule, all at once."""
    remedies = [each for finding in alike for each in islice(_ways(mender, finding), 1)]
    key = (alike[0].rule, *(each.words for each in remedies))
    if len(remedies) < 2 or key in mender.vain:
        return False
    edits = tuple(edit for each in remedies for edit in each.edits)
    outcome = _try(mender, mender.text, mender.case(alike[0]), Remedy(words="", edits=edits))
    if isinstance(outcome, Outcome) and not _worse(mender.run, outcome.run) and _weight(outcome.run, mender.run) < 0:
        mender.take(remedies, outcome)
        return True
    mender.vain.add(key)
    return False


def _alone(mender: _Mender, finding: Finding) -> bool:
    """The first way that holds, of one finding."""
    case = mender.case(finding)
    for remedy in _ways(mender, finding):
        outcome = _try(mender, mender.text, case, remedy)
        verdict = _verdict(finding, mender.run, outcome)
        if verdict is None and isinstance(outcome, Outcome):
            mender.take([remedy], outcome)
            return True
        _note(mender, finding, remedy, verdict)
    return False


def _with_what_comes(mender: _Mender, finding: Finding) -> bool:
    """A way that brings other findings, with ways that mend those."""
    for remedy in islice((each for each in candidates(mender.case(finding)) if not each.silent), MOST_WAYS):
        if chain := _chain(mender, finding, remedy):
            mender.take(*chain)
            return True
    return False


def _chain(mender: _Mender, finding: Finding, remedy: Remedy) -> tuple[list[Remedy], Outcome] | None:
    """A change and those that mend what it brings, with what all of them make; None where that is not better."""
    outcome, remedies = _try(mender, mender.text, mender.case(finding), remedy), [remedy]
    while isinstance(outcome, Outcome) and is_mended(finding, outcome.run.findings):
        more = _worse(mender.run, outcome.run)
        if not more:
            return (remedies, outcome) if _weight(outcome.run, mender.run) < 0 else None
        step = _mend_one(mender, outcome, more) if max(len(more), len(remedies)) <= MOST_AFTER else None
        if step is None:
            return None
        remedies, outcome = [*remedies, step[0]], step[1]
    return None


def _mend_one(mender: _Mender, outcome: Outcome, findings: Sequence[Finding]) -> tuple[Remedy, Outcome] | None:
    """The first way to mend one of the findings that a change brought."""
    for finding in findings:
        case = mender.case_of(outcome.run, finding)
        for remedy in islice((each for each in candidates(case) if not each.silent), MOST_WAYS // 2):
            after = _try(mender, outcome.text, case, remedy)
            if isinstance(after, Outcome) and _verdict(finding, outcome.run, after) is None:
                return remedy, after
    return None


def _try(mender: _Mender, text: str, case: PlanRun, remedy: Remedy) -> Outcome | Refusal | None:
    """What a change makes of a text; None where there were tries enough."""
    if mender.runs_left <= 0:
        return None
    mender.runs_left -= 1
    outcome = try_edit(text, case, remedy.edit, mender.again)
    if isinstance(outcome, Outcome) and (unfit := why_unfit(case, outcome.run.session)):
        return unfit
    return outcome


def _verdict(finding: Finding, before: Analysis, outcome: Outcome | Refusal | None) -> str | None:
    """Why a change is not taken, what comes with it by name; None where it is, or where it was not tried."""
    if not isinstance(outcome, Outcome):
        return outcome
    if not is_mended(finding, outcome.run.findings):
        return Refusal.STAYS
    if worse := _worse(before, outcome.run):
        return f"{Refusal.AS_SEVERE} ({and_list(dict.fromkeys(each.rule for each in worse))})"
    return Refusal.NO_BETTER if _weight(outcome.run, before) >= 0 else None


def _worse(before: Analysis, after: Analysis) -> tuple[Finding, ...]:
    """Errors and warnings that were not there before."""
    return tuple(each for each in fresh(before.findings, after.findings) if each.severity in GRAVE)


def _weight(after: Analysis, before: Analysis) -> int:
    """Below 0 where a plan is better than it was; not where it was too long and is longer still."""
    over, over_before = (max(0, run.timeline.total_ms - run.session.slot_ms) for run in (after, before))
    if over > over_before:
        return 1
    one, two = (sum(_WEIGHTS.get(each.severity, 0) for each in run.findings) for run in (before, after))
    return two - one


def _note(mender: _Mender, finding: Finding, remedy: Remedy, verdict: str | None) -> None:
    if verdict:
        mender.vain.add((finding.identity, remedy.words))
        mender.failures.setdefault(finding.identity, Counter())[verdict] += 1


def _why(mender: _Mender, finding: Finding) -> str:
    """What stands in the way of mending a finding."""
    if needs(finding.rule):
        return "it is of bodies or people, and is mended by itself"
    refusals = mender.failures.get(finding.identity)
    if refusals:
        reasons = "; ".join(f"{count} × {refusal}" for refusal, count in refusals.most_common())
        return f"each way that was tried is refused: {reasons}"
    if next(iter(candidates(mender.case(finding))), None) is None:
        return f"that is yours to choose: {finding.remedy}"
    return "there was no time to try" if mender.runs_left <= 0 else "only accepting it would end it"
