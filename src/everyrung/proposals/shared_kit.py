"""Kit that there is too little of for everybody at once: how many waves a column needs, and the waves of a draft."""

from dataclasses import replace

from everyrung.checks.kit_needs import served_in_room, stocks, wants
from everyrung.checks.wave_groups import block_grouping
from everyrung.moves.library import Library
from everyrung.plan.resolve import resolve
from everyrung.proposals.columns import Column
from everyrung.terms.enums import BlockKind
from everyrung.terms.plan import MOST_WAVES, Plan
from everyrung.terms.session_brief import SessionBrief
from everyrung.timing.timeline import build_timeline

# What each person may wait before a group is on the floor in part; chosen: all would get down and up twice a round.
FLOOR_MS = 180_000


def waves_needed(brief: SessionBrief, column: Column) -> dict[str, int]:
    """By each thing that is short for a column, in how many waves there is enough of it; 0 where never."""
    waves: dict[str, int] = {}
    if not any(stock.count for stock in brief.kit):
        return waves  # what everybody has is never short: versions that one person has too little for are no columns
    for version in column.versions:
        for need in wants(version.variant, (version.load,) if version.load else ()):
            enough_for = served_in_room(brief, need)
            if enough_for < brief.in_room and stocks(brief, need):
                count = -(-brief.in_room // enough_for) if enough_for else MOST_WAVES + 1
                thing = str(need.item)
                waves[thing] = max(waves.get(thing, 0), count)
    return {thing: count if count <= MOST_WAVES else 0 for thing, count in waves.items()}


def with_waves(plan: Plan, library: Library) -> Plan:
    """The plan with each main block in the waves in which people wait least and stay down or up, where kit is short."""
    session = resolve(plan, library)
    timeline = build_timeline(session)
    waves = {
        block.name: block_grouping(session, timeline, block, session.who.in_room, floor_ms=FLOOR_MS).waves
        for block in session.of_kind(BlockKind.MAIN)
    }
    return replace(plan, blocks=tuple(replace(each, waves=waves.get(each.name, ())) for each in plan.blocks))
