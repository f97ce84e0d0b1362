"""The public functions: `import everyrung` offers them, and docs/python.md shows how they are used."""

from collections.abc import Callable, Iterable, Mapping
from functools import partial
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING, Any

from everyrung.moves.library import Library, standard_library
from everyrung.parsing.units import mass
from everyrung.pipeline import AudienceSpec, Options, run_plan
from everyrung.plan.read import plan_from_text, read_plan
from everyrung.results.analysis import Analysis
from everyrung.store.cache import default_cache
from everyrung.terms.errors import Invalid, require, short_text
from everyrung.terms.forecast import USUAL_PEOPLE
from everyrung.terms.move import Rung
from everyrung.terms.person import BodySize, Person
from everyrung.terms.plan import Plan
from everyrung.terms.room import MAX_PEOPLE as MAX_ROOM_PEOPLE
from everyrung.terms.units import Load

if TYPE_CHECKING:
    from everyrung.results.body_demand import BodyDemand
    from everyrung.results.rehearsal import Rehearsal
    from everyrung.room.capacity import RoomUse

PathName = str | PathLike[str]
PlanSource = Plan | PathName | Mapping[str, Any]
PeopleSource = PathName | Person | Iterable[Person]
Progress = Callable[[str, int, int], None]  # what is done, how many of it are, of how many
MIN_MINUTES, MAX_MINUTES = 5, 240  # as in a plan file
MAX_PEOPLE = 10_000_000  # chosen, as on the command line


def load_plan(source: PlanSource) -> Plan:
    """The plan of a file, or of the same values as a mapping.

    `source`: a path (a string or a Path) of a plan file; or a mapping with the keys of one (docs/plan-file.md), lists
    for its [[tables]]; or a Plan, which is returned as it is. Raises Faults with every fault of the plan, each with its
    line and what to do; Invalid for a source that is none of these.

    >>> plan = load_plan("examples/boathouse-30.toml")
    >>> plan.title, plan.slot_ms // 60_000
    ('Boathouse thirty: legs and shoulders', 30)
    """
    if isinstance(source, Plan):
        return source
    if isinstance(source, Mapping):
        from everyrung.plan.write import values_text  # tomlkit: only when asked for

        return plan_from_text(values_text(source), "plan")
    return read_plan(path_of(source, "plan", "'evening.toml'"))


def save_plan(plan: Plan, path: PathName) -> Path:
    """Writes a plan file, and returns its path. Over a file that reads as a plan only what differs is changed: its
    comments and its order stay. Raises Invalid for what is no Plan, Faults where the file there is no plan.

    >>> import tempfile
    >>> path = Path(tempfile.mkdtemp()) / "copy.toml"
    >>> load_plan(save_plan(load_plan("examples/boathouse-30.toml"), path)).title
    'Boathouse thirty: legs and shoulders'
    """
    from everyrung.parsing.document import read_text
    from everyrung.plan.write import write_plan  # tomlkit: only when asked for
    from everyrung.store.files import replace_text

    require_type(plan, Plan, "plan", "a Plan, as load_plan returns it")
    target = path_of(path, "path", "'evening.toml'")
    replace_text(target, write_plan(plan, over=read_text(target) if target.exists() else ""))
    return target


def library(own_cues: PathName | None = None) -> Library:
    """The moves with their ladders of rungs; with the coach's own cues from a file where one is named.

    `library().keys` are the moves, `.move(key).ladder` is one's rungs, easiest first, `.stand_ins` what
    other moves lend it, `.rung(move, key)` one of both.
    Raises Faults for a file of cues that cannot be used; its methods raise Invalid with the nearest name.

    >>> [rung.key for rung in library().move("squat").ladder][:3]
    ['half-wall', 'chair', 'base']
    """
    moves = standard_library()
    if own_cues is None:
        return moves
    from everyrung.moves.own_cue_file import read_own_cues

    return standard_library(read_own_cues(path_of(own_cues, "own_cues", "'cues.toml'"), moves))


def analyze(
    plan: PlanSource,
    *,
    minutes: int | None = None,
    bodies: bool = False,
    drawings: bool = False,
    cues: bool = False,
    library: Library | None = None,
    cache: bool = True,
    progress: Progress | None = None,
) -> Analysis:
    """A plan resolved, timed and checked.

    `plan`: what `load_plan` takes. `minutes`: fit it to another slot first (5 to 240), by its cut order. `bodies`:
    compute each led rung on the twelve reference bodies (`.mechanics`, `.energies`); `drawings`: every rung's poses;
    `cues`: what is said when. `cache`: take what was computed before from the computer's own store. `progress` is
    called with what is being done, how many of it are, and of how many.

    Bodies that are not in the store take about a second each and start processes: in a script, call it under
    `if __name__ == "__main__":`. Raises Faults for a plan that cannot be led, Invalid for another wrong value,
    ProcessEnded when one of the processes was ended from outside, or the script has no such guard.

    >>> result = analyze("examples/boathouse-30.toml", minutes=25)
    >>> result.timeline.total_ms <= 25 * 60_000, result.clean
    (True, True)
    >>> print(result.refit.lost[0])
    Main / Three / hinge (1:03 saved)
    """
    return analysis_of(plan, library, cache, progress, minutes=minutes, bodies=bodies, drawings=drawings, cues=cues)


def rehearse(
    plan: PlanSource,
    *,
    count: int = USUAL_PEOPLE,
    mix: PathName = "boathouse",
    seed: int = 1,
    people: PeopleSource = (),
    in_room: bool = False,
    minutes: int | None = None,
    library: Library | None = None,
    cache: bool = True,
    progress: Progress | None = None,
) -> "Rehearsal":
    """A plan before an audience: who finishes which rung, what stops them, and what each known person is advised.

    `plan`: what `load_plan` takes. `count`: how many people (0: none) are drawn from `mix` (a name such as "boathouse",
    or a path of a .toml) by `seed`. `people`: those who are known: Persons, or a path of a people file; `in_room`: they
    use the room's kit, not their own. `progress` and the rest are as in `analyze`, the guard of a script too.

    Shares carry the band in which they lie in four of five cases as far as the model knows its own error: a planning
    aid, not medical advice. Raises Faults for a plan, a mix or people that cannot be read, Invalid for another wrong
    value.

    >>> block = {"kind": "main", "move": [{"move": "squat", "dose": "8 reps"}]}
    >>> plan = {"title": "One set", "slot_minutes": 5, "who": {"in_room": 4}, "block": [block]}
    >>> result = rehearse(plan, count=50)
    >>> result.forecast.people, len(result.rows("rungs")) > 0
    (50, True)
    """
    from everyrung.effort.mix import read_mix  # numpy: only when asked for
    from everyrung.results.rehearsal import Rehearsal

    whole_number("count", count, 0, MAX_PEOPLE)
    whole_number("seed", seed, 0, 2**32 - 1)
    require(isinstance(mix, str | PathLike), "mix", "a name such as 'boathouse', or a path", words_of(mix))
    read_mix(str(mix))  # before anything takes long
    persons = people_of(people)
    require(bool(count or persons), "count", "some people to draw, or people who are known", count)
    who = AudienceSpec(mix=str(mix), count=count, seed=seed, people=persons, in_room=in_room)
    return Rehearsal(analysis=analysis_of(plan, library, cache, progress, minutes=minutes, audience=who))


def demand(
    rung: Rung | str, body: BodySize, *, load: str | None = None, library: Library | None = None, cache: bool = True
) -> "BodyDemand":
    """What one repetition of a rung (of a hold, one second) asks of one body.

    `rung`: a Rung, or its address ("squat/base"; "squat" is the same). `body`: sex, stature in m, mass in kg. `load`:
    the mass of each piece that the rung holds ("10 lb", "5 kg"). `.instants` and `.to_frame()` have the moment (N m)
    and the part of its strength of each direction of each joint over the repetition's depth, `.demand` the greatest
    and mean values. Raises Invalid for a rung that is none, and for a load where none is held.

    >>> result = demand("squat", BodySize(sex="female", stature_m=1.65, mass_kg=62))
    >>> result.demand.feasible
    True
    >>> depth, moment_nm, fraction = max(result.over_depth("knee_extension_left"))
    >>> depth, 0.1 < fraction < 1
    (1.0, True)
    """
    from everyrung.body.mechanics import Job, curves, in_job_order
    from everyrung.results.body_demand import BodyDemand

    moves = _library(library)
    if isinstance(rung, str):
        move, _, key = rung.partition("/")
        rung = moves.rung(move, key or "base")
    require_type(rung, Rung, "rung", "a Rung or its address, such as 'squat/base'")
    require_type(body, BodySize, "body", "a BodySize(sex=..., stature_m=..., mass_kg=...)")
    job = Job(form=rung.form, layer=moves.pose(rung.form), size=body, load=_held_load(rung, load))
    (curve,) = in_job_order(curves([job], default_cache() if cache else None))
    return BodyDemand(rung=rung, curve=curve)


def place(
    plan: PlanSource,
    room: PathName,
    *,
    people: int | None = None,
    body: BodySize | None = None,
    library: Library | None = None,
    cache: bool = True,
) -> "RoomUse":
    """A session in a room: how many it holds round by round, and who stands where.

    `plan`: what `load_plan` takes. `room`: a room file (docs/room.md). `people`: how many come into it (None: as the
    plan says); `body`: on whom each rung's sweep is measured (None: the largest reference body). The result's
    `.people`, `.rounds`, `.worst` and `.layout` say how many and where; `everyrung.room.findings.room_findings` says
    what stands in the way, `everyrung.room.draw.room_svg` draws it. Lengths are in m.

    Raises Faults for a file that cannot be used, Invalid for another wrong value.

    >>> use = place("examples/boathouse-30.toml", "examples/rooms/boat-bay.toml", people=8)
    >>> use.people < use.by_area, len(use.layout.places)
    (True, 8)
    """
    from everyrung.plan.resolve import resolve
    from everyrung.room.capacity import room_use  # shapely: only when asked for
    from everyrung.room.read import read_room

    if people is not None:
        whole_number("people", people, 1, MAX_ROOM_PEOPLE)
    moves = _library(library)
    session = resolve(load_plan(plan), moves)
    floor = read_room(path_of(room, "room", "'boat-bay.toml'"))
    return room_use(session, floor, moves, people=people, body=body, cache=default_cache() if cache else None)


def people_of(people: PeopleSource) -> tuple[Person, ...]:
    """Known people from a file or one by one. Raises Faults for a file, Invalid for what is neither."""
    if isinstance(people, str | PathLike):
        from everyrung.people.read import read_people

        return read_people(path_of(people, "people", "'people.csv'"))
    expected = "Persons, or a path of a people file"
    if isinstance(people, Person):
        return (people,)
    require(isinstance(people, Iterable), "people", expected, words_of(people))
    persons = tuple(people)
    for each in persons:
        require_type(each, Person, "people", expected)
    return persons


def path_of(path: object, field: str, example: str) -> Path:
    """A path from a string or a Path. Raises Invalid for something else, a text of several lines too."""
    remedy = f"Write {field}={example}, or a Path."
    if not isinstance(path, str | PathLike) or isinstance(path, bytes):
        raise Invalid(field, "a path, as a string or a Path", words_of(path), remedy=remedy)
    if "\n" in str(path) or not str(path):
        raise Invalid(field, "a path, as a string or a Path", short_text(str(path)) or "nothing", remedy=remedy)
    return Path(path)


def whole_number(field: str, value: object, low: int, high: int) -> None:
    """Raises Invalid unless `value` is a whole number from `low` to `high`."""
    right = isinstance(value, int) and not isinstance(value, bool) and low <= value <= high
    require(right, field, f"a whole number from {low:,} to {high:,}", value)


def require_type(value: object, kind: type, field: str, expected: str) -> None:
    """Raises Invalid unless `value` is of that kind."""
    require(isinstance(value, kind), field, expected, words_of(value))


def words_of(value: object) -> str:
    """A value of a wrong kind in words: '42, an int'."""
    name = type(value).__name__
    return f"{short_text(value)}, {'an' if name[0] in 'aeiouAEIOU' else 'a'} {name}" if value is not None else "None"


def analysis_of(
    plan: PlanSource,
    library: Library | None,
    cache: bool,
    progress: Progress | None,
    minutes: int | None = None,
    **parts: Any,
) -> Analysis:
    """The analysis with those parts of `Options`."""
    if minutes is not None:
        whole_number("minutes", minutes, MIN_MINUTES, MAX_MINUTES)
    require(progress is None or callable(progress), "progress", "a function of (what, done, total)", words_of(progress))
    options = Options(cache=default_cache() if cache else None, **parts, **_callbacks(progress))
    return run_plan(load_plan(plan), minutes, _library(library), options)


def _callbacks(progress: Progress | None) -> dict[str, Any]:
    if progress is None:
        return {}
    parts = {"on_bodies": "rungs on bodies", "on_people": "people", "on_words": "spoken cues"}
    return {name: partial(progress, what) for name, what in parts.items()}


def _library(library: Library | None) -> Library:
    if library is None:
        return standard_library()
    require_type(library, Library, "library", "a Library, as library() returns it")
    return library


def _held_load(rung: Rung, load: str | None) -> Load | None:
    """A load of as many pieces as the rung holds. Raises Invalid where it holds none."""
    if load is None:
        return None
    pieces = sum(need.pieces for need in rung.kit if need.item.has_mass)
    remedy = "Leave it out, or choose a rung with a load."
    if not pieces:
        raise Invalid("load", f"no load, for {rung.address} holds none", load, remedy=remedy)
    require(isinstance(load, str), "load", "a mass with its unit, such as '10 lb'", words_of(load))
    return Load(pieces=(mass(load),) * pieces)
