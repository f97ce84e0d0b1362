"""The session as an animated film."""

from everyrung.publish.folder.contents import FILM
from everyrung.publish.output import Files, Order, output
from everyrung.store.cache import default_cache
from everyrung.terms.timeline import Track


@output(
    "film",
    ("session.mp4",),
    "the session as an animated film, with captions to switch on and off",
    on_request="An animated film too: it takes the longest",
    place=200,
)
def film(order: Order) -> Files:
    """One file; with a voice it speaks. Raises Invalid where it cannot be encoded."""
    from everyrung.publish.audio.sound import (
        SAMPLE_RATE_HZ,  # encoders: only when it is made
        voice_track,
    )
    from everyrung.publish.folder.sound import sound_of
    from everyrung.publish.video.write import write_video

    run, folder = order.run, order.folder
    first = next((track for track in run.cues if track.track is Track.FIRST), None)
    clips, _ = voice_track(first.for_recording, run.voice) if run.voice and first else ((), ())
    samples, _ = sound_of(run, clips)
    write_video(
        run, folder / "session.mp4", samples, SAMPLE_RATE_HZ, order.progress,
        pieces=folder / FILM, cache=default_cache(),
    )  # fmt: skip
    yield folder / "session.mp4", "the session as an animated film, with captions to switch on and off"
