"""Sound as files: FLAC for editing, Ogg Opus and MP3 for listening. The same samples give the same bytes.

Beeps found again in sound: reading audio files, and where the sounds in them start.
"""

from collections.abc import Iterator
from io import BytesIO
from itertools import chain
from pathlib import Path
from typing import Any

import av
import numpy as np
from av.container import InputContainer
from numpy.typing import NDArray

from everyrung.publish.audio.encode import Coding, encode
from everyrung.publish.audio.silence import QUIET_SAMPLES, sounding
from everyrung.store.files import replace_bytes
from everyrung.terms.errors import Invalid, require

OPUS_RATE_HZ = 48_000  # RFC 7845: Ogg Opus is played at 48 kHz
OPUS_BIT_S = 48_000  # chosen, because beeps and a voice in one channel are clean at it and half an hour stays small
MP3_RATES_HZ = (32_000, 44_100, 48_000)  # ISO/IEC 11172-3 (MPEG-1 layer III)
MP3_BIT_S = 64_000  # chosen, because it is the usual rate for speech in one channel; onsets are as sharp as at 128
# Measured on the demo's voice: complexity 5 of 10 takes a quarter of the time and comes nearer to the samples (23 dB
# where 20 were), MP3's quality 7 of 9, which is the quickest, two thirds (32 dB where 25 were).
OPUS = Coding(codec="libopus", form="ogg", bit_s=OPUS_BIT_S, options={"compression_level": "5"})
MP3 = Coding(codec="libmp3lame", form="mp3", bit_s=MP3_BIT_S, options={"compression_level": "7"})
MP3_SCALE = 0.95  # LAME 3.100 takes what it encodes down to this, at every rate tried (measured: -0.445 dB)
BLOCK_SAMPLES = 48_000  # chosen, because a second at a time keeps the encoder's copies small
FULL_SCALE = 32_767  # 16 bits


def write_flac(path: Path, samples: NDArray[np.float32], sample_rate_hz: int) -> None:
    """FLAC (RFC 9639), one channel of 16 bits, lossless: half an hour of beeps takes some MB where plain PCM takes 170.

    Rounded without dither: silence stays silence, and beeps lie far above the steps. Raises Invalid for samples beyond
    full scale.
    """
    _check(samples)
    replace_bytes(path, _flac(pcm16(samples), sample_rate_hz))


def pcm16(samples: NDArray[np.float32]) -> NDArray[np.int16]:
    """Samples as 16 bits, as any lossless file of ours holds them."""
    result = np.zeros(len(samples), np.int16)
    for part in sounding(samples, QUIET_SAMPLES):
        result[part] = np.rint(samples[part] * FULL_SCALE)
    return result


def write_opus(path: Path, samples: NDArray[np.float32], sample_rate_hz: int) -> None:
    """Ogg Opus, one channel, 48 kbit/s; the encoder's delay is written as pre-skip, so that no beep moves.

    Raises Invalid for another rate than 48 kHz or samples beyond full scale.
    """
    require(sample_rate_hz == OPUS_RATE_HZ, "sample_rate_hz", f"{OPUS_RATE_HZ} Hz", sample_rate_hz)
    _check(samples)
    replace_bytes(path, encode(samples, sample_rate_hz, OPUS))


def write_mp3(path: Path, samples: NDArray[np.float32], sample_rate_hz: int) -> None:
    """MP3, one channel, 64 kbit/s; the encoder's delay is written in the Xing/LAME header, which players take off.

    As loud as the samples while they peak below -0.45 dBFS; up to 0.45 dB quieter above. A player that ignores the
    header plays everything 23 ms late.
    Raises Invalid when this machine's PyAV has no MP3 encoder, for a rate MP3 lacks, or samples beyond full scale.
    """
    require(sample_rate_hz in MP3_RATES_HZ, "sample_rate_hz", "32, 44.1 or 48 kHz", sample_rate_hz)
    if not mp3_possible():
        raise Invalid("mp3", "a PyAV with the encoder libmp3lame", "none", remedy="Write FLAC or Opus instead.")
    lift = min(1 / MP3_SCALE, 1 / max(_check(samples), MP3_SCALE))  # no further than full scale, where it clips
    replace_bytes(path, encode(samples, sample_rate_hz, MP3, lift))


def mp3_possible() -> bool:
    """Whether this machine's PyAV can write MP3."""
    return "libmp3lame" in av.codecs_available


def _flac(samples: NDArray[np.int16], sample_rate_hz: int) -> bytes:
    """Its frames are numbered, so that none stands for another; silence costs it little anyway."""
    buffer = BytesIO()
    with av.open(buffer, "w", format="flac", options={"fflags": "+bitexact"}) as container:
        stream = container.add_stream("flac", rate=sample_rate_hz, layout="mono")
        stream.codec_context.format = av.AudioFormat("s16")
        for at in range(0, len(samples), BLOCK_SAMPLES):
            block: Any = np.ascontiguousarray(samples[np.newaxis, at : at + BLOCK_SAMPLES])
            frame = av.AudioFrame.from_ndarray(block, format="s16", layout="mono")
            frame.sample_rate, frame.pts = sample_rate_hz, at
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    return buffer.getvalue()


def _check(samples: NDArray[np.float32]) -> float:
    """The samples' peak. Raises Invalid when there are none, or some beyond full scale."""
    require(samples.ndim == 1 and len(samples) > 0, "samples", "one channel of sound", samples.shape)
    peak = float(max(samples.max(), -samples.min()))
    require(peak <= 1.0, "samples", "peaks within full scale", f"{peak:.3f} of full scale")
    return peak


LONGEST_S = 7_200  # chosen, because led sessions are shorter and two hours of samples still fit in memory
HIGHEST_RATE_HZ = 48_000  # chosen, because nothing of ours sounds above its half, and more only takes memory
FRAME_MS = 1  # chosen, because it is the accuracy that a beep is looked for with
SOUND_RATIO = 0.03  # of the track's peak (-30 dB); chosen, because it lies between the softest beep and a codec's noise
ONSET_RATIO = 0.2  # of the sound's own peak; chosen, because what a codec smears ahead of an onset stays below
PEAK_MS = 20  # chosen, because every beep has reached its height by then
SILENCE_MS = 15  # chosen, because beeps are further apart, and a sine's dips and a codec's ringing are shorter


def onsets(samples: NDArray[np.float32], sample_rate_hz: int) -> tuple[float, ...]:
    """Where sounds start, in ms: each rise out of at least 15 ms of near silence, at a fifth of the sound's height.

    On tracks of ours a beep is found less than 1 ms late; in speech or music these are starts of words or notes.
    """
    frame = max(1, round(FRAME_MS * sample_rate_hz / 1_000))
    whole = samples[: len(samples) // frame * frame].reshape(-1, frame)
    levels = np.maximum(whole.max(axis=1, initial=0.0), -whole.min(axis=1, initial=0.0))
    loud = np.flatnonzero((levels >= SOUND_RATIO * levels.max(initial=0.0)) & (levels > 0))
    starts = loud[np.diff(loud, prepend=-SILENCE_MS - 1) > SILENCE_MS]
    return tuple(_onset_ms(samples, int(start) * frame, sample_rate_hz) for start in starts)


def _onset_ms(samples: NDArray[np.float32], start: int, sample_rate_hz: int) -> float:
    heights = np.abs(samples[start : start + PEAK_MS * sample_rate_hz // 1_000])
    first = int(np.argmax(heights >= ONSET_RATIO * heights.max()))
    return (start + first) * 1_000 / sample_rate_hz


def read_audio(path: Path) -> tuple[NDArray[np.float32], int]:
    """One channel (the mean of a file's) and its sample rate in Hz, at most 48 kHz: WAV, Opus, MP3, M4A.

    A decoder's delay is taken off where the file tells it; a file that breaks off is read as far as it goes. Raises
    Invalid with words for a file that is not there, has no sound, cannot be decoded or is longer than two hours.
    """
    try:
        with av.open(str(path)) as container:
            if not container.streams.audio:
                raise Invalid("audio", "a file with sound in it", path.name)
            if container.streams.audio[0].codec_context is None:
                raise Invalid("audio", "sound that can be decoded", path.name, remedy="Save it as WAV and try again.")
            rate_hz = min(container.streams.audio[0].rate, HIGHEST_RATE_HZ)
            parts = list(_decode(container, rate_hz))
    except Invalid:
        raise  # a ValueError too
    except (av.FFmpegError, OSError, ValueError) as problem:  # ValueError: channels or rate change on the way
        raise Invalid("audio", "a readable WAV, Opus, MP3 or M4A file", path.name, remedy=_words(problem)) from None
    if not parts:
        raise Invalid("audio", "a file with sound in it", path.name)
    return np.concatenate(parts), rate_hz


def _decode(container: InputContainer, rate_hz: int) -> Iterator[NDArray[np.float32]]:
    resampler = av.AudioResampler(format="fltp", rate=rate_hz)
    count = 0
    for piece in chain(container.decode(audio=0), (None,)):  # None: what the resampler still holds
        for frame in resampler.resample(piece):
            count += frame.samples
            if count > LONGEST_S * rate_hz:
                raise Invalid("audio", f"at most {LONGEST_S // 60} minutes", "more")
            # Not the resampler's own mixing: in floating point it adds the channels and so lifts their level.
            yield frame.to_ndarray().mean(axis=0, dtype=np.float32)


def _words(problem: Exception) -> str:
    return f"The decoder says: {getattr(problem, 'strerror', None) or problem}."
