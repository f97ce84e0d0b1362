"""Times of caption files, written and read."""

import re

from everyrung.terms.errors import require

STAMP = r"(?:(\d{1,4}):)?(\d{1,3}):(\d{1,3})(?:[.,](\d{1,3}))?"
_STAMP = re.compile(STAMP)


def stamp(at_ms: int, point: str) -> str:
    """'00:01:11.913' with a full stop (WebVTT) or a comma (SubRip) for `point`; hours have two digits or more."""
    require(at_ms >= 0, "at_ms", "0 ms or more", at_ms)
    seconds, thousandths = divmod(at_ms, 1000)
    minutes, seconds = divmod(seconds, 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours:02d}:{minutes:02d}:{seconds:02d}{point}{thousandths:03d}"


def stamp_ms(written: str) -> int | None:
    """Milliseconds of a time whose hours may be missing; a short fraction is a decimal one (',83' is 830 ms)."""
    found = _STAMP.fullmatch(written.strip())
    if found is None:
        return None
    hours, minutes, seconds, fraction = found.groups()
    return (int(hours or 0) * 3600 + int(minutes) * 60 + int(seconds)) * 1000 + int((fraction or "0").ljust(3, "0"))
