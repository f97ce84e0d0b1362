"""What is made for the film of a recording, into one folder; each with what it is, or why it is not there."""

from collections.abc import Callable, Iterator
from pathlib import Path

from everyrung.lookback.film.material import Material
from everyrung.store.files import replace_text
from everyrung.terms.errors import Invalid

FilmFile = tuple[str, str]  # a file's name, or none, and a sentence
Progress = Callable[[int, int], None]


def write_film_files(
    film: Material, folder: Path, overlay: str = "", progress: Progress = lambda _count, _total: None
) -> Iterator[FilmFile]:
    """Makes them one after another; `overlay`: 'animation', 'prores' or none, `progress` its frames."""
    if not film.takes:
        yield "", "Nothing for the film: no set's time in the recording is known."
        return
    yield from _chapters(film, folder)
    yield from _captions(film, folder)
    yield from _try(lambda: _edit_list(film, folder))
    yield from _try(lambda: _stills(film, folder))
    if overlay:
        yield from _try(lambda: _overlay(film, folder, overlay, progress))


def _try(make: Callable[[], Iterator[FilmFile]]) -> Iterator[FilmFile]:
    """What can't be made stops nothing else."""
    try:
        yield from make()
    except Invalid as problem:
        yield "", f"Not made: {problem}"
    except OSError as problem:
        yield "", f"Not made: {problem.strerror or problem}."


def _chapters(film: Material, folder: Path) -> Iterator[FilmFile]:
    from everyrung.lookback.film.chapters import film_chapters
    from everyrung.publish.chapters import chapters_text, chapters_vtt

    parts = film_chapters(film)
    if not parts:
        yield "", "No chapters: there would be fewer than three, and hosts then show none."
        return
    replace_text(folder / "chapters.vtt", chapters_vtt(parts))
    replace_text(folder / "chapters.txt", chapters_text(parts))
    yield "chapters.vtt", f"{len(parts)} chapters for a player"
    yield "chapters.txt", "the same for a video's description"


def _captions(film: Material, folder: Path) -> Iterator[FilmFile]:
    from everyrung.lookback.film.words import caption_words, film_captions, marked_vtt, unsure_lines
    from everyrung.publish.captions.format import srt

    if film.outcome is None:
        yield "", "No captions: they need a transcript, which says what was said."
        return
    words = caption_words(film, film.outcome)
    texts = film_captions(words)
    lines = list(unsure_lines(words))
    replace_text(folder / "captions.vtt", marked_vtt(texts, words))
    replace_text(folder / "captions.srt", srt(texts))
    replace_text(folder / "captions-to-check.txt", "".join(f"{line}\n" for line in lines))
    yield "captions.vtt", f"{len(texts)} captions of what was said, in the plan's words; what was changed has a comment"
    yield "captions.srt", "the same for other players"
    yield "captions-to-check.txt", f"{len(lines)} words to listen to: changed from what the transcript heard"


def _edit_list(film: Material, folder: Path) -> Iterator[FilmFile]:
    from everyrung.lookback.film.edit_list import EDL_LOSES, edit_list, edl_text
    from everyrung.lookback.film.edit_list import text as otio_text

    timeline = edit_list(film)
    replace_text(folder / "edit-list.otio", otio_text(timeline))
    others = len(film.takes) - len(film.choice)
    yield "edit-list.otio", f"{len(film.choice)} sets, {others} other takes, {len(film.cuts)} cuts (OpenTimelineIO)"
    replace_text(folder / "edit-list.edl", edl_text(timeline, film.picture.rate))
    yield "edit-list.edl", EDL_LOSES


def _stills(film: Material, folder: Path) -> Iterator[FilmFile]:
    from everyrung.lookback.film.contact_sheet import write_contact_sheet

    write_contact_sheet(film, folder / "contact-sheet.png")
    yield (
        "contact-sheet.png",
        f"a still of each of {len(film.choice)} sets; people can be recognised on it",
    )


def _overlay(film: Material, folder: Path, overlay: str, progress: Progress) -> Iterator[FilmFile]:
    from everyrung.lookback.film.overlay import Codec, write_overlay

    frames, pictures = write_overlay(film, folder / "overlay.mov", Codec(overlay), progress)
    size_mb = (folder / "overlay.mov").stat().st_size / 1e6
    what = "count, side, versions and next, with transparency"
    yield "overlay.mov", f"{what}: {frames} frames, {pictures} different pictures, {size_mb:.1f} MB"
