"""Clips: how they are cut and levelled, and that the folder they are kept in can only save time."""

import subprocess
import sys
import wave
from pathlib import Path

import numpy as np
import pytest

from everyrung.terms.errors import Invalid
from everyrung.voice import clips as module
from everyrung.voice.clips import SAMPLE_RATE_HZ, Clips, speech_level

pytest.importorskip("espeakng_loader")
CUE = "Push the floor away."


@pytest.fixture
def made(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The texts that were really synthesised."""
    texts: list[str] = []
    synthesise = module.synthesise

    def counted(text: str, words_a_minute: int, voice: str) -> object:
        texts.append(text)
        return synthesise(text, words_a_minute, voice)

    monkeypatch.setattr(module, "synthesise", counted)
    return texts


def only_file(folder: Path) -> Path:
    (path,) = folder.iterdir()
    return path


def test_a_clip_begins_with_its_onset_and_ends_with_its_last_sound(tmp_path: Path) -> None:
    """By the energy of 2 ms, found again at a height of its own: -34 dB of the loudest 2 ms."""
    for text in (CUE, "Squat.", "Heels down.", "Five, four, three, two, one.", "Off the floor, half way."):
        samples = Clips(tmp_path, 140).clip(text).samples
        parts = samples[: len(samples) // 96 * 96].reshape(-1, 96)
        level = np.sqrt(np.square(parts).mean(axis=1))
        heard = np.flatnonzero(level > 0.02 * level.max())
        assert heard[0] * 2 <= 20
        assert (len(level) - 1 - heard[-1]) * 2 <= 40
        assert samples[0] != 0
        assert samples[-1] != 0


def test_clips_are_read_only_samples_at_48_khz_of_a_length_in_whole_ms_rounded_up(tmp_path: Path) -> None:
    clip = Clips(tmp_path, 140).clip(CUE)
    assert (clip.text, clip.samples.dtype, clip.samples.ndim) == (CUE, np.float32, 1)
    assert (clip.length_ms - 1) * 48 < len(clip.samples) <= clip.length_ms * 48
    with pytest.raises(ValueError, match="read-only"):
        clip.samples[0] = 0


def test_resampling_lasts_as_long_and_adds_nothing_above_what_was_there(tmp_path: Path) -> None:
    """The voice comes at 22,050 Hz, so above 11,025 Hz there is nothing to be heard."""
    speech, rate_hz = module.synthesise(CUE, 140)
    heard = np.flatnonzero(np.abs(speech) >= 0.01 * np.abs(speech).max())
    clip = Clips(tmp_path, 140).clip(CUE).samples
    assert len(clip) / SAMPLE_RATE_HZ == pytest.approx((heard[-1] - heard[0] + 1) / rate_hz, abs=0.003)
    energy = np.square(np.abs(np.fft.rfft(clip)))
    hz = np.fft.rfftfreq(len(clip), 1 / SAMPLE_RATE_HZ)
    assert energy[hz > 11_500].sum() < 1e-5 * energy.sum()
    assert energy[(hz > 80) & (hz < 4_000)].sum() > 0.9 * energy.sum()


def test_clips_are_equally_loud(tmp_path: Path) -> None:
    clips = Clips(tmp_path, 140)
    for text in (CUE, "Squat.", "Sh.", "Five, four, three, two, one.", "Cramp? Hips down, legs long, start again."):
        samples = clips.clip(text).samples
        assert np.abs(samples).max() <= 0.981
        assert 20 * np.log10(speech_level(samples)) == pytest.approx(-20, abs=0.05)


def test_the_level_of_a_sine_is_its_rms_whatever_silence_is_in_it() -> None:
    sine = 0.5 * np.sin(2 * np.pi * 1_000 / SAMPLE_RATE_HZ * np.arange(9_600))
    assert speech_level(sine) == pytest.approx(0.5 / np.sqrt(2), rel=1e-3)
    assert speech_level(np.concatenate([sine, np.zeros(96_000), sine])) == pytest.approx(0.5 / np.sqrt(2), rel=1e-3)


@pytest.mark.parametrize("text", ["", "   ", "...", " – ! \n", "\x01"])
def test_no_words_give_no_sound_and_no_file(tmp_path: Path, made: list[str], text: str) -> None:
    clip = Clips(tmp_path, 140).clip(text)
    assert (len(clip.samples), clip.length_ms, made, list(tmp_path.iterdir())) == (0, 0, [], [])


def test_a_text_is_made_once(tmp_path: Path, made: list[str]) -> None:
    clips = Clips(tmp_path / "deep" / "folder", 140)
    first = clips.clip(CUE)
    assert clips.clip(f"  {CUE} ") is first
    assert clips.length_ms(CUE) == first.length_ms
    again = Clips(tmp_path / "deep" / "folder", 140).clip(CUE)
    assert np.array_equal(again.samples, first.samples)
    assert made == [CUE]


def test_rates_voices_and_texts_share_no_clip(tmp_path: Path, made: list[str]) -> None:
    slow, fast = Clips(tmp_path, 120), Clips(tmp_path, 180)
    assert slow.length_ms(CUE) > 1.3 * fast.length_ms(CUE)
    Clips(tmp_path, 120, "en-gb-x-rp").clip(CUE)
    slow.clip("Push the floor away!")
    assert len(made) == len(list(tmp_path.iterdir())) == 4


def test_another_version_of_the_library_or_of_the_making_makes_clips_anew(
    tmp_path: Path, made: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    Clips(tmp_path, 140).clip(CUE)
    monkeypatch.setattr(module, "versions", lambda *_names: ("another 1.0",))
    Clips(tmp_path, 140).clip(CUE)
    monkeypatch.setattr(module, "MAKING", module.MAKING + 1)
    Clips(tmp_path, 140).clip(CUE)
    assert len(made) == 3


def test_a_spoilt_file_is_made_anew(tmp_path: Path, made: list[str]) -> None:
    first = Clips(tmp_path, 140).clip(CUE)
    path = only_file(tmp_path)
    whole = path.read_bytes()
    spoilt = [b"", b"RIFF", b"no sound at all" * 90, whole[:-1], whole[: len(whole) // 2], whole[:44], whole[:20]]
    spoilt += [whole[:24] + (22_050).to_bytes(4, "little") + whole[28:]]  # another rate
    spoilt += [whole[:22] + b"\2\0" + whole[24:], b"\0" * len(whole), whole[4:]]
    for count, content in enumerate(spoilt, 2):
        path.write_bytes(content)
        assert np.array_equal(Clips(tmp_path, 140).clip(CUE).samples, first.samples)
        assert len(made) == count
        assert path.read_bytes() == whole


def test_a_header_with_any_byte_changed_never_ends_in_a_traceback(tmp_path: Path) -> None:
    Clips(tmp_path, 140).clip("Squat.")
    path = only_file(tmp_path)
    whole = path.read_bytes()
    for at in range(44):
        path.write_bytes(whole[:at] + bytes([whole[at] ^ 0xFF]) + whole[at + 1 :])
        assert Clips(tmp_path, 140).length_ms("Squat.") > 0


def test_a_folder_where_nothing_can_be_written_only_costs_time(tmp_path: Path, made: list[str]) -> None:
    (tmp_path / "file").write_text("x")
    assert Clips(tmp_path / "file", 140).length_ms(CUE) > 0
    clips = Clips(tmp_path / "clips", 140)
    clips.clip(CUE)
    path = only_file(tmp_path / "clips")
    path.unlink()
    path.mkdir()  # a folder in the file's place
    assert Clips(tmp_path / "clips", 140).length_ms(CUE) == clips.length_ms(CUE)
    assert len(made) == 3


def test_what_is_kept_is_a_usual_wav(tmp_path: Path) -> None:
    clip = Clips(tmp_path, 140).clip(CUE)
    with wave.open(str(only_file(tmp_path))) as file:
        assert file.getparams()[:4] == (1, 2, 48_000, len(clip.samples))
        kept = np.frombuffer(file.readframes(len(clip.samples)), dtype="<i2")
    assert np.abs(kept / 32_767 - clip.samples).max() < 1e-6


def test_two_programs_write_at_once(tmp_path: Path) -> None:
    code = (
        "import sys\nfrom pathlib import Path\nfrom everyrung.voice.clips import Clips\n"
        "print([Clips(Path(sys.argv[1]), 140).length_ms(f'Lift {number}.') for number in range(9)])"
    )
    command = [sys.executable, "-c", code, str(tmp_path)]
    writers = [subprocess.Popen(command, stdout=subprocess.PIPE, text=True) for _ in range(2)]
    said = [each.communicate(timeout=60)[0] for each in writers]
    assert [each.returncode for each in writers] == [0, 0]
    assert said[0] == said[1]
    assert len(list(tmp_path.iterdir())) == 9


@pytest.mark.parametrize("rate", [79, 451])
def test_a_rate_that_cannot_be_spoken_is_refused_at_once(tmp_path: Path, rate: int) -> None:
    with pytest.raises(Invalid, match="80 to 450 words a minute"):
        Clips(tmp_path, rate)
