"""A card for each known person: their rungs, their loads, their balls."""

from everyrung.publish.output import Files, Need, Order, output
from everyrung.store.owners import Owner


@output("cards", ("cards/*",), "a card for each of your people", needs=(Need.PEOPLE,), place=40)
def cards(order: Order) -> Files:
    """A page and a sheet of paper for each."""
    from everyrung.publish.card import file_names, person_card, write_card  # typst: only when they are made

    run = order.run
    names = file_names([one.name for one in run.advice])
    for count, (one, name) in enumerate(zip(run.advice, names, strict=True)):
        order.progress(count, len(names))
        owner = Owner(name=one.name, person=order.numbers.get(one.name, 0))
        for path in write_card(run, person_card(run, one), order.folder / "cards", name, owner):
            yield path, f"card for {one.name}"
