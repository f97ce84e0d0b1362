"""Outputs of one boathouse. The entry point group `everyrung.outputs` names this module."""

from everyrung.publish.output import Files, Need, Order, output


@output("door sign", ("door-sign.txt",), "a sign for the boathouse door", needs=(Need.BODIES,))
def door_sign(order: Order) -> Files:
    """One page of text, with every folder."""
    session = order.run.session
    order.notes.append("Hang the sign on the lake side.")
    text = f"{session.title}\n{session.slot_ms // 60_000} minutes. Come as you are.\n"
    yield order.text("door-sign.txt", text), "a sign for the boathouse door"


@output(
    "rounds to chalk",
    ("rounds.txt",),
    "each block's rounds, to chalk on the board",
    on_request="Each block's rounds, to chalk on the board",
)
def rounds_to_chalk(order: Order) -> Files:
    """Only when it is asked for."""
    lines = [f"{block.name}: {len(block.rounds)}" for block in order.run.session.blocks if block.rounds]
    order.progress(len(lines), len(lines))
    yield order.text("rounds.txt", "\n".join(lines) + "\n"), "each block's rounds, to chalk on the board"
