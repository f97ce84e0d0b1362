"""Changes by one press as a page shows them: words, what differs, and the edit that a button sends."""

from collections.abc import Callable
from dataclasses import dataclass

from everyrung.checks.cells import every_cell
from everyrung.compose.case import PlanRun
from everyrung.compose.changes import ChangeKind, ChangeRequest, Offer, change_offers
from everyrung.moves.library import Library
from everyrung.pipeline import run_plan
from everyrung.plan.read import plan_from_text
from everyrung.results.analysis import Analysis
from everyrung.terms.edit import Several
from everyrung.terms.move import Rung
from everyrung.terms.plan import Plan
from everyrung.terms.session import Cell, Session
from everyrung.terms.units import Load


@dataclass(frozen=True, slots=True, kw_only=True)
class PressOffer:
    """One change that holds: its words, what is changed with it, its edit, the text it makes, and what differs then;
    of another move the version that would be led, and with what.
    """

    words: str
    also: tuple[str, ...]
    edit: Several
    text: str
    notes: tuple[str, ...]
    rung: Rung | None = None
    load: Load | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PressOffers:
    """All that can be had of what was asked for; `stays` says what stands in the way of the rest."""

    offers: tuple[PressOffer, ...]
    stays: tuple[str, ...]


def press_offers(text: str, request: ChangeRequest, library: Library, look: Callable[[], None]) -> PressOffers:
    """The changes of a plan's text, each tried; `look` is called before each try, and what it raises ends them."""

    def again(plan: Plan) -> Analysis:
        look()
        return run_plan(plan, library=library)

    start = PlanRun(run=again(plan_from_text(text, "plan.toml")), library=library)
    result = change_offers(text, start, request, again)
    offers = tuple(_press_offer(start, request, each) for each in result.offers)
    return PressOffers(offers=offers, stays=result.stays)


def _press_offer(start: PlanRun, request: ChangeRequest, offer: Offer) -> PressOffer:
    cell = _new_set(start.session, offer.run.session) if request.kind is ChangeKind.SWAP else None
    return PressOffer(
        words=offer.words,
        also=offer.also,
        edit=offer.edit,
        text=offer.text,
        notes=offer.notes,
        rung=cell.rung if cell else None,
        load=cell.bouts[0].load if cell else None,
    )


def _new_set(before: Session, after: Session) -> Cell | None:
    """The first set of a column that was not there before."""
    old = {(cell.ref.block, cell.ref.cell) for cell in every_cell(before)}
    return next((cell for cell in every_cell(after) if (cell.ref.block, cell.ref.cell) not in old), None)
