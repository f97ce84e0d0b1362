"""The whole session in words, for whoever sees no picture."""

from everyrung.publish.output import Files, Order, output


@output("in words", ("in-words.txt",), "the whole session in words, to be read or heard before it", place=25)
def in_words_file(order: Order) -> Files:
    """A plain text: every reader of a screen reads it aloud."""
    from everyrung.publish.in_words import in_words

    text = in_words(order.run.session, order.run.timeline)
    yield order.text("in-words.txt", text), "the whole session in words, for whoever sees no picture"
