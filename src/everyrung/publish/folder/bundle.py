"""Making the folder: each output by its own step, timed, and a manifest that says what is what.

The public function `everyrung.publish`.
"""

import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from functools import partial
from hashlib import sha256
from os import PathLike
from pathlib import Path
from tempfile import TemporaryDirectory
from types import MappingProxyType

from everyrung import __version__
from everyrung.body.engine_version import answer_digest
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
from everyrung.plugins import Plugin, trouble_words
from everyrung.publish.calendar import Series, series_of
from everyrung.publish.folder.beside import part_of, parts_beside, timed_part
from everyrung.publish.folder.contents import (
    MANIFEST,
    MARK,
    STATE,
    FolderInProgress,
    Part,
    Product,
    Publication,
    product,
)
from everyrung.publish.folder.texts import coach_notes
from everyrung.publish.output import Order, Output
from everyrung.publish.registry import registry
from everyrung.results.analysis import Analysis
from everyrung.store.digest import byte_digest, digest
from everyrung.store.files import FOR_THE_COACH_ALONE, replace_bytes
from everyrung.terms.errors import require
from everyrung.terms.plan import Plan

Telling = Callable[[str, int, int], None]  # a part, how many of its steps are done, of how many; 0 where it has none
NOTES, NOTES_FILE = "notes", "coach-notes.txt"
OURS = {NOTES_FILE, MANIFEST, MARK, STATE}
INPUTS = ("everyrung.publish", "everyrung.score", "everyrung.timing")  # whose code the parts depend on, beside the run


def build_bundle(
    run: Analysis,
    plan: bytes,
    folder: Path,
    telling: Telling,
    *,
    series: Series | None = None,
    also: Iterable[str] = (),
    numbers: Mapping[str, int] = MappingProxyType({}),
) -> Publication:
    """Writes everything into `folder` and returns what is there. `plan`: the plan file's bytes.

    `also`: the outputs on request that are asked for, by name. `numbers`: of the people on the coach's list, by name.

    Until the manifest stands, the folder is marked as unfinished; a making that was stopped, by an exception of
    `telling` too, is resumed by the next one of the same run: parts that are whole are kept by their digest.
    The run needs its mechanics, drawings and cues. Raises OSError when a file cannot be written, Invalid for an output
    that there is not and for a video that cannot be encoded here. What the output of a plug-in raises is a note.
    """
    register = registry()
    order = Order(run=run, folder=folder, series=series, numbers=numbers)
    outputs = _outputs(order, register.select(also))
    names = [output.name for output in outputs]
    plugins = {output.name: plugin for output, plugin in register.others.items()}

    def order_of(name: str) -> Order:
        return replace(order, progress=partial(telling, name), notes=[])

    progress = FolderInProgress(folder, _inputs(run, plan, series, numbers), [*names, NOTES])
    parts = {name: part for name in names if name not in plugins and (part := progress.whole_part(name))}
    old_parts, steps_ms = tuple(parts), {}
    with parts_beside([each for each in outputs if each.name not in parts], run, folder) as futures:
        for output in sorted(outputs, key=lambda each: (each.name in plugins, each.name in futures)):
            name = output.name
            telling(name, 0, 0)
            if name in parts:
                continue
            if name in futures:
                result = part_of(futures[name], partial(telling, name, 0, 0))
            elif name in plugins:
                result = _part_of_plugin(plugins[name], output, order_of(name), parts.values())
            else:
                result = timed_part(output, order_of(name))
            parts[name], steps_ms[name] = result
            progress.keep(name, parts[name])
    notes = [*register.problems, *(note for name in names for note in parts[name].notes)]
    path = order.text(NOTES_FILE, coach_notes(run, notes))
    products = (
        *(one for name in names for one in parts[name].products),
        product(path, folder, "what you need to know about it; not for publishing"),
    )
    mode = FOR_THE_COACH_ALONE if run.advice else None  # it names them
    progress.finish(manifest(run, plan, products), mode)
    return Publication(
        title=run.session.title,
        folder=folder,
        products=products,
        steps_ms=tuple((name, steps_ms[name]) for name in names if name in steps_ms),
        notes=tuple(notes),
        kept=old_parts,
        clean=run.clean,
    )


def _outputs(order: Order, also: frozenset[str]) -> list[Output]:
    """Those whose needs are met and that are asked for, in their order."""
    every = (each for each in registry().outputs if not each.on_request or each.name in also)
    return [output for output in every if all(order.has(need) for need in output.needs)]


def _inputs(run: Analysis, plan: bytes, series: Series | None, numbers: Mapping[str, int]) -> str:
    """A digest of all that the parts depend on."""
    sources = (run.session, run.cues, run.advice, run.findings, run.mechanics, run.voice is not None)
    when = (series.starts.isoformat(), str(series)) if series else None
    return digest(sha256(plan).hexdigest(), *sources, when, dict(numbers), byte_digest(*INPUTS), answer_digest())


def _part_of_plugin(plugin: Plugin, output: Output, order: Order, parts: Iterable[Part]) -> tuple[Part, int]:
    """What another package's output writes: into a folder of its own first, so that one that fails leaves nothing
    behind, and none writes over what is there. What stops the making (`telling`) stops it all the same.
    """
    stops: list[BaseException] = []
    file_names = {one.name for part in parts for one in part.products}

    def progress(count: int, total: int) -> None:
        try:
            order.progress(count, total)
        except BaseException as stop:
            stops.append(stop)
            raise

    with TemporaryDirectory(dir=order.folder, prefix=".output-") as scratch:
        try:
            part, ms = timed_part(output, replace(order, progress=progress, folder=Path(scratch)))
            for one in part.products:
                require(one.name not in file_names | OURS, "file", "a name that is free", one.name)
                require(".." not in one.name.split("/"), "file", "one within the folder", one.name)
        except Exception as error:
            if stops:
                raise stops[0] from None
            words = f"The output {output.name!r} of the plug-in {plugin.name!r} failed: {trouble_words(error)}."
            return Part(products=(), notes=(words,)), 0
        for one in part.products:
            replace_bytes(order.folder / one.name, (Path(scratch) / one.name).read_bytes())
    return part, ms


def manifest(run: Analysis, plan: bytes, products: tuple[Product, ...]) -> str:
    """What each file is, and which plan they all came from."""
    values = {
        "title": run.session.title,
        "plan": {"file": Path(run.plan.file).name, "sha256": sha256(plan).hexdigest()},
        "length_ms": run.timeline.total_ms,
        "made_by": f"Everyrung {__version__}",
        "files": [{"name": one.name, "what": one.what, "bytes": one.bytes, "sha256": one.sha256} for one in products],
    }
    return json.dumps(values, indent=2, ensure_ascii=False) + "\n"


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
    requests = registry().select([*also, *(["film"] if video else [])])
    persons, plan_terms = people_of(people), load_plan(plan)
    audience = AudienceSpec(people=persons, in_room=in_room) if persons else None
    analysis = analysis_of(
        plan_terms, library, cache, progress, bodies=True, drawings=True, cues=True, voice=voice, audience=audience
    )
    series = series_of(analysis.session, starts, zone, weeks, place) if starts or zone else None
    return build_bundle(
        analysis, _content(plan, plan_terms), target, progress or _in_silence, series=series, also=requests
    )


def _in_silence(*_: object) -> None:
    """Nobody asked how far it is."""


def _content(plan: PlanSource, plan_terms: Plan) -> bytes:
    """The plan file's bytes; of a plan that is no file, as it would be written."""
    return Path(plan).read_bytes() if isinstance(plan, str | PathLike) else write_plan(plan_terms).encode()
