"""What a plain leader says: the name of each set as it begins, and the other side; to be changed by a test."""

from collections.abc import Sequence
from pathlib import Path

from everyrung.lookback.outcome import Outcome, lay_on_plan
from everyrung.lookback.plan_sets import PlanSet, plan_sets
from everyrung.lookback.transcript import Transcript, spread_words
from everyrung.moves.library import standard_library
from everyrung.plan.read import read_plan
from everyrung.plan.resolve import resolve
from everyrung.timing.timeline import build_timeline

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
Line = tuple[float, str]


def sets_of(plan: str) -> tuple[PlanSet, ...]:
    """The sets of an example."""
    session = resolve(read_plan(EXAMPLES / f"{plan}.toml"), standard_library())
    return plan_sets(session, build_timeline(session))


def opening(each: PlanSet) -> str:
    return f"then {each.bout.side}" if each.part else f"next {each.cell.rung.name}"


def lines_of(sets: Sequence[PlanSet], order: Sequence[int]) -> tuple[list[Line], list[float]]:
    """Sets in an order, each as long as the plan has it: what is said when, and when each begins, s."""
    lines, starts, at_s = [], [], sets[0].at_ms / 1000
    for place in order:
        starts.append(at_s)
        lines.append((at_s, opening(sets[place])))
        lines.append((at_s + sets[place].length_ms / 2000, "well done"))
        at_s += sets[place].length_ms / 1000
    return lines, starts


def lay(sets: Sequence[PlanSet], lines: Sequence[Line]) -> Outcome:
    """These lines on the plan."""
    words = [
        word
        for at_s, text in sorted(lines)
        for word in spread_words(text, round(at_s * 1000), round(at_s * 1000) + 400 * len(text.split()))
    ]
    return lay_on_plan(Transcript(name="made", words=tuple(words), problems=()), sets, standard_library())
