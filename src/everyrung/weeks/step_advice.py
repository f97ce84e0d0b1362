"""Cards after the first evening: what people take by the rule of steps, and what is new since last time and why."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from everyrung.terms.forecast import Advice, PersonAdvice
from everyrung.terms.sentences import lower_first
from everyrung.weeks.next_step import Why
from everyrung.weeks.person_steps import PersonStep


def with_steps(advice: PersonAdvice, steps: Sequence[PersonStep]) -> PersonAdvice:
    """A card's advice where something was done before: the step takes the place of what would be advised the first
    time. A second answer, the next piece, stands from a move's second set on: it is earned by the set before.
    """
    by_ref = {step.ref: step for step in steps if step.why is not Why.FIRST}
    columns: set[tuple[str, str]] = set()
    cells = []
    for each in advice.cells:
        column = each.ref.block, each.ref.cell
        cells.append(_after(each, by_ref[each.ref], again=column in columns) if each.ref in by_ref else each)
        columns.add(column)
    return replace(advice, cells=tuple(cells), since=tuple(since_lines(step for step in steps if step.before)))


def _after(advice: Advice, step: PersonStep, *, again: bool) -> Advice:
    keep = "" if step.keeps or not step.version else step.before
    harder = step.heavier if again else None
    return replace(advice, take=step.version, reason=step.reason, effort=step.effort, harder=harder, keep=keep)


def since_lines(steps: Iterable[PersonStep]) -> Iterator[str]:
    """What is new, a line for each move and version; then what is as last time, a line for each reason."""
    new: dict[tuple[str, str, str], list[str]] = {}
    same: dict[str, list[str]] = {}
    for step in steps:
        if step.keeps:
            same.setdefault(step.reason, []).append(step.move)
        else:
            new.setdefault((step.move, step.take, step.reason), []).append(step.ref.round)
    for (move, take, reason), rounds in new.items():
        yield f"{move} ({', '.join(rounds)}): {take}. {reason}"
    yield from _alike(same)


def _alike(moves_by_reason: Mapping[str, Sequence[str]]) -> Iterator[str]:
    for reason, moves in moves_by_reason.items():
        names = ", ".join(dict.fromkeys(moves))
        yield f"{names}: {lower_first(reason)}"
