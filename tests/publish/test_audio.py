"""Beeps as sound: they are where they should be in every format, and as loud as EBU R 128 asks."""

import wave
from collections.abc import Callable
from dataclasses import replace
from math import inf
from pathlib import Path
from typing import Any

import av
import numpy as np
import pyloudnorm
import pytest
from numpy.typing import NDArray

from everyrung.pipeline import run
from everyrung.publish.audio import encode
from everyrung.publish.audio.files import mp3_possible, onsets, pcm16, read_audio, write_flac, write_mp3, write_opus
from everyrung.publish.audio.loudness import CEILING_DBTP, TARGET_LUFS, integrated_lufs, normalise, true_peak
from everyrung.publish.audio.sound import TONES, Clip, render, tone_samples
from everyrung.runsheet.beeps import Beep, BeepKind, beeps
from everyrung.terms.errors import Invalid

BOATHOUSE = Path(__file__).parents[2] / "examples" / "boathouse-30.toml"
RATE_HZ = 48_000
WITHIN_MS = 5.0  # the promise; what is measured is below 1 ms
Samples = NDArray[np.float32]
WRITERS = {"flac": write_flac, "opus": write_opus, "mp3": write_mp3}
# Two moves of the warm-up, then the first stretch of the cool-down on both sides: every kind of beep is in it.
SLICES_MS = ((60_000, 160_000, 0), (1_464_000, 1_540_000, 100_000))  # low, high, moved to
TOTAL_MS = 176_000


@pytest.fixture(scope="module")
def every() -> tuple[Beep, ...]:
    return beeps(run(BOATHOUSE).timeline)


@pytest.fixture(scope="module")
def some(every: tuple[Beep, ...]) -> tuple[Beep, ...]:
    return tuple(
        replace(beep, at_ms=beep.at_ms - low + to)
        for low, high, to in SLICES_MS
        for beep in every
        if low <= beep.at_ms < high
    )


@pytest.fixture(scope="module")
def track(some: tuple[Beep, ...]) -> Samples:
    return normalise(render(some, TOTAL_MS), RATE_HZ)[0]


def sine(pitch_hz: float, seconds: float, amplitude: float = 1.0, phase: float = 0.0) -> Samples:
    at = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    return (amplitude * np.sin(2 * np.pi * pitch_hz * at + phase)).astype(np.float32)


@pytest.fixture(scope="module", params=WRITERS)
def decoded(request: pytest.FixtureRequest, track: Samples, tmp_path_factory: pytest.TempPathFactory) -> Samples:
    """The track written in one format and read again."""
    samples, rate_hz = read_audio(written(request.param, track, tmp_path_factory.mktemp("audio")))
    assert rate_hz == RATE_HZ
    return samples


def errors_ms(found: tuple[float, ...], planned: tuple[Beep, ...]) -> list[float]:
    return [at_ms - beep.at_ms for at_ms, beep in zip(found, planned, strict=True)]


def written(ending: str, samples: Samples, folder: Path) -> Path:
    if ending == "mp3" and not mp3_possible():
        pytest.skip("this PyAV has no MP3 encoder")
    path = folder / f"beeps.{ending}"
    WRITERS[ending](path, samples, RATE_HZ)
    return path


def test_every_beep_is_found_where_it_was_planned(decoded: Samples, track: Samples, some: tuple[Beep, ...]) -> None:
    """Source: the beeps' own ms; the file is decoded by FFmpeg."""
    assert {beep.kind for beep in some} == set(BeepKind)
    assert max(map(abs, errors_ms(onsets(decoded, RATE_HZ), some))) <= WITHIN_MS
    assert abs(len(decoded) - len(track)) <= WITHIN_MS * RATE_HZ / 1_000


@pytest.mark.slow
@pytest.mark.parametrize("ending", WRITERS)
def test_every_beep_of_half_an_hour_is_found(ending: str, every: tuple[Beep, ...], tmp_path: Path) -> None:
    samples, loudness = normalise(render(every, every[-1].at_ms), RATE_HZ)
    decoded, rate_hz = read_audio(written(ending, samples, tmp_path))
    assert max(map(abs, errors_ms(onsets(decoded, rate_hz), every))) <= WITHIN_MS
    assert integrated_lufs(decoded, rate_hz) == pytest.approx(loudness.target_lufs, abs=0.5)


def test_decoded_files_are_as_loud_as_asked(decoded: Samples) -> None:
    """Source: pyloudnorm with its own default filters, over the whole file at once. Coding may move peaks."""
    assert pyloudnorm.Meter(RATE_HZ).integrated_loudness(decoded) == pytest.approx(TARGET_LUFS, abs=0.2)
    assert 20 * np.log10(true_peak(decoded)) <= CEILING_DBTP


@pytest.mark.parametrize("ending", WRITERS)
def test_the_same_samples_give_the_same_bytes(ending: str, track: Samples, tmp_path: Path) -> None:
    first = written(ending, track[: 10 * RATE_HZ], tmp_path).read_bytes()
    assert written(ending, track[: 10 * RATE_HZ], tmp_path).read_bytes() == first


@pytest.mark.parametrize(("write", "ending"), [(write_opus, "opus"), (write_mp3, "mp3")])
def test_silence_is_encoded_once_and_what_sounds_after_it_is_as_good(
    write: Callable[..., None], ending: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Source: FFmpeg's decoders. Three minutes with a tone in each half minute, against the same tones alone."""
    tone = np.sin(2 * np.pi * 880 / RATE_HZ * np.arange(RATE_HZ // 2)).astype(np.float32) * np.float32(0.3)
    track = np.zeros(180 * RATE_HZ + 321, np.float32)
    starts = [s * RATE_HZ + 17 * s for s in (1, 31, 61, 91, 121, 151, 179)]
    for at in starts:
        track[at : at + len(tone)] = tone
    fed: list[int] = []
    whole = encode._frame

    def counted(block: Samples, *more: Any) -> av.AudioFrame:
        fed.append(len(block))
        return whole(block, *more)

    monkeypatch.setattr(encode, "_frame", counted)
    write(tmp_path / f"with.{ending}", track, RATE_HZ)
    assert sum(fed) < len(track) / 8
    monkeypatch.setattr(encode, "SETTLED", len(track))  # so that nothing is left out
    monkeypatch.setattr(encode, "PARTS", 1)
    fed.clear()
    write(tmp_path / f"all.{ending}", track, RATE_HZ)
    assert sum(fed) == len(track)
    both = [read_audio(tmp_path / f"{name}.{ending}")[0] for name in ("with", "all")]
    assert [len(one) for one in both] == [len(track)] * 2
    off, off_of_all = (float(np.square(one - track).sum()) for one in both)
    assert off < 1.3 * off_of_all  # within a decibel
    assert np.abs(both[0][track == 0]).max() < 0.02 + np.abs(both[1][track == 0]).max()


@pytest.mark.parametrize(("write", "ending"), [(write_opus, "opus"), (write_mp3, "mp3")])
def test_a_beep_that_came_before_is_not_encoded_again_and_sounds_the_same(
    write: Callable[..., None], ending: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Source: FFmpeg's decoders. Sixty beeps alike, each where a frame of either coding begins (0.6 s is 30 frames of
    20 ms and 25 of 24), and one higher among them.
    """
    every = [600 * number for number in range(1, 61)]
    marks = [Beep(at_ms=at, kind=BeepKind.GO if at == every[30] else BeepKind.REP) for at in every]
    track = normalise(render(marks, 37_000), RATE_HZ)[0]
    fed: list[int] = []
    whole = encode._frame

    def counted(block: Samples, *more: Any) -> av.AudioFrame:
        fed.append(len(block))
        return whole(block, *more)

    monkeypatch.setattr(encode, "_frame", counted)
    write(tmp_path / f"once.{ending}", track, RATE_HZ)
    assert sum(fed) < len(track) / 4
    decoded, _ = read_audio(tmp_path / f"once.{ending}")
    assert len(decoded) == len(track)
    assert np.abs(np.array(onsets(decoded, RATE_HZ)) - every).max() < 1
    alike = [decoded[RATE_HZ * at // 1000 :][: RATE_HZ // 20] for at in every if at != every[30]]
    assert all(np.abs(each - alike[0]).max() < 0.02 * np.abs(alike[0]).max() for each in alike)


def test_parts_are_cut_in_silence_alone() -> None:
    silent = np.ones(1_000, dtype=bool)
    silent[100:300] = silent[310:500] = silent[600:900] = False
    cuts = list(encode._cuts(silent))
    assert cuts == [550]  # ten frames are too few
    assert not list(encode._cuts(np.zeros(500, dtype=bool)))
    assert not list(encode._cuts(np.ones(500, dtype=bool)))


def test_flac_decodes_to_the_very_bits_of_a_wav_file_and_is_small(track: Samples, tmp_path: Path) -> None:
    """Source: FFmpeg's own decoder, and the standard library's WAV file of the same 16 bits."""
    flac, wav = tmp_path / "track.flac", tmp_path / "track.wav"
    write_flac(flac, track, RATE_HZ)
    with wave.open(str(wav), "wb") as file:
        file.setparams((1, 2, RATE_HZ, 0, "NONE", ""))
        file.writeframes(np.rint(track * 32_767).astype("<i2").tobytes())
    with av.open(str(flac)) as container:
        assert container.streams.audio[0].codec_context.format.name == "s16"
        decoded = np.concatenate([frame.to_ndarray()[0] for frame in container.decode(audio=0)])
    with wave.open(str(wav)) as file:
        assert decoded.astype("<i2").tobytes() == file.readframes(file.getnframes())
    assert np.array_equal(decoded, pcm16(track))
    assert flac.stat().st_size < wav.stat().st_size / 10


def test_beeps_are_found_within_a_ms_before_any_coding(track: Samples, some: tuple[Beep, ...]) -> None:
    assert all(0 <= error <= 1.0 for error in errors_ms(onsets(track, RATE_HZ), some))


@pytest.mark.parametrize("rate_hz", [44_100, 48_000])
def test_a_beep_starts_at_its_sample(rate_hz: int) -> None:
    made = render([Beep(at_ms=1_001, kind=BeepKind.GO)], 2_000, sample_rate_hz=rate_hz)
    assert len(made) == 2 * rate_hz
    first = round(1.001 * rate_hz)  # the first sample of a sine is nought
    assert not made[: first + 1].any()
    assert made[first + 1] != 0


def test_the_last_beep_sounds_out_although_the_session_is_over() -> None:
    made = render([Beep(at_ms=1_000, kind=BeepKind.END)], 1_000)
    assert len(made) == RATE_HZ + len(tone_samples(BeepKind.END))


@pytest.mark.parametrize("kind", BeepKind)
def test_a_beep_has_its_own_pitch(kind: BeepKind) -> None:
    """Source: the strongest line of its Fourier spectrum, to half a line."""
    samples = tone_samples(kind)
    line_hz = np.argmax(np.abs(np.fft.rfft(samples, RATE_HZ)))  # padded to a second: lines 1 Hz apart
    assert line_hz == pytest.approx(TONES[kind].pitch_hz, abs=3)
    others = [tone.pitch_hz for other, tone in TONES.items() if other is not kind]
    assert all(max(pitch_hz, line_hz) / min(pitch_hz, line_hz) > 1.12 for pitch_hz in others)  # a whole tone, 2^(2/12)


def test_a_voice_is_mixed_in_at_its_sample() -> None:
    voice = sine(200, 0.5, 0.3)
    made = render([Beep(at_ms=0, kind=BeepKind.GO)], 2_000, [Clip(at_ms=1_200, samples=voice)])
    start = 12 * RATE_HZ // 10
    assert np.array_equal(made[start : start + len(voice)], voice)
    assert np.array_equal(made[: len(tone_samples(BeepKind.GO))], tone_samples(BeepKind.GO))


def test_the_measure_reads_the_test_tone_of_bs_1770() -> None:
    """Source: ITU-R BS.1770-4, annex 1: 997 Hz at 0 dBFS in one channel reads -3.01 LKFS."""
    assert integrated_lufs(sine(997, 20), RATE_HZ) == pytest.approx(-3.01, abs=0.01)


def test_loudness_is_gated_as_ebu_3341_asks() -> None:
    """Source: EBU Tech 3341, case 3, for one channel: what is 13 LU quieter is left out. 1 kHz, so 0.01 from 997 Hz."""
    parts = [sine(1_000, 10, 10 ** (-36 / 20)), sine(1_000, 60, 10 ** (-23 / 20)), sine(1_000, 10, 10 ** (-36 / 20))]
    assert integrated_lufs(np.concatenate(parts), RATE_HZ) == pytest.approx(-23 - 3.01, abs=0.1)


def test_a_minute_at_a_time_measures_what_the_whole_does(track: Samples) -> None:
    """Source: pyloudnorm over the whole track at once."""
    whole = pyloudnorm.Meter(RATE_HZ, filter_class="DeMan").integrated_loudness(track.astype(np.float64))
    assert integrated_lufs(track, RATE_HZ) == pytest.approx(whole, abs=0.001)


def test_the_track_is_as_loud_as_asked_and_says_so(some: tuple[Beep, ...]) -> None:
    """Source: pyloudnorm with its own default filters (0.04 LU from BS.1770's)."""
    made, loudness = normalise(render(some, TOTAL_MS), RATE_HZ)
    measured = pyloudnorm.Meter(RATE_HZ).integrated_loudness(made)
    assert measured == pytest.approx(TARGET_LUFS, abs=0.5)
    assert loudness.integrated_lufs == pytest.approx(measured, abs=0.1)
    assert 20 * np.log10(true_peak(made)) == pytest.approx(loudness.true_peak_dbtp, abs=0.01)
    assert loudness.true_peak_dbtp <= CEILING_DBTP
    assert not loudness.peak_limited


def test_peaks_are_never_clipped_and_a_limit_is_told(track: Samples) -> None:
    made, loudness = normalise(track[: 70 * RATE_HZ], RATE_HZ, target_lufs=-5.0)
    assert loudness.peak_limited
    assert loudness.integrated_lufs < -5.0
    assert 20 * np.log10(true_peak(made)) == pytest.approx(CEILING_DBTP, abs=0.001)


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize("count", [0, 100, RATE_HZ])
def test_silence_stays_silence(count: int) -> None:
    made, loudness = normalise(np.zeros(count, dtype=np.float32), RATE_HZ)
    assert len(made) == count
    assert not made.any()
    assert (loudness.integrated_lufs, loudness.gain_db, loudness.peak_limited) == (-inf, 0.0, False)
    assert onsets(made, RATE_HZ) == ()


def test_what_is_below_the_absolute_gate_keeps_its_gain() -> None:
    """Source: ITU-R BS.1770-4, annex 1: blocks below -70 LKFS are left out."""
    assert normalise(sine(997, 2, 10 ** (-75 / 20)), RATE_HZ)[1].gain_db == 0.0


@pytest.mark.parametrize("pitch_hz", [997, 6_000, 11_999, 12_000])
def test_the_true_peak_is_found_between_the_samples(pitch_hz: int) -> None:
    """Source: a sine's amplitude; at a quarter of the rate and 45 degrees its samples stay 3 dB below it."""
    quiet = sine(pitch_hz, 0.5, 0.5, np.pi / 4) * np.hanning(RATE_HZ // 2).astype(np.float32)
    assert 20 * np.log10(true_peak(quiet) / 0.5) == pytest.approx(0, abs=0.1)


@pytest.mark.parametrize("ending", WRITERS)
def test_samples_beyond_full_scale_are_refused(ending: str, tmp_path: Path) -> None:
    with pytest.raises(Invalid, match="full scale"):
        WRITERS[ending](tmp_path / "loud", sine(440, 0.1, 1.2), RATE_HZ)
    assert not [*tmp_path.iterdir()]


@pytest.mark.parametrize("amplitude", [0.5, 0.9, 1.0])
def test_mp3_neither_clips_nor_loses_level(amplitude: float, tmp_path: Path) -> None:
    """Source: a sine has no third harmonic; clipped by the 0.45 dB that LAME takes off it showed one of 1.2 %."""
    decoded, _ = read_audio(written("mp3", sine(440, 1, amplitude), tmp_path))
    lines = np.abs(np.fft.rfft(decoded[:RATE_HZ] * np.hanning(RATE_HZ))) / (RATE_HZ / 4)
    assert lines[440] == pytest.approx(min(amplitude, 0.95), rel=0.01)
    assert lines[3 * 440] < 0.001 * amplitude


def test_m4a_in_stereo_reads_as_the_mean_of_its_channels(some: tuple[Beep, ...], tmp_path: Path) -> None:
    mono = render([beep for beep in some if beep.at_ms < 80_000], 80_000)
    path = tmp_path / "stereo.m4a"
    with av.open(str(path), "w") as container:
        stream = container.add_stream("aac", rate=RATE_HZ, layout="stereo")
        frame = av.AudioFrame.from_ndarray(np.stack([mono, mono]), format="fltp", layout="stereo")
        frame.sample_rate, frame.pts = RATE_HZ, 0  # the priming is told only when times are
        container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    decoded, rate_hz = read_audio(path)
    assert np.abs(decoded).max() == pytest.approx(np.abs(mono).max(), rel=0.1)
    found = errors_ms(onsets(decoded, rate_hz), tuple(beep for beep in some if beep.at_ms < 80_000))
    assert max(map(abs, found)) <= WITHIN_MS


@pytest.mark.parametrize(
    ("name", "content"), [("text.wav", b"not sound"), ("empty.mp3", b""), ("junk.opus", bytes(range(256)) * 20)]
)
def test_a_broken_file_is_told_in_words(name: str, content: bytes, tmp_path: Path) -> None:
    (tmp_path / name).write_bytes(content)
    with pytest.raises(Invalid, match="a readable WAV, Opus, MP3 or M4A file") as told:
        read_audio(tmp_path / name)
    assert told.value.remedy.startswith("The decoder says: ")


def test_a_sound_of_no_known_coding_is_told_in_words(tmp_path: Path) -> None:
    path = tmp_path / "odd.m4a"
    with av.open(str(path), "w") as container:
        stream = container.add_stream("aac", rate=RATE_HZ, layout="mono")
        frame = av.AudioFrame.from_ndarray(sine(440, 1)[None, :], format="fltp", layout="mono")
        frame.sample_rate, frame.pts = RATE_HZ, 0
        container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    damaged = path.read_bytes().replace(b"mp4a", b"zz9a").replace(b"esds", b"zzzz")  # what names the coding
    path.write_bytes(damaged)
    with pytest.raises(Invalid, match="sound that can be decoded"):
        read_audio(path)


def test_a_file_that_is_not_there_is_told_in_words(tmp_path: Path) -> None:
    with pytest.raises(Invalid, match="readable") as told:
        read_audio(tmp_path / "none.wav")
    assert "No such file" in told.value.remedy


@pytest.mark.parametrize(("writer", "rate_hz"), [(write_opus, 44_100), (write_mp3, 22_050)], ids=["opus", "mp3"])
def test_a_rate_that_the_format_lacks_is_refused(
    writer: Callable[[Path, Samples, int], None], rate_hz: int, tmp_path: Path
) -> None:
    with pytest.raises(Invalid, match="sample_rate_hz"):
        writer(tmp_path / "file", sine(440, 0.1), rate_hz)
