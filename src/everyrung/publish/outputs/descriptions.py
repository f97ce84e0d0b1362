"""Audio description of the film: a track for players, and with a voice cues, beeps and descriptions as one sound."""

from everyrung.publish.output import Files, Need, Order, output


@output(
    "audio description",
    ("descriptions.vtt",),
    "what is seen in the film but not said, for players that read it out",
    needs=(Need.BODIES, Need.CUES),
    place=35,
)
def description_track(order: Order) -> Files:
    """One file (WebVTT), and in the notes the main sets that no silence was left for."""
    from everyrung.publish.descriptions.place import descriptions, descriptions_vtt  # the film's words

    content = descriptions(order.run)
    order.notes.extend(f"Audio description: there is no silence for one in {cell.ref}." for cell in content.without)
    text = descriptions_vtt(content)
    yield order.text("descriptions.vtt", text), "audio description of the film (WebVTT, kind descriptions)"


@output(
    "audio description, spoken",
    ("described-first-time.opus", "described-first-time.mp3"),
    "cues, beeps and the audio description as one sound",
    needs=(Need.BODIES, Need.CUES, Need.VOICE),
    place=95,
    beside=True,
)
def description_sound(order: Order) -> Files:
    """To listen to."""
    from everyrung.publish.folder.sound import description_files  # encoders: only when it is made

    yield from description_files(order.run, order.folder, order.notes)
