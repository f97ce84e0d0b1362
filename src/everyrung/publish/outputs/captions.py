"""Captions of what is said, for those who see it for the first time and for those who come again."""

from everyrung.publish.captions.fit import captions
from everyrung.publish.captions.format import srt, vtt
from everyrung.publish.output import NAMES, Files, Need, Order, output


@output(
    "captions",
    ("captions-*.vtt", "captions-*.srt"),
    "captions of what is said",
    needs=(Need.CUES,),
    place=30,
)
def caption_files(order: Order) -> Files:
    """Two formats of each track."""
    for track in order.run.cues:
        content, name = captions(track), NAMES[track.track]
        order.notes.extend(f"Captions, {track.track}: {problem}" for problem in content.problems)
        yield order.text(f"captions-{name}.vtt", vtt(content.captions)), f"captions, {track.track} (WebVTT)"
        yield order.text(f"captions-{name}.srt", srt(content.captions)), f"captions, {track.track} (SubRip)"
