"""The sound of a recording, read where it lies and block by block: never copied, never held whole."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import chain
from pathlib import Path

import av
import numpy as np
from numpy.typing import NDArray

from everyrung.terms.errors import Invalid

RATE_HZ = 8_000  # the highest beep is at 2.7 kHz; half of this lies above the filters beside it
GAP_S = 0.1  # chosen, because what a codec adds at a join is shorter, and a lost stretch longer
LONGEST_S = 6 * 3600  # chosen, because no session is as long

Samples = NDArray[np.float32]


@dataclass(slots=True)
class Sound:
    """The sound of one file, one channel at RATE_HZ from the file's own time 0: what is missing is silence.

    `gaps_s` are the stretches without sound, from and to, once `blocks` was read.
    """

    path: Path
    gaps_s: list[tuple[float, float]] = field(default_factory=list)

    def blocks(self) -> Iterator[Samples]:
        """The samples in order, some hundred at a time. Raises Invalid with words for a file that has none."""
        remedy = "Save it again as MP4, MOV, WAV or MP3."
        try:
            with av.open(str(self.path)) as container:
                if not container.streams.audio:
                    raise Invalid("recording", "a file with sound in it", self.path.name)
                for stream in container.streams:
                    if stream.type != "audio":
                        stream.discard = av.stream.Discard.all  # pictures are not looked at, nor read where that can be
                stream = container.streams.audio[0]
                resampler = av.AudioResampler(format="flt", layout="mono", rate=RATE_HZ)
                yield from self._read(container.decode(stream), resampler)
        except Invalid:
            raise
        except (av.FFmpegError, OSError, ValueError) as problem:
            got = f"{self.path.name} ({getattr(problem, 'strerror', None) or problem})"
            raise Invalid("recording", "a film or sound file that can be read", got, remedy=remedy) from None

    def _read(self, frames: "Iterator[av.AudioFrame]", resampler: "av.AudioResampler") -> Iterator[Samples]:
        """Times are the frames' own, never a count of them: a telephone may leave out what it could not write."""
        count = 0
        for frame in chain(frames, (None,)):  # None: what the resampler still holds
            if frame is not None and frame.time is not None and frame.time - count / RATE_HZ > GAP_S:
                self.gaps_s.append((count / RATE_HZ, frame.time))
                missing = round(frame.time * RATE_HZ) - count
                count += missing
                yield from (np.zeros(len(part), np.float32) for part in _parts(missing))
            for piece in resampler.resample(frame):
                samples = piece.to_ndarray()[0].astype(np.float32)
                count += len(samples)
                yield samples
            if count > LONGEST_S * RATE_HZ:
                raise Invalid("recording", f"at most {LONGEST_S // 3600} hours", "more")


def _parts(count: int) -> Iterator[range]:
    return (range(at, min(at + RATE_HZ, count)) for at in range(0, count, RATE_HZ))


def length_s(path: Path) -> int:
    """How long a recording is, for a bar; 0 where it does not say. Reading it says in words what is wrong."""
    try:
        with av.open(str(path)) as container:
            return int((container.duration or 0) / av.time_base)
    except (av.FFmpegError, OSError, ValueError):
        return 0
