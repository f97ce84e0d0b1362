"""The natural voice, where its extra is there: as fast as asked for, the same each time; without it a way to get it."""

from pathlib import Path

import numpy as np
import pytest

from everyrung.terms.errors import Invalid
from everyrung.voice import natural
from everyrung.voice.clips import Clips, best_voice
from everyrung.voice.engine import VOICE

CUE = "Swap hands, right leg in front."


def test_without_the_extra_it_says_how_to_get_it_and_the_small_voice_speaks(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(natural, "find_spec", lambda _: None)
    with pytest.raises(Invalid, match=r"everyrung\[natural-voice\]"):
        natural.synthesise(CUE, 140)
    assert best_voice() == VOICE


def test_a_clip_is_made_by_the_voice_that_is_asked_for(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    asked: list[tuple[str, int]] = []

    def speak(text: str, words_a_minute: int) -> tuple[np.ndarray, int]:
        asked.append((text, words_a_minute))
        return np.sin(np.arange(24_000, dtype=np.float32) / 9), 24_000

    monkeypatch.setattr(natural, "synthesise", speak)
    clip = Clips(tmp_path, 160, natural.VOICE).clip(CUE)
    assert asked == [(CUE, 160)]
    assert abs(clip.length_ms - 1000) < 30
    Clips(tmp_path, 160, natural.VOICE).clip(CUE)
    assert len(asked) == 1  # kept on the disk


def test_twice_the_words_a_minute_take_half_the_time_and_no_two_differ() -> None:
    pytest.importorskip("hibari")
    slow, rate_hz = natural.synthesise(CUE, 100)
    fast, _ = natural.synthesise(CUE, 200)
    assert rate_hz == 24_000
    assert 1.7 < len(slow) / len(fast) < 2.3
    assert np.array_equal(slow, natural.synthesise(CUE, 100)[0])
    assert len(natural.synthesise(CUE, 450)[0]) == len(natural.synthesise(CUE, 298)[0])  # as fast as it can, no faster
