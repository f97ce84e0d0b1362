"""Looking at files before they are published, ours or others': captions, chapters, calendars, sound."""

from collections.abc import Callable
from pathlib import Path

from everyrung.publish.calendar import check_calendar
from everyrung.publish.captions.read import read_captions
from everyrung.publish.chapters import check_chapters
from everyrung.publish.problem import Problem
from everyrung.terms.errors import Invalid, or_list

QUIETEST_LUFS, LOUDEST_LUFS = -24.0, -13.0  # EBU R 128 is -23; channels play up to about -14 (from memory)


def inspect(path: Path) -> tuple[str, tuple[Problem, ...]]:
    """What the file is, and its problems. Raises Invalid for a kind that is not looked at, OSError when unreadable."""
    kind = path.suffix.casefold()
    if kind not in KINDS:
        remedy = "Rename it by what it is."
        raise Invalid("file", f"a file that ends in {or_list(sorted(KINDS), 20)}", path.name, remedy=remedy)
    return KINDS[kind](path)


def _captions(path: Path) -> tuple[str, tuple[Problem, ...]]:
    content = path.read_bytes()
    if path.suffix.casefold() == ".vtt" and "chapter" in path.name.casefold():
        return _chapters(path)
    read = read_captions(content, path.name)
    return f"{len(read.captions)} captions", read.problems


def _chapters(path: Path) -> tuple[str, tuple[Problem, ...]]:
    text = path.read_bytes().decode("utf-8-sig", errors="replace")
    return "chapters", check_chapters(text, None)


def _calendar(path: Path) -> tuple[str, tuple[Problem, ...]]:
    return "a calendar", check_calendar(path.read_bytes())


def _sound(path: Path) -> tuple[str, tuple[Problem, ...]]:
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
    return what, tuple(problems)


def _wrong(what: str, expected: str, got: str, remedy: str) -> Problem:
    return Problem(line=0, what=what, expected=expected, got=got, put_right=False, remedy=remedy)


KINDS: dict[str, Callable[[Path], tuple[str, tuple[Problem, ...]]]] = {
    ".vtt": _captions, ".srt": _captions, ".txt": _chapters, ".ics": _calendar,
    ".flac": _sound, ".wav": _sound, ".opus": _sound, ".mp3": _sound, ".m4a": _sound, ".ogg": _sound,
}  # fmt: skip
