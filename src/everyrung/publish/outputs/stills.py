"""Stills for a channel: what people see before they press play, and while the last seconds run."""

from everyrung.publish.output import Files, Order, output
from everyrung.store.files import replace_bytes


@output(
    "stills", ("still-*.png", "end-screen.png"), "stills for a channel, to choose from, and an end screen", place=25
)
def channel_stills(order: Order) -> Files:
    """Three pictures of 1280 by 720 and the end screen."""
    from everyrung.publish.stills import end_screen, still_png, stills  # typst: only when they are made

    choice = stills(order.run)
    for place, still in enumerate(choice, start=1):
        order.progress(place - 1, len(choice) + 1)
        path = order.folder / f"still-{place}.png"
        replace_bytes(path, still_png(still))
        yield path, "a still for a channel (1280 x 720)"
    replace_bytes(order.folder / "end-screen.png", still_png(end_screen(order.run)))
    yield order.folder / "end-screen.png", "an end screen with two places kept free (1280 x 720)"
