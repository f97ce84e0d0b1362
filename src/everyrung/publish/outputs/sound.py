"""The beeps, and the cues spoken by a voice."""

from functools import partial

from everyrung.publish.output import NAMES, Files, Need, Order, Output, output
from everyrung.terms.timeline import Track


@output(
    "audio",
    ("beeps.flac", "beeps.opus", "beeps.mp3"),
    "counts and changes as beeps",
    place=80,
    beside=True,
)
def beeps(order: Order) -> Files:
    """For editing and for listening."""
    from everyrung.publish.folder.sound import beep_files  # encoders: only when it is made

    yield from beep_files(order.run, order.folder, order.notes)


def _voice_files(track: Track, order: Order) -> Files:
    from everyrung.publish.folder.sound import voice_files

    for each in order.run.cues:
        if each.track is track:
            yield from voice_files(order.run, each, order.folder, order.notes)


def _voice(track: Track) -> Output:
    name = NAMES[track]
    return output(
        f"voice, {track}",
        (f"voice-{name}.flac", f"spoken-{name}.opus", f"spoken-{name}.mp3"),
        f"the cues spoken, {track}",
        needs=(Need.VOICE,),
        place=90,
        beside=True,
    )(partial(_voice_files, track))


FIRST, AGAIN = _voice(Track.FIRST), _voice(Track.AGAIN)
