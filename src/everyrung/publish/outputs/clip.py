"""An upright clip of two or three sets, to be shown beside the film."""

from everyrung.publish.output import Files, Order, output
from everyrung.store.cache import default_cache


@output(
    "clip",
    ("clip.mp4",),
    "an upright clip of half a minute to a minute, from two or three sets",
    on_request="An upright clip too, of half a minute to a minute",
    place=190,
)
def upright_clip(order: Order) -> Files:
    """One file (1080 x 1920); with a voice it speaks. Raises Invalid where it cannot be encoded."""
    from everyrung.publish.audio.sound import SAMPLE_RATE_HZ, voice_track  # encoders: only when it is made
    from everyrung.publish.folder.sound import mix
    from everyrung.publish.video.clip import LEAST_MS, clip
    from everyrung.publish.video.write import write_picture

    run, path = order.run, order.folder / "clip.mp4"
    content = clip(run)
    clips, _ = voice_track(content.track, run.voice) if run.voice else ((), ())
    samples, _ = mix(content.beeps, content.total_ms, clips)
    if content.total_ms < LEAST_MS:
        order.notes.append(f"The clip lasts {content.total_ms / 1000:.0f} s: the main part has no more for it.")
    write_picture(
        content.picture, path, samples, SAMPLE_RATE_HZ, order.progress, part_ms=(0, content.total_ms),
        cache=default_cache(),
    )  # fmt: skip
    yield path, "an upright clip of two or three sets (1080 x 1920), with its words in the picture"
