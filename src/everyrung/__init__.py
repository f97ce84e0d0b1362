"""Everyrung: one session, a rung for everyone.

The public functions and their results; each is loaded when it is first used. docs/python.md shows them at work.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from everyrung.blocks.search import Block, propose_block
    from everyrung.compose.changes import Offers
    from everyrung.compose.mend_all import Mending
    from everyrung.compose.press import lengths, mend, offers
    from everyrung.interface import analyze, demand, library, load_plan, place, rehearse, save_plan
    from everyrung.proposals.search import Proposal, propose
    from everyrung.publish.folder.bundle import publish
    from everyrung.publish.folder.contents import Publication
    from everyrung.results.analysis import Analysis
    from everyrung.results.body_demand import BodyDemand
    from everyrung.results.rehearsal import Rehearsal
    from everyrung.room.capacity import RoomUse
    from everyrung.terms.block_brief import BlockBrief, WeeklyEvening
    from everyrung.terms.errors import Faults, Invalid, ProcessEnded
    from everyrung.terms.person import BodySize, Person
    from everyrung.terms.plan import Plan
    from everyrung.terms.session_brief import SessionBrief

__version__ = "0.1.0"
__all__ = [
    "Analysis",
    "Block",
    "BlockBrief",
    "BodyDemand",
    "BodySize",
    "Faults",
    "Invalid",
    "Mending",
    "Offers",
    "Person",
    "Plan",
    "ProcessEnded",
    "Proposal",
    "Publication",
    "Rehearsal",
    "RoomUse",
    "SessionBrief",
    "WeeklyEvening",
    "analyze",
    "demand",
    "lengths",
    "library",
    "load_plan",
    "mend",
    "offers",
    "place",
    "propose",
    "propose_block",
    "publish",
    "rehearse",
    "save_plan",
]
_HOMES = {
    "Analysis": "results.analysis",
    "Block": "blocks.search",
    "BlockBrief": "terms.block_brief",
    "BodyDemand": "results.body_demand",
    "BodySize": "terms.person",
    "Faults": "terms.errors",
    "Invalid": "terms.errors",
    "Mending": "compose.mend_all",
    "Offers": "compose.changes",
    "Person": "terms.person",
    "Plan": "terms.plan",
    "ProcessEnded": "terms.errors",
    "Proposal": "proposals.search",
    "Publication": "publish.folder.contents",
    "Rehearsal": "results.rehearsal",
    "RoomUse": "room.capacity",
    "SessionBrief": "terms.session_brief",
    "WeeklyEvening": "terms.block_brief",
    "lengths": "compose.press",
    "mend": "compose.press",
    "offers": "compose.press",
    "propose": "proposals.search",
    "propose_block": "blocks.search",
}


def __getattr__(name: str) -> Any:
    if name not in __all__:
        message = f"everyrung has no {name!r}; it has {', '.join(__all__)}"
        raise AttributeError(message, name=name, obj=import_module(__name__))
    if name == "publish":  # the package, which is the function as well: see its __init__
        return import_module("everyrung.publish")
    value = getattr(import_module(f"everyrung.{_HOMES.get(name, 'interface')}"), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return [*__all__, "__version__"]
