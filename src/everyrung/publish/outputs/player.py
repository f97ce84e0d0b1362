"""The page to follow along from."""

from everyrung.publish.output import Files, Order, output
from everyrung.publish.player.motions import motions
from everyrung.publish.player.write import write_player
from everyrung.store.cache import default_cache


@output(
    "player page",
    ("player.html",),
    "a page to follow along from, on a telephone without a network",
    place=70,
)
def player_page(order: Order) -> Files:
    """One file that needs no other."""
    moving = motions(order.run, default_cache()) if order.run.drawings else None
    write_player(order.run, order.folder / "player.html", moving)
    yield order.folder / "player.html", "to follow along from a file, without a network"
