"""What the reference bodies say: whether each step is harder for all of them, and whether all can do the rung."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from everyrung.checks.cells import and_list, group_by_column, refs, strength_cells
from everyrung.checks.difficulty import Measure, SetDemand, leading_names, measures, name_is
from everyrung.checks.focus import SLIGHT, computed_focus, efforts
from everyrung.checks.rule import BODIES, Rule, rule
from everyrung.checks.rules.progression import Step, steps
from everyrung.moves.changed_levers import changed_levers
from everyrung.terms.enums import BlockKind, Hold, OptionKind, Severity, Sidedness
from everyrung.terms.finding import Finding
from everyrung.terms.person import BodySize
from everyrung.terms.session import Cell, Session

if TYPE_CHECKING:
    from everyrung.terms.demand import Mechanics, RungDemand

MOST_RISE = 1.5  # times; chosen, because a set that is half as hard again is another set, not a step
MOST_OFF_MM, MOST_OFF_DEG = 40.0, 15.0  # chosen, because a pose farther off is another pose
LEAST_JUMP = 0.10  # of a joint's strength; chosen, because half as much again of next to nothing is no jump
_POSE_FILE = "It is the [pose] table of its move file (docs/pose-file.md)."
Judgement = tuple[BodySize, tuple[Measure, ...]]


@rule(BODIES)
def round_not_harder(session: Session, mechanics: Mechanics) -> Iterator[Finding]:
    """A changed cell is harder than in the round before for every reference body, by the leading measure of its lever.

    Of repetitions, tempo, pauses and pulses that is the time under load; of the base of support the balance margin or
    the hardest joint; of range the work lifted or the hardest joint, as the hardest point may lie before both ends; of
    all others the hardest joint. A hand that lets go of its hold is a step by itself.
    Severity: warning
    Limit: harder by the leading measure for each of 12 bodies
    Source: chosen, because our promise is that each round is a step harder; measures and errors: docs/accuracy-body.md
    """
    for before, after in _measured_steps(session):
        judgements = _judgements(before, after, mechanics)
        failing = [each for each in judgements if not any(measure.rise > 0 for measure in each[1])]
        if failing:
            yield _step_finding(round_not_harder, Severity.WARNING, before, after, failing[0], len(failing), judgements)


@rule(BODIES)
def round_within_error(session: Session, mechanics: Mechanics) -> Iterator[Finding]:
    """A changed cell is harder by more than the error of its leading measure, for every reference body.

    Severity: note
    Limit: a rise beyond the error of the leading measure
    Source: chosen, because our promise is that each round is a step harder; measures and errors: docs/accuracy-body.md
    """
    for before, after in _measured_steps(session):
        judgements = _judgements(before, after, mechanics)
        inside = [
            each for each in judgements
            if any(measure.rise > 0 for measure in each[1]) and not any(measure.harder for measure in each[1])
        ]  # fmt: skip
        if inside:
            yield _step_finding(round_within_error, Severity.NOTE, before, after, inside[0], len(inside), judgements)


@rule(BODIES)
def round_jumps(session: Session, mechanics: Mechanics) -> Iterator[Finding]:
    """From round to round the hardest joint and the hardest muscle group rise at most by half.

    Severity: warning
    Limit: 1.5 times the demand of the round before, where that is a tenth of the strength or more
    Source: chosen, because a set that is half as hard again is another set, not a step
    """
    for before, after in _lever_steps(session):
        judgements = _judgements(before, after, mechanics, every=True)
        jumping = [(body, rises) for body, each in judgements if (rises := tuple(filter(_jumps, each)))]
        if jumping:
            body, rises = max(jumping, key=lambda each: each[1][0].rise)
            yield Finding(
                rule=round_jumps.id,
                severity=Severity.WARNING,
                where=after.where,
                places=(after.ref,),
                measured=f"{and_list(changed_levers(before, after))}: {rises[0]}, for {len(jumping)} of "
                f"{len(judgements)} bodies, most for {body}",
                limit=f"at most {MOST_RISE:g} times the round before",
                source=round_jumps.source,
                remedy="Put a rung between them, or take a lighter load in this round.",
            )


@rule(BODIES)
def rung_not_held(session: Session, mechanics: Mechanics) -> Iterator[Finding]:
    """Every reference body can do the led rung as described, untrained as it is.

    Severity: warning
    Limit: for 12 of 12 bodies no joint beyond its strength
    Source: chosen, because a rung that ordinary bodies cannot do needs an easier one beside it
    """
    troubles = ((cell, failing) for cell in strength_cells(session) if (failing := _failing(cell, mechanics)))
    for cells, (count, body, short) in group_by_column(troubles):
        easier = cells[0].option(OptionKind.EASIER)
        name = f"'{easier.rung.name}'" if easier else "an easier rung"
        yield Finding(
            rule=rung_not_held.id,
            severity=Severity.WARNING,
            where=cells[0].where,
            places=refs(cells),
            measured=f"{count} of {len(mechanics.bodies)} bodies can't do {cells[0].rung.name!r} as described, "
            f"{body} among them: {short}",
            limit=f"all {len(mechanics.bodies)} bodies",
            source=rung_not_held.source,
            remedy=f"Show {name} first, or lead it.",
        )


@rule(BODIES)
def self_check_missed(session: Session, mechanics: Mechanics) -> Iterator[Finding]:
    """What participants are told to look for holds in the computed pose of every reference body.

    Severity: warning
    Limit: the check's own, in degrees, or pressing all through
    Source: chosen, because a check that a right pose fails teaches people to distrust checks
    """
    troubles = ((cell, failing) for cell in strength_cells(session) if (failing := _unmet(cell, mechanics)))
    for cells, (count, body, words, value, limit) in group_by_column(troubles):
        yield Finding(
            rule=self_check_missed.id,
            what=words,
            severity=Severity.WARNING,
            where=cells[0].where,
            places=refs(cells),
            measured=f"{count} of {len(mechanics.bodies)} bodies, {body} among them, show {value} for {words!r}",
            limit=limit,
            source=self_check_missed.source,
            remedy=f"Leave that check out of what is said in {cells[0].rung.name!r}, or mend the move's pose.",
        )


@rule(BODIES)
def focus_differs(session: Session, mechanics: Mechanics) -> Iterator[Finding]:
    """What a move of the main parts is said to work is what works in the computed rung, in one of its rounds at least.

    Severity: note
    Limit: a third of the effort of what works hardest
    Source: chosen, because what works so little is no focus in any coach's words
    """
    for cells, words in _idle_columns(session, mechanics):
        demands = [demand for _, demand in mechanics.of(cells[0].ref)]
        yield Finding(
            rule=focus_differs.id,
            severity=Severity.NOTE,
            where=cells[0].where,
            places=refs(cells),
            measured=f"{cells[0].rung.name!r} hardly works {and_list(words)}; what it works most is "
            f"{and_list(computed_focus(demands)[:3])}",
            limit=f"at least {SLIGHT:.0%} of the effort of what works hardest",
            source=focus_differs.source,
            remedy=f"Don't announce {and_list(words)} here, or choose a rung that works it.",
        )


@rule(BODIES)
def pose_misfit(session: Session, mechanics: Mechanics) -> Iterator[Finding]:
    """The pose that a move file asks for can be taken by every reference body.

    Severity: note
    Limit: 40 mm and 15 degrees
    Source: chosen, because a pose farther off is another pose, and its numbers are those of that one
    """
    troubles = ((cell, off) for cell in strength_cells(session) if (off := _off(cell, mechanics)))
    for cells, (count, body, words) in group_by_column(troubles):
        yield Finding(
            rule=pose_misfit.id,
            severity=Severity.NOTE,
            where=cells[0].where,
            places=refs(cells),
            measured=f"{count} of {len(mechanics.bodies)} bodies can't take the pose of {cells[0].rung.name!r}, "
            f"{body} among them: {words}",
            limit=f"{MOST_OFF_MM:g} mm and {MOST_OFF_DEG:g} degrees",
            source=pose_misfit.source,
            remedy="Choose another rung, or mend the pose of the move.",
            hint=_POSE_FILE,
        )


@rule(BODIES)
def not_posed(session: Session, mechanics: Mechanics) -> Iterator[Finding]:
    """Every led strength rung has a pose that a body can be put into.

    Severity: note
    Limit: a pose for each rung
    Source: chosen, because what has no pose cannot be judged
    """
    for cell in strength_cells(session):
        if cell.ref in mechanics.failed:
            yield Finding(
                rule=not_posed.id,
                severity=Severity.NOTE,
                where=cell.where,
                places=(cell.ref,),
                measured=f"{cell.rung.name!r} could not be computed: {mechanics.failed[cell.ref]}",
                limit="a pose for each rung",
                source=not_posed.source,
                remedy="Choose another rung, or mend the pose of the move.",
                hint=_POSE_FILE,
            )


def _lever_steps(session: Session) -> Iterator[Step]:
    return ((before, after) for before, after in steps(session) if changed_levers(before, after))


def _measured_steps(session: Session) -> Iterator[Step]:
    """Steps that a measure has to show: what a hand at a wall steadies is seen in no pose that is still."""
    return ((before, after) for before, after in _lever_steps(session) if not _lets_go(before, after))


def _lets_go(before: Cell, after: Cell) -> bool:
    alone = changed_levers(before, after) == ("base",)
    return alone and before.rung.form.hold is not Hold.NONE and after.rung.form.hold is Hold.NONE


def _judgements(before: Cell, after: Cell, mechanics: Mechanics, *, every: bool = False) -> list[Judgement]:
    """The leading measure of one step, or `every` measure, for each body that has both; the smallest rise first.

    Of several leading measures it is the one that rises on most bodies, the same for all of them.
    """
    first = dict(mechanics.of(before.ref))
    judgements = [
        (body, measures(set_demand(before, first[body]), set_demand(after, demand)))
        for body, demand in mechanics.of(after.ref)
        if body in first
    ]
    if not every:
        names = leading_names(changed_levers(before, after))
        ways = [[(body, tuple(filter(name_is(name), each))) for body, each in judgements] for name in names]
        judgements = max(ways, key=_rises)
    judgements = [(body, each) for body, each in judgements if each]
    return sorted(judgements, key=lambda each: max(measure.rise / measure.error for measure in each[1]))


def _rises(judgements: list[Judgement]) -> int:
    return sum(any(measure.rise > 0 for measure in each) for _, each in judgements)


def set_demand(cell: Cell, demand: RungDemand) -> SetDemand:
    """A cell's demand with what each side does of it."""
    sides = 2 if cell.rung.form.sides is Sidedness.ALTERNATING else 1
    bout = cell.bouts[0]
    lasting_ms = bout.reps * bout.rep_ms if bout.reps else bout.duration_ms
    return SetDemand(demand=demand, reps=bout.reps // sides, lasting_s=lasting_ms / sides / 1000)


def _step_finding(
    one: Rule[Mechanics],
    severity: Severity,
    before: Cell,
    after: Cell,
    worst: Judgement,
    count: int,
    judgements: list[Judgement],
) -> Finding:
    body, rises = worst
    best = max(rises, key=lambda measure: measure.rise / measure.error)
    levers = and_list(changed_levers(before, after))
    return Finding(
        rule=one.id,
        severity=severity,
        where=after.where,
        places=(after.ref,),
        measured=f"{levers} since {before.ref.round} for {count} of {len(judgements)} bodies, least for {body}: {best}",
        limit="harder by more than the error",
        source=one.source,
        remedy="Change another lever, or more of this one: a longer pause, more range, a heavier load.",
    )


def _jumps(measure: Measure) -> bool:
    enough = measure.unit == "of its strength" and measure.before >= LEAST_JUMP
    return enough and measure.after > MOST_RISE * measure.before


def _failing(cell: Cell, mechanics: Mechanics) -> tuple[int, BodySize, str] | None:
    failures = [(body, demand) for body, demand in mechanics.of(cell.ref) if not demand.feasible]
    if not failures:
        return None
    body, demand = failures[0]
    return len(failures), body, (demand.shortfalls or ("its pose was not found",))[0]


def _unmet(cell: Cell, mechanics: Mechanics) -> tuple[int, BodySize, str, str, str] | None:
    misses = [(body, check) for body, demand in mechanics.of(cell.ref) for check in demand.self_checks if not check.met]
    if not misses:
        return None
    body, check = misses[0]
    return len({each for each, _ in misses}), body, check.say, check.measured, check.limit


def _off(cell: Cell, mechanics: Mechanics) -> tuple[int, BodySize, str] | None:
    far = [
        (body, demand)
        for body, demand in mechanics.of(cell.ref)
        if demand.farthest_mm > MOST_OFF_MM or demand.farthest_deg > MOST_OFF_DEG
    ]
    return (len(far), far[0][0], far[0][1].misfits[0]) if far else None


def _idle_columns(session: Session, mechanics: Mechanics) -> Iterator[tuple[tuple[Cell, ...], tuple[str, ...]]]:
    """Each move of a column with the words that hardly work in any of its rounds: a first round may be a small one."""
    columns: dict[tuple[str, str, str], list[Cell]] = {}
    for cell in session.cells_of(BlockKind.MAIN):  # the reserve's is told to nobody
        if any(True for _ in mechanics.of(cell.ref)):
            columns.setdefault((cell.ref.block, cell.ref.cell, cell.move.key), []).append(cell)
    for cells in columns.values():
        idle = [_idle(cell, mechanics) for cell in cells]
        words = tuple(word for word in idle[0] if all(word in each for each in idle))
        if words:
            yield tuple(cells), words


def _idle(cell: Cell, mechanics: Mechanics) -> tuple[str, ...]:
    """The words of the move's focus that the computed rung hardly works."""
    if cell.rung.form.move != cell.move.key:
        return ()  # another move in its place: its focus is its own
    by_word = efforts(demand for _, demand in mechanics.of(cell.ref))
    most = max(by_word.values(), default=0.0)
    return tuple(word for word in cell.move.focus if word in by_word and by_word[word] < SLIGHT * most)
