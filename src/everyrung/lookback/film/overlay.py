"""The overlay: a film with transparency of count, side, versions and what comes next, at the recording's own times."""

from collections.abc import Callable, Iterator
from enum import StrEnum
from itertools import pairwise
from pathlib import Path
from typing import Any

import av
import numpy as np

from everyrung.lookback.film.material import Material
from everyrung.lookback.film.plates import PlateSprites, Rgba, every_plate, places, plates, scale_of
from everyrung.publish.video.scenes import Scene, scenes
from everyrung.store.files import replacement
from everyrung.terms.errors import Invalid, require

Progress = Callable[[int, int], None]


class Codec(StrEnum):
    """How the overlay is encoded, both in MOV: exact and small, or as most editors take it, twenty times as large."""

    ANIMATION = "animation"
    PRORES = "prores"


# Encoder, pixels and options; prores profile 4 is 4444, the least that has transparency.
ENCODERS: dict[Codec, tuple[str, str, dict[str, str]]] = {
    Codec.ANIMATION: ("qtrle", "argb", {"g": "100"}),
    Codec.PRORES: ("prores_ks", "yuva444p10le", {"profile": "4", "vendor": "apl0", "alpha_bits": "16"}),
}


def scenes_at(film: Material) -> list[tuple[int, int, Scene]]:
    """From frame to frame of the recording's rate, each scene where its moment really was, in order of time."""
    result = []
    for passage in film.passages:
        variant = film.variants[passage.way]
        for scene in scenes(variant.session, variant.timeline):
            low, high = max(scene.at_ms, passage.plan_ms), min(scene.end_ms, passage.plan_end_ms)
            if low < high:
                first, end = (_frame(film, passage.at(each)) for each in (low, high))
                if first < end:
                    result.append((max(0, first), end, scene))
    return result


def _frame(film: Material, at_ms: float) -> int:
    return round(at_ms * film.picture.rate / 1000)


def write_overlay(
    film: Material, path: Path, codec: Codec, progress: Progress = lambda _count, _total: None
) -> tuple[int, int]:
    """As long as the recording and of its size and rate; frames, and how many of them differ from the one before.

    What stands still is encoded once. Raises Invalid where no beeps gave the times, or the encoder is not there.
    """
    require(bool(film.passages), "overlay", "a recording in which the beeps gave the clock", "none")
    name, pixels, options = ENCODERS[codec]
    require(name in av.codecs_available, "overlay", f"a PyAV with the encoder {name}", "none")
    moments = scenes_at(film)
    total = max(1, _frame(film, film.picture.length_ms), moments[-1][1] if moments else 0)
    with replacement(path) as part, av.open(str(part), "w", format="mov", options={"fflags": "+bitexact"}) as container:
        encoder = _StillEncoder(container, film, (name, pixels, options))
        count = 0
        for rgba, frames in _pictures(film, moments, total):
            encoder.picture(rgba, frames)
            count += 1
            progress(encoder.number, total)
        encoder.finish()
    return total, count


def _pictures(film: Material, moments: list[tuple[int, int, Scene]], total: int) -> Iterator[tuple[Rgba, int]]:
    """Each picture, and for how many frames it stands; the array is boxes anew for the next one."""
    wide, high = film.picture.wide, film.picture.high
    scale = scale_of(wide, high)
    sprites = PlateSprites(scale)
    sprites.make(every_plate([scene for _, _, scene in moments]))
    canvas = np.zeros((high, wide, 4), np.uint8)
    boxes: list[tuple[slice, slice]] = []
    edges = sorted({0, total, *(first for first, _, _ in moments), *(end for _, end, _ in moments)})
    at = 0
    for first, end in pairwise(edges):
        while at < len(moments) and moments[at][1] <= first:
            at += 1
        scene = moments[at][2] if at < len(moments) and moments[at][0] <= first else None
        for box in boxes:
            canvas[box] = 0
        boxes = []
        for plate, x, y in _plates_of(scene, sprites, wide, high, scale):
            box = (slice(y, y + plate.shape[0]), slice(x, x + plate.shape[1]))
            canvas[box] = plate
            boxes.append(box)
        yield canvas, end - first


def _plates_of(
    scene: Scene | None, sprites: PlateSprites, wide: int, high: int, scale: float
) -> Iterator[tuple[Rgba, int, int]]:
    if scene is not None:
        yield from places({corner: sprites.of(each) for corner, each in plates(scene).items()}, wide, high, scale)


class _StillEncoder:
    """Encodes a picture once, and then says as often as it stands that nothing changed."""

    def __init__(
        self, container: "av.container.OutputContainer", film: Material, encoder: tuple[str, str, Any]
    ) -> None:
        name, self._pixels, options = encoder
        self._container = container
        rate = film.picture.rate
        stream: Any = container.add_stream(name, rate=rate, options=options)
        self._stream = stream
        self._stream.width, self._stream.height = film.picture.wide, film.picture.high
        self._stream.pix_fmt = self._pixels
        self._stream.codec_context.time_base = 1 / rate
        self._stream.codec_context.thread_count = 1  # a picture in, its packet out
        self.number = 0
        self._is_whole = name != "qtrle"  # each packet a picture of its own

    def picture(self, rgba: Rgba, frames: int) -> None:
        """What is seen for the next `frames` frames."""
        packet = self._encode(rgba)
        still = packet if self._is_whole or frames == 1 else self._encode(rgba)
        for _ in range(frames - (1 if self._is_whole or frames == 1 else 2)):
            self._mux(bytes(still), is_key=still.is_keyframe)

    def _encode(self, rgba: Rgba) -> Any:
        frame = av.VideoFrame.from_ndarray(rgba, format="rgba").reformat(format=self._pixels)
        frame.pts, frame.time_base = self.number, self._stream.codec_context.time_base
        packets = self._stream.encode(frame)
        if len(packets) != 1:
            raise Invalid("overlay", "an encoder that gives a packet for each picture", len(packets))
        self._mux(bytes(packets[0]), is_key=packets[0].is_keyframe)
        return packets[0]

    def _mux(self, data: bytes, *, is_key: bool) -> None:
        packet = av.Packet(data)
        packet.stream, packet.time_base = self._stream, self._stream.codec_context.time_base
        packet.pts = packet.dts = self.number
        packet.duration, packet.is_keyframe = 1, is_key
        self._container.mux(packet)
        self.number += 1

    def finish(self) -> None:
        for packet in self._stream.encode(None):
            self._container.mux(packet)
