"""The run sheet: for a screen, to print, and its score as a picture."""

from everyrung.publish.output import Files, Order, output


@output(
    "run sheet",
    ("*.html", "*.pdf", "*-score.svg"),
    "the run sheet for a screen and to print, and the score as a picture",
    place=10,
)
def run_sheet(order: Order) -> Files:
    """Three files."""
    from everyrung.publish.sheet.write import write_sheet  # typst: only when it is made

    words = ("run sheet for a screen", "run sheet to print, cover sheet first", "the score as a picture")
    yield from zip(write_sheet(order.run, order.folder), words, strict=True)
