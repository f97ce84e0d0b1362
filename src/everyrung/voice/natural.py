"""Speech from text by a small neural voice, where its extra is installed: hibari-tts with its own weights."""

from functools import lru_cache
from importlib.util import find_spec
from threading import Lock
from typing import Any

import numpy as np
from numpy.typing import NDArray

from everyrung.terms.errors import Invalid

VOICE = "heart"  # the one that lies in the package; others of it would be fetched over the net, and are never asked for
OWN_WPM = 149  # of it at its own pace: 541 words of 80 cues in 217.6 s (measured 30 November 2026)
SLOWEST, FASTEST = 0.5, 2.0  # of its pace, its own limits
_SEED = 0  # any number; without one its breath differs each time
_LOCK = Lock()


def available() -> bool:
    """Whether the extra is installed; nothing is loaded to find out."""
    return find_spec("hibari") is not None


def synthesise(text: str, words_a_minute: int) -> tuple[NDArray[np.float32], int]:
    """One channel of speech, -1 to 1, and its sample rate in Hz; no faster or slower than the voice can.

    Raises Invalid, with a remedy, where the extra is not installed.
    """
    if not available():
        remedy = "Install it: pip install 'everyrung[natural-voice]'."
        raise Invalid("voice", "the extra with the natural voice", "none", remedy=remedy)
    speed = min(max(words_a_minute / OWN_WPM, SLOWEST), FASTEST)
    with _LOCK:
        speaker = _speaker()
        samples = np.asarray(speaker(text, speed=speed, seed=_SEED), dtype=np.float32)
    return samples, int(speaker.sample_rate)


@lru_cache
def _speaker() -> Any:
    """Loaded once: that takes half a second, a cue a twentieth."""
    from hibari import Hibari

    return Hibari(voice=VOICE)
