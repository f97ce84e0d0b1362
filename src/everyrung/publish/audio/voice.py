"""A track of cues as sound: every cue's clip at its time, a count's numbers each on their own second."""

from collections.abc import Iterator

from everyrung.cues.aloud import aloud
from everyrung.publish.audio.sound import Clip
from everyrung.runsheet.beeps import SECOND_MS
from everyrung.terms.enums import CueKind
from everyrung.terms.timeline import CueTrack, SaidCue
from everyrung.voice.clips import Clips, Spoken
from everyrung.voice.engine import FASTEST_WPM

# How much faster a sentence is said that would else run into the next; chosen, because a third more is still followed.
HURRIES = (1.0, 1.1, 1.2, 1.33)


def voiced(track: CueTrack, voice: Clips) -> tuple[tuple[Clip, ...], tuple[str, ...]]:
    """The clips of a track that was timed by the same voice, and what is left out, in words.

    Each clip is over when its cue is. Only the coach's own announcements can be too long, for their time is the plan's.
    """
    clips, left = [], []
    for cue in track.said:
        for at_ms, end_ms, text in _parts(cue):
            spoken = _fitting(voice, aloud(text), end_ms - at_ms)
            if spoken is None:
                left.append(f"The voice leaves out {text!r}: {(end_ms - at_ms) / 1000:.1f} s are too short for it.")
            elif spoken.length_ms:
                clips.append(Clip(at_ms=at_ms, samples=spoken.samples))
    return tuple(clips), tuple(left)


def _parts(cue: SaidCue) -> Iterator[tuple[int, int, str]]:
    """A cue as it is; or the numbers of a count-in, the last of them a second before its end."""
    numbers = cue.text.removesuffix(".").split(", ")
    if cue.kind is not CueKind.COUNT or len(numbers) == 1:
        yield cue.at_ms, cue.end_ms, cue.text
        return
    for place, number in enumerate(numbers):
        at_ms = cue.end_ms - (len(numbers) - place) * SECOND_MS
        yield at_ms, at_ms + SECOND_MS, number


def _fitting(voice: Clips, text: str, room_ms: int) -> Spoken | None:
    for hurry in HURRIES:
        rate = min(FASTEST_WPM, round(hurry * voice.words_a_minute))
        clips = voice if rate == voice.words_a_minute else Clips(voice.folder, rate, voice.voice)
        spoken = clips.spoken(text)
        if spoken.length_ms <= room_ms:
            return spoken
    return None
