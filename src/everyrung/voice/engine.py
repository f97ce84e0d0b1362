"""Speech from text by espeak-ng, called in this process; the same text at the same rate gives the same samples."""

import _ctypes
import ctypes
import os
import sys
import unicodedata
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.util import find_spec
from threading import Lock

import numpy as np
from numpy.typing import NDArray

from everyrung.terms.errors import Invalid, require

# Neutral: General American belongs to no town, is widely understood, and says every written r, which a loud room needs.
VOICE = "en-us"
SLOWEST_WPM, FASTEST_WPM = 80, 450  # speak_lib.h: espeakRATE_MINIMUM, espeakRATE_MAXIMUM
FULL_SCALE = 32_768  # 16 bits

# speak_lib.h
_SYNCHRONOUS = 2  # AUDIO_OUTPUT_SYNCHRONOUS: samples come by the callback before the call returns
_DONT_EXIT = 0x8000  # otherwise a missing file would end this whole process
_RATE = 1
_UTF8 = 1  # and neither 0x10 (markup) nor 0x100 (phonemes in brackets)
_BY_CHARACTER = 1
_SEED = 1  # any number; the library would take the time

_CALLBACK = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_void_p, ctypes.c_int, ctypes.c_void_p)
_LOCK = Lock()  # the library holds everything in global variables


def available() -> bool:
    """Whether the extra is installed; nothing is loaded to find out."""
    return find_spec("espeakng_loader") is not None


def synthesise(text: str, words_a_minute: int, voice: str = VOICE) -> tuple[NDArray[np.float32], int]:
    """One channel of speech, -1 to 1, with its silences as they come, and its sample rate in Hz.

    `voice` names a language, such as 'en-gb-x-rp'. Raises Invalid, with a remedy, where the extra is not installed or
    does not run, for a rate outside 80 to 450 words a minute, and for an unknown voice.
    """
    require(
        SLOWEST_WPM <= words_a_minute <= FASTEST_WPM,
        "words_a_minute",
        f"{SLOWEST_WPM} to {FASTEST_WPM} words a minute",
        words_a_minute,
    )
    parts: list[bytes] = []

    def take(samples: int | None, count: int, _events: int | None) -> int:
        if samples and count > 0:
            parts.append(ctypes.string_at(samples, 2 * count))
        return 0  # go on

    utf8 = plain(text).encode()
    with _LOCK, _library() as (library, rate_hz):
        callback = _CALLBACK(take)  # held by this name for as long as the library may call it
        library.espeak_SetSynthCallback(callback)
        _set_voice(library, voice)
        library.espeak_SetParameter(_RATE, words_a_minute, 0)
        code = library.espeak_Synth(utf8, len(utf8) + 1, 0, _BY_CHARACTER, 0, _UTF8, None, None)
    if code:
        raise Invalid("text", "words that can be spoken", text)
    return np.frombuffer(b"".join(parts), dtype=np.int16).astype(np.float32) / np.float32(FULL_SCALE), rate_hz


def plain(text: str) -> str:
    """The text without unwritten characters, spaces evened out.

    The library takes some of them as commands (U+0001 and a number sets the pitch), and would say others' codes.
    """
    characters = (each for each in text if unicodedata.category(each) != "Cf")  # joins and soft hyphens within a word
    return " ".join("".join(" " if unicodedata.category(each)[0] == "C" else each for each in characters).split())


@contextmanager
def _library() -> Iterator[tuple[ctypes.CDLL, int]]:
    """The library freshly loaded, and its sample rate in Hz; it is unloaded at the end.

    Loaded once, it would speak every text a little otherwise, for the wavering of its pitch goes on where the text
    before left off, and it has no call that sets this back. Loading takes some 5 ms, as long as a cue does.
    """
    if not available():
        remedy = "Install it: pip install 'everyrung[voice]'."
        raise Invalid("voice", "the extra that speaks, everyrung[voice]", "none", remedy=remedy)
    from espeakng_loader import get_data_path, get_library_path

    try:
        data, library = os.fsencode(get_data_path()), ctypes.CDLL(get_library_path())
    except (OSError, RuntimeError) as problem:
        raise _failure(str(problem)) from None
    try:
        yield library, _initialize(library, data)
    finally:
        library.espeak_Terminate()
        _unload(library._handle)


def _initialize(library: ctypes.CDLL, data: bytes) -> int:
    """Initialises and returns the sample rate in Hz."""
    library.espeak_Info.restype = ctypes.c_char_p
    library.espeak_Synth.argtypes = (
        ctypes.c_char_p, ctypes.c_size_t, ctypes.c_uint, ctypes.c_int, ctypes.c_uint, ctypes.c_uint,
        ctypes.c_void_p, ctypes.c_void_p,
    )  # fmt: skip
    library.espeak_ng_SetRandSeed.argtypes = (ctypes.c_long,)
    rate_hz = int(library.espeak_Initialize(_SYNCHRONOUS, 0, data, _DONT_EXIT))
    path = ctypes.c_char_p()
    library.espeak_Info(ctypes.byref(path))
    if rate_hz <= 0 or path.value != data:  # a path that it cannot hold (160 bytes) sends it to other data or to none
        raise _failure(f"its data cannot be read at {os.fsdecode(data)}")
    library.espeak_ng_SetRandSeed(_SEED)
    return rate_hz


def _set_voice(library: ctypes.CDLL, voice: str) -> None:
    checkable = voice.isascii() and voice.isprintable() and "+" not in voice  # what follows a + is never checked
    if not checkable or library.espeak_SetVoiceByName(voice.encode()):
        raise Invalid("voice", "a voice of espeak-ng", voice, remedy=f"Write '{VOICE}', for one.")


def _failure(problem: str) -> Invalid:
    remedy = f"Install everyrung[voice] again, at a shorter path if need be ({problem})."
    return Invalid("voice", "a speech library that runs here", "one that does not", remedy=remedy)


def _unload(handle: int) -> None:
    if sys.platform == "win32":
        _ctypes.FreeLibrary(handle)
    else:
        _ctypes.dlclose(handle)
