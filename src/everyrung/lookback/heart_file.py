"""Heart-rate files as people's watches write them: FIT by fitdecode; TCX and GPX by the standard library's XML.

One walk reads both kinds of XML, for it needs a time and a rate and nothing else: gpxpy refuses a file with a point
without a place, and tcxreader would serve one kind alone.
"""

import re
import struct
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, tzinfo
from io import BytesIO
from pathlib import Path
from xml.etree import ElementTree

from everyrung.terms.errors import Invalid

LEAST_BPM, MOST_BPM = 25, 240  # outside is no heart: 0, 1 and 255 stand for a sensor without contact; from memory
MOST_BYTES = 60_000_000  # chosen, because a day of seconds with everything a watch measures is a third of it
_POINT = {"Trackpoint", "trkpt"}
_PART = {"Track", "trkseg"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One moment, UTC; `bpm` None where the sensor had no contact. `after_pause`: the watch was stopped before it."""

    at: datetime
    bpm: float | None
    after_pause: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class HeartFile:
    """Readings in order of time, each moment once, and what was wrong in the file."""

    name: str
    readings: tuple[Reading, ...]
    problems: tuple[str, ...]


def read_heart(path: Path, zone: tzinfo | None = None) -> HeartFile:
    """The readings of a file. `zone` is that of times that name none. Raises Invalid for what is no such file, and for
    times without a zone where none is given; OSError.
    """
    return heart_from_bytes(path.read_bytes(), path.name, zone)


def heart_from_bytes(content: bytes, name: str, zone: tzinfo | None = None) -> HeartFile:
    """The same of a file's content."""
    if len(content) > MOST_BYTES:
        raise Invalid("heart", f"a file of at most {MOST_BYTES // 1_000_000} MB", f"{len(content) // 1_000_000} MB")
    problems: list[str] = []
    readings = list(_fit(content, problems) if content[8:12] == b".FIT" else _xml(content, zone))
    if not any(each.bpm for each in readings):
        raise Invalid("heart", "a file with a heart rate", "none in it", remedy="Export it with the heart rate.")
    by_time = {each.at: each for each in sorted(readings, key=lambda each: (each.at, each.bpm is not None))}
    if len(by_time) < len(readings):
        problems.append(f"{len(readings) - len(by_time)} moments were in it twice")
    return HeartFile(name=name, readings=tuple(by_time.values()), problems=tuple(problems))


def _real(bpm: float | None) -> float | None:
    return bpm if bpm is not None and LEAST_BPM <= bpm <= MOST_BPM else None


def _fit(content: bytes, problems: list[str]) -> Iterator[Reading]:
    """By the size in the header, so that bytes behind its end do no harm; a wrong check sum is reported."""
    try:
        import fitdecode
    except ImportError:
        remedy = "pip install 'everyrung[heart]'"
        raise Invalid("heart", "fitdecode, which reads FIT", "not there", remedy=remedy) from None
    size = content[0] + struct.unpack("<I", content[4:8])[0] + 2
    if len(content) > size:
        problems.append(f"{len(content) - size} bytes after its end were skipped")
    if len(content) < size:
        problems.append("it breaks off: the watch's battery may have run out")
    stands = False  # since the last reading
    try:
        for frame in fitdecode.FitReader(BytesIO(content[:size]), check_crc=fitdecode.CrcCheck.READONLY):
            if isinstance(frame, fitdecode.FitCRC) and not frame.matched:
                problems.append("its checksum is wrong; what could be read is used")
            if not isinstance(frame, fitdecode.FitDataMessage):
                continue
            if frame.name == "event" and frame.get_value("event", fallback=None) == "timer":
                stands = stands or str(frame.get_value("event_type", fallback="")).startswith("stop")
            at = frame.get_value("timestamp", fallback=None)
            if frame.name == "record" and isinstance(at, datetime):
                yield Reading(at=at, bpm=_real(frame.get_value("heart_rate", fallback=None)), after_pause=stands)
                stands = False
    except (fitdecode.FitError, struct.error, ValueError) as problem:
        problems.append(f"it can't be read beyond this: {problem}")


def _xml(content: bytes, zone: tzinfo | None) -> Iterator[Reading]:
    try:
        tree = ElementTree.fromstring(content.lstrip())
    except (ElementTree.ParseError, LookupError, ValueError) as problem:
        remedy = "Export it from the watch again."
        raise Invalid("heart", "a FIT, TCX or GPX file", str(problem), remedy=remedy) from None
    for part in (each for each in tree.iter() if _name(each) in _PART):
        is_first = True
        for point in (each for each in part.iter() if _name(each) in _POINT):
            at = next((_time(each.text, zone) for each in point.iter() if _name(each).casefold() == "time"), None)
            if at is not None:
                yield Reading(at=at, bpm=_rate(point), after_pause=is_first)
                is_first = False


def _name(element: ElementTree.Element) -> str:
    """Without its namespace, which each maker writes in another way."""
    return str(element.tag).rpartition("}")[2]


def _rate(point: ElementTree.Element) -> float | None:
    """TCX has it as HeartRateBpm/Value, GPX as hr in some extension."""
    for each in point.iter():
        value = each.find("{*}Value") if _name(each) == "HeartRateBpm" else each if _name(each) == "hr" else None
        if value is not None:
            text = (value.text or "").strip()
            return _real(float(text)) if re.fullmatch(r"\d{1,3}(?:\.\d+)?", text) else None
    return None


def _time(text: str | None, zone: tzinfo | None) -> datetime | None:
    try:
        at = datetime.fromisoformat((text or "").strip())
    except ValueError:
        return None
    if at.tzinfo is None and zone is None:
        raise Invalid("zone", "times with their zone", f"{text}", remedy="Say it: --zone Europe/Helsinki.")
    return (at if at.tzinfo else at.replace(tzinfo=zone)).astimezone(UTC)
