"""Looking at files before they are published, ours or others': captions, chapters, calendars, sound."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from everyrung.publish.calendar import check_calendar
from everyrung.publish.captions.format import Note, srt, vtt
from everyrung.publish.captions.read import read_captions
from everyrung.publish.chapters import check_chapters
from everyrung.publish.problem import Problem
from everyrung.store.files import replace_text
from everyrung.terms.errors import Invalid, or_list, require

QUIETEST_LUFS, LOUDEST_LUFS = -24.0, -13.0  # EBU R 128 is -23; channels play up to about -14 (from memory)

CAPTIONS = (".srt", ".vtt")
ON_SCREEN = ("lines", "width", "time on screen", "pace")  # of no matter in a description, which a voice reads out
MOST_NAMES = 4  # of speakers; chosen, because they fit on the line


@dataclass(frozen=True, slots=True, kw_only=True)
class Inspection:
    """What a file is, what is wrong in it, and the notes of whoever made it."""

    what: str
    problems: tuple[Problem, ...]
    notes: tuple[Note, ...] = ()


def inspect(path: Path) -> Inspection:
    """What is in a file. Raises Invalid for a kind that is not looked at, OSError when unreadable."""
    kind = path.suffix.casefold()
    if kind not in KINDS:
        remedy = "Rename it by what it is."
        raise Invalid("file", f"a file that ends in {or_list(sorted(KINDS), 20)}", path.name, remedy=remedy)
    return KINDS[kind](path)


def _captions(path: Path) -> Inspection:
    if path.suffix.casefold() == ".vtt" and "chapter" in path.name.casefold():
        return _chapters(path)
    read = read_captions(path.read_bytes(), path.name)
    if "description" in path.name.casefold():
        audible = tuple(each for each in read.problems if each.what not in ON_SCREEN)
        return Inspection(what=f"{len(read.captions)} descriptions", problems=audible, notes=read.notes)
    speakers = sorted({speaker for each in read.captions for speaker in each.speakers if speaker})
    by = f" of {', '.join(speakers[:MOST_NAMES])}{' and others' if len(speakers) > MOST_NAMES else ''}"
    what = f"{len(read.captions)} captions{by if speakers else ''}"
    return Inspection(what=what, problems=read.problems, notes=read.notes)


def write_again(path: Path, into: Path) -> None:
    """Captions as they were read, with what was put right, into WebVTT with speakers and notes, or into SubRip.

    Raises Invalid for files of another kind or without captions, OSError when one can't be read or written.
    """
    for each in (path, into):
        require(each.suffix.casefold() in CAPTIONS, "file", f"one that ends in {or_list(CAPTIONS)}", each.name)
    read = read_captions(path.read_bytes(), path.name)
    require(bool(read.captions), "file", "captions", f"none in {path.name}")
    as_vtt = into.suffix.casefold() == ".vtt"
    replace_text(into, vtt(read.captions, read.notes) if as_vtt else srt(read.captions))


def _chapters(path: Path) -> Inspection:
    text = path.read_bytes().decode("utf-8-sig", errors="replace")
    return Inspection(what="chapters", problems=check_chapters(text, None))


def _calendar(path: Path) -> Inspection:
    return Inspection(what="a calendar", problems=check_calendar(path.read_bytes()))


def _sound(path: Path) -> Inspection:
    from everyrung.publish.audio.files import read_audio
    from everyrung.publish.audio.loudness import CEILING_DBTP, normalise

    samples, rate_hz = read_audio(path)
    _, loudness = normalise(samples, rate_hz)
    lufs, peak_dbtp = loudness.integrated_lufs - loudness.gain_db, loudness.true_peak_dbtp - loudness.gain_db
    what = f"sound of {len(samples) / rate_hz / 60:.1f} min at {lufs:.1f} LUFS, true peak {peak_dbtp:.1f} dBTP"
    problems = []
    if not QUIETEST_LUFS <= lufs <= LOUDEST_LUFS:
        expected = f"{QUIETEST_LUFS:g} to {LOUDEST_LUFS:g} LUFS"
        problems.append(
            _wrong("loudness", expected, f"{lufs:.1f} LUFS", "Set its level again; EBU R 128 asks for -23.")
        )
    if peak_dbtp > CEILING_DBTP:
        expected = f"at most {CEILING_DBTP:g} dBTP"
        problems.append(_wrong("true peak", expected, f"{peak_dbtp:.1f} dBTP", "Turn it down, or limit its peaks."))
    return Inspection(what=what, problems=tuple(problems))


def _wrong(what: str, expected: str, got: str, remedy: str) -> Problem:
    return Problem(line=0, what=what, expected=expected, got=got, put_right=False, remedy=remedy)


KINDS: dict[str, Callable[[Path], Inspection]] = {
    ".vtt": _captions, ".srt": _captions, ".txt": _chapters, ".ics": _calendar,
    ".flac": _sound, ".wav": _sound, ".opus": _sound, ".mp3": _sound, ".m4a": _sound, ".ogg": _sound,
}  # fmt: skip
