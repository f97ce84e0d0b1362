"""Making the folder: each product by its own step, timed, and a manifest that says what is what."""

import json
import time
from collections.abc import Callable, Iterator, Mapping
from datetime import UTC, datetime
from functools import partial
from hashlib import sha256
from pathlib import Path
from types import MappingProxyType

from everyrung import __version__
from everyrung.publish.audio.sound import SAMPLE_RATE_HZ
from everyrung.publish.audio.voice import voiced
from everyrung.publish.calendar import Series, calendar
from everyrung.publish.captions.fit import captions
from everyrung.publish.captions.write import srt, vtt
from everyrung.publish.card.content import person_card
from everyrung.publish.card.write import file_names, write_card
from everyrung.publish.chapters import chapters, chapters_text, chapters_vtt
from everyrung.publish.folder.filming import filming_html
from everyrung.publish.folder.level import level_label
from everyrung.publish.folder.sound import beep_files, sound_of, voice_files
from everyrung.publish.folder.terms import NAMES, Files, Part, Product, Publication
from everyrung.publish.folder.unfinished import FILM, Unfinished, product
from everyrung.publish.folder.words import coach_notes, description, kit_list
from everyrung.publish.player.motions import motions
from everyrung.publish.player.write import write_player
from everyrung.publish.sheet.write import write_sheet
from everyrung.publish.video.write import write_video
from everyrung.results.analysis import Analysis
from everyrung.store.atomic import FOR_THE_COACH_ALONE, replace_bytes, replace_text
from everyrung.store.cache import default_cache
from everyrung.store.digest import code_digest, digest
from everyrung.store.owners import Owner
from everyrung.terms.timeline import Track

Telling = Callable[[str, int, int], None]  # a part, how many of its steps are done, of how many; 0 where it has none
Making = Callable[[list[str]], Files]  # with room for notes
NOTES = "notes"
INPUTS = (
    "everyrung.publish",
    "everyrung.score",
    "everyrung.timing",
    "everyrung.body",
)  # whose code the parts hang on, beside the run


def make(
    run: Analysis,
    plan: bytes,
    folder: Path,
    telling: Telling,
    *,
    series: Series | None = None,
    video: bool = False,
    numbers: Mapping[str, int] = MappingProxyType({}),
) -> Publication:
    """Writes everything into `folder` and returns what is there. `plan`: the plan file's bytes.

    `numbers`: of the people on the coach's list, by name.

    Until the manifest stands, the folder is marked as unfinished; a making that was stopped, by an exception of
    `telling` too, is gone on with by the next one of the same run: parts that are there whole are kept by their digest.
    The run needs its mechanics, drawings and cues. Raises OSError when a file cannot be written, Invalid for a video
    that cannot be encoded here.
    """
    steps = list(_steps(run, folder, series, telling, numbers, video=video))
    unfinished = Unfinished(folder, _inputs(run, plan, series, numbers), [name for name, _ in [*steps, (NOTES, None)]])
    parts, steps_ms, kept = [], [], []
    for name, step in steps:
        telling(name, 0, 0)
        part = unfinished.kept(name)
        if part is None:
            begin = time.perf_counter()
            part = _part(step, folder)
            unfinished.keep(name, part)
            steps_ms.append((name, round((time.perf_counter() - begin) * 1000)))
        else:
            kept.append(name)
        parts.append(part)
    notes = [note for part in parts for note in part.notes]
    parts.append(_part(lambda _: _notes(run, folder, notes), folder))
    products = tuple(one for part in parts for one in part.products)
    mode = FOR_THE_COACH_ALONE if run.advice else None  # it names them
    unfinished.finish(manifest(run, plan, products), mode)
    return Publication(
        title=run.session.title,
        folder=folder,
        products=products,
        steps_ms=tuple(steps_ms),
        notes=tuple(notes),
        kept=tuple(kept),
        clean=run.clean,
    )


def _inputs(run: Analysis, plan: bytes, series: Series | None, numbers: Mapping[str, int]) -> str:
    """A digest of all that the parts hang on."""
    computed = (run.session, run.cues, run.advice, run.findings, run.mechanics, run.voice is not None)
    when = (series.starts.isoformat(), str(series)) if series else None
    return digest(sha256(plan).hexdigest(), *computed, when, dict(numbers), code_digest(*INPUTS))


def _part(step: Making, folder: Path) -> Part:
    notes: list[str] = []
    files = tuple(product(path, folder, what) for path, what in step(notes))
    return Part(products=files, notes=tuple(notes))


def _steps(
    run: Analysis, folder: Path, series: Series | None, telling: Telling, numbers: Mapping[str, int], *, video: bool
) -> Iterator[tuple[str, Making]]:
    yield "run sheet", lambda _: _sheet(run, folder)
    yield "texts", lambda notes: _texts(run, folder, notes)
    yield "captions", lambda notes: _captions(run, folder, notes)
    if run.advice:
        yield "cards", lambda _: _cards(run, folder, numbers, partial(telling, "cards"))
    if series:
        yield "calendar", lambda _: _calendar(run, series, folder)
    yield "filming", lambda _: _filming(run, folder)
    yield "player page", lambda _: _player(run, folder)
    yield "audio", partial(beep_files, run, folder)
    for track in run.cues if run.voice else ():
        yield f"voice, {track.track}", partial(voice_files, run, track, folder)
    if video:
        yield "film", lambda _: _video(run, folder, partial(telling, "film"))


def _sheet(run: Analysis, folder: Path) -> Files:
    words = ("run sheet for a screen", "run sheet to print, cover sheet first", "the score as a picture")
    yield from zip(write_sheet(run, folder), words, strict=True)


def _texts(run: Analysis, folder: Path, notes: list[str]) -> Files:
    label = level_label(run)
    notes.append(str(label))
    made = chapters(run.session, run.timeline)
    if not made:
        notes.append("No chapters: it takes three of ten seconds or more.")
    yield _text(folder / "description.txt", description(run, label)), "what it is, for a channel or a notice"
    yield _text(folder / "kit.txt", kit_list(run)), "what to bring, loads and balls"
    if made:
        yield _text(folder / "chapters.vtt", chapters_vtt(made)), "chapters for a player (WebVTT)"
        yield _text(folder / "chapters.txt", chapters_text(made)), "chapters as a plain list"


def _captions(run: Analysis, folder: Path, notes: list[str]) -> Files:
    for track in run.cues:
        made, name = captions(track), NAMES[track.track]
        notes += [f"Captions, {track.track}: {problem}" for problem in made.problems]
        yield _text(folder / f"captions-{name}.vtt", vtt(made.captions)), f"captions, {track.track} (WebVTT)"
        yield _text(folder / f"captions-{name}.srt", srt(made.captions)), f"captions, {track.track} (SubRip)"


def _cards(run: Analysis, folder: Path, numbers: Mapping[str, int], progress: Callable[[int, int], None]) -> Files:
    names = file_names([one.name for one in run.advice])
    for done, (one, name) in enumerate(zip(run.advice, names, strict=True)):
        progress(done, len(names))
        owner = Owner(name=one.name, person=numbers.get(one.name, 0))
        for path in write_card(run, person_card(run, one), folder / "cards", name, owner):
            yield path, f"card for {one.name}"


def _calendar(run: Analysis, series: Series, folder: Path) -> Files:
    uid = f"{sha256(f'{run.session.title}|{series.starts.isoformat()}'.encode()).hexdigest()[:24]}@everyrung.invalid"
    path = folder / "series.ics"
    replace_bytes(path, calendar(series, uid, datetime.now(UTC)))
    yield path, "the series for calendars"


def _filming(run: Analysis, folder: Path) -> Files:
    yield _text(folder / "filming.html", filming_html(run)), "pick-up units for filming, with a take log"


def _player(run: Analysis, folder: Path) -> Files:
    moving = motions(run, default_cache()) if run.drawings else None
    write_player(run, folder / "player.html", moving)
    yield folder / "player.html", "to follow along from a file, without a network"


def _notes(run: Analysis, folder: Path, notes: list[str]) -> Files:
    yield _text(folder / "coach-notes.txt", coach_notes(run, notes)), "what you are to know of it; not for publishing"


def _video(run: Analysis, folder: Path, progress: Callable[[int, int], None]) -> Files:
    first = next((track for track in run.cues if track.track is Track.FIRST), None)
    clips, _ = voiced(first, run.voice) if run.voice and first else ((), ())
    samples, _ = sound_of(run, clips)
    write_video(
        run, folder / "session.mp4", samples, SAMPLE_RATE_HZ, progress, pieces=folder / FILM, cache=default_cache()
    )
    yield folder / "session.mp4", "the session as an animated film, captions in it"


def _text(path: Path, text: str) -> Path:
    replace_text(path, text)
    return path


def manifest(run: Analysis, plan: bytes, products: tuple[Product, ...]) -> str:
    """What each file is, and which plan they all came from."""
    found = {
        "title": run.session.title,
        "plan": {"file": Path(run.plan.file).name, "sha256": sha256(plan).hexdigest()},
        "length_ms": run.timeline.total_ms,
        "made_by": f"Everyrung {__version__}",
        "files": [{"name": one.name, "what": one.what, "bytes": one.bytes, "sha256": one.sha256} for one in products],
    }
    return json.dumps(found, indent=2, ensure_ascii=False) + "\n"
