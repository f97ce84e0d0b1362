"""Texts for a channel or a notice: what it is, what to bring, chapters."""

from everyrung.publish.chapters import chapters, chapters_text, chapters_vtt
from everyrung.publish.folder.texts import description, kit_list, level_label
from everyrung.publish.output import Files, Need, Order, output


@output(
    "texts",
    ("description.txt", "kit.txt", "chapters.vtt", "chapters.txt"),
    "texts for a channel or a notice: what it is, what to bring, chapters",
    needs=(Need.BODIES,),
    place=20,
)
def texts(order: Order) -> Files:
    """A file each; a session with too few parts has no chapters."""
    run, label = order.run, level_label(order.run)
    order.notes.append(str(label))
    parts = chapters(run.timeline)
    if not parts:
        order.notes.append("No chapters: it takes three of ten seconds or more.")
    yield order.text("description.txt", description(run, label)), "what it is, for a channel or a notice"
    yield order.text("kit.txt", kit_list(run)), "what to bring, loads and balls"
    if parts:
        yield order.text("chapters.vtt", chapters_vtt(parts)), "chapters for a player (WebVTT)"
        yield order.text("chapters.txt", chapters_text(parts)), "chapters as a plain list"
