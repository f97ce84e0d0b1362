"""Frames into pieces of H.264, and pieces and sound into one MP4."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import numpy as np
from av.container import OutputContainer
from av.video.frame import PictureType
from numpy.typing import NDArray

from everyrung.publish.captions.format import Caption
from everyrung.publish.chapters import Chapter
from everyrung.publish.video.layout import Layout
from everyrung.terms.errors import require

FRAMES_S = 25  # chosen, because 40 ms a frame are whole ms and motion at the tempo of strength work is smooth in it
KEY_FRAMES = FRAMES_S * 5  # chosen, because a player then finds any place within five seconds' decoding
OPTIONS = {
    "preset": "veryfast",  # chosen, because its file is half that of the next faster one (measured)
    "crf": "24",  # chosen by eye: no blocks round the ink; 49 dB of the pictures that were drawn (measured)
    "threads": "1",  # pieces are encoded beside one another, which is quicker than threads within one (measured)
    # Most of a picture is as it was, so one reference and a coarse search lose nothing; without pictures from both
    # sides they are encoded in the order of time. A third of the preset's own work for the same size (measured).
    "x264-params": "ref=1:subme=1:me=dia:weightp=0:bframes=0",
}
LANGUAGE = "eng"  # of what is said and read (ISO 639-2)
AUDIO_BIT_S = 96_000  # chosen, because beeps and a voice in one channel are clean at it
# What the encoder of timed text asks for before its first packet, a style of another format; players take their own.
STYLES = b"""[Script Info]
ScriptType: v4.00+

[V4+ Styles]
Format: Name, Fontname, Fontsize, PrimaryColour, Bold, Alignment
Style: Default,Sans,18,&Hffffff,0,2

[Events]
Format: Start, End, Style, Text
"""
BT_709, VIDEO_RANGE = 1, 1  # ITU-T H.273: primaries, transfer and matrix; and 16 to 235


class Encoder:
    """Takes pictures in order of time. Each lasts until the next one, so what did not change is not sent again."""

    def __init__(self, container: OutputContainer, layout: Layout) -> None:
        self._container = container
        self._video = container.add_stream("libx264", rate=FRAMES_S, options=OPTIONS)
        self._video.width, self._video.height, self._video.pix_fmt = layout.wide, layout.high, "yuv420p"
        context = self._video.codec_context
        context.time_base = Fraction(1, FRAMES_S)
        context.color_primaries = context.color_trc = context.colorspace = BT_709
        context.color_range = VIDEO_RANGE
        self._key = -1

    def picture(self, frame: av.VideoFrame, number: int) -> None:
        """What is seen from the frame of that number on. It is read before this returns, and may change then."""
        frame.pts, frame.time_base = number, Fraction(1, FRAMES_S)
        first = number // KEY_FRAMES > self._key
        self._key = number // KEY_FRAMES
        frame.pict_type = PictureType.I if first else PictureType.NONE
        self._container.mux(self._video.encode(frame))

    def finish(self) -> None:
        self._container.mux(self._video.encode(None))


def video_possible() -> bool:
    """Whether this machine's PyAV can write H.264 and AAC."""
    return {"libx264", "aac"} <= av.codecs_available


@contextmanager
def encoder(path: Path, layout: Layout) -> Iterator[Encoder]:
    """An encoder of one piece, pictures alone of the layout's size, into the file at `path`.

    Raises Invalid when this machine's PyAV lacks an encoder.
    """
    require(video_possible(), "video", "a PyAV with the encoders libx264 and aac", "none")
    # bitexact: no version of the encoder in the file
    with av.open(str(path), "w", format="mp4", options={"fflags": "+bitexact"}) as container:
        new_encoder = Encoder(container, layout)
        yield new_encoder
        new_encoder.finish()


def join(
    pieces: Sequence[tuple[Path, int]],
    into: Path,
    audio: NDArray[np.float32] | None = None,
    sample_rate_hz: int = 48_000,
    chapters: Sequence[Chapter] = (),
    captions: Sequence[Caption] = (),
) -> None:
    """Puts pieces, each with its number of frames, one after another into one MP4, as they were encoded, with one
    channel of sound (sample), and captions as a track that players switch on and off; its index comes first, so that
    it plays while it is loaded.
    """
    options = {"fflags": "+bitexact", "movflags": "+faststart"}
    with av.open(str(into), "w", format="mp4", options=options) as container:
        with av.open(str(pieces[0][0])) as first:
            video = container.add_stream_from_template(first.streams.video[0])
        sound, words = _Sound(container, audio, sample_rate_hz), _Words(container, captions)
        container.set_chapters(
            [
                {"id": number, "start": each.at_ms, "end": each.end_ms, "time_base": Fraction(1, 1_000),
                 "metadata": {"title": each.title}}
                for number, each in enumerate(chapters)
            ]
        )  # fmt: skip
        begin = 0
        for path, frames in pieces:
            for packet in _packets(path, begin):
                sound.up_to(float((packet.dts or 0) * packet.time_base))
                words.up_to(float((packet.dts or 0) * packet.time_base))
                packet.stream = video
                container.mux(packet)
            begin += frames
        sound.finish()
        words.up_to(float("inf"))


def _packets(path: Path, begin: int) -> Iterator["av.Packet[Any]"]:
    """A piece's packets, later by the frames before it."""
    with av.open(str(path)) as container:
        for packet in container.demux(video=0):
            if packet.dts is None or packet.pts is None:
                continue  # the demuxer's last word
            shift = round(begin / FRAMES_S / packet.time_base)
            packet.pts, packet.dts = packet.pts + shift, packet.dts + shift
            yield packet


class _Sound:
    """The one channel, encoded as far as the pictures have come, so that both lie side by side in the file."""

    def __init__(self, container: OutputContainer, samples: NDArray[np.float32] | None, rate_hz: int) -> None:
        self._container, self._samples, self._rate_hz, self._at = container, samples, rate_hz, 0
        self._stream = None if samples is None else container.add_stream("aac", rate=rate_hz, layout="mono")
        if self._stream is not None:
            self._stream.bit_rate = AUDIO_BIT_S
            self._stream.metadata["language"] = LANGUAGE

    def up_to(self, at_s: float) -> None:
        while self._samples is not None and self._at < min(len(self._samples), at_s * self._rate_hz):
            self._second(self._samples[self._at : self._at + self._rate_hz])

    def _second(self, samples: NDArray[np.float32]) -> None:
        assert self._stream is not None
        block = np.ascontiguousarray(samples[np.newaxis], dtype=np.float32)
        frame = av.AudioFrame.from_ndarray(block, format="fltp", layout="mono")
        frame.sample_rate, frame.pts, frame.time_base = self._rate_hz, self._at, Fraction(1, self._rate_hz)
        self._container.mux(self._stream.encode(frame))
        self._at += len(samples)

    def finish(self) -> None:
        if self._stream is not None:
            self.up_to(float("inf"))
            self._container.mux(self._stream.encode(None))


class _Words:
    """Captions as timed text (3GPP TS 26.245): each packet is its length and the words in UTF-8."""

    def __init__(self, container: OutputContainer, captions: Sequence[Caption]) -> None:
        self._container, self._captions, self._at = container, captions, 0
        self._stream = container.add_stream("mov_text") if captions else None
        if self._stream is not None:
            self._stream.codec_context.subtitle_header = STYLES
            self._stream.metadata["language"] = LANGUAGE

    def up_to(self, at_s: float) -> None:
        """Those that begin by then, so that they lie beside their pictures in the file."""
        while self._stream is not None and self._at < len(self._captions):
            each = self._captions[self._at]
            if each.at_ms > 1_000 * at_s:
                return
            words = "\n".join(each.lines).encode()
            packet = av.Packet(len(words).to_bytes(2, "big") + words)
            packet.stream, packet.time_base = self._stream, Fraction(1, 1_000)
            packet.pts = packet.dts = each.at_ms
            packet.duration = each.end_ms - each.at_ms
            self._container.mux(packet)
            self._at += 1
