"""Sound as packets of an encoder: silence is encoded once and repeated, the rest in parts beside one another."""

from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from fractions import Fraction
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
MOST = 64  # frames given to an encoder at a time; chosen, because more save no time, and these hold some 0.2 MB
PARTS = 4  # chosen, and the same on every machine, so that the same samples give the same bytes
Samples = NDArray[np.float32]
Packet: TypeAlias = "av.Packet[Any]"
Entry: TypeAlias = tuple["av.Packet[Any]", int, int]  # a packet, when it is heard and how long it lasts, samples


@dataclass(frozen=True, slots=True, kw_only=True)
class Coding:
    """An encoder of PyAV, the form of its file, bits per second, and its own options."""

    codec: str
    form: str
    bit_s: int
    options: dict[str, str]


def encode(samples: Samples, sample_rate_hz: int, coding: Coding, louder: float = 1.0) -> bytes:
    """A file of one channel, its samples so many times as large."""
    buffer = BytesIO()
    # bitexact: no random serial number and no version of the encoder in the file
    with av.open(buffer, "w", format=coding.form, options={"fflags": "+bitexact"}) as container:
        stream = container.add_stream(coding.codec, rate=sample_rate_hz, layout="mono", options=coding.options)
        assert isinstance(stream, av.AudioStream)
        stream.bit_rate = coding.bit_s
        stream.codec_context.open()  # its header says what the encoders of the parts do, which are set like it
        size, time_base = stream.codec_context.frame_size, Fraction(1, sample_rate_hz)
        silent = silent_blocks(samples, size)
        cuts = [0, *_cuts(silent), len(silent)]
        with ThreadPoolExecutor(cpu_count() or 1) as pool:  # encoders leave Python to others while they work
            parts = [
                pool.submit(_part, samples, silent, range(first, after), _encoder(stream.codec_context, coding), louder)
                for first, after in pairwise(cuts)
            ]
            for part in parts:
                for packet, pts, duration in part.result():
                    packet.stream, packet.time_base = stream, time_base
                    packet.pts = packet.dts = pts
                    packet.duration = duration
                    container.mux(packet)
    return buffer.getvalue()


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
    sound_frames = np.cumsum(~silent)
    parts = 0
    for first, after in sounding_runs(~silent):
        enough = sound_frames[first] * PARTS >= sound_frames[-1] * (parts + 1)
        if enough and first and after < len(silent) and after - first >= 2 * SETTLED:
            parts = int(sound_frames[first] * PARTS // sound_frames[-1])
            yield (first + after) // 2


def _part(
    samples: Samples, silent: NDArray[np.bool_], frames: range, encoder: AudioCodecContext, louder: float
) -> list[Entry]:
    """The packets of some frames. A part starts and ends in silence, so that its decoder needs nothing from before; the
    last one has what the encoder still held. A sound between silences that came before, sample for sample, is not
    encoded again: most of a session's beeps are such.
    """
    entries: list[Entry] = []
    size, times = encoder.frame_size, np.float32(louder)
    sounds = np.append(np.flatnonzero(~silent[: frames.stop]), frames.stop)  # frames that sound, and the end
    is_settled = _after_silence(silent[: frames.stop], frames.start)
    memory = _Memory(silent, size)
    at, shift = frames.start, frames.start
    while at < frames.stop:
        next_sound = int(sounds[np.searchsorted(sounds, at)])
        until = next_sound - AWAKE
        if is_settled[at - frames.start] and _all_same(entries):
            memory.rests(entries, at)
            if until > at:
                packet, pts, duration = entries[-1]
                entries += [(packet, pts + (number + 1) * size, duration) for number in range(until - at)]
                shift += until - at
                at = until
            if until == at and next_sound < frames.stop:
                end = next_sound + 1 + int(np.argmax(np.append(is_settled[next_sound + 1 - frames.start :], True)))
                if again := memory.begins(samples[at * size : end * size], entries, at, frames.stop):
                    entries += again
                    shift += len(again)
                    at += len(again)
                    continue
        after = at + 1 + int(np.argmax(np.append(is_settled[at + 1 - frames.start :][:MOST], True)))
        block = times * samples[at * size : after * size]
        entries += [_entry(each, shift * size) for each in encoder.encode(_frame(block, encoder, at - shift))]
        at = after
    entries += [_entry(each, shift * size) for each in encoder.encode(None)]
    return entries if frames.stop == len(silent) else entries[: len(frames)]


class _Memory:
    """Sounds of a part that were encoded out of silence into silence, by their samples."""

    def __init__(self, silent: NDArray[np.bool_], size: int) -> None:
        self._silent, self._size = silent, size
        self._by_samples: dict[bytes, list[Entry]] = {}
        self._now: tuple[bytes, int, int, int] | None = None  # its samples, first frame, the one after, packets before

    def begins(self, sound: Samples, entries: list[Entry], at: int, stop: int) -> list[Entry]:
        """The packets of a sound that begins at a frame, with those until it is silence alone again; none where it was
        not heard yet, or another sound comes before that.
        """
        frames = len(sound) // self._size
        if frames > MOST:
            return []
        key = sound.tobytes()
        entries_before = self._by_samples.get(key, [])
        after = at + len(entries_before)
        if entries_before and after <= stop and self._silent[at + frames : after].all():
            return [(packet, later + at * self._size, duration) for packet, later, duration in entries_before]
        self._now = (key, at, at + frames, len(entries))
        return []

    def rests(self, entries: list[Entry], at: int) -> None:
        """At a frame all packets are silence again: the sound before is kept from now on."""
        if self._now is None or at < self._now[2]:
            return
        key, first, after, before = self._now
        if self._silent[after:at].all() and len(entries) - before == at - first:
            own = entries[before:]
            self._by_samples[key] = [(packet, pts - first * self._size, duration) for packet, pts, duration in own]
        self._now = None


def _after_silence(silent: NDArray[np.bool_], first: int) -> NDArray[np.bool_]:
    """Before which frames (frame, from the first of a part on) it has been silent for long enough."""
    counts = np.cumsum(np.append(False, silent[first:]))
    result = np.zeros(len(counts) - 1, dtype=bool)
    result[SETTLED:] = counts[SETTLED:-1] - counts[: -SETTLED - 1] == SETTLED
    return result


def _frame(block: Samples, encoder: AudioCodecContext, number: int) -> av.AudioFrame:
    planes: Any = block[np.newaxis]
    frame = av.AudioFrame.from_ndarray(planes, format="fltp", layout="mono")
    frame.sample_rate, frame.pts = encoder.sample_rate, number * encoder.frame_size
    return frame


def _all_same(packets: Sequence[Entry]) -> bool:
    return len(packets) >= SAME and len({bytes(packet) for packet, _, _ in packets[-SAME:]}) == 1


def _entry(packet: Packet, later: int) -> Entry:
    assert packet.pts is not None
    assert packet.duration is not None
    return packet, packet.pts + later, packet.duration
