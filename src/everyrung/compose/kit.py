"""Candidates for kit that is asked for and not there."""

from collections.abc import Iterator

from everyrung.compose.case import Case, Remedy
from everyrung.compose.led_rungs import kit_missing as led_otherwise
from everyrung.compose.options import option_of_what
from everyrung.plan.bouts import lacking
from everyrung.terms.edit import AddKit
from everyrung.terms.enums import KitItem

_PLAIN = (KitItem.CHAIR, KitItem.STEP, KitItem.SLIDERS)  # what is listed by its number alone


def kit_missing(case: Case) -> Iterator[Remedy]:
    """Led otherwise; and last listed."""
    yield from led_otherwise(case)
    yield from _list_kit(case)


def option_kit(case: Case) -> Iterator[Remedy]:
    """Another option; and last the kit listed."""
    yield from option_of_what(case)
    yield from _list_kit(case)


def _list_kit(case: Case) -> Iterator[Remedy]:
    """Kit listed that nobody has brought yet: the session stays as it is."""
    rungs = [rung for cell in case.cells for rung in (cell.rung, *(option.rung for option in cell.options))]
    for item in _PLAIN:
        if any(item in lacking(rung, case.session.kit) for rung in rungs):
            number = max(1, case.session.who.in_room)
            words = f"Accept: say that {number} × {item} will be there; nothing in the session changes"
            yield Remedy(words=words, edits=(AddKit(stock={"item": str(item), "count": number}),), silent=True)
