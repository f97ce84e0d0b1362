"""Sound as packets of an encoder: silence is encoded once and repeated, the rest in parts beside one another."""

from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from io import BytesIO
from itertools import pairwise
from os import cpu_count
from typing import Any, TypeAlias

import av
import numpy as np
from av.audio.codeccontext import AudioCodecContext
from numpy.typing import NDArray

from everyrung.publish.audio.silence import silent_blocks, sounding_runs

# In frames: so long is silent and the same before it is repeated, and so long before a sound the encoder is woken.
# Chosen, because an MP3 frame may lean on 511 bytes before it, not quite three frames of ours (ISO/IEC 11172-3), and
# what an Opus decoder remembers is gone after 80 ms, four frames (RFC 7845, 4.6).
SETTLED, SAME, AWAKE = 8, 4, 4
PARTS = 4  # chosen, and the same on every machine, so that the same samples give the same bytes
Samples = NDArray[np.float32]
Packet: TypeAlias = "av.Packet[Any]"


@dataclass(frozen=True, slots=True, kw_only=True)
class Coding:
    """An encoder of PyAV, the form of its file, bits per second, and its own options."""

    codec: str
    form: str
    bit_s: int
    options: dict[str, str]


def encode(samples: Samples, sample_rate_hz: int, coding: Coding) -> bytes:
    """A file of one channel."""
    made = BytesIO()
    # bitexact: no random serial number and no version of the encoder in the file
    with av.open(made, "w", format=coding.form, options={"fflags": "+bitexact"}) as container:
        stream = container.add_stream(coding.codec, rate=sample_rate_hz, layout="mono", options=coding.options)
        assert isinstance(stream, av.AudioStream)
        stream.bit_rate = coding.bit_s
        stream.codec_context.open()  # its header says what the encoders of the parts do, which are set like it
        size = stream.codec_context.frame_size
        silent = silent_blocks(samples, size)
        cuts = [0, *_cuts(silent), len(silent)]
        with ThreadPoolExecutor(cpu_count() or 1) as pool:  # encoders leave Python to others while they work
            parts = [
                pool.submit(_part, samples, silent, range(first, after), _encoder(stream.codec_context, coding))
                for first, after in pairwise(cuts)
            ]
            for part in parts:
                for packet in part.result():
                    packet.stream = stream
                    container.mux(packet)
    return made.getvalue()


def _encoder(like: AudioCodecContext, coding: Coding) -> AudioCodecContext:
    """Another one of the same settings."""
    result = av.CodecContext.create(coding.codec, "w")
    assert isinstance(result, AudioCodecContext)
    result.sample_rate, result.layout, result.format = like.sample_rate, like.layout, like.format
    result.bit_rate, result.options = coding.bit_s, coding.options
    result.open()
    return result


def _cuts(silent: NDArray[np.bool_]) -> Iterator[int]:
    """Frames in the middle of silences that part the sound about evenly."""
    heard = np.cumsum(~silent)
    done = 0
    for first, after in sounding_runs(~silent):
        enough = heard[first] * PARTS >= heard[-1] * (done + 1)
        if enough and first and after < len(silent) and after - first >= 2 * SETTLED:
            done = int(heard[first] * PARTS // heard[-1])
            yield (first + after) // 2


def _part(samples: Samples, silent: NDArray[np.bool_], frames: range, encoder: AudioCodecContext) -> list[Packet]:
    """The packets of some frames. A part starts and ends in silence, so that its decoder needs nothing from before; the
    last one has what the encoder still held.
    """
    last = frames.stop == len(silent)
    found: list[Packet] = []
    size = encoder.frame_size
    sounds = np.append(np.flatnonzero(~silent[: frames.stop]), frames.stop)  # frames that sound, and the end
    at, skipped = frames.start, frames.start
    while at < frames.stop:
        until = int(sounds[np.searchsorted(sounds, at)]) - AWAKE
        if until > at and at - frames.start >= SETTLED and silent[at - SETTLED : at].all() and _all_same(found):
            found += [_copy(found[-1], (number + 1) * size) for number in range(until - at)]
            skipped += until - at
            at = until
        block = samples[at * size : (at + 1) * size]
        found += [_later(packet, skipped * size) for packet in encoder.encode(_frame(block, encoder, at - skipped))]
        at += 1
    found += [_later(packet, skipped * size) for packet in encoder.encode(None)]
    return found if last else found[: len(frames)]


def _frame(block: Samples, encoder: AudioCodecContext, number: int) -> av.AudioFrame:
    planes: Any = np.ascontiguousarray(block[np.newaxis])
    frame = av.AudioFrame.from_ndarray(planes, format="fltp", layout="mono")
    frame.sample_rate, frame.pts = encoder.sample_rate, number * encoder.frame_size
    return frame


def _all_same(packets: Sequence[Packet]) -> bool:
    return len(packets) >= SAME and len({bytes(packet) for packet in packets[-SAME:]}) == 1


def _later(packet: Packet, samples: int) -> Packet:
    assert packet.pts is not None
    packet.pts = packet.dts = packet.pts + samples
    return packet


def _copy(packet: Packet, later: int) -> Packet:
    result: Packet = av.Packet(bytes(packet))
    result.time_base, result.duration, result.pts = packet.time_base, packet.duration, packet.pts
    return _later(result, later)
