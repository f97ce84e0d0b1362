"""One evening of a block as a whole session, on time by the clock and tried against every check."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from everyrung.blocks.ladder import with_fewer_rounds
from everyrung.blocks.middle import DEMAND_REPS
from everyrung.pipeline import Options, run_plan
from everyrung.plan.read import plan_from_text
from everyrung.plan.write import write_plan
from everyrung.proposals.columns import Column
from everyrung.proposals.draft import Draft, draft
from everyrung.proposals.search import OF_SESSIONS, grave_findings, main_ms
from everyrung.proposals.versions_beside import VersionsBeside
from everyrung.results.analysis import Analysis
from everyrung.terms.block_brief import Evening, EveningKind
from everyrung.terms.finding import Finding
from everyrung.terms.plan import Ref


@dataclass(frozen=True, slots=True, kw_only=True)
class EveningPlan:
    """An evening with its session: the plan's text, its run, its columns (none where a coach changed it by hand), and
    the day whose columns it repeats, its own where it repeats none.
    """

    evening: Evening
    source: date
    text: str
    run: Analysis
    columns: tuple[Column, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Miss:
    """A session that is not to be led so: by how much it is too long (below 0: too short), ms, and columns to blame."""

    over_ms: int = 0
    to_blame: tuple[tuple[object, ...], ...] = ()
    findings: tuple[Finding, ...] = ()


def evening_plan(
    beside: VersionsBeside, evening: Evening, group: Sequence[Column], text: str, options: Options
) -> EveningPlan | Miss:
    """The session of an evening. With a `text` that stays it is that, whatever its checks say. Raises Faults for such a
    text that cannot be read.
    """
    if text:
        plan = plan_from_text(text, f"{evening.on}.toml")
        run = run_plan(plan, library=beside.library, options=options)
        return EveningPlan(evening=evening, source=evening.on, text=text, run=run, columns=tuple(group))
    easier = evening.kind is EveningKind.EASIER
    columns = [with_fewer_rounds(column) for column in group] if easier else list(group)
    session = _shorter(beside, columns) if easier else draft(beside, columns, _spare(columns), (DEMAND_REPS,))
    if isinstance(session, int):
        return Miss(over_ms=session)
    run = run_plan(session.plan, library=beside.library, options=options)
    grave = grave_findings(run)
    if grave:
        return Miss(to_blame=_to_blame(group, grave), findings=tuple(grave))
    return EveningPlan(
        evening=evening, source=evening.on, text=write_plan(session.plan), run=run, columns=session.columns
    )


def _shorter(beside: VersionsBeside, columns: Sequence[Column]) -> Draft | int:
    """The session of an easier week ends earlier: by about as much as its main part has a round fewer."""
    main, rounds = main_ms(beside), len(columns[0].versions)
    minutes = beside.brief.minutes - main // (rounds + 1) // 60_000
    session: Draft | int = 1
    while minutes <= beside.brief.minutes and not isinstance(session, Draft) and session > 0:
        shorter = VersionsBeside(brief=replace(beside.brief, minutes=minutes), rungs=beside.rungs)
        session = draft(shorter, columns, _spare(columns), (DEMAND_REPS,))
        minutes += 1
    return session


def _spare(columns: Sequence[Column]) -> list[Column]:
    """For the reserve: the session's own easy moves again."""
    return sorted(columns, key=lambda column: column.versions[0].variant.grade)


def _to_blame(group: Sequence[Column], findings: Sequence[Finding]) -> tuple[tuple[object, ...], ...]:
    """The columns that findings are about; where they are about none in particular, all of the longest."""
    by_move = {column.move.key: column.key for column in group}
    keys = {
        by_move[place.cell]
        for finding in findings
        if finding.rule not in OF_SESSIONS
        for place in finding.places
        if isinstance(place, Ref) and place.cell in by_move
    }
    return tuple(keys)
