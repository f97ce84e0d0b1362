"""A block of weeks as its page lists it: a line an evening, with what can be done about it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from everyrung.blocks.block_file import BlockFile, by_hand
from everyrung.store.blocks import EveningRow
from everyrung.terms.block_brief import day_words
from everyrung.web.block_planning import BlockProposal


@dataclass(frozen=True, slots=True, kw_only=True)
class EveningLine:
    """One evening: its number in the drawing, its week, its day (ISO) and in words, when it begins, what is new, if
    it was made by hand, also since the block was planned, and the session it was opened as ('' for none).
    """

    number: int
    week: int
    on: str
    day: str
    starts: str
    change: str
    is_by_hand: bool
    is_new_by_hand: bool
    session: str


def evening_lines(file: BlockFile, rows: tuple[EveningRow, ...]) -> tuple[EveningLine, ...]:
    """A line for each evening of a planned block."""
    plans = {date.fromisoformat(each.day): each for each in rows}
    own = by_hand(file, {on: each.text for on, each in plans.items()})
    starts = {each.day.number: f"{each.starts:%H:%M}" for each in file.brief.weekly}
    lines = []
    for number, each in enumerate(file.evenings, 1):
        new = each.on in own and each.kind is not each.kind.BY_HAND
        lines.append(
            EveningLine(
                number=number,
                week=(each.on - file.brief.first).days // 7 + 1,
                on=each.on.isoformat(),
                day=day_words(each.on),
                starts=starts.get(each.on.weekday(), ""),
                change="Changed by hand." if new else each.change,
                is_by_hand=each.on in own,
                is_new_by_hand=new,
                session=plans[each.on].session if each.on in plans else "",
            )
        )
    return tuple(lines)


def what_differs(proposal: BlockProposal, rows: tuple[EveningRow, ...]) -> Mapping[str, str]:
    """By day (ISO), 'new', 'as before' or 'changed' for each evening of a proposal beside what is there; empty where
    nothing was there.
    """
    before = {each.day: each.text for each in rows}
    if not before:
        return {}
    return {
        day: "new" if day not in before else "as before" if before[day] == text else "planned again"
        for day, text in proposal.plans
    }
