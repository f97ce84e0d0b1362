"""Remedies of a plan's findings: tried in the background, then offered as buttons."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import partial

from everyrung.compose.case import Case, Remedy
from everyrung.compose.mend import MOST_TRIALS, again, needs, remedies
from everyrung.executors.tasks import is_elsewhere, map_tasks
from everyrung.moves.library import Library
from everyrung.pipeline import Options, run_plan
from everyrung.plan.read import plan_from_text
from everyrung.results.analysis import Analysis
from everyrung.store.cache import default_cache
from everyrung.terms.finding import Finding, Identity
from everyrung.web.edit_form import form_of

# A trial with bodies takes seconds, one with people some ten; chosen, so that both are done within a minute or two.
_TRIALS = {"": MOST_TRIALS, "bodies": 4, "people": 3}


@dataclass(frozen=True, slots=True, kw_only=True)
class MendRequest:
    """Which findings to try remedies for: the `findings` ones of bodies and people, else those of time and checks."""

    findings: tuple[Finding, ...] = ()


def find_remedies(
    text: str,
    mend: MendRequest,
    library: Library,
    options: Options,
    progress: Callable[[int, int], None],
    room: str = "",
) -> Mapping[Identity, tuple[Remedy, ...]]:
    """The remedies of a plan's findings that hold. `options`: bodies and people, with the cache for both; `room` is the
    text of the one that it is held in, whose walls limit waves.
    """
    run = run_plan(plan_from_text(text, "plan.toml"), library=library)
    if mend.findings:
        run = replace(run, findings=mend.findings)
    todo = [each for each in run.findings if bool(needs(each.rule)) is bool(mend.findings)]
    if is_elsewhere():  # callbacks cannot go there, known people are not to, and findings do not depend on them
        options = Options(audience=options.audience and replace(options.audience, people=()))
    by_finding = {}
    walls = _wall_people(run, room, library) if any(each.rule == "kit-short" for each in todo) else {}
    try_each = partial(_held_remedies, text, run, library, options, walls)
    for number, working in enumerate(map_tasks(try_each, todo, chunk=1)):
        by_finding[todo[number].identity] = working
        progress(number + 1, len(todo))
    return by_finding


def _wall_people(run: Analysis, room: str, library: Library) -> Mapping[str, int]:
    """How many the walls of the room hold, by rung; nothing of a room that nobody named."""
    if not room:
        return {}
    from everyrung.room.capacity import room_use  # shapely: only where there is a room
    from everyrung.room.read import room_from_text

    people = max(1, run.session.who.in_room)
    return room_use(
        run.session, room_from_text(room, "room.toml"), library, people=people, cache=default_cache()
    ).wall_people


def _held_remedies(
    text: str, run: Analysis, library: Library, options: Options, walls: Mapping[str, int], finding: Finding
) -> tuple[Remedy, ...]:
    """The remedies of one finding of the plan's run that hold."""
    options = replace(options, cache=options.cache or default_cache())
    runs = again(finding.rule, library, options)
    case = Case(run=run, finding=finding, library=library, wall_people=walls)
    return remedies(text, case, runs, trials=_TRIALS[needs(finding.rule)])


@dataclass(frozen=True, slots=True, kw_only=True)
class Button:
    """Words for a button, and the form that it sends; `silent`: it changes nothing in the session."""

    words: str
    fields: dict[str, str]
    silent: bool


def buttons_of(finding: Finding, by_finding: Mapping[Identity, tuple[Remedy, ...]]) -> tuple[Button, ...]:
    """The buttons of a finding; none while its remedies are still being tried, or where none of them holds."""
    working = by_finding.get(finding.identity, ())
    return tuple(Button(words=each.words, fields=form_of(each.edit), silent=each.silent) for each in working)
