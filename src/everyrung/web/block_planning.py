"""A block of weeks, planned in the background for a page: what was asked, and what is proposed."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime

from everyrung.blocks.block_file import PLANNED, block_from_text, block_text, earlier_of
from everyrung.blocks.block_view import BlockView, block_view
from everyrung.blocks.changes import bound_lines
from everyrung.blocks.search import propose_block
from everyrung.moves.library import Library, standard_library
from everyrung.publish.block_calendar import block_calendar
from everyrung.store.blocks import BlockRow, EveningRow
from everyrung.store.cache import Cache, default_cache
from everyrung.terms.errors import Faults, Invalid
from everyrung.terms.history import History, SetRecord
from everyrung.terms.timeline import OwnCue

FILE = "block.toml"
Plans = tuple[tuple[str, str], ...]  # by day (ISO), the text of each evening's plan


@dataclass(frozen=True, slots=True, kw_only=True)
class BlockRequest:
    """A block to be planned: its file with the head that is wanted, the plans as they are now, the day from which on it
    is planned anew, and the calendar made last ('' for none).
    """

    text: str
    plans: Plans
    start: str
    calendar: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BlockProposal:
    """A block that may be kept: its file and plans, its calendar ('' without a zone), how it looks, by week how many
    times as much it asks as its evenings did last, and in lines what it gives up and how near its bounds it is.
    """

    text: str
    plans: Plans
    calendar: str
    view: BlockView
    growth: tuple[tuple[int, float], ...]
    lines: tuple[str, ...]


def request_of(row: BlockRow, evenings: tuple[EveningRow, ...]) -> BlockRequest:
    """What is asked for a block of the studio's."""
    text = with_head(row.text, row.asked)
    return BlockRequest(text=text, plans=plans_of(evenings), start=row.start, calendar=row.calendar)


def plans_of(evenings: tuple[EveningRow, ...]) -> Plans:
    """The plans of evenings as they are now."""
    return tuple((each.day, each.text) for each in evenings)


def by_day(plans: Plans) -> dict[date, str]:
    """The same by the days themselves."""
    return {date.fromisoformat(day): text for day, text in plans}


def with_head(text: str, head: str) -> str:
    """A block's file with another head above what was planned."""
    _, mark, below = text.partition(PLANNED)
    return f"{head.rstrip()}\n\n{mark}{below}" if mark else head


def block_proposal(
    request: BlockRequest, library: Library, cache: Cache, on_step: Callable[[str], None]
) -> BlockProposal:
    """The block that is asked for. Raises Invalid where there is none, Faults for a file or a plan with a fault; what
    `on_step` raises ends it.
    """
    file = block_from_text(request.text, FILE, library)
    earlier = earlier_of(file, by_day(request.plans), date.fromisoformat(request.start))
    block = propose_block(file.brief, library, cache=cache, earlier=earlier, on_step=on_step)
    on_step("how it looks")
    text = block_text(block, file.head)
    plans = tuple((each.evening.on.isoformat(), each.text) for each in block.evenings)
    calendar = block_calendar(block, datetime.now(UTC), request.calendar.encode()) if file.brief.zone else b""
    return BlockProposal(
        text=text,
        plans=plans,
        calendar=calendar.decode(),
        view=block_view(block_from_text(text, FILE, library), by_day(plans), History(), library, cache),
        growth=tuple(block.steps.growth.items()),
        lines=tuple(bound_lines(block)),
    )


def view_of(text: str, plans: Plans, records: tuple[SetRecord, ...], cues: tuple[OwnCue, ...]) -> BlockView | str:
    """A task for the background: how a block looks with what people did; or in words why that is not known."""
    library = standard_library(cues)
    try:
        block = block_from_text(text, FILE, library)
        return block_view(block, by_day(plans), History(records=records), library, default_cache())
    except (Faults, Invalid) as problem:
        return str(problem)


def records_in(history: History, titles: Mapping[date, str], title: str) -> tuple[SetRecord, ...]:
    """What was done on the evenings of a block: of their day, and of their session, the block, or none by name."""
    return tuple(
        each for each in history.records if each.on in titles and each.session in ("", title, titles[each.on])
    )  # fmt: skip
