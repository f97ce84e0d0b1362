"""What one press does, for scripts: a plan mended, or changes of it that were tried."""

from collections.abc import Mapping
from dataclasses import replace
from os import PathLike
from pathlib import Path

from everyrung.compose.case import PlanRun
from everyrung.compose.changes import ChangeKind, ChangeRequest, Offers, change_offers, shorter_lengths
from everyrung.compose.lengths import USUAL
from everyrung.compose.mend_all import Mending, mend_all
from everyrung.compose.trial import Again
from everyrung.interface import PlanSource, load_plan
from everyrung.moves.library import Library, standard_library
from everyrung.parsing.document import read_text
from everyrung.pipeline import run_plan
from everyrung.plan.read import plan_from_text, ref
from everyrung.plan.write import write_plan
from everyrung.results.analysis import Analysis
from everyrung.terms.errors import member
from everyrung.terms.plan import Plan


def mend(plan: PlanSource, *, library: Library | None = None, wall_people: Mapping[str, int] | None = None) -> Mending:
    """A plan with its errors and warnings mended: its text, the steps, and what is left with what stands in the way.

    `plan`: what `load_plan` takes. Time, sides, kit, options and cautions are mended, what only bodies or people would
    say is not. Each step was tried; what has a lock stays. `wall_people`: by a rung's address, how many the room's
    walls hold at once, as `place` says it; no wave is then led at a wall that is too short. Raises Faults for a plan
    that cannot be led.

    >>> mending = mend("examples/faulty.toml")
    >>> len(mending.before.findings) > len(mending.after.findings), mending.steps[0].words
    (True, 'Lead instead: Chair-height squat, hand on the wall, no chair')
    """
    text, start, again = _ready(plan, library)
    return mend_all(text, replace(start, wall_people=wall_people or {}), again)


def offers(
    plan: PlanSource, kind: ChangeKind | str, *, at: str = "", minutes: int = 0, library: Library | None = None
) -> Offers:
    """Ways to change a plan, each tried: its words, what differs, the text that it makes.

    `kind`: "another move" for the set `at` ("Main/Two/squat"); "a step harder" or "a step easier" for the round `at`
    ("Main/Two"); "fit to minutes"; "fewer kit changes"; "nobody on the floor"; "one person more"; "mend all". Where
    nothing holds, `.stays` says why. Raises Faults for a plan that cannot be led, Invalid for a place that is not
    there.

    >>> shorter = offers("examples/boathouse-30.toml", "fit to minutes", minutes=25).offers[0]
    >>> shorter.run.timeline.total_ms <= 25 * 60_000
    True
    """
    request = ChangeRequest(kind=member(ChangeKind, "kind", kind), ref=ref(at) if at else None, minutes=minutes)
    text, start, again = _ready(plan, library)
    return change_offers(text, start, request, again)


def lengths(plan: PlanSource, *minutes: int, library: Library | None = None) -> Offers:
    """A plan in shorter lengths (45, 30 and 20 minutes where none are named): each is a true part of the next longer
    one, its sets unchanged and in their order, and passes every check that the plan passes. Where one cannot be had,
    `.stays` says why. Raises Faults for a plan that cannot be led, Invalid for a slot that no session has.

    >>> twenty = lengths("examples/boathouse-30.toml", 20).offers[0]
    >>> twenty.words, twenty.run.timeline.total_ms <= 20 * 60_000
    ('20 minutes: two rounds; without ball overhead lift and split squat', True)
    """
    for each in minutes:
        ChangeRequest(kind=ChangeKind.FIT, minutes=each)
    text, start, again = _ready(plan, library)
    return shorter_lengths(text, start, again, minutes or USUAL)


def _ready(source: PlanSource, library: Library | None) -> tuple[str, PlanRun, Again]:
    moves = library or standard_library()
    if isinstance(source, str | PathLike):
        text, file = read_text(Path(source)), str(source)
    else:
        text, file = write_plan(load_plan(source)), "plan"

    def again(other: Plan) -> Analysis:
        return run_plan(other, library=moves)

    start = PlanRun(run=again(plan_from_text(text, file)), library=moves)
    return text, start, again
