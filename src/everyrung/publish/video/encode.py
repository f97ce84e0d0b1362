"""Frames and sound into an MP4: H.264 and AAC."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from av.container import OutputContainer
from numpy.typing import NDArray

from everyrung.publish.chapters import Chapter
from everyrung.publish.video.ink import Grey
from everyrung.publish.video.layout import HIGH, WIDE
from everyrung.terms.fault import require

FRAMES_S = 25  # chosen, because 40 ms a frame are whole ms and motion at the tempo of strength work is smooth in it
OPTIONS = {
    "preset": "veryfast",  # chosen, because its file is half that of the next faster one (measured)
    "crf": "23",  # chosen by eye: no blocks round the ink
    "g": str(FRAMES_S * 5),  # chosen, because a player then finds any place within five seconds' decoding
}
AUDIO_BIT_S = 96_000  # chosen, because beeps and a voice in one channel are clean at it
BT_709, VIDEO_RANGE = 1, 1  # ITU-T H.273: primaries, transfer and matrix; and 16 to 235


class Encoder:
    """Takes pictures and sound in order of time. A picture that did not change is told, and costs little."""

    def __init__(self, container: OutputContainer, sample_rate_hz: int | None) -> None:
        self._container = container
        self._video = container.add_stream("libx264", rate=FRAMES_S, options=OPTIONS)
        self._video.width, self._video.height, self._video.pix_fmt = WIDE, HIGH, "yuv420p"
        context = self._video.codec_context
        context.time_base = Fraction(1, FRAMES_S)
        context.color_primaries = context.color_trc = context.colorspace = BT_709
        context.color_range = VIDEO_RANGE
        self._audio = container.add_stream("aac", rate=sample_rate_hz, layout="mono") if sample_rate_hz else None
        if self._audio is not None:
            self._audio.bit_rate = AUDIO_BIT_S
        self._frame: av.VideoFrame | None = None
        self.frames = self._samples = 0

    def picture(self, planes: Grey, *, changed: bool) -> None:
        """The next frame: rows of luma, blue and red as in compose.Canvas."""
        if changed or self._frame is None:
            self._frame = av.VideoFrame.from_ndarray(planes, format="yuv420p")
        self._frame.pts, self._frame.time_base = self.frames, Fraction(1, FRAMES_S)
        self._container.mux(self._video.encode(self._frame))
        self.frames += 1

    def sound(self, samples: NDArray[np.float32]) -> None:
        """The next samples of the one channel."""
        if self._audio is None or not len(samples):
            return
        block = np.ascontiguousarray(samples[np.newaxis], dtype=np.float32)
        frame = av.AudioFrame.from_ndarray(block, format="fltp", layout="mono")
        frame.sample_rate, frame.pts = self._audio.rate, self._samples
        frame.time_base = Fraction(1, self._audio.rate)
        self._container.mux(self._audio.encode(frame))
        self._samples += len(samples)

    def finish(self) -> None:
        self._container.mux(self._video.encode(None))
        if self._audio is not None:
            self._container.mux(self._audio.encode(None))


def video_possible() -> bool:
    """Whether this machine's PyAV can write H.264 and AAC."""
    return {"libx264", "aac"} <= av.codecs_available


@contextmanager
def encoder(path: Path, sample_rate_hz: int | None, chapters: Sequence[Chapter] = ()) -> Iterator[Encoder]:
    """An encoder into the file at `path`; its index comes first, so that it plays while it is loaded.

    Raises Invalid when this machine's PyAV lacks an encoder.
    """
    require(video_possible(), "video", "a PyAV with the encoders libx264 and aac", "none")
    # bitexact: no version of the encoder in the file
    options = {"fflags": "+bitexact", "movflags": "+faststart"}
    with av.open(str(path), "w", format="mp4", options=options) as container:
        made = Encoder(container, sample_rate_hz)
        container.set_chapters(
            [
                {"id": number, "start": each.at_ms, "end": each.end_ms, "time_base": Fraction(1, 1_000),
                 "metadata": {"title": each.title}}
                for number, each in enumerate(chapters)
            ]
        )  # fmt: skip
        yield made
        made.finish()
