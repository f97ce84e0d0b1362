"""The card for somebody who comes late to a session live online, and the leader's for when a link drops."""

from everyrung.publish.output import Files, Need, Order, output


@output(
    "late",
    ("late.html", "late.pdf", "link.pdf"),
    "cards for people who join late online, and for when a link drops",
    needs=(Need.LIVE,),
    place=35,
)
def late_card(order: Order) -> Files:
    """A page for a telephone, the same on paper, and one page for the leader."""
    from everyrung.publish.late import write_late  # typst: only when it is made

    starts = order.series.starts if order.series else None
    page, paper, leader = write_late(order.run, order.folder, starts)
    yield page, "for people who join late: a page for a telephone"
    yield paper, "the same on paper"
    yield leader, "for the leader: when a link drops"
