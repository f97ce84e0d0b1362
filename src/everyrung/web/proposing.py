"""Proposals for a brief, as a page shows them, one after another; and where there are none, the nearest brief."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from everyrung.moves.library import Library
from everyrung.store.cache import Cache
from everyrung.terms.session_brief import SessionBrief

if TYPE_CHECKING:
    from everyrung.proposals.search import OnStep, Proposal, SearchStep

COUNT = 3  # proposals; chosen, because three can be compared at once


@dataclass(frozen=True, slots=True, kw_only=True)
class ProposalCard:
    """One proposal: its plan, and what is said of it."""

    text: str
    title: str
    total_ms: int
    rounds: int
    lines: tuple[str, ...]
    reasons: tuple[str, ...]
    gives_up: tuple[str, ...]
    worth: float
    bound: float
    gap: float


@dataclass(frozen=True, slots=True, kw_only=True)
class NearestBrief:
    """What to change where nothing can be proposed: in words, and the brief that works."""

    words: str
    brief: SessionBrief


def proposal_cards(brief: SessionBrief, library: Library, cache: Cache, on_step: "OnStep") -> Iterator[ProposalCard]:
    """Up to COUNT of them. What `on_step` raises ends the search."""
    from everyrung.proposals.search import propose  # heavy, and only the process that computes needs it

    for each in propose(brief, library, count=COUNT, cache=cache, on_step=on_step):
        yield _card(each)


def nearest_that_works(
    brief: SessionBrief, library: Library, cache: Cache, look: Callable[[], None]
) -> NearestBrief | None:
    """The brief that asks for least less and has a proposal. `look` is called now and then; what it raises ends it."""
    from everyrung.proposals.nearest import nearest_brief

    result = nearest_brief(brief, library, cache=cache, on_step=lambda _: look())
    return NearestBrief(words=result[0], brief=result[1]) if result else None


def step_words(step: "SearchStep", cards: tuple[ProposalCard, ...]) -> str:
    """How far a search is, with the best so far and the most that can be had."""
    best = max((card.worth for card in cards), default=0.0)
    begin = f"the best so far is worth {best:.1f}, and " if cards else ""
    return f"{begin}set of moves number {step.count} is tried; the next can be worth {step.bound:.1f} at most"


def _card(each: "Proposal") -> ProposalCard:
    from everyrung.proposals.summary import move_lines

    return ProposalCard(
        text=each.text,
        title=each.run.plan.title,
        total_ms=each.run.timeline.total_ms,
        rounds=len(each.columns[0].versions),
        lines=move_lines(each.run),
        reasons=each.reasons,
        gives_up=each.gives_up,
        worth=each.worth,
        bound=each.bound,
        gap=each.gap,
    )
