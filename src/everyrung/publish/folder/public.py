"""The public function `everyrung.publish`."""

from collections.abc import Iterable
from os import PathLike
from pathlib import Path

from everyrung.interface import (
    PathName,
    PeopleSource,
    PlanSource,
    Progress,
    analysis_of,
    load_plan,
    path_of,
    people_of,
    whole_number,
)
from everyrung.moves.library import Library
from everyrung.pipeline import AudienceSpec
from everyrung.plan.write import write_plan
from everyrung.publish.calendar import series_of
from everyrung.publish.folder.make import make
from everyrung.publish.folder.terms import Publication
from everyrung.publish.registry import registry
from everyrung.terms.plan import Plan

MAX_WEEKS = 520  # chosen, because nobody plans a class for more than ten years


def publish(
    plan: PlanSource,
    folder: PathName,
    *,
    people: PeopleSource = (),
    in_room: bool = False,
    starts: str = "",
    zone: str = "",
    weeks: int = 6,
    place: str = "",
    voice: bool = False,
    video: bool = False,
    also: Iterable[str] = (),
    library: Library | None = None,
    cache: bool = True,
    progress: Progress | None = None,
) -> Publication:
    """Everything for people and a channel in one folder, with a manifest: run sheet, captions, player, sound.

    `plan`: what `load_plan` takes; `folder`: where to write, made when it is not there. `people`, `in_room`: a card for
    each of these, as in `rehearse`. `starts` ("2026-11-26 18:30") with `zone` ("Europe/Helsinki"), `weeks` and `place`:
    a calendar file. `voice`: speak the cues (needs everyrung[voice]); `video`: a film too, which takes minutes;
    `also`: outputs on request of other packages, by name.
    `progress` and the rest are as in `analyze`, the guard of a script too. What was stopped goes on where it was.

    Raises Faults for a plan that cannot be led, Invalid for another wrong value, OSError where nothing can be written.

    >>> import tempfile
    >>> from everyrung.interface import load_plan
    >>> block = {"kind": "main", "move": [{"move": "squat", "dose": "8 reps"}]}
    >>> plan = {"title": "One set", "slot_minutes": 5, "who": {"in_room": 4}, "block": [block]}
    >>> result = publish(plan, tempfile.mkdtemp())
    >>> "player.html" in [product.name for product in result.products]
    True
    """
    target = path_of(folder, "folder", "'OUT'")
    whole_number("weeks", weeks, 1, MAX_WEEKS)
    wished = registry().chosen([*also, *(["film"] if video else [])])
    persons, loaded = people_of(people), load_plan(plan)
    audience = AudienceSpec(people=persons, in_room=in_room) if persons else None
    done = analysis_of(
        loaded, library, cache, progress, bodies=True, drawings=True, cues=True, voice=voice, audience=audience
    )
    series = series_of(done.session, starts, zone, weeks, place) if starts or zone else None
    return make(done, _content(plan, loaded), target, progress or _in_silence, series=series, also=wished)


def _in_silence(*_: object) -> None:
    """Nobody asked how far it is."""


def _content(plan: PlanSource, loaded: Plan) -> bytes:
    """The plan file's bytes; of a plan that is no file, as it would be written."""
    return Path(plan).read_bytes() if isinstance(plan, str | PathLike) else write_plan(loaded).encode()
