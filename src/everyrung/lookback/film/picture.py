"""A recording's picture: its size, rate and length, and single stills of it. The file is read where it lies."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from numpy.typing import NDArray

from everyrung.terms.errors import Invalid

Rgb = NDArray[np.uint8]  # (row, column, 3)
# Frames a second that editors have sequences of; SMPTE ST 2036 and EBU R 3 name them.
RATES = tuple(Fraction(*each) for each in ((24000, 1001), (24, 1), (25, 1), (30000, 1001), (30, 1), (50, 1), (60, 1)))
SOUND_ONLY = (1920, 1080, Fraction(25))  # of an overlay for a recording without a picture; chosen


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """`wide` and `high` as it is latest, px; `rate`: the usual one next to the file's mean, for a telephone's varies.

    `turn_deg`: by how much a player turns what was encoded. `has_picture`: not sound alone.
    """

    wide: int
    high: int
    rate: Fraction
    length_ms: float
    turn_deg: int
    has_picture: bool


def picture_of(path: Path) -> Picture:
    """What the file says of itself and its first picture shows. Raises Invalid for a file that can't be read."""
    with _open_film(path) as container:
        length_ms = (container.duration or 0) / 1000
        if not container.streams.video:
            wide, high, rate = SOUND_ONLY
            return Picture(wide=wide, high=high, rate=rate, length_ms=length_ms, turn_deg=0, has_picture=False)
        stream = container.streams.video[0]
        first = next(container.decode(stream), None)
        if first is None:
            raise Invalid("recording", "a film whose pictures can be read", path.name)
        wide, high = (first.width, first.height) if first.rotation % 180 == 0 else (first.height, first.width)
        mean = stream.average_rate or stream.guessed_rate or SOUND_ONLY[2]
        return Picture(
            wide=wide, high=high, rate=min(RATES, key=lambda each: abs(each - mean)), length_ms=length_ms,
            turn_deg=first.rotation, has_picture=True,
        )  # fmt: skip


def stills(path: Path, at_ms: Sequence[float], wide: int) -> Iterator[Rgb | None]:
    """The picture at each of these times, in their order, `wide` px broad; None where the file has none.

    Only what lies between a time and the whole picture before it is decoded.
    """
    with _open_film(path) as container:
        stream = container.streams.video[0]
        stream.thread_type = "AUTO"
        for each in at_ms:
            container.seek(max(0, round(each * 1000)), backward=True)
            latest = None
            for frame in container.decode(stream):
                latest = frame
                if frame.time is not None and frame.time >= each / 1000:
                    break
            yield _small(latest, wide) if latest is not None else None


def _small(frame: av.VideoFrame, wide: int) -> Rgb:
    quarter_turns = round(frame.rotation / 90) % 4
    long, short = (frame.width, frame.height) if quarter_turns % 2 == 0 else (frame.height, frame.width)
    high = max(2, round(wide * short / long / 2) * 2)
    size = (wide, high) if quarter_turns % 2 == 0 else (high, wide)
    pixels = frame.reformat(width=size[0], height=size[1], format="rgb24").to_ndarray()
    return np.rot90(pixels.astype(np.uint8, copy=False), quarter_turns)


@contextmanager
def _open_film(path: Path) -> "Iterator[av.container.InputContainer]":
    try:
        with av.open(str(path)) as container:
            yield container
    except (av.FFmpegError, OSError) as problem:
        got = f"{path.name} ({getattr(problem, 'strerror', None) or problem})"
        raise Invalid("recording", "a film that can be read", got, remedy="Save it again as MP4 or MOV.") from None
