"""The file of a block: what the coach wants, and below it what was planned, which planning again writes anew."""

import json
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date, time
from pathlib import Path
from typing import Any

from everyrung.blocks.changes import change_words
from everyrung.blocks.search import Block, Earlier, Stay, column_words
from everyrung.moves.library import Library
from everyrung.parsing.document import parse, read_text
from everyrung.parsing.table_reader import FileFaults, Skip, Table, attempt, flag, one_of, text, words
from everyrung.proposals.brief_text import read_brief, unknown_words
from everyrung.store.digest import digest
from everyrung.store.files import replace_text
from everyrung.terms.block_brief import FEWEST_WEEKS, MOST_WEEKS, BlockBrief, EveningKind, Weekday, WeeklyEvening
from everyrung.terms.enums import Pattern
from everyrung.terms.errors import Faults, Invalid, nearest
from everyrung.terms.session_brief import SessionBrief

PLANNED = "# What follows was planned. `everyrung weeks` on this file writes it anew; what stands above stays.\n"
UNLOCKED = "Made by hand; planned with the others the next time."
_CLOCK = re.compile(r"([01]?\d|2[0-3]):([0-5]\d)")


@dataclass(frozen=True, slots=True, kw_only=True)
class BlockFile:
    """A block's file: its text above what was planned, the brief, what was not understood of its words, and the plan
    of each evening as it was written last.
    """

    head: str
    brief: BlockBrief
    unknown: str
    columns: Mapping[tuple[int, int], tuple[str, ...]]
    evenings: tuple["WrittenEvening", ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenEvening:
    """An evening as a block's file has it: `digest` is that of the plan's text as it was planned."""

    on: date
    kind: EveningKind
    change: str
    file: str
    digest: str
    places: Mapping[str, int]


def read_block(path: Path, library: Library) -> BlockFile:
    """The block at `path`. Raises Faults with every fault found."""
    return block_from_text(read_text(path), str(path), library)


def block_from_text(content: str, file: str, library: Library) -> BlockFile:
    """The same from its text."""
    table = Table(FileFaults(file, content), parse(content, file))
    unknown: list[str] = []

    def sentence(start: SessionBrief | None) -> Callable[[Any], SessionBrief]:
        def read(value: Any) -> SessionBrief:
            reading = read_brief(words(value), library, start)
            unknown.append(unknown_words(reading))
            return reading.brief

        return read

    session = table.take("brief", sentence(None))
    weekly = attempt(table.tables("weekly"), lambda each: _weekly(each, session, sentence(session)))
    columns = dict(attempt(table.tables("part"), lambda each: _part(each, [one.day for one in weekly])))
    evenings = attempt(table.tables("evening"), _evening)
    try:
        brief = table.build(
            BlockBrief,
            title=table.take("title", words),
            first=table.take("first", day),
            weeks=table.take("weeks", _count),
            weekly=weekly,
            days_off=table.many("closed", day),
            misses=table.many("missed", day),
            aims=table.many("aims", one_of(Pattern)),
            balance=table.take("balance", flag, False),
            zone=table.take("zone", text, ""),
            place=table.take("place", text, ""),
            link=table.take("link", text, ""),
            people=table.many("people", words),
        )
    except Skip:
        raise Faults(table.reading.faults) from None
    head = content.split(PLANNED)[0]
    return BlockFile(
        head=head, brief=brief, unknown=", ".join(filter(None, unknown)), columns=columns, evenings=evenings
    )


def _weekly(table: Table, session: SessionBrief, sentence: Callable[[Any], SessionBrief]) -> WeeklyEvening:
    return table.build(
        WeeklyEvening,
        day=table.take("day", one_of(Weekday)),
        starts=table.take("starts", _clock),
        session=table.take("brief", sentence, session),
    )


def _part(table: Table, days: list[Weekday]) -> tuple[tuple[int, int], tuple[str, ...]]:
    weekday = table.take("day", one_of(Weekday))
    number = table.take("number", _count)
    group = table.many("moves", words)
    table.check_fields()
    return (days.index(weekday) if weekday in days else len(days), number - 1), group


def _evening(table: Table) -> WrittenEvening:
    places = {name: value for name, value in _plain(table.take("at", dict, {})).items() if isinstance(value, int)}
    return table.build(
        WrittenEvening,
        on=table.take("on", day),
        kind=table.take("kind", one_of(EveningKind)),
        change=table.take("change", text, ""),
        file=table.take("file", words),
        digest=table.take("digest", words),
        places=places,
    )


def _plain(value: Any) -> dict[str, Any]:
    return value if isinstance(value, dict) else {}


def day(value: Any) -> date:
    """A day of the calendar, as TOML has them. Raises Invalid for anything else."""
    if type(value) is date:
        return value
    try:
        return date.fromisoformat(str(value).strip())
    except ValueError:
        raise Invalid("", "a day such as 2027-01-11", value) from None


def _count(value: Any) -> int:
    if isinstance(value, bool) or not isinstance(value, int):
        raise Invalid("", f"a whole number such as {FEWEST_WEEKS} or {MOST_WEEKS}", value)
    return value


def _clock(value: Any) -> time:
    if isinstance(value, time):
        return value.replace(second=0, microsecond=0)
    match = _CLOCK.fullmatch(str(value).strip())
    if not match:
        raise Invalid("", 'a time such as "18:30"', value)
    return time(int(match[1]), int(match[2]))


def plan_texts(block: BlockFile, folder: Path) -> dict[date, str]:
    """The plan of each evening as it lies in `folder` now, by day; of one that is not there, none."""
    paths = {each.on: folder / each.file for each in block.evenings}
    return {on: read_text(path) for on, path in paths.items() if path.exists()}


def by_hand(block: BlockFile, plans: Mapping[date, str]) -> frozenset[date]:
    """The days whose plan a coach changed by hand: before, or since the block was written."""
    return frozenset(
        each.on
        for each in block.evenings
        if each.on in plans and (each.kind is EveningKind.BY_HAND or digest(plans[each.on]) != each.digest)
    )


def earlier_of(block: BlockFile, plans: Mapping[date, str], start: date) -> Earlier:
    """What stays when a block is planned again: evenings before `start` as they are, and those changed by hand; `plans`
    is each evening's text as it is now, by day.
    """
    stays, own = {}, by_hand(block, plans)
    for each in block.evenings:
        if each.on not in plans or each.on in (*block.brief.days_off, *block.brief.misses):
            continue
        if each.on in own:
            stays[each.on] = Stay(kind=EveningKind.BY_HAND, text=plans[each.on])
        elif each.on < start:
            stays[each.on] = Stay(kind=each.kind, text=plans[each.on], places=each.places)
    return Earlier(columns=block.columns, evenings=stays)


def with_missed(block: BlockFile, more: date) -> BlockFile:
    """The same with one evening more that fell out, in the text too. Comments stay."""
    import tomlkit  # slow to import: only where a file is changed

    document: Any = tomlkit.parse(block.head)
    days = sorted({*block.brief.misses, more})
    if more in block.brief.days_off:
        raise Invalid("missed", "a day that is not closed anyway", more.isoformat())
    if "missed" in document:
        document["missed"] = days
    else:
        weekly = document.pop("weekly")  # a field goes before the first table, or it would be that table's
        document["missed"] = days
        document["weekly"] = weekly
    return replace(block, head=tomlkit.dumps(document), brief=replace(block.brief, misses=tuple(days)))


def unlock_evening(text: str, on: date, plan: str) -> str:
    """A block's file in which the plan of an evening, as it is now, counts as planned and no more as made by hand, so
    that planning again may change it. Raises Invalid for a day of which nothing is written.
    """
    import tomlkit  # slow to import: only where a file is changed

    document: Any = tomlkit.parse(text)
    for each in document.get("evening", ()):
        if each["on"] == on:
            each["kind"], each["change"], each["digest"] = EveningKind.BUILD.value, UNLOCKED, digest(plan)
            return tomlkit.dumps(document)
    days = [str(each["on"]) for each in document.get("evening", ())]
    raise Invalid("on", "an evening of this block", on.isoformat(), nearest=nearest(on.isoformat(), days))


def write_block(block: Block, head: str, path: Path) -> None:
    """Writes the block's file, and beside it the plan of every evening that was not there as it is."""
    for each in block.evenings:
        plan = path.parent / plan_name(each.evening.on)
        if each.evening.kind is not EveningKind.BY_HAND:
            replace_text(plan, each.text)
    replace_text(path, block_text(block, head))


def plan_name(on: date) -> str:
    """The name of an evening's plan."""
    return f"{on.isoformat()}.toml"


def block_text(block: Block, head: str) -> str:
    """The file's text: the head as it is, then what was planned."""
    lines = [head.rstrip("\n"), "", PLANNED.rstrip("\n")]
    for (weekly, part), group in sorted(block.skeleton.columns.items()):
        moves = ", ".join(json.dumps(column_words(column)) for column in group)
        weekday = block.brief.weekly[weekly].day
        lines += ["", "[[part]]", f'day = "{weekday}"', f"number = {part + 1}", f"moves = [{moves}]"]
    for each in block.evenings:
        evening = each.evening
        at = ", ".join(f"{move} = {place}" for move, place in sorted(block.places[evening.on].items()))
        lines += [
            "",
            "[[evening]]",
            f"on = {evening.on.isoformat()}",
            f'kind = "{evening.kind}"',
            f"change = {json.dumps(change_words(block, each), ensure_ascii=False)}",
            f'file = "{plan_name(evening.on)}"',
            f'digest = "{digest(each.text)}"',
            f"at = {{ {at} }}" if at else "at = {}",
        ]
    return "\n".join(lines) + "\n"
