"""Changes by one press as a page shows them: words, what differs, and the edit that a button sends."""

from collections.abc import Callable
from dataclasses import dataclass

from everyrung.compose.case import PlanRun
from everyrung.compose.changes import ChangeRequest, change_offers
from everyrung.moves.library import Library
from everyrung.pipeline import run_plan
from everyrung.plan.read import plan_from_text
from everyrung.results.analysis import Analysis
from everyrung.terms.edit import Several
from everyrung.terms.plan import Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class PressOffer:
    """One change that holds: its words, what is changed with it, its edit, the text it makes, and what differs then."""

    words: str
    also: tuple[str, ...]
    edit: Several
    text: str
    notes: tuple[str, ...]


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
    offers = tuple(
        PressOffer(words=each.words, also=each.also, edit=each.edit, text=each.text, notes=each.notes)
        for each in result.offers
    )
    return PressOffers(offers=offers, stays=result.stays)
